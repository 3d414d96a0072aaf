//! A hymn in four voices, and the wishes about where chords come from and how many stay.

use crate::support::Test;
use expect_test::{Expect, expect};

/// Four measures of ours: a chord on most beats, a six-four before the close.
const HYMN: &str = "X:1\nT:The Ferry Waits\nM:4/4\nL:1/4\nQ:1/4=90\nK:C\n\
V:S\nE|EDCD|E2G2|FEDC|D2C|]\nV:A\nC|CB,CB,|C2D2|CCB,C|B,2C|]\n\
V:T\nG,|G,G,E,G,|G,2B,2|A,G,G,G,|G,2E,|]\nV:B\nC,|C,G,,A,,G,,|C,2G,,2|F,,G,,G,,C,|G,,2C,|]\n";

fn check(line: &str, expected: Expect) {
    expected.assert_eq(&Test::new(line).file("hymn.abc", HYMN).said());
}

#[test]
fn a_hymn_as_it_is() {
    check(
        "arrange hymn.abc --write musicxml",
        expect![[r#"
            The Ferry Waits
              To know    The melody lies low and leaves the left hand little room; with --octave 1 it would have more.
              Read       4 measures of 4/4 in C major, no chord symbols
              Chords     10 chords found in its 4 voices; 9 of them stay, at most 2 in a measure, as many as there is time for (--chords-a-measure changes it)
              Kind       song (a guess: it is in 4/4 with 0.8 notes to the quarter)
              Tempo      quarter note = 90, as written
              Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
              Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
              Fullness   3 of 6
              Left hand  measures 1-4: bass and dyad, open broken chord; the last chord
              Thinned    measure 1: G stands on a weak beat
              Written    The Ferry Waits.musicxml
            stderr: hymn.abc:8:1: note: voice "S" is read as the melody; left out: A, T, B
            exit code 0
        "#]],
    );
}

#[test]
fn one_chord_a_measure_and_one_brought_back() {
    check(
        "explain hymn.abc --chords-a-measure 1 --keep 3",
        expect![[r#"
            The Ferry Waits: song in C major, quarter note = 90
            The melody lies low and leaves the left hand little room; with --octave 1 it would have more.

            The pickup, C: the left hand rests
              No left hand here: the chord is too short to play, or the measure only leads into the next.

            Measure 1, C: open broken chord (C3 E3 G3 E3)
              The tune begins: the root, C, in the bass.
              Second came bass and tone (C3 G3), a little less good: it would be thinner than the place wants.

            Measure 2, C: bass and dyad (E3 G3 C4)
              The melody holds: a rising chord fills it; E in the bass, the third.
              Second came open broken chord (E3 G3 C4), as good.

            Measure 2, after 1/2, G: bass and dyad (B2 G3 D4)
              The bass goes down a fourth, E to B; G stays from the chord before.
              Second came bass and tone (B2 D4 G3), a little less good: it would be muddy low down.

            Measure 3, F: bass and dyad (A2+F3)
              A in the bass, on the way down from B to G.
              Second came bass and tone (A2+F3), as good.

            Measure 3, after 1/4, C/G: open broken chord (G2 E3 G3)
              The written G in the bass is kept.
              Second came bass and dyad (G2 E3+G3), a little less good: it would be muddy low down.

            Measure 4, C/G: bass and tone (C3 G3 E3)
              The melody holds: the left hand moves under it; C in the bass instead of the written G: with that one less of the chord would be heard.
              Second came bass and dyad (E2 C3 G3), as good.

            Measure 4, after 1/2, C: final chord (~C2+G2+C3+E3)
              The last chord, rolled from C up and left to ring; the third, E, lies a tenth above the bass.
              Second came bass note (C3), clearly less good: the last chord would be less low or less full.
            stderr: hymn.abc:8:1: note: voice "S" is read as the melody; left out: A, T, B
            exit code 0
        "#]],
    );
}

#[test]
fn no_chords_on_wish() {
    check(
        "arrange hymn.abc --chords written --write midi",
        expect![[r#"
        The Ferry Waits
          To know    The melody lies low and leaves the left hand little room; with --octave 1 it would have more.
          To know    The tune has no chord symbols, so the left hand has nothing to play. Its 4 voices can give it chords: --chords voices.
          Read       4 measures of 4/4 in C major, no chord symbols
          Kind       song (a guess: it is in 4/4 with 0.8 notes to the quarter)
          Tempo      quarter note = 90, as written
          Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
          Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
          Fullness   3 of 6
          Left hand  measures 1-4: the left hand rests
          Written    The Ferry Waits.mid
        stderr: hymn.abc:8:1: note: voice "S" is read as the melody; left out: A, T, B
        exit code 0
    "#]],
    );
}

#[test]
fn wishes_that_cannot_be() {
    check(
        "arrange hymn.abc --chords mine",
        expect![[r#"
        stderr: error: chords "mine": expected written (those of the file), voices (those its voices make), three (three to a section, made for the melody) or fuller (more of them)
        exit code 2
    "#]],
    );
    check(
        "arrange hymn.abc --keep x",
        expect![[r#"
        stderr: error: keep "x": expected the number of a measure, like 5, or a chord in it, like 5@2
        exit code 2
    "#]],
    );
    let one = Test::new("arrange tide.abc --chords voices").tide();
    expect![[r#"
        stderr: error: tide.abc: The file has too few voices to give chords (a hymn has four): the chords of the file stand.
        exit code 2
    "#]]
    .assert_eq(&one.said());
}

/// The program's own chords are in italics in the file she takes home, and the page says what that means; hers are as they were.
#[test]
fn the_file_tells_our_chords_from_those_of_the_source() {
    let hymn = Test::new("arrange hymn.abc --write musicxml").file("hymn.abc", HYMN);
    assert_eq!(hymn.run().code, Some(0));
    let file = std::fs::read_to_string(hymn.path("The Ferry Waits.musicxml")).expect("the file was written");
    let symbols = file.matches("<harmony").count();
    assert_eq!((symbols, file.matches("<harmony placement=\"above\" print-frame=\"no\" font-style=\"italic\">").count()), (9, 9));
    assert!(file.contains("Chords in italics are Undersong's."));
    let tide = Test::new("arrange tide.abc --write musicxml").tide();
    assert_eq!(tide.run().code, Some(0));
    let file = std::fs::read_to_string(tide.path("The Tide Table.musicxml")).expect("the file was written");
    assert!(file.contains("<harmony") && !file.contains("italics"));
}
