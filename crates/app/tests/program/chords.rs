//! `undersong chords` as a harpist types it.

use crate::support::Test;
use expect_test::{Expect, expect};

/// Two measures of ours in four voices.
const HYMN: &str = "X:1\nT:Harbour Hymn\nM:4/4\nL:1/4\nK:F\nV:S\nV:A\nV:T\nV:B\n\
[V:S] A2 G>F | F4 |]\n[V:A] F2 E2 | F4 |]\n[V:T] c2 c2 | A4 |]\n[V:B] F,2 BASS | F,4 |]\n";

fn check(line: &str, text: &str, expected: Expect) {
    expected.assert_eq(&Test::new(line).file("hymn.abc", text).said());
}

#[test]
fn measure_by_measure() {
    check(
        "chords hymn.abc",
        &HYMN.replace("BASS", "C,2"),
        expect![[r#"
        Harbour Hymn
          Read       2 measures, 4 voices
          Chords     3, as Undersong hears them

          1    F        C
          2    F
        exit code 0
    "#]],
    );
}

#[test]
fn with_reasons() {
    check(
        "chords hymn.abc --why",
        &HYMN.replace("BASS", "E,2"),
        expect![[r#"
        Harbour Hymn
          Read       2 measures, 4 voices
          Chords     3, as Undersong hears them

          1    beat 1    F        F A C sound
          1    beat 3    C/E      C E G sound; the third in the bass; F comes early
          2    beat 1    F        F A sound; without C
        exit code 0
    "#]],
    );
}

#[test]
fn as_a_table() {
    check(
        "chords hymn.abc --csv",
        &HYMN.replace("BASS", "E,2"),
        expect![[r#"
        work,onset_quarter,root_pc,quality
        hymn,0,5,maj
        hymn,2,0,maj
        hymn,4,5,maj
        exit code 0
    "#]],
    );
}

#[test]
fn nothing_to_read() {
    check(
        "chords hymn.abc",
        "X:1\nK:C\nz4|\n",
        expect![[r#"
        stderr: hymn.abc:3:3: error: the tune holds no notes (every tune needs a line like "K:C" and notes after it)
        exit code 2
    "#]],
    );
}
