//! Closes and ends: the dominant is whole, the last chord stands on its root and is not left thin, nothing comes three times running, and a symbol that the melody
//! contradicts is played without its third.
//!
//! What is asked for is common practice (a dominant seventh has its third and seventh; a piece ends on its root); the numbers are those of left hands made by hand.

use arrange::{Arrangement, Figures, Wishes, arrange};
use harp::{Instrument, Player};
use music::text::sheet;
use music::{Beats, Note, Tempo};

fn made(text: &str) -> Arrangement {
    let wishes = Wishes { fullness: vec![3], ..Wishes::default() };
    arrange(&sheet(text), &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes).expect("a short tune is arranged")
}

fn left(made: &Arrangement, measure: usize) -> Vec<&Note> {
    made.score.measures[measure].left.iter().filter(|n| !n.is_rest()).collect()
}

fn classes(notes: &[&Note]) -> Vec<i32> {
    notes.iter().flat_map(|n| &n.pitches).map(|p| p.pitch_class()).collect()
}

/// A reel: its strain of eight measures closes D7, G under a running melody that has neither C nor F sharp there; the last measure is three quarters long.
const REEL: &str = r#"4/4 G | "G"G4:1 B4:1 D5:1 B4:1 | "C"E5:1 C5:1 G4:1 C5:1 | "G"D5:1 B4:1 G4:1 B4:1 | "D7"A4:1 B4:1 A4:1 D4:1 | "G"G4:1 B4:1 D5:1 B4:1 |
"C"E5:1 C5:1 G4:1 E5:1 | "G"D5:1 B4:1 "D7"A4:1 B4:1 | "G"G4:1 B4:1 G4:2 |"#;

#[test]
fn the_dominant_before_a_close_is_whole_in_the_hand() {
    let made = made(REEL);
    let dominant: Vec<&Note> = left(&made, 6).into_iter().filter(|n| n.at >= Beats::HALF).collect();
    let heard = classes(&dominant);
    assert!(heard.contains(&6) && heard.contains(&0), "F sharp and C: {dominant:?}");
}

#[test]
fn the_last_chord_stands_on_its_root_and_is_not_left_thin() {
    let made = made(REEL);
    let last = left(&made, 7);
    let low = last.iter().flat_map(|n| &n.pitches).min_by_key(|p| p.midi()).expect("a last chord");
    assert_eq!(low.pitch_class(), 7);
    assert_eq!(last[0].pitches[0].pitch_class(), 7);
    assert!(last.last().expect("a last pluck").pitches.len() > 1, "{last:?}");
    assert!(classes(&last).contains(&11), "with its third: {last:?}");
}

/// Three measures with the same melody and chord.
#[test]
fn nothing_comes_three_times_running() {
    let made = made(
        r#"3/4 C | "C"G4:2 E4:1 | "F"A4:3 | "Am"E5:1 C5:2 | "Am"E5:1 C5:2 | "Am"E5:1 C5:2 | "F"A4:2 C5:1 | "G7"B4:2 D5:1 | "C"C5:3 |"#,
    );
    let plucked = |m: usize| left(&made, m).iter().map(|n| (n.at, n.pitches.clone())).collect::<Vec<_>>();
    assert!(!(plucked(2) == plucked(3) && plucked(3) == plucked(4)), "{:?}", plucked(3));
}

