//! Examples 49 to 51: what one hand holds; 43 to 48 as far as the hand goes.

use super::pitch;
use harp::fingering::Strike;
use harp::hand::{HandLimit, Strain, impossible, strain};
use harp::{Player, Reach};
use music::Hand;

fn strings(text: &str) -> Vec<i32> {
    text.split(' ').map(|p| pitch(p).position()).collect()
}

fn limit(strike: Strike, text: &str) -> Option<HandLimit> {
    impossible(&Player::default(), Hand::Left, strike, &strings(text))
}

/// Examples 43 to 48 (arithmetic; Hoffmann's notes for 45 to 48): the hand holds all of these with ease, whatever the ear says of them.
#[test]
fn examples_43_to_48_are_easy_for_the_hand() {
    for text in ["C2 G2 C3", "C2 G2 E3", "C3 E3 G3", "A2 C3 E3", "F2 A2 C3", "C3 E3 A3"] {
        assert_eq!((limit(Strike::Together, text), strain(&strings(text))), (None, None), "{text}");
    }
}

/// Example 49 (The Harp Legacy Project; Freund and Cutler): the wide gap belongs beside the thumb; between fourth and third finger it strains.
#[test]
fn example_49_where_the_wide_gap_is() {
    let (good, strained) = ("C3 D3 E3 E4", "C3 C4 D4 E4");
    assert_eq!((limit(Strike::Together, good), strain(&strings(good))), (None, None));
    assert_eq!((limit(Strike::Together, strained), strain(&strings(strained))), (None, Some(Strain::WideGap { strings: 8 })));
    assert_eq!(strain(&strings("C3 G3 D4 E4")), Some(Strain::BesideThumb));
}

/// Example 50 (Rimsky-Korsakov): four notes to a hand at most.
#[test]
fn example_50_five_notes() {
    assert_eq!(limit(Strike::Together, "C3 D3 E3 F3 G3"), Some(HandLimit::TooManyNotes { notes: 5, fingers: 4 }));
}

/// Example 51 (Helsinki manual, hand position): eleven strings are too wide for a block, and may be rolled.
#[test]
fn example_51_an_eleventh() {
    assert_eq!(limit(Strike::Together, "C3 F4"), Some(HandLimit::Reach { strings: 11, most: 10 }));
    assert_eq!(limit(Strike::Rolled, "C3 F4"), None);
}

/// Each hand has its own reach.
#[test]
fn each_hand_has_its_reach() {
    let player = Player { right: Reach { block: 8, rolled: 9 }, ..Player::default() };
    let tenth = strings("C4 E5");
    assert_eq!(impossible(&player, Hand::Right, Strike::Together, &tenth), Some(HandLimit::Reach { strings: 10, most: 8 }));
    assert_eq!(impossible(&player, Hand::Left, Strike::Together, &tenth), None);
}
