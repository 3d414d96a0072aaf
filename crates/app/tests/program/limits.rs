//! Files of the player's that are too large or no ordinary files, and ranges that no voice has: said at once, and nothing is waited for.

use crate::support::Test;
use expect_test::{Expect, expect};

fn check(test: Test, expected: Expect) {
    expected.assert_eq(&test.said());
}

#[test]
fn files_that_are_too_large() {
    let large = "#".repeat(300 * 1024);
    check(
        Test::new("arrange tide.abc --harp large.toml").tide().file("large.toml", &large),
        expect![[r#"
            stderr: error: large.toml is larger than 256 KiB, the most that is read of a file of settings
            exit code 2
        "#]],
    );
    check(
        Test::new("arrange tide.abc --player large.toml").tide().file("large.toml", &large),
        expect![[r#"
            stderr: error: large.toml is larger than 256 KiB, the most that is read of a file of settings
            exit code 2
        "#]],
    );
    check(
        Test::new("figures --figures large.txt").file("large.txt", &large),
        expect![[r#"
            stderr: error: large.txt is larger than 256 KiB, the most that is read of a file of figures
            exit code 2
        "#]],
    );
}

#[cfg(unix)]
#[test]
fn what_has_no_end_is_not_read() {
    for (line, expected) in [
        ("arrange tide.abc --figures /dev/zero", "a file of figures"),
        ("arrange tide.abc --player /dev/zero", "a file of settings"),
        ("arrange tide.abc --soundfont /dev/zero --write wav", "a SoundFont"),
        ("open --no-browser --soundfont /dev/zero tunes", "a SoundFont"),
        ("harps show /dev/zero", "a file of settings"),
    ] {
        let said = format!("stderr: error: /dev/zero is no ordinary file (a pipe or a device): expected {expected}\nexit code 2\n");
        assert_eq!(Test::new(line).tide().said(), said, "{line}");
    }
}

#[test]
fn ranges_that_no_voice_has() {
    check(
        Test::new("arrange tide.abc --voice A9-A2").tide(),
        expect![[r#"
            stderr: error: voice "A9-A2": no voice sings so low or so high: expected notes between C1 and C7, like A3-D5
            exit code 2
        "#]],
    );
    check(
        Test::new("keys tide.abc --voice D5-A3").tide(),
        expect![[r#"
            stderr: error: voice "D5-A3": its lowest note comes first, like A3-D5
            exit code 2
        "#]],
    );
    check(
        Test::new("explain tide.abc --voice zz").tide(),
        expect![[r#"
            stderr: error: voice "zz": expected its lowest and its highest note, like A3-D5
            exit code 2
        "#]],
    );
}
