//! What is bounded where it is read: lengths, numbers, what a message repeats of the source.

use super::*;
use crate::Severity;
use crate::diagnostic::LONGEST_MESSAGE;

fn tune(body: &str) -> String {
    format!("X:1\nM:4/4\nL:1/4\nK:C\n{body}\n")
}

fn messages(abc: &str) -> Vec<String> {
    let imported = read(abc.as_bytes(), &ReadOptions::default()).expect("a tune");
    imported.diagnostics.into_iter().filter(|d| d.severity != Severity::Note).map(|d| d.message).collect()
}

/// Eight whole notes are as long as a measure may be: the longest value of mensural notation, a maxima.
#[test]
fn an_absurd_note_is_cut_and_said() {
    check(
        "X:1\nM:none\nL:1/1\nK:C\n\"C\"c64 c8 |]",
        expect![[r#"
            [free meter C major]
            1: "C" C5:32 None
            1: C5:32 Final
            5:1: warning: measure 1 is longer than 8 whole notes or 128 notes: it is written as 2 with no bar line drawn between them
            5:4: warning: a note longer than 8 whole notes was cut to that length (check the number behind the note, and the unit "L:")
        "#]],
    );
    // Through broken rhythm and tuplets too.
    check(
        "X:1\nM:none\nL:1/1\nK:C\nc8>c8 | (2:64:2 c d |]",
        expect![[r#"
            [free meter C major]
            1: C5:32 None
            1: C5:16
            2: C5:32^2/64 None
            2: D5:32 Final
            5:1: warning: measure 1 is longer than 8 whole notes or 128 notes: it is written as 2 with no bar line drawn between them
            5:3: warning: a note longer than 8 whole notes was cut to that length (check the number behind the note, and the unit "L:")
            5:9: warning: measure 2 is longer than 8 whole notes or 128 notes: it is written as 2 with no bar line drawn between them
            5:17: warning: a note longer than 8 whole notes was cut to that length (check the number behind the note, and the unit "L:")
            5:19: warning: a note longer than 8 whole notes was cut to that length (check the number behind the note, and the unit "L:")
        "#]],
    );
}

/// Parted evenly, where a note begins; after a full measure of the meter if one ends on a note.
#[test]
fn a_measure_without_end_becomes_several() {
    let lengths = |abc: &str| -> Vec<String> {
        let imported = read(abc.as_bytes(), &ReadOptions::default()).expect("a tune");
        survives(abc.as_bytes());
        imported.sheet.measures.iter().map(|m| format!("{}: {} in {}", m.frame.number, m.frame.length, m.notes.len())).collect()
    };
    assert_eq!(lengths(&tune(&format!("{} | C4 |", "C".repeat(40)))), ["1: 20 in 20", "1: 20 in 20", "2: 4 in 1"]);
    assert_eq!(lengths(&tune(&"C3".repeat(16))), ["1: 24 in 8", "1: 24 in 8"]);
    assert_eq!(lengths(&format!("X:1\nM:none\nL:1/16\nK:C\n{}|", "C".repeat(300))), ["1: 25 in 100", "1: 25 in 100", "1: 25 in 100"]);
    assert_eq!(lengths(&tune(&"C32".repeat(2))), ["1: 32 in 1", "1: 32 in 1"]);
    assert_eq!(lengths(&tune(&"C31 C2".repeat(2))), ["1: 31 in 1", "1: 2 in 1", "1: 31 in 1", "1: 2 in 1"]);
}

#[test]
fn chords_and_words_stay_at_their_notes_in_a_parted_measure() {
    check(
        &tune(&format!("(C{}\"G\"^G32) | \"C\"C4 |", "-C".repeat(7))),
        expect![[r#"
            [4/4 C major]
            1: (C4:1- C4:1- C4:1- C4:1- C4:1- C4:1- C4:1- C4:1 None
            1: "G" G#4:32)
            2: "C" C4:4
            5:1: note: measure 1 holds 40 quarter notes where the meter 4/4 asks for 4
            5:1: warning: measure 1 is longer than 8 whole notes or 128 notes: it is written as 2 with no bar line drawn between them
        "#]],
    );
}

#[test]
fn a_meter_longer_than_a_measure_is_left_out() {
    assert_eq!(
        messages("X:1\nM:64/1\nL:1/4\nK:C\nCDEF|"),
        ["a measure of the meter \"64/1\" is longer than 8 whole notes, the most that is read"]
    );
    assert_eq!(messages("X:1\nM:8/1\nL:1/4\nK:C\nC32|"), Vec::<String>::new());
}

/// One letter is not to stand for a book, nor a macro to fill the memory.
#[test]
fn symbols_and_macros_are_bounded() {
    let long = "x".repeat(200);
    let said = messages(&format!("X:1\nU:T=\"^{long}\"\nM:4/4\nL:1/4\nK:C\nTCDEF|"));
    assert_eq!(said, [format!("the symbol \"T=\"^{}…\" is not understood: expected something like \"T = !trill!\"", "x".repeat(75))]);
    let redefined = "U:T=!trill!\nU:T=!turn!\n".repeat(50_000);
    assert_eq!(messages(&format!("X:1\n{redefined}M:4/4\nL:1/4\nK:C\nTCDEF|")), Vec::<String>::new());
    let lines = "a\n".repeat(5_000);
    let said = messages(&format!("X:1\nm:a={}\nM:4/4\nL:1/4\nK:C\n{lines}CDEF|", "y".repeat(2_000)));
    let last = said.last().map(String::as_str);
    assert_eq!(last, Some("the macro \"a\" makes the line too long and is not carried out (and 4497 times more)"));
}

/// Texts, signs and lines of words without end: the first are kept, and it is said.
#[test]
fn signs_and_texts_are_bounded() {
    let said = |body: String| messages(&tune(&body));
    assert_eq!(said(format!("\"^{}\"CDEF|", "x".repeat(2_000))), ["a text of more than 1000 characters is cut off there"]);
    assert_eq!(said(format!("{}CDEF|", "\"^x\"".repeat(100))), ["of more than 64 texts above one measure the first are kept"]);
    assert_eq!(said(format!("{}CDEF|", "C/8[Q:70]".repeat(100))), ["of more than 64 tempo marks in one measure the first are kept"]);
    assert_eq!(
        said(format!("CDEF|\n{}", "s:\"C\" \"D\"\n".repeat(50))),
        ["of more than 64 chord symbols in one measure the first are kept"]
    );
    let under = "of more than 64 lines of words under one line of music the others were left out";
    assert_eq!(said(format!("CDEF|\n{}", "w:a b c\n".repeat(66))), [under, under]);
    assert_eq!(said(format!("[{}]DEF|", "C'D'".repeat(10) + &"^C_D=EFGAB".repeat(10))), Vec::<String>::new());
    let signs = "more than 64 signs at one note: the others were left out";
    assert_eq!(said(format!("{}CDEF|", "T".repeat(66))), [signs, signs]);
}

/// Whatever is repeated of the source is one short line.
#[test]
fn messages_are_short() {
    let long = "é".repeat(50_000);
    let fields = ["M:", "L:", "Q:", "Q:1/4=x", "K:", "K:C transpose=", "K:C octave=", "U:", "m:n", "P:", "V:1 octave=", "V:"];
    let lines = fields.iter().map(|f| format!("X:1\n{f}{long}\nM:4/4\nL:1/4\nK:C\nCDEF|\n"));
    let bodies =
        ["\"", "\"C", "!", "+", "[K:", "[M:", "[Q:", "s:!", "^", "[V:", "C|\nV:"].iter().map(|b| tune(&format!("{b}{long}\nCDEF|")));
    for abc in lines.chain(bodies).chain([tune(&format!("{}CDEF|", "^".repeat(50_000))), format!("X:1\nK:C\nV:{long}\nC|\nV:b\nC|\n")]) {
        for diagnostic in read(abc.as_bytes(), &ReadOptions::default()).expect("a tune").diagnostics {
            assert!(diagnostic.message.chars().count() <= LONGEST_MESSAGE, "{}", diagnostic.message);
        }
    }
    let part = ReadOptions { part: Some(long), ..ReadOptions::default() };
    let error = read(b"X:1\nK:C\nV:1\nC|\nV:2\nC|\n", &part).expect_err("no such part").to_string();
    assert!(error.chars().count() <= LONGEST_MESSAGE, "{error}");
}

/// ABC 2.1, 3.1.14: what can be read of a key is read, and the rest said.
#[test]
fn a_key_with_something_written_on() {
    check(
        "X:1\nM:4/4\nL:1/4\nK:Dm^c\nCFBc|[K:Ador?]CFBc|",
        expect![[r#"
            [4/4 D minor C+1]
            1: C#4:1 F4:1 Bb4:1 C#5:1
            [4/4 A dorian]
            2: C4:1 F#4:1 B4:1 C5:1
            5:6: note: "?" is not understood and was left out
        "#]],
    );
}

/// Common practice: what stands in brackets behind a chord and is no quality is no reason to lose the chord.
#[test]
fn brackets_behind_a_chord() {
    check(
        &tune("\"D(h)\"D2 \"G(no 3d)\"G \"Asus(2)\"A | \"G (E7)\"G4 |"),
        expect![[r#"
            [4/4 C major]
            1: "D" D4:2 "Gno3" G4:1 "Asus2" A4:1
            2: "G" "E7" G4:4
            5:1: note: "(h)" in "D(h)" is not understood and was left out
            5:35: note: "G (E7)" holds 2 chord symbols
            5:35: note: the chord in brackets "(E7)" is taken as it stands
            5:43: note: 2 chord symbols stand at one note
        "#]],
    );
}
