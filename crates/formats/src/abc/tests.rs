//! Written-out cases: a little ABC in, the measures in a short form out.
//!
//! A measure is `number: signs notes signs`; a note is `decorations grace pitches:length` in quarters, with `(` `)` for slurs, `-` for a tie to the
//! next note, `^3/2` for a tuplet, and `'words` below. Chord symbols stand before the note at whose place they are.

use super::*;
use expect_test::{Expect, expect};
use music::{Barline, Hyphen, Note, Pitch, SheetMeasure, TupletEdge};

fn check(abc: &str, expected: Expect) {
    survives(abc.as_bytes());
    expected.assert_eq(&shown(abc, &ReadOptions::default()));
}

fn shown(abc: &str, options: &ReadOptions) -> String {
    let imported = match read(abc.as_bytes(), options) {
        Ok(imported) => imported,
        Err(error) => return format!("error: {error}\n"),
    };
    let mut lines = head(&imported);
    let mut before: Option<&SheetMeasure> = None;
    for measure in &imported.sheet.measures {
        let changed = before.is_none_or(|b| b.frame.meter != measure.frame.meter || b.frame.key != measure.frame.key);
        if changed {
            let explicit: String = measure.frame.key.explicit.iter().map(|(s, a)| format!(" {}{a:+}", s.letter())).collect();
            lines.push(format!("[{} {}{explicit}]", measure.frame.meter, measure.frame.key));
        }
        lines.push(line(measure));
        before = Some(measure);
    }
    lines.extend(imported.diagnostics.iter().map(ToString::to_string));
    lines.join("\n") + "\n"
}

fn head(imported: &Imported) -> Vec<String> {
    let tempo = imported.sheet.tempo.map(|t| format!(" {}={}", t.unit(), t.milli_per_minute() / 1000)).unwrap_or_default();
    let title = format!("{}{tempo}", imported.sheet.words.title);
    if title.is_empty() { Vec::new() } else { vec![title] }
}

fn line(measure: &SheetMeasure) -> String {
    let frame = &measure.frame;
    let mut words = vec![format!("{}:", frame.number)];
    words.extend(frame.section.iter().map(|s| format!("<{s}>")));
    words.extend(frame.repeat_start.then(|| "|:".to_owned()));
    if let Some(ending) = &frame.ending {
        let passes: Vec<String> = ending.passes.iter().map(u32::to_string).collect();
        words.push(format!("{}{}{}", if ending.starts { "[" } else { "" }, passes.join(","), if ending.stops { "]" } else { "" }));
    }
    for note in &measure.notes {
        words.extend(frame.words.iter().filter(|w| w.0 == note.at).map(|w| format!("^{}^", w.1)));
        words.extend(frame.tempos.iter().filter(|t| t.0 == note.at).map(|t| format!("<{}={}>", t.1.unit(), t.1.milli_per_minute() / 1000)));
        words.extend(frame.chords.iter().filter(|c| c.at == note.at).map(|c| format!("\"{}\"", c.symbol.harmony)));
        words.push(word(note));
    }
    words.extend(frame.jumps.iter().map(|j| format!("{j:?}")));
    words.extend(frame.repeat_end.map(|times| if times == 2 { ":|".to_owned() } else { format!(":|x{times}") }));
    match frame.right {
        Barline::Plain => {}
        other => words.push(format!("{other:?}")),
    }
    words.join(" ")
}

fn word(note: &Note) -> String {
    let mut out = String::new();
    for decoration in &note.decorations {
        out.push_str(&format!("!{decoration:?}!"));
    }
    for grace in &note.grace {
        let pitches: Vec<String> = grace.pitches.iter().map(Pitch::to_string).collect();
        out.push_str(&format!("{{{}{}/{}}}", if grace.slashed { "/" } else { "" }, pitches.join("+"), grace.value));
    }
    out.push_str(&"(".repeat(note.slurs_start.into()));
    out.push_str(&music::text::show(std::slice::from_ref(note)));
    if note.tie.to_next {
        out.push('-');
    }
    assert!(!note.fingers.iter().any(|f| *f > 4), "fingers are numbered 1 to 4");
    out.push_str(&")".repeat(note.slurs_stop.into()));
    if let Some(tuplet) = note.tuplet.filter(|t| t.edge == TupletEdge::Start) {
        out.push_str(&format!("^{}/{}", tuplet.actual, tuplet.normal));
    }
    for syllable in &note.syllables {
        let hyphen = if matches!(syllable.hyphen, Hyphen::Begin | Hyphen::Middle) { "-" } else { "" };
        out.push_str(&format!("'{}{hyphen}{}", syllable.text, if syllable.held { "_" } else { "" }));
    }
    out
}

