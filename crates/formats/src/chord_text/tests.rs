//! Chord text of the wild, written out, and the round trip through the plain spelling.

use super::*;
use music::{ChordKind, Degree, DegreeChange};
use proptest::prelude::*;

/// The plain spelling of every symbol in a text, and the notes.
fn read(text: &str) -> String {
    match parse(text) {
        Ok(parsed) => {
            let shown: Vec<String> = parsed.symbols.iter().map(|s| s.harmony.to_string()).collect();
            let notes = if parsed.notes.is_empty() { "" } else { " *" };
            format!("{}{notes}", shown.join(" | "))
        }
        Err(error) => format!("!{error}"),
    }
}

fn check(table: &[(&str, &str)]) {
    let wrong: Vec<String> =
        table.iter().filter(|(t, e)| read(t) != *e).map(|(t, e)| format!("{t:12} -> {} (expected {e})", read(t))).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Common practice in lead sheets; ABC 2.1, 4.18 lists m or min, maj, dim, aug or +, sus, 7, 9 and the bass after "/". A star: with a note.
#[test]
fn qualities_of_the_wild() {
    check(&[
        ("G", "G"),
        ("Bb", "Bb"),
        ("F#", "F#"),
        ("B♭", "Bb"),
        ("F♯m", "F#m"),
        ("Cbb", "Cbb"),
        (" Am ", "Am"),
        ("Am", "Am"),
        ("Amin", "Am"),
        ("Ami", "Am"),
        ("A-", "Am"),
        ("A minor", "Am"),
        ("am", "Am"),
        ("AM", "A"),
        ("Amaj", "A"),
        ("A Major", "A"),
        ("CM7", "Cmaj7"),
        ("Cma7", "Cmaj7"),
        ("Cmaj7", "Cmaj7"),
        ("CMaj7", "Cmaj7"),
        ("CΔ", "Cmaj7"),
        ("CΔ7", "Cmaj7"),
        ("C^7", "Cmaj7"),
        ("C7M", "Cmaj7"),
        ("Cj7", "Cmaj7"),
        ("Cm7", "Cm7"),
        ("C-7", "Cm7"),
        ("Cmi7", "Cm7"),
        ("Cdim", "Cdim"),
        ("C°", "Cdim"),
        ("Co", "Cdim"),
        ("Co7", "Cdim7"),
        ("C°7", "Cdim7"),
        ("Cdim7", "Cdim7"),
        ("Gd", "Gdim *"),
        ("Cø", "Cm7b5"),
        ("Cø7", "Cm7b5"),
        ("Cm7b5", "Cm7b5"),
        ("Cm7(b5)", "Cm7b5"),
        ("Cm7-5", "Cm7b5"),
        ("C-7b5", "Cm7b5"),
        ("Cmb5", "Cdim"),
        ("Cm-5", "Cdim"),
        ("C0", "Cdim"),
        ("C07", "Cdim7"),
        ("Caug", "C+"),
        ("C+", "C+"),
        ("C#5", "C#5"),
        ("C(#5)", "C+"),
        ("C+7", "C+7"),
        ("C7+", "C+7"),
        ("C7#5", "C+7"),
        ("C7+5", "C+7"),
        ("C+5", "C+"),
        ("Caug7", "C+7"),
        ("C+9", "C9(#5)"),
        ("Cmaj7#5", "Cmaj7(#5)"),
        ("C+maj7", "Cmaj7(#5)"),
        ("C6", "C6"),
        ("Cm6", "Cm6"),
        ("C69", "C6add9"),
        ("C6/9", "C6add9"),
        ("Cm6/9", "Cm6add9"),
        ("C6add9", "C6add9"),
        ("C7", "C7"),
        ("C9", "C9"),
        ("C11", "C11"),
        ("C13", "C13"),
        ("Cmaj9", "Cmaj9"),
        ("CM13", "Cmaj13"),
        ("Cm9", "Cm9"),
        ("Cm11", "Cm11"),
        ("Cm13", "Cm13"),
        ("Csus", "Csus4"),
        ("Csus2", "Csus2"),
        ("Csus4", "Csus4"),
        ("C7sus4", "C7sus4"),
        ("C7sus", "C7sus4"),
        ("C9sus4", "C9sus4"),
        ("C13sus", "C13sus4"),
        ("C4", "Csus4 *"),
        ("C2", "Cadd2"),
        ("Cadd9", "Cadd9"),
        ("Cadd2", "Cadd2"),
        ("Cadd4", "Cadd4"),
        ("C(add9)", "Cadd9"),
        ("C[add9]", "Cadd9"),
        ("Cmadd9", "Cmadd9"),
        ("Cm(add9)", "Cmadd9"),
        ("C5", "C5"),
        ("Cpower", "C5"),
        ("Cno3", "Cno3"),
        ("C(no 3rd)", "Cno3"),
        ("C(no 3d)", "Cno3"),
        ("C(no third)", "Cno3"),
        ("C no3d", "Cno3"),
        ("Cno5th", "Cno5"),
        ("Csus(2)", "Csus2"),
        ("Csus(4)", "Csus4"),
        ("Csus 2", "Csus2"),
        ("C7sus(4)", "C7sus4"),
        ("C7(sus2)", "C7sus2"),
        ("C(sus(2))", "Csus2"),
        ("D(h)", "D *"),
        ("Dh7", "Dm7b5"),
        ("D(x)", "D *"),
        ("Dm7(1)/A", "Dm7/A *"),
        ("C7omit5", "C7no5"),
        ("C7b9", "C7(b9)"),
        ("C7(b9)", "C7(b9)"),
        ("C7-9", "C7(b9)"),
        ("C7#9", "C7(#9)"),
        ("C7+9", "C7(#9)"),
        ("C7#11", "C7(#11)"),
        ("C13(#11)", "C13(#11)"),
        ("C7b9b13", "C7(b9)(b13)"),
        ("C7(b9,#5)", "C+7(b9)"),
        ("C-5", "C(b5)"),
        ("Bb5", "Bb5"),
        ("B(b5)", "B(b5)"),
        ("C7alt", "C+7(b9) *"),
        ("CmM7", "Cm(maj7)"),
        ("Cm(maj7)", "Cm(maj7)"),
        ("Cmmaj7", "Cm(maj7)"),
        ("C-Δ7", "Cm(maj7)"),
        ("Cm/maj7", "Cm(maj7)"),
        ("C min maj7", "Cm(maj7)"),
        ("Cm+7", "Cm(maj7)"),
        ("CMI7", "Cm7"),
        ("Cdom7", "C7"),
        ("Cm(maj9)", "Cm(maj7)add9"),
        ("Cdimmaj7", "Cdim(#7)"),
        ("Cdim(#7)", "Cdim(#7)"),
    ]);
}

/// `f+` and `bb` are basses in the Nottingham database; H for B natural is the German and Scandinavian habit (common practice).
#[test]
fn basses_signs_and_pairs() {
    check(&[
        ("G/b", "G/B"),
        ("D/f+", "D/F#"),
        ("Gm/bb", "Gm/Bb"),
        ("Am7/G", "Am7/G"),
        ("F/B-", "F/Bb"),
        ("C/ E", "C/E"),
        ("G / B", "G/B"),
        ("C+/E", "C+/E"),
        ("D/F♯", "D/F#"),
        ("C\\E", "C/E"),
        ("G/h", "G/B"),
        ("Hm", "Bm"),
        ("C6/9/E", "C6add9/E"),
        ("F+m", "F#m"),
        ("F+m7", "F#m7"),
        ("B-m7", "Bbm7"),
        ("E-dim", "Ebdim"),
        ("B-7", "Bm7"),
        ("E-", "Em"),
        ("E-maj7", "Em(maj7)"),
        ("G7 C", "G7 | C *"),
        ("C, G", "C | G *"),
        ("Am - D7", "Am | D7 *"),
        ("Dm7-G7", "Dm7 | G7 *"),
        ("Am-G", "Am | G *"),
        ("C dom7", "C7"),
        ("C G/B Am", "C | G/B | Am *"),
        ("G 7", "G7"),
        ("C maj7", "Cmaj7"),
        ("A b5", "A(b5)"),
        ("(G7)", "G7 *"),
        ("( G7 )", "G7 *"),
        ("G (E7)", "G | E7 *"),
        ("[C]", "C"),
        ("G.", "G"),
        ("g", "G *"),
        ("d7", "D7"),
        ("N.C.", "N.C."),
        ("NC", "N.C."),
        ("N.C", "N.C."),
        ("n.c.", "N.C."),
        ("(N.C.)", "N.C."),
        ("No chord", "N.C."),
    ]);
}

/// Words above the staff are no chords, even where they begin with a letter from A to G.
#[test]
fn what_is_no_chord_says_so() {
    for word in [
        "", "  ", "Fine", "D.C.", "Da capo", "Chorus", "Allegro", "dolce", "a tempo", "Coda", "Bass", "1.", "?", "C/9", "Cm7b", "%",
        "Ad lib", "Verse 1",
    ] {
        assert!(parse(word).is_err(), "{word} -> {}", read(word));
    }
    assert!(parse("C7(b5,b9,#9,#11,b13,add2,add4,no3)").is_err(), "more changes than anybody writes");
    assert_eq!(read("G ♯7m"), read("Gm(maj7)"), "the major seventh of a minor chord in another order");
    assert_eq!(read("Cadd9add9(add9)"), read("Cadd9"), "what is said twice says no more");
    assert_eq!(read("Fine"), "!\"Fine\" is no chord symbol that is known: \"ine\" was not understood");
    assert_eq!(read("1."), "!\"1.\" is no chord symbol: expected it to begin with a letter from A to G or to be \"N.C.\"");
}

#[test]
fn every_kind_root_and_bass_comes_back() {
    let names: Vec<PitchName> = (-15..=19).map(PitchName::from_fifths).collect();
    for kind in ChordKind::all() {
        for root in &names {
            for bass in names.iter().map(|n| Some(*n)).chain([None]) {
                let chord = Chord { bass, ..Chord::new(*root, kind) };
                let back = parse(&chord.to_string()).unwrap_or_else(|e| panic!("{chord} does not read: {e}"));
                assert_eq!(back.symbols[0].harmony, Harmony::Chord(chord));
            }
        }
    }
}

fn degrees() -> impl Strategy<Value = Vec<(DegreeChange, i32, i32)>> {
    let change = prop_oneof![
        (2..=13i32).prop_map(|v| (DegreeChange::Add, v, 0)),
        (2..=13i32).prop_map(|v| (DegreeChange::Subtract, v, 0)),
        (2..=13i32, prop_oneof![Just(-1), Just(1)]).prop_map(|(v, a)| (DegreeChange::Alter, v, a)),
    ];
    // One change a degree: a fifth that is left out and lowered is nobody's chord.
    proptest::collection::vec(change, 0..3).prop_filter("one change a degree", |all| all.len() < 2 || all[0].1 != all[1].1)
}

proptest! {
    /// Reading what was printed gives the same tones.
    #[test]
    fn changed_degrees_come_back(kind in 0usize..33, fifths in -8..=12i32, changes in degrees()) {
        let kind = ChordKind::all().nth(kind).expect("33 kinds");
        let has = |v: i32| kind.tones().iter().any(|t| t.0 == v);
        let degrees = changes.into_iter().map(|(change, value, alter)| match change {
            DegreeChange::Alter if !has(value) => Degree { change: DegreeChange::Add, value, alter },
            _ => Degree { change, value, alter },
        });
        let chord = Chord { degrees: degrees.collect(), ..Chord::new(PitchName::from_fifths(fifths), kind) };
        let back = parse(&chord.to_string()).map(|p| p.symbols[0].chord().map(Chord::tones));
        prop_assert_eq!(back, Ok(Some(chord.tones())), "{}", chord);
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,12}", likely in "[A-Ha-h#b+\\-mMadjio°ø0-9/() .,N%C♭♯sus]{0,10}") {
        let _ = (parse(&text), parse(&likely));
    }
}

/// Harp facts 9, examples 56 (Open Music Theory, triads) and 57 (a lead-sheet symbol reference): what the symbols sound.
#[test]
fn worked_examples_of_the_harp_facts() {
    let sounds = |text: &str| {
        let parsed = parse(text).expect("a symbol");
        let chord = parsed.symbols[0].chord().expect("a chord");
        let tones: Vec<String> = chord.tones().into_iter().map(|t| chord.name_of(t).to_string()).collect();
        (tones.join(" "), chord.bass_name().to_string())
    };
    assert_eq!(sounds("D#dim/F#"), ("D# F# A".into(), "F#".into()));
    assert_eq!(sounds("C°7"), ("C Eb Gb Bbb".into(), "C".into()));
}
