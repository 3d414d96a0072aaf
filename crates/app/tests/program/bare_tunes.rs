//! A melody without chord symbols: chords are made for it, and told from those of a source.

use crate::support::Test;

/// Our own: sixteen measures of a waltz.
const QUAY: &str = "X:1\nT:The Quay at Evening\nM:3/4\nL:1/4\nQ:1/4=96\nK:G\n\
D|G2B|A2G|E2G|D2D|G2B|d2B|A3-|A2B|\nc2e|d2B|A2G|E2D|G2B|A2F|G3-|G2|]\n";

fn said(line: &str) -> String {
    Test::new(line).file("quay.abc", QUAY).said()
}

#[test]
fn a_bare_melody_has_a_left_hand() {
    let told = said("arrange quay.abc --write midi");
    assert!(told.contains("no chord symbols") && told.contains("made for the melody, at most three to a section: G"), "{told}");
    assert!(told.ends_with("exit code 0\n"), "{told}");
    assert!(said("arrange quay.abc --chords fuller --write midi").contains("--chords three makes the plainest"));
    assert!(
        said("arrange quay.abc --chords written --write midi")
            .contains("Its melody can be given chords: --chords three or --chords fuller.")
    );
}

#[test]
fn each_chord_says_why() {
    let told = said("explain quay.abc --chords three");
    assert!(told.contains("G was made for the melody: it begins on the tonic; G and B of the tune belong to it."), "{told}");
    assert!(told.contains("the tune ends on its tonic"), "{told}");
}

/// Every key moves the chords with the tune.
#[test]
fn chords_of_ours_are_in_the_key_of_the_page() {
    let told = said("explain quay.abc --key F --chords three");
    assert!(told.contains("F was made for the melody: it begins on the tonic; F and A of the tune belong to it."), "{told}");
}
