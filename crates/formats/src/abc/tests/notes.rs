//! Notes and what stands at them.

use super::*;

/// 4.1, 4.3: octaves and lengths.
#[test]
fn pitches_and_lengths() {
    body(
        "C,, C, C c | c' c'' B,' d,, |",
        expect![[r#"
        [4/4 C major]
        1: C2:1 C3:1 C4:1 C5:1
        2: C6:1 C7:1 B4:1 D3:1
    "#]],
    );
    body(
        "A2 A/ A// A/4 | A3/2 A3/ A/2 A0 | z2 x/ Z",
        expect![[r#"
        [4/4 C major]
        0: A4:2 A4:1/2 A4:1/4 A4:1/4
        1: A4:3/2 A4:3/2 A4:1/2 A4:1
        2: r:2 r:1/2 r:4
        5:17: note: measure 1 holds 9/2 quarter notes where the meter 4/4 asks for 4
        5:30: warning: a length of nothing was read as one unit
        5:35: note: measure 2 holds 13/2 quarter notes where the meter 4/4 asks for 4
    "#]],
    );
    body(
        "A/8A/8A/8A/8 A7/8 A/3A/3A/3|",
        expect![[r#"
        [4/4 C major]
        1: A4:1/8 A4:1/8 A4:1/8 A4:1/8 A4:7/8 A4:1/3 A4:1/3 A4:1/3
    "#]],
    );
}

/// 4.2 and 11.3: an accidental holds to the end of the measure in all octaves; a tie carries it over the bar line.
#[test]
fn accidentals() {
    body(
        "^F f =F f | F _B b ^^c | __d =d ^f- f- | f f =f f |",
        expect![[r#"
        [4/4 C major]
        1: F#4:1 F#5:1 F4:1 F5:1
        2: F4:1 Bb4:1 Bb5:1 C##5:1
        3: Dbb5:1 D5:1 F#5:1- F#5:1-
        4: F#5:1 F5:1 F5:1 F5:1
    "#]],
    );
    check(
        "X:1\nL:1/4\nK:D\nf =f F f | f c [^c=g] g |",
        expect![[r#"
        [free meter D major]
        1: F#5:1 F5:1 F4:1 F5:1
        2: F#5:1 C#5:1 [C#5+G5]:1 G5:1
    "#]],
    );
    check(
        "X:1\nL:1/4\nI:propagate-accidentals octave\nK:C\n^f F f2 |",
        expect![[r#"
        [free meter C major]
        1: F#5:1 F4:1 F#5:2
    "#]],
    );
    check(
        "X:1\nL:1/4\n%%propagate-accidentals not\nK:C\n^f F f2 |",
        expect![[r#"
        [free meter C major]
        1: F#5:1 F4:1 F5:2
    "#]],
    );
}

/// 3.1.7: the unit that a meter implies.
#[test]
fn the_unit_follows_the_meter() {
    check(
        "X:1\nM:2/4\nK:C\nA4 A4|",
        expect![[r#"
        [2/4 C major]
        1: A4:1 A4:1
    "#]],
    );
    check(
        "X:1\nM:6/8\nK:C\nA3 A3|",
        expect![[r#"
        [6/8 C major]
        1: A4:3/2 A4:3/2
    "#]],
    );
    check(
        "X:1\nK:C\nA4|",
        expect![[r#"
        [free meter C major]
        1: A4:2
    "#]],
    );
}

/// 4.4: a>b is a dotted note and half of one; two marks a double dot.
#[test]
fn broken_rhythm() {
    body(
        "A>B c<d | A>>B c<<<d | A>\"G\"B z>A | (3A>Bc A2> A2 |",
        expect![[r#"
        [4/4 C major]
        1: A4:3/2 B4:1/2 C5:1/2 D5:3/2
        2: A4:7/4 B4:1/4 C5:1/8 D5:15/8
        3: A4:3/2 "G" B4:1/2 r:3/2 A4:1/2
        4: A4:1^3/2 B4:1/3 C5:2/3 A4:3 A4:1
        5:37: note: measure 4 holds 6 quarter notes where the meter 4/4 asks for 4
    "#]],
    );
}

/// 4.13: the table of tuplets in simple and compound meter, and the long forms.
#[test]
fn tuplets() {
    body(
        "(3ABc (2AB z/ | (4ABcd z | (5ABcde z2 | (3:2:4AAA/A/ (3:4ABc |",
        expect![[r#"
        [4/4 C major]
        1: A4:2/3^3/2 B4:2/3 C5:2/3 A4:3/2^2/3 B4:3/2 r:1/2
        2: A4:3/4^4/3 B4:3/4 C5:3/4 D5:3/4 r:1
        3: A4:2/5^5/2 B4:2/5 C5:2/5 D5:2/5 E5:2/5 r:2
        4: A4:2/3^3/2 A4:2/3 A4:1/3 A4:1/3 A4:4/3^3/4 B4:4/3 C5:4/3
        5:1: note: measure 1 holds 11/2 quarter notes where the meter 4/4 asks for 4
        5:41: note: measure 4 holds 6 quarter notes where the meter 4/4 asks for 4
    "#]],
    );
    check(
        "X:1\nM:6/8\nK:C\n(2AB (4ABcd | (5ABcde (3ABc |",
        expect![[r#"
        [6/8 C major]
        1: A4:3/4^2/3 B4:3/4 A4:3/8^4/3 B4:3/8 C5:3/8 D5:3/8
        2: A4:3/10^5/3 B4:3/10 C5:3/10 D5:3/10 E5:3/10 A4:1/3^3/2 B4:1/3 C5:1/3
    "#]],
    );
    body(
        "(99ABcd | (3:0ABc A | (11:8:11 A/A/A/A/A/A/A/A/A/A/A/ |",
        expect![[r#"
        [4/4 C major]
        1: A4:1 B4:1 C5:1 D5:1
        2: A4:1 B4:1 C5:1 A4:1
        3: A4:4/11^11/8 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11 A4:4/11
        5:1: warning: a tuplet with such numbers is not read: expected two to nine notes
        5:11: warning: a tuplet with such numbers is not read: expected two to nine notes
    "#]],
    );
}

/// 4.12, 4.17, 4.11: grace notes, chords, ties and slurs.
#[test]
fn graces_chords_ties_and_slurs() {
    body(
        "{g}A {/g}B {gef}c {[ce]2}d | [CEG]2 [C2E]- [CE] | [C-E]2 [CG]2 | (A (B c) d) |",
        expect![[r#"
        [4/4 C major]
        1: {G5/8}A4:1 {/G5/8}B4:1 {G5/16}{E5/16}{F5/16}C5:1 {C5+E5/8}D5:1
        2: [C4+E4+G4]:2 [C4+E4]:2- [C4+E4]:1
        3: [C4+E4]:2- [C4+G4]:2
        4: (A4:1 (B4:1 C5:1) D5:1)
        5:30: note: measure 2 holds 5 quarter notes where the meter 4/4 asks for 4
        5:37: note: the notes of a chord differ in length: the first one's holds for all
    "#]],
    );
    body(
        "A4- | A2 A-B | A- z ) ( | \"G\"[\"Am\"!f!CE] .A ~B Hc |",
        expect![[r#"
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
    "#]],
    );
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
    body(
        "+CEG+2 +f+A B | c ! d ! e f! | abc'!def!g |",
        expect![[r#"
        [4/4 C major]
        1: [C4+E4+G4]:2 !Dynamic("f")!A4:1 B4:1
        2: C5:1 D5:1 E5:1 F5:1
        3: A5:1 B5:1 C6:1 D5:1 E5:1 F5:1 G5:1
        5:32: note: measure 3 holds 7 quarter notes where the meter 4/4 asks for 4
    "#]],
    );
}

/// 4.5: rests of whole measures.
#[test]
fn measures_of_rest() {
    body(
        "C4 | Z2 | Z | C4 |",
        expect![[r#"
        [4/4 C major]
        1: C4:4
        2: r:4
        3: r:4
        4: r:4
        5: C4:4
    "#]],
    );
    body(
        "Z999999999 |",
        expect![[r#"
        error: 5:12: error: the tune has more than 2000 measures, the most that is read (leave part of the tune out)
    "#]],
    );
}

/// 4.18, 4.19: chord symbols and annotations.
#[test]
fn chord_symbols_and_annotations() {
    body(
        r#""G"A "C7"B2 "^slow"c | "D"z4 "G" | C2 "Am""D7"D2 | "_a""<b"">c""@1,2 d"A "e"B2 "N.C."c | "G7 C"A4 "Q"|"#,
        expect![[r#"
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
    "#]],
    );
}

/// Slurs and tuplets that are not finished do not reach the page.
#[test]
fn unfinished_slurs_and_tuplets() {
    body(
        "(A) (B c ) () d | (3A (3Bcd e | ((A B) (3c2B2",
        expect![[r#"
        [4/4 C major]
        1: A4:1 (B4:1 C5:1) D5:1
        2: A4:2/3 B4:2/3^3/2 C5:2/3 D5:2/3 E5:1
        3: (A4:1 B4:1) C5:4/3^3/2 B4:4/3
        5:3: note: a slur over one note was left out
        5:13: warning: a slur over nothing was left out
        5:19: note: measure 2 holds 11/3 quarter notes where the meter 4/4 asks for 4
        5:33: note: measure 3 holds 14/3 quarter notes where the meter 4/4 asks for 4
        5:44: note: 1 slur is not closed and left out
    "#]],
    );
}
