//! The ring model and what follows from it. Times are the model's own (harp facts 4.1, marked ASSUME), so these tests hold the arithmetic and
//! the order, not facts of sound.

use harp::ring::{
    Buzz, Clash, Clashing, Free, Muffle, Muffling, RingError, RingModel, Ringing, Sounding, Struck, buzzes, clashes, free, muffles, ringing,
};
use harp::{Instrument, Player};
use music::{Hand, Pitch, Seconds};

fn pitch(name: &str) -> Pitch {
    Pitch::parse(name).unwrap_or_else(|| panic!("{name} is no pitch"))
}

fn ms(millis: i64) -> Seconds {
    Seconds::from_millis(millis)
}

fn struck(plucks: &[(i64, &str)]) -> Vec<Struck> {
    plucks.iter().map(|(at, name)| Struck::at(ms(*at), pitch(name))).collect()
}

fn chord(at: i64, end: i64, tones: &[i32]) -> Sounding {
    Sounding { at: ms(at), end: ms(end), pitch_classes: tones.iter().copied().collect() }
}

/// Harp facts 4.1: ring time grows with string length (read there), and the ASSUME value stands in the middle of each octave.
#[test]
fn lower_strings_ring_longer() {
    let (model, harp) = (RingModel::default(), Instrument::lever_34());
    for string in harp.lowest()..harp.highest() {
        assert!(model.time(string) > model.time(string + 1), "string {string}");
    }
    let at = |name| model.time(pitch(name).position()).micros();
    assert_eq!(
        [at("F1"), at("F2"), at("F3"), at("F4"), at("F5"), at("F6"), at("F7")],
        [12_000_000, 9_000_000, 6_000_000, 4_000_000, 2_500_000, 1_300_000, 600_000]
    );
    // Arithmetic: G2 is one seventh of the way from F2 (9 s) to F3 (6 s).
    assert_eq!(at("G2"), 9_000_000 - 3_000_000 / 7);
    assert_eq!((at("C1"), at("B7")), (12_000_000, 600_000));
}

#[test]
fn a_model_of_her_own_is_checked() {
    assert_eq!(RingModel::new(Vec::new()), Err(RingError::Empty));
    assert_eq!(RingModel::new(vec![(10, ms(0))]), Err(RingError::Time(10)));
    assert_eq!(RingModel::new(vec![(10, ms(5)), (10, ms(4))]), Err(RingError::Order(10)));
    assert_eq!(RingModel::new(vec![(-1, ms(5))]), Err(RingError::Position(-1)));
    let flat = RingModel::new(vec![(28, ms(3000))]).expect("one point");
    assert_eq!((flat.time(0), flat.time(28), flat.time(60)), (ms(3000), ms(3000), ms(3000)));
}

/// A string plucked again rings from its last pluck only; F4 (4 s) is gone after 4 s, F3 (6 s) is not.
#[test]
fn what_rings_at_an_instant() {
    let plucks = struck(&[(0, "F3"), (0, "F4"), (2000, "F3"), (9000, "A3")]);
    let found = ringing(&RingModel::default(), &plucks, ms(4000));
    assert_eq!(found, vec![Ringing { pitch: pitch("F3"), until: ms(8000) }]);
    let mut muffled = plucks.clone();
    muffled[2].stopped = Some(ms(3000));
    assert_eq!(ringing(&RingModel::default(), &muffled, ms(4000)), Vec::new());
}

/// From C major to D minor: E is a semitone from F, C a whole tone from D and foreign to the chord; arithmetic on the model's times.
#[test]
fn ringing_strings_clash_with_a_new_chord() {
    let plucks = struck(&[(0, "F3"), (0, "E4"), (0, "C5"), (2500, "E4")]);
    let found = clashes(&RingModel::default(), &plucks, &chord(1000, 3000, &[2, 5, 9]));
    let c5 = RingModel::default().time(pitch("C5").position());
    let expected = [
        Clash { pitch: pitch("E4"), how: Clashing::Sharp, lasts: ms(1500) },
        Clash { pitch: pitch("C5"), how: Clashing::Mild, lasts: (c5 - ms(1000)).min(ms(2000)) },
    ];
    assert_eq!(found, expected);
    assert_eq!(clashes(&RingModel::default(), &plucks, &chord(1000, 3000, &[])), Vec::new());
}

/// Harp facts 3.2: placing on a vibrating string buzzes, worst on low strings.
#[test]
fn buzz_weighs_more_on_longer_strings() {
    let low = buzzes(&RingModel::default(), &struck(&[(0, "F2"), (1000, "F2")]));
    assert_eq!(low, vec![Buzz { pluck: 1, pitch: pitch("F2"), rest: ms(8000), weight: 72_000 }]);
    let high = buzzes(&RingModel::default(), &struck(&[(0, "F5"), (1000, "F5")]));
    assert!(high[0].weight < low[0].weight);
    assert_eq!(buzzes(&RingModel::default(), &struck(&[(0, "F6"), (2000, "F6")])), Vec::new());
}

/// A low B rings into C major: the free left hand stops it; what is stopped does not clash again; no free hand, no mark.
#[test]
fn muffles_need_a_lasting_clash_and_a_free_hand() {
    let (model, muffling) = (RingModel::default(), Muffling::default());
    let plucks = struck(&[(0, "B2"), (0, "D6"), (2000, "C4")]);
    let chords = [chord(2000, 4000, &[0, 4, 7]), chord(4000, 6000, &[0, 5, 9])];
    let left = Free { hand: Hand::Left, from: ms(500), to: ms(4000) };
    let found = muffles(&model, &plucks, &chords, &[left], &muffling);
    assert_eq!(found, vec![Muffle { at: ms(2000), hand: Hand::Left, pitches: vec![pitch("B2")], lasts: ms(2000) }]);
    let busy = Free { to: ms(2100), ..left };
    assert_eq!(muffles(&model, &plucks, &chords[..1], &[busy], &muffling), Vec::new());
    let high = struck(&[(0, "F6")]);
    assert_eq!(muffles(&model, &high, &[chord(500, 3000, &[0, 4, 7])], &[left], &Muffling { heard: ms(1700), ..muffling }), Vec::new());
}

/// A fluent player leaves and comes back within a sixth of a second (harp facts 3.2, ASSUME: six notes a second inside a group).
#[test]
fn a_hand_is_free_between_its_plucks() {
    let found = free(Hand::Left, &[ms(1000), ms(1200), ms(3000)], ms(0), ms(4000), &Player::default());
    let away = Player::default().fluency.placed_pluck();
    let stretch = |from, to| Free { hand: Hand::Left, from, to };
    assert_eq!(found, vec![stretch(ms(0), ms(1000) - away), stretch(ms(1200) + away, ms(3000) - away), stretch(ms(3000) + away, ms(4000))]);
}