/// "D" over a melody with F natural and never F sharp: the third is the melody's own affair. Only the last chord may close in major.
#[test]
fn a_third_that_the_melody_contradicts_is_left_out() {
    let made =
        made(r#"3/4 Dm | "D"F4:1 A4:2 | "D"D5:3 | "A7"E5:1 C#5:2 | "D"D5:1 F5:2 | "D"A4:3 | "Gm"G4:2 Bb4:1 | "A7"A4:1 C#5:2 | "D"D5:3 |"#);
    for measure in [0, 1, 3, 4] {
        assert!(!classes(&left(&made, measure)).contains(&6), "measure {measure}: {:?}", left(&made, measure));
    }
}

/// A waltz of 24 measures, repeated: A7 in measures 3 to 6 whose C sharp only the left hand could have, between measures that want C natural on the same strings, at 152.
const SECONDARY_DOMINANT: &str = concat!(
    r#"3/4 C |: "C"G4:1 E4:1 G4:1 | "Em"B4:2 G4:1 | "A7"G4:1 A4:1 E4:1 | "A7"B4:1 A4:1 G4:1 | "A7"A4:2 G4:1 | "A7"G4:1 A4:1 E4:1 | "Dm"A4:3 | "Dm"F4:2 A4:1 | "#,
    r#""G7"D5:2 G4:1 | "G7"B4:1 A4:1 B4:1 | "C"C5:2 G4:1 | "C"E4:1 G4:1 C5:1 | "C7"G4:1 C5:1 G4:1 | "C7"E4:2 G4:1 | "F"A4:1 C5:2 | "F"A4:3 | "D7"A4:1 D5:1 A4:1 | "D7"A4:1 D5:1 A4:1 | "#,
    r#""G7"B4:1 A4:1 B4:1 | "G7"D5:2 G4:1 | "C"E4:1 G4:1 C5:1 | "G7"B4:1 A4:1 B4:1 :| "C"C5:2 G4:1 | "C"E4:1 G4:1 C5:1 |"#,
);

#[test]
fn a_dominant_of_another_key_has_its_leading_tone_though_a_lever_moves() {
    let wishes = Wishes { fullness: vec![4], tempo: Tempo::of(Beats::QUARTER, 152), ..Wishes::default() };
    let made = arrange(&sheet(SECONDARY_DOMINANT), &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes)
        .expect("a short tune is arranged");
    for measure in 2..6 {
        let heard = classes(&left(&made, measure));
        assert!(heard.contains(&1), "C sharp in measure {measure}: {:?}", left(&made, measure));
    }
}

/// G held over D7: the fourth holds the third away until it has fallen.
#[test]
fn a_third_does_not_grind_under_a_held_fourth() {
    let made = made(
        r#"3/4 G | "G"B4:1 D5:1 B4:1 | "D7"A4:2 C5:1 | "D7"G4:3 | "G"G4:3 | "C"E5:1 C5:1 G4:1 | "D7"A4:2 C5:1 | "D7"A4:1 G4:1 F#4:1 | "G"G4:3 |"#,
    );
    let heard = classes(&left(&made, 2));
    assert!(!heard.contains(&6), "{:?}", left(&made, 2));
}

/// C natural once, as a passing tone, in one of four measures of A7: the others keep C sharp.
#[test]
fn one_passing_tone_makes_no_dominant_minor() {
    let made = made(
        r#"3/4 Dm | "Dm"F4:1 A4:2 | "A7"E4:1 G4:2 | "Dm"D5:3 | "A7"E5:1 A4:2 | "Dm"F5:1 D5:2 | "A7"E5:2 A4:1 | "Gm"D5:1 Bb4:2 | "A7"E5:1 D5:1 C5:1 | "Dm"D5:3 |"#,
    );
    for measure in [1, 3, 5] {
        assert!(classes(&left(&made, measure)).contains(&1), "measure {measure}: {:?}", left(&made, measure));
    }
}

/// The demo tune ends with a measure of five eighths, which no one note holds: the last chord comes where it needs no tie, four of which would stand one above the other.
#[test]
fn the_last_chord_is_not_tied() {
    let tune = include_str!("../../../data/tunes/regatta-morning.abc");
    let sheet = formats::read(tune.as_bytes(), &formats::ReadOptions::default()).expect("a demo tune reads").sheet;
    for fullness in 2..=5 {
        let wishes = Wishes { fullness: vec![fullness], ..Wishes::default() };
        let made = arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes).expect("a demo tune is arranged");
        let last = left(&made, made.score.measures.len() - 1);
        assert_eq!(made.score.measures.last().map(|m| m.frame.length), Some(Beats::EIGHTH * 5));
        let one_note = |n: &&Note| [1, 2, 3, 4].contains(&n.length.fraction().0);
        assert!(last.iter().filter(|n| n.pitches.len() > 1).all(one_note), "{last:?}");
    }
}

/// The wished notes grow toward the end as in the left hands made by hand: where the tune holds by the whole curve, where it moves by less, so that the two stay apart.
#[test]
fn toward_the_end_the_hand_grows_most_where_the_tune_holds() {
    let verse = r#""G"B4:3 | B4:1 C5:1 D5:1 | "C"E5:3 | E5:1 D5:1 C5:1 |"#;
    let made = made(&format!("3/4 G | {}", [verse; 8].join(" ")));
    let offset = |measure: usize| made.plan.slots.iter().find(|s| s.measure.index() == measure).map_or(0, |s| s.offset);
    // Measures 25 and 26 lie in the seventh eighth of the verse, measures 1 and 2 in the first.
    let (held, moving) = (offset(24) - offset(0), offset(25) - offset(1));
    assert!(0 < moving && moving < held, "held {held}, moving {moving}");
}
