//! `undersong places` as a harpist types it, on a recording that the program has made itself.

use crate::support::Test;
use expect_test::{Expect, expect};

fn recorded() -> Test {
    Test::new("arrange tide.abc --write wav --out .").tide()
}

fn check(line: &str, expected: Expect) {
    expected.assert_eq(&recorded().then(line).said());
}

#[test]
fn measure_by_measure() {
    check(
        "places tide.abc The+Tide+Table.wav",
        expect![[r#"
            The Tide Table in The Tide Table.wav (0:17.1)
              Not sure of measure 4 (at 0:07.4): listen there, and give the first beat where it is wrong.
              The tune begins at 0:00.5 and ends at 0:09.7. The measures played: 1 to 4.
              It sounds in the key that is written.

              measure  begins    beats
              1        0:00.5    0:01.1 0:01.6 0:02.2
              2        0:02.8    0:03.4 0:03.9 0:04.5
              3        0:05.1    0:05.7 0:06.2 0:06.8
              4        0:07.4    0:08.0 0:08.6 0:09.1  not sure
            exit code 0
        "#]],
    );
}

#[test]
fn with_a_place_of_her_own() {
    check(
        "places tide.abc The+Tide+Table.wav --at 3=0:04.9",
        expect![[r#"
            The Tide Table in The Tide Table.wav (0:17.1)
              Not sure of measure 4 (at 0:07.4): listen there, and give the first beat where it is wrong.
              The tune begins at 0:00.5 and ends at 0:09.8. The measures played: 1 to 4.
              It sounds in the key that is written.

              measure  begins    beats
              1        0:00.5    0:01.1 0:01.6 0:02.2
              2        0:02.8    0:03.4 0:03.9 0:04.5
              3        0:04.9    0:05.6 0:06.2 0:06.8  given by you
              4        0:07.4    0:08.0 0:08.6 0:09.2  not sure
            exit code 0
        "#]],
    );
}

#[test]
fn as_a_table() {
    check(
        "places tide.abc The+Tide+Table.wav --csv",
        expect![[r#"
            pass,measure,beat,seconds,sure
            1,1,1,0.479,yes
            1,1,2,1.058,yes
            1,1,3,1.636,yes
            1,1,4,2.215,yes
            2,2,1,2.774,yes
            2,2,2,3.352,yes
            2,2,3,3.931,yes
            2,2,4,4.510,yes
            3,3,1,5.088,yes
            3,3,2,5.667,yes
            3,3,3,6.246,yes
            3,3,4,6.824,yes
            4,4,1,7.403,no
            4,4,2,7.982,no
            4,4,3,8.561,no
            4,4,4,9.139,no
            exit code 0
        "#]],
    );
}

#[test]
fn mistakes() {
    check(
        "places tide.abc tide.abc",
        expect![[r#"
        stderr: error: tide.abc is no recording that can be read: expected WAV, MP3, FLAC or Ogg Vorbis
        exit code 2
    "#]],
    );
    check(
        "places tide.abc none.wav",
        expect![[r#"
        stderr: error: cannot read none.wav: there is no such file or folder
        exit code 1
    "#]],
    );
    check(
        "places tide.abc The+Tide+Table.wav --at 9=0:04.9",
        expect![[r#"
            stderr: error: --at 9=0:04.9: there is no measure 9
            exit code 2
        "#]],
    );
    check(
        "places tide.abc The+Tide+Table.wav --at three",
        expect![[r#"
        stderr: error: --at three: expected a measure and a time, as 5=0:12.3
        exit code 2
    "#]],
    );
}