/// A tune in C with these lines as its body, and `M:4/4`, `L:1/4`.
fn body(lines: &str, expected: Expect) {
    check(&format!("X:1\nM:4/4\nL:1/4\nK:C\n{lines}\n"), expected);
}

/// 4.1, 4.3: octaves and lengths.
#[test]
fn pitches_and_lengths() {
    body("C,, C, C c | c' c'' B,' d,, |", expect![[r#"
        [4/4 C major]
        1: C2:1 C3:1 C4:1 C5:1
        2: C6:1 C7:1 B4:1 D3:1
    "#]]);
    body("A2 A/ A// A/4 | A3/2 A3/ A/2 A0 | z2 x/ Z", expect![[r#"
        [4/4 C major]
        0: A4:2 A4:1/2 A4:1/4 A4:1/4
        1: A4:3/2 A4:3/2 A4:1/2 A4:1
        2: r:2 r:1/2 r:4
        5:17: note: measure 1 holds 9/2 quarter notes where the meter 4/4 asks for 4
        5:30: warning: a length of nothing was read as one unit
        5:35: note: measure 2 holds 13/2 quarter notes where the meter 4/4 asks for 4
    "#]]);
    body("A/8A/8A/8A/8 A7/8 A/3A/3A/3|", expect![[r#"
        [4/4 C major]
        1: A4:1/8 A4:1/8 A4:1/8 A4:1/8 A4:7/8 A4:1/3 A4:1/3 A4:1/3
    "#]]);
}

/// 4.2 and 11.3: an accidental holds to the end of the measure in all octaves; a tie carries it over the bar line.
#[test]
fn accidentals() {
    body("^F f =F f | F _B b ^^c | __d =d ^f- f- | f f =f f |", expect![[r#"
        [4/4 C major]
        1: F#4:1 F#5:1 F4:1 F5:1
        2: F4:1 Bb4:1 Bb5:1 C##5:1
        3: Dbb5:1 D5:1 F#5:1- F#5:1-
        4: F#5:1 F5:1 F5:1 F5:1
    "#]]);
    check("X:1\nL:1/4\nK:D\nf =f F f | f c [^c=g] g |", expect![[r#"
        [free meter D major]
        1: F#5:1 F5:1 F4:1 F5:1
        2: F#5:1 C#5:1 [C#5+G5]:1 G5:1
    "#]]);
    check("X:1\nL:1/4\nI:propagate-accidentals octave\nK:C\n^f F f2 |", expect![[r#"
        [free meter C major]
        1: F#5:1 F4:1 F#5:2
    "#]]);
    check("X:1\nL:1/4\n%%propagate-accidentals not\nK:C\n^f F f2 |", expect![[r#"
        [free meter C major]
        1: F#5:1 F4:1 F5:2
    "#]]);
}

/// 3.1.7: the unit that a meter implies.
#[test]
fn the_unit_follows_the_meter() {
    check("X:1\nM:2/4\nK:C\nA4 A4|", expect![[r#"
        [2/4 C major]
        1: A4:1 A4:1
    "#]]);
    check("X:1\nM:6/8\nK:C\nA3 A3|", expect![[r#"
        [6/8 C major]
        1: A4:3/2 A4:3/2
    "#]]);
    check("X:1\nK:C\nA4|", expect![[r#"
        [free meter C major]
        1: A4:2
    "#]]);
}

/// 3.1.6: meters in every spelling.
#[test]
fn meters() {
    for (written, seen) in [
        ("C", "4/4"), ("C|", "2/2"), ("none", "free meter"), ("2+3/8", "2+3/8"), ("(2+3)/8", "2+3/8"), ("(2+2+3)/8", "2+2+3/8"), ("6/8", "6/8"),
    ] {
        assert_eq!(fields::meter(written).map(|m| m.to_string()), Ok(seen.to_owned()), "M:{written}");
    }
    assert!(fields::meter("6/7").is_err() && fields::meter("x").is_err() && fields::meter("0/4").is_err());
}

/// 3.1.8 and 10.1: tempi in every spelling, with a unit of an eighth.
#[test]
fn tempi() {
    for (written, seen) in [
        ("1/4=120", "1=120"), ("120", "1/2=120"), ("C=100", "1/2=100"), ("C3=40", "3/2=40"), ("\"Allegro\" 3/8=50", "3/2=50 Allegro"),
        ("1/4 1/8=60", "3/2=60"), ("\"Andante\"", "Andante"), ("1/4=88 \"with a lilt\"", "1=88 with a lilt"), ("1/2=60.5", "2=60"),
    ] {
        let found = fields::tempo(written, music::Beats::EIGHTH).expect("a tempo that is understood");
        let tempo = found.tempo.map(|t| format!("{}={}", t.unit(), t.milli_per_minute() / 1000));
        assert_eq!(tempo.into_iter().chain(found.words).collect::<Vec<_>>().join(" "), seen, "Q:{written}");
    }
    assert!(fields::tempo("fast", music::Beats::EIGHTH).is_err() && fields::tempo("1/4=0", music::Beats::EIGHTH).is_err());
}

/// 4.4: a>b is a dotted note and half of one; two marks a double dot.
#[test]
fn broken_rhythm() {
    body("A>B c<d | A>>B c<<<d | A>\"G\"B z>A | (3A>Bc A2> A2 |", expect![[r#"
        [4/4 C major]
        1: A4:3/2 B4:1/2 C5:1/2 D5:3/2
        2: A4:7/4 B4:1/4 C5:1/8 D5:15/8
        3: A4:3/2 "G" B4:1/2 r:3/2 A4:1/2
        4: A4:1^3/2 B4:1/3 C5:2/3 A4:3 A4:1
        5:37: note: measure 4 holds 6 quarter notes where the meter 4/4 asks for 4
    "#]]);
}

/// 4.13: the table of tuplets in simple and compound meter, and the long forms.
#[test]
fn tuplets() {
    body("(3ABc (2AB z/ | (4ABcd z | (5ABcde z2 | (3:2:4AAA/A/ (3:4ABc |", expect![[r#"
        [4/4 C major]
        1: A4:2/3^3/2 B4:2/3 C5:2/3 A4:3/2^2/3 B4:3/2 r:1/2
        2: A4:3/4^4/3 B4:3/4 C5:3/4 D5:3/4 r:1
        3: A4:2/5^5/2 B4:2/5 C5:2/5 D5:2/5 E5:2/5 r:2
        4: A4:2/3^3/2 A4:2/3 A4:1/3 A4:1/3 A4:4/3^3/4 B4:4/3 C5:4/3
        5:1: note: measure 1 holds 11/2 quarter notes where the meter 4/4 asks for 4
        5:41: note: measure 4 holds 6 quarter notes where the meter 4/4 asks for 4
    "#]]);
    check("X:1\nM:6/8\nK:C\n(2AB (4ABcd | (5ABcde (3ABc |", expect![[r#"
        [6/8 C major]
        1: A4:3/4^2/3 B4:3/4 A4:3/8^4/3 B4:3/8 C5:3/8 D5:3/8
        2: A4:3/10^5/3 B4:3/10 C5:3/10 D5:3/10 E5:3/10 A4:1/3^3/2 B4:1/3 C5:1/3
    "#]]);
    body("(99ABcd | (3:0ABc A | (11:8:11 A/A/A/A/A/A/A/A/A/A/A/ |", expect![[r#"
        [4/4 C major]
        1: A4:1 B4:1 C5:1 D5:1
        2: A4:1 B4:1 C5:1 A4:1
        3: A4:4/11^11/8 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11
        5:1: warning: a tuplet with such numbers is not read: expected two to nine notes
        5:11: warning: a tuplet with such numbers is not read: expected two to nine notes
    "#]]);
}

/// 4.12, 4.17, 4.11: grace notes, chords, ties and slurs.
#[test]
fn graces_chords_ties_and_slurs() {
    body("{g}A {/g}B {gef}c {[ce]2}d | [CEG]2 [C2E]- [CE] | [C-E]2 [CG]2 | (A (B c) d) |", expect![[r#"
        [4/4 C major]
        1: {G5/8}A4:1 {/G5/8}B4:1 {G5/16}{E5/16}{F5/16}C5:1 {C5+E5/8}D5:1
        2: [C4+E4+G4]:2 [C4+E4]:2- [C4+E4]:1
        3: [C4+E4]:2- [C4+G4]:2
        4: (A4:1 (B4:1 C5:1) D5:1)
        5:30: note: measure 2 holds 5 quarter notes where the meter 4/4 asks for 4
        5:37: note: the notes of a chord differ in length: the first one's holds for all
    "#]]);
    body("A4- | A2 A-B | A- z ) ( | \"G\"[\"Am\"!f!CE] .A ~B Hc |", expect![[r#"
        [4/4 C major]
        1: A4:4-
        2: A4:2 (A4:1 B4:1)
        3: A4:1 r:1
        4: "G" "Am" !Dynamic("f")![C4+E4]:1 !Staccato!A4:1 !Other("roll")!B4:1 !Fermata!C5:1
        5:11: note: 1 tie between different notes read as slurs
        5:16: note: measure 3 holds 2 quarter notes where the meter 4/4 asks for 4
        5:17: warning: a tie into a rest was left out
        5:21: warning: ")" without the "(" it closes was left out
        5:30: note: 2 chord symbols stand at one note
        5:51: note: 1 slur is not closed and left out
    "#]]);
}

/// 4.14, 4.16: decorations by name, by letter, redefined.
#[test]
fn decorations() {
    check(
        "X:1\nM:4/4\nL:1/4\nU:T=!turn!\nU:n=!pp!\nK:C\n.A TB nc !fermata!d | +trill+A !>!B !arpeggio![CE] !1!d | vA uB LB JA | !odd!A3 Oc |",
        expect![[r#"
            [4/4 C major]
            1: !Staccato!A4:1 !Turn!B4:1 !Dynamic("pp")!C5:1 !Fermata!D5:1
            2: !Trill!A4:1 !Accent!B4:1 ~[C4+E4]:1 D5:1
            3: !DownBow!A4:1 !UpBow!B4:1 !Accent!B4:1 A4:1
            4: !Other("odd")!A4:3 C5:1 Coda
            7:68: warning: the letter "J" is not understood here and was left out
            7:73: note: a coda sign without a second one: it was taken for the coda itself
        "#]],
    );
}

/// 10.2: chords and decorations between plus signs, line breaks between exclamation marks.
#[test]
fn old_spellings() {
    body("+CEG+2 +f+A B | c ! d ! e f! | abc'!def!g |", expect![[r#"
        [4/4 C major]
        1: [C4+E4+G4]:2 !Dynamic("f")!A4:1 B4:1
        2: C5:1 D5:1 E5:1 F5:1
        3: A5:1 B5:1 C6:1 D5:1 E5:1 F5:1 G5:1
        5:32: note: measure 3 holds 7 quarter notes where the meter 4/4 asks for 4
    "#]]);
}

/// 4.8: repeats in every spelling, the first without an opening, played more than twice.
#[test]
fn repeats() {
    body("C4 :| D4 :: E4 :|: F4 :||: G4 :|", expect![[r#"
        [4/4 C major]
        1: C4:4 :|
        2: D4:4 :|
        3: |: E4:4 :|
        4: |: F4:4 :| Double
        5: |: G4:4 :|
    "#]]);
    body("|:: C4 ::| |: D4 | E4 :|] [| F4 || G4 [|] A4 .| B4 |]", expect![[r#"
        [4/4 C major]
        1: |: C4:4 :|x3
        2: |: D4:4
        3: E4:4 :| Double
        4: F4:4 Double
        5: G4:4 None
        6: A4:4 Dotted
        7: B4:4 Final
    "#]]);
    body(":| C4 | D4\n| E4 |\n| F4", expect![[r#"
        [4/4 C major]
        1: C4:4
        2: D4:4
        3: E4:4
        4: F4:4
        5:1: warning: a repeat sign with nothing to repeat was left out
    "#]]);
}

/// 4.9, 4.10: endings.
#[test]
fn endings() {
    body("|: C4 |1 D4 :|2 E4 || F4 |", expect![[r#"
        [4/4 C major]
        1: |: C4:4
        2: [1] D4:4 :|
        3: [2] E4:4 Double
        4: F4:4
    "#]]);
    body("|: C4 | [1 D4 | E4 :| [2 F4 | G4 |: A4 :|", expect![[r#"
        [4/4 C major]
        1: |: C4:4
        2: [1 D4:4
        3: 1] E4:4 :|
        4: [2 F4:4
        5: 2] G4:4
        6: |: A4:4 :|
    "#]]);
    body("|: C4 |[1,3 D4 :|[2,4 E4 :| C4 |1-3 D4 :|4 E4 |]", expect![[r#"
        [4/4 C major]
        1: |: C4:4
        2: [1,3] D4:4 :|
        3: [2,4] E4:4 :|
        4: C4:4
        5: [1,2,3] D4:4 :|
        6: [4] E4:4 Final
    "#]]);
    body("C4 |1 D4 |2 E4 |", expect![[r#"
        [4/4 C major]
        1: C4:4
        2: [1] D4:4 :|
        3: [2] E4:4
        5:10: note: an ending follows another without a repeat sign: one was assumed
    "#]]);
    body("G | CDEF | C2 [1 DE :| [2 FG |]", expect![[r#"
        [4/4 C major]
        0: G4:1
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:2 None
        2: [1] D4:1 E4:1 :|
        2: [2] F4:1 G4:1 Final
    "#]]);
}

/// 4.14, and common practice for where the signs stand.
#[test]
fn signs_that_send_elsewhere() {
    body("C4 | !segno!D4 !coda!| E4 !D.S.alcoda!|] !coda!F4 |]", expect![[r#"
        [4/4 C major]
        1: C4:4
        2: D4:4 Segno ToCoda
        3: E4:4 DalSegno Final
        4: F4:4 Coda Final
    "#]]);
    body("SC4 | D4 !fine!| E4 | F4 !D.C.alfine!|]", expect![[r#"
        [4/4 C major]
        1: C4:4 Segno
        2: D4:4 Fine
        3: E4:4
        4: F4:4 DaCapo Final
    "#]]);
    body("C4 | \"Fine\"D4 | E4 \"^D.C. al Fine\"|", expect![[r#"
        [4/4 C major]
        1: C4:4
        2: D4:4 Fine
        3: E4:4 DaCapo
    "#]]);
    body("C4 | D4 !dacoda!| E4 !D.C.! | OF4 |", expect![[r#"
        [4/4 C major]
        1: C4:4
        2: D4:4 ToCoda
        3: E4:4 DaCapo
        4: F4:4 Coda
    "#]]);
}

/// 2.2, 4: pickups and measures split at repeats keep numbers; lengths that do not fit are pointed out.
#[test]
fn numbers_and_lengths_of_measures() {
    body("G | CDEF | CDE :| G | CDEF | CDE |]", expect![[r#"
        [4/4 C major]
        0: G4:1
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:1 D4:1 E4:1 :|
        2: G4:1
        3: C4:1 D4:1 E4:1 F4:1
        4: C4:1 D4:1 E4:1 Final
    "#]]);
    body("CDEF | CDE | CDEFG | CDEF |", expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:1 D4:1 E4:1
        3: C4:1 D4:1 E4:1 F4:1 G4:1
        4: C4:1 D4:1 E4:1 F4:1
        5:8: note: measure 2 holds 3 quarter notes where the meter 4/4 asks for 4
        5:14: note: measure 3 holds 5 quarter notes where the meter 4/4 asks for 4
    "#]]);
    body("CD\nEF | CDEF\nGABc | c4\n", expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:1 D4:1 E4:1 F4:1
        3: G4:1 A4:1 B4:1 C5:1
        4: C5:4
        6:9: note: no bar line ends this line of music, but its last measure is full: a bar line was assumed
    "#]]);
    check("X:1\nM:none\nL:1/4\nK:C\nCDEFG | A | CD |", expect![[r#"
        [free meter C major]
        1: C4:1 D4:1 E4:1 F4:1 G4:1
        2: A4:1
        3: C4:1 D4:1
    "#]]);
}

/// 3.2, 4: inline fields and changes in the middle of the tune.
#[test]
fn changes() {
    body("CDEF | [K:D][M:3/4] FGA | [L:1/8] F2 G2 [K:C]F2 | [Q:1/4=60] F2 G2 A2 | [P:B] F6 |\nM:2/4\nP:Trio\n[r:a remark] F4 |\nK:Dm\nB4 |", expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        [3/4 D major]
        2: F#4:1 G4:1 A4:1
        3: F#4:1 G4:1 F4:1
        [3/4 C major]
        4: <1=60> F4:1 G4:1 A4:1
        5: <B> F4:3
        [2/4 C major]
        6: <Trio> F4:2
        [2/4 D minor]
        7: Bb4:2
    "#]]);
    check("X:1\nM:6/4\nL:1/4\nK:D\nP:A\nd3 ccd|d3\nP:B\nA2 | d6 |]", expect![[r#"
        [6/4 D major]
        1: <A> D5:3 C#5:1 C#5:1 D5:1
        2: D5:3
        2: <B> A4:2
        3: D5:6 Final
        7:1: note: a new part or meter begins before a bar line: one was assumed
    "#]]);
}

/// 4.5: rests of whole measures.
#[test]
fn measures_of_rest() {
    body("C4 | Z2 | Z | C4 |", expect![[r#"
        [4/4 C major]
        1: C4:4
        2: r:4
        3: r:4
        4: r:4
        5: C4:4
    "#]]);
    body("Z999999999 |", expect![[r#"
        error: 5:12: error: the tune has more than 2000 measures, the most that is read (leave part of the tune out)
    "#]]);
}

/// 4.18, 4.19: chord symbols and annotations.
#[test]
fn chord_symbols_and_annotations() {
    body(r#""G"A "C7"B2 "^slow"c | "D"z4 "G" | C2 "Am""D7"D2 | "_a""<b"">c""@1,2 d"A "e"B2 "N.C."c | "G7 C"A4 "Q"|"#, expect![[r#"
        [4/4 C major]
        1: "G" A4:1 "C7" B4:2 ^slow^ C5:1
        2: "D" r:4
        3: "G" C4:2 "Am" "D7" D4:2
        4: ^a^ ^b^ ^c^ ^d^ A4:1 "E" B4:2 "N.C." C5:1
        5: "G7" "C" A4:4
        5:47: note: 2 chord symbols stand at one note
        5:74: note: the small letter in "e" is taken for a major chord
        5:90: note: "G7 C" holds 2 chord symbols
        5:96: note: 2 chord symbols stand at one note
        5:99: note: "Q" is no chord symbol: expected it to begin with a letter from A to G or to be "N.C."; it is kept as words above the staff
    "#]]);
}

/// 5: words, verses, continuation, and the alignment of 2.1 (5.1) beside that of older files.
#[test]
fn words_below() {
    body("CDEF | G2 A2 |\nw: one two-three four | five *\nw: 2.~un deux-trois quatre | cinq six sept", expect![[r#"
        [4/4 C major]
        1: C4:1'one'2. un D4:1'two-'deux- E4:1'three'trois F4:1'four'quatre
        2: G4:2'five'cinq A4:2'six
        7:1: warning: 1 syllable has no note and was left out (check the words against the notes above them)
    "#]]);
    body("CDEF |\nGABc |\nw: doh re mi fa sol la ti doh\nCDEF |\nw: doh re\n+: mi fa", expect![[r#"
        [4/4 C major]
        1: C4:1'doh D4:1're E4:1'mi F4:1'fa
        2: G4:1'sol A4:1'la B4:1'ti C5:1'doh
        3: C4:1'doh D4:1're E4:1'mi F4:1'fa
    "#]]);
    body("CDEF |\nCDEF |\nw: doh re mi", expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:1'doh D4:1're E4:1'mi F4:1
    "#]]);
    body("C {d}D z E- | E4 |\nw: a b c d", expect![[r#"
        [4/4 C major]
        1: C4:1'a {D5/8}D4:1'b r:1 E4:1-'c
        2: E4:4'd
    "#]]);
}

/// 4.15: decorations and chord symbols in a line of their own.
#[test]
fn symbols_below() {
    body("CD EF | G4 |\ns: \"G\" * !trill! \"^soft\" | !fermata! \"C\"\nw: a b c d e", expect![[r#"
        [4/4 C major]
        1: "G" C4:1'a D4:1'b !Trill!E4:1'c ^soft^ F4:1'd
        2: !Fermata!G4:4'e
        6:1: warning: 1 symbol has no note and was left out
    "#]]);
}

/// Slurs and tuplets that are not finished do not reach the page.
#[test]
fn unfinished_slurs_and_tuplets() {
    body("(A) (B c ) () d | (3A (3Bcd e | ((A B) (3c2B2", expect![[r#"
        [4/4 C major]
        1: A4:1 (B4:1 C5:1) D5:1
        2: A4:2/3 B4:2/3^3/2 C5:2/3 D5:2/3 E5:1
        3: (A4:1 B4:1) C5:4/3^3/2 B4:4/3
        5:3: note: a slur over one note was left out
        5:13: warning: a slur over nothing was left out
        5:19: note: measure 2 holds 11/3 quarter notes where the meter 4/4 asks for 4
        5:33: note: measure 3 holds 14/3 quarter notes where the meter 4/4 asks for 4
        5:44: note: 1 slur is not closed and left out
    "#]]);
}

#[test]
fn voices() {
    let abc = "X:1\nM:4/4\nL:1/4\nV:1 name=\"Lady\" octave=1\nV:2 clef=bass\nK:G\nV:1\nCDEF|\nV:2\n\"G\"C,4|\n[V:1]GABc|\nw: la la la la\n[V:2]G,4|\n";
    check(abc, expect![[r#"
        [4/4 G major]
        1: "G" C5:1 D5:1 E5:1 F#5:1
        2: G5:1'la A5:1'la B5:1'la C6:1'la
        8:1: note: voice "1" is read as the melody; left out: 2
        8:1: note: the chord symbols stand over voice "2"; they were taken from there
    "#]]);
    let part = |name: &str| shown(abc, &ReadOptions { part: Some(name.into()), ..ReadOptions::default() });
    expect![[r#"
        [4/4 G major]
        1: "G" C5:1 D5:1 E5:1 F#5:1
        2: G5:1'la A5:1'la B5:1'la C6:1'la
        8:1: note: the chord symbols stand over voice "2"; they were taken from there
    "#]].assert_eq(&part("Lady"));
    expect![[r#"
        error: there is no part "x" in this score: it has 1, 2
    "#]].assert_eq(&part("x"));
    body("CDEF & G4 | GABc |", expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: G4:1 A4:1 B4:1 C5:1
        5:6: warning: a second layer of notes ("&") is left out up to the next bar line
    "#]]);
}

/// 2.2: several tunes, the file header, comments, directives, blocks of text; 9: macros.
#[test]
fn files() {
    let abc = "%abc-2.1\nM:3/4\nL:1/4\n\nfree text | here |\n\nX:3\nT:First\nK:C % in C\nCDE | % more\n%%text no music\n%%begintext\nABC | DEF\n%%endtext\nFGA |\n\nX:7\nT:The Second\nT:or so\nM:2/4\nm:~G2=GG\nK:G\n~G2|\n\nABc | def | gab |\n";
    check(abc, expect![[r#"
        First
        [3/4 C major]
        1: C4:1 D4:1 E4:1
        2: F4:1 G4:1 A4:1
    "#]]);
    let tune = |number| shown(abc, &ReadOptions { tune: Some(number), ..ReadOptions::default() });
    expect![[r#"
        The Second
        [2/4 G major]
        1: G4:1 G4:1
        25:1: warning: an empty line ended the tune, and what follows was left out though it looks like music (take the empty line out, or begin a tune with "X:")
    "#]].assert_eq(&tune(7));
    expect![[r#"
        error: there is no tune 2 in this file: it holds 3, 7
    "#]].assert_eq(&tune(2));
    assert_eq!(read(abc.as_bytes(), &ReadOptions::default()).map(|i| i.tunes), Ok(vec!["First".into(), "The Second".into()]));
}

#[test]
fn what_is_printed_about_a_tune() {
    let abc = "X:1\nT:Lark, The\nT:Second \\'e title\nC:A. Nyone\nC:copyright: public domain\nO:Harbour\nR:jig\nS:a book\nQ:\"Slow\" 1/4=60\nN:a note\nK:C\nC4|\nW:one\nW:\nW:two\n";
    let words = read(abc.as_bytes(), &ReadOptions::default()).expect("a tune").sheet.words;
    expect![[r#"
        Words {
            title: "Lark, The",
            subtitles: [
                "Second é title",
            ],
            composer: Some(
                "A. Nyone",
            ),
            lyricist: None,
            origin: Some(
                "Harbour",
            ),
            rhythm: Some(
                "jig",
            ),
            tempo_words: Some(
                "Slow",
            ),
            source: Some(
                "a book",
            ),
            rights: Some(
                "copyright: public domain",
            ),
            verses: [
                "one",
                "",
                "two",
            ],
        }
    "#]].assert_debug_eq(&words);
}

/// Whatever is not understood is said, with its place.
#[test]
fn nothing_is_left_out_in_silence() {
    body("C @ D # E j F | A \\ B ^ c | [ C | { D | [] | > C | \"open", expect![[r##"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: A4:1 B4:1 C5:1
        3: [C4+D4]:3/2
        4: C4:1/2
        5:3: warning: "@" is not understood here and was left out
        5:7: warning: "#" is not understood here and was left out
        5:11: warning: the letter "j" is not understood here and was left out
        5:17: note: measure 2 holds 3 quarter notes where the meter 4/4 asks for 4
        5:19: warning: a backslash in the middle of a line is not understood here and was left out
        5:23: warning: "^" without a note is not understood here and was left out
        5:29: warning: only notes and their signs stand in a chord: something else was left out
        5:29: warning: "{" without the "}" that ends it is not understood here and was left out
        5:29: warning: only notes and their signs stand in a chord: something else was left out
        5:29: warning: "[" inside a chord is not understood here and was left out
        5:29: note: measure 3 holds 3/2 quarter notes where the meter 4/4 asks for 4
        5:52: warning: a quotation mark that is not closed before the end of the line, at "open" is not understood here and was left out
    "##]]);
    check("X:1\nM:x\nL:y\nQ:z\nY:?\nK:Q\nC4|\ns:**", expect![[r#"
        [free meter C major]
        1: C4:2
        2:1: warning: the meter "x" is not understood: expected two numbers like "6/8", "C", "C|" or "none"
        3:1: warning: the unit note length "y" is not understood: expected a fraction like "1/8"
        4:1: warning: the tempo "z" is not understood: expected something like "1/4=120"
        5:1: note: the order of parts "?" is not followed: the parts stand as written, each once
        6:1: warning: the key "Q" is not understood: expected a letter and a mode, like "D", "Em" or "Ador"
    "#]]);
    check("X:1\nT:none\n", expect![[r#"
        error: 1:1: error: the tune has no key field "K:" and no music (every tune needs a line like "K:C" before its notes)
    "#]]);
    check("X:1\nK:C\n\n", expect![[r#"
        error: 1:1: error: the tune holds no notes
    "#]]);
    check("X:1\nM:4/4\nL:1/4\nT:no key\nCDEF|GABc|", expect![[r#"
        no key
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: G4:1 A4:1 B4:1 C5:1
        5:1: warning: music begins before the key field "K:": C major was assumed
    "#]]);
    check("X:1\nK:C\nz999999999 C99999/99999999|(999:CDE", expect![[r#"
        [free meter C major]
        1: r:256 C4:51/1024
        2: C4:1/2 D4:1/2 E4:1/2
        3:1: warning: a note longer than 64 whole notes was cut to that length
        3:12: note: a length that divides too finely was rounded
        3:28: warning: a tuplet with such numbers is not read: expected two to nine notes
        3:32: warning: ":" is not understood here and was left out
    "#]]);
}

#[test]
fn places_in_the_source() {
    let abc = "X:1\nM:2/4\nL:1/4\nK:C\nC D | E\nF | \"G\"G A |]\n";
    let spans = read(abc.as_bytes(), &ReadOptions::default()).expect("a tune").sources.measures;
    let shown: Vec<String> = spans.iter().map(|s| format!("{}:{}+{}", s.line, s.column, s.width)).collect();
    assert_eq!(shown.join(" "), "5:1+5 5:7+1 6:5+9");
}

#[test]
fn abc_is_told_from_other_text() {
    for yes in ["X:1\nK:C\n", "\u{feff}X: 1\n", "%abc-2.1\n", "% words\n\nX:1\n", "T:a\r\nK:C\r\nCDE"] {
        assert!(looks_like(yes.as_bytes()), "{yes:?}");
    }
    for no in ["<?xml version=\"1.0\"?>", "PK\u{3}\u{4}", "K:C only", "", "Dear X: hello"] {
        assert!(!looks_like(no.as_bytes()), "{no:?}");
    }
}
