//! A tune for who hears or touches it, and in large print: the files that `arrange` writes then, and what is said.

use crate::support::Test;
use desk::plain_text::{Order, read};
use expect_test::expect;
use std::process::Command;

fn text(order: &str) -> String {
    let test = Test::new(&format!("arrange tide.abc --use bass-note --without final-chord --write text --text-order {order}")).tide();
    assert_eq!(test.run().code, Some(0));
    String::from_utf8(test.files(".").remove("The Tide Table.txt").expect("a text")).expect("letters")
}

/// Word for word what a voice reads; one figure only, so that it does not depend on the planner's taste.
#[test]
fn a_tune_in_words() {
    expect![[r#"
        The Tide Table.
        Composer: Undersong.
        Key: C-major, no sharps or flats.
        Meter: 4 quarters a measure.
        Tempo: quarter at 104 a minute.
        Marked: March.
        Harp: 34 strings, C2 to A6,
          tuned in E-flat.
        Levers: up at every A-natural,
          every E-natural, every B-natural.
        Measures: 1 to 4.
        Playing order: straight through, once.

        How to read this.
        A line that begins with two spaces goes
          on from the line before it.
        The number after a letter is its octave.
          C4 is middle C; each octave begins
          with C.
        A length holds for the notes after it
          until another length comes.
        A beat is one quarter long
          and is named after a rest.
        Notes with "and" between them are
          plucked together.
        Rolled: one after another,
          from the first note named to the last.
        Finger 1 is the thumb.
        Place: the fingers are put on all
          strings from here to the note that
          says "placed", before the first of
          them is plucked.
        Muffle: stop these strings.

        Phrase 1, measures 1 to 4.

        Measure 1.
        Chord: C-major.
        Right hand: quarter C5 finger 3, D5, E5,
          C5 finger 4.
        Left hand: whole C3 finger 1.

        Measure 2.
        Chord: F-major.
        Right hand: half F5, quarter E5, D5.
        Left hand: whole A2 finger 2.

        Measure 3.
        Chord: G-major.
        Right hand: quarter D5 finger 1, B4,
          G4 finger 3, B4.
        Left hand: whole G2 finger 4.
        Muffle at beat 1 plus eighth: C3.

        Measure 4.
        End: final bar line.
        Chord: C-major.
        Right hand: whole C5 fermata.
        Left hand: quarter C3 finger 4 place,
          G3 finger 2 and E4 finger 1 placed,
          half rolled C3 finger 4
          and G3 finger 3 and C4 finger 2
          and E4 finger 1 fermata.
    "#]]
    .assert_eq(&text("measure"));
}

#[test]
fn every_order_is_read_back() {
    for order in Order::ALL {
        let found = read(&text(&order.to_string())).unwrap_or_else(|mistake| panic!("{mistake}"));
        assert_eq!((found.order, found.score.measures.len()), (order, 4));
        assert_eq!(found.score.words.title, "The Tide Table");
    }
}

#[test]
fn other_words_are_refused() {
    expect![[r#"
        stderr: error: "page" is no order of a text: expected measure, phrase or hand
        exit code 2
    "#]]
    .assert_eq(&Test::new("arrange tide.abc --write text --text-order page").tide().said());
    expect![[r#"
        stderr: error: "huge" is no size of print: expected usual or large
        exit code 2
    "#]]
    .assert_eq(&Test::new("arrange tide.abc --print huge").tide().said());
}

/// Both sizes lie side by side. A staff of 11.5 mm has lines 2.875 mm apart, one of 7 mm 1.75 mm.
#[test]
fn large_print_is_a_file_of_its_own() {
    let test =
        Test::new("arrange tide.abc --write pdf,svg --out pages").tide().then("arrange tide.abc --write pdf,svg --out pages --print large");
    let run = test.run();
    assert_eq!(run.code, Some(0), "{}", run.stderr);
    assert!(!run.stdout.contains("To know"), "{}", run.stdout);
    let files = test.files("pages");
    for name in ["The Tide Table.pdf", "The Tide Table-large.pdf", "The Tide Table-1.svg", "The Tide Table-large-1.svg"] {
        assert!(files.contains_key(name), "{name} is not among {:?}", files.keys());
    }
    assert_ne!(files["The Tide Table.pdf"], files["The Tide Table-large.pdf"]);
}

/// The program in a system without a voice: the lesson is the same but for what is said, and that is told once.
#[test]
fn a_lesson_without_a_voice() {
    let test = Test::new("arrange tide.abc --write lesson --out heard").tide();
    let mut command = Command::new(env!("CARGO_BIN_EXE_undersong"));
    command.args(["arrange", "tide.abc", "--write", "lesson", "--out", "heard"]).env("PATH", test.path("nowhere"));
    let output = command.current_dir(test.path(".")).output().expect("the program starts");
    let said = String::from_utf8(output.stdout).expect("letters");
    assert!(output.status.success(), "{said}");
    assert_eq!(said.matches("espeak-ng is not on this system").count(), 1, "{said}");
    let files = test.files("heard");
    let parts = String::from_utf8(files["The Tide Table-lesson.txt"].clone()).expect("letters");
    for part in ["The tune alone.", "Left hand alone, slowly.", "Left hand alone, at tempo.", "Both hands.", "All of it, both hands."] {
        assert!(parts.contains(part), "{part} is not in {parts}");
    }
    let wav = &files["The Tide Table-lesson.wav"];
    // 44 bytes of heading, then 16 bits in two channels at 48,000 a second: half a second of silence first.
    assert!(wav.starts_with(b"RIFF") && wav[44..44 + 96_000 - 400].iter().all(|b| *b == 0));
}
