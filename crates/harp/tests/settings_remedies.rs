//! What can be done about a note that cannot be had: each way once.

use harp::settings::{DEFAULT_WIDTH, GridPlace, MoveTimes, Omission, Passage, Prices, Remedy, Spelling, Use, plan, remedies};
use harp::{Fluency, Instrument, Mechanism, Tuning};
use music::{Pitch, Seconds};

fn pitch(text: &str) -> Pitch {
    Pitch::parse(text).expect("a pitch")
}

/// Notes every second as written, the hand never free, the last note not to be had: what can be done about it.
fn about_the_last(harp: &Instrument, notes: &[&str], omission: Omission) -> Vec<Remedy> {
    let place = |i: usize| GridPlace { at: Seconds::from_millis(i as i64 * 1000), room: Seconds::from_millis(0), awkward: 0 };
    let places = notes.len() * 2;
    let note = |(i, text): (usize, &&str)| {
        let spellings = vec![Spelling { pitch: pitch(text), price: 0 }];
        let omission = if i + 1 == notes.len() { omission } else { Omission::Never };
        Use { place: 2 * i, until: 2 * i + 1, spellings, omission }
    };
    let uses = notes.iter().enumerate().map(note).collect();
    let (end, whole) = (Seconds::from_millis(places as i64 * 1000), 0..places);
    let passage = Passage::new((0..places).map(place).collect(), end, uses, vec![whole]).expect("a passage");
    let (times, prices, last) = (MoveTimes::of(Fluency::Fluent), Prices::default(), notes.len() - 1);
    let found = plan(harp, &passage, &times, &prices, DEFAULT_WIDTH);
    assert_ne!(found.choices[last], harp::settings::Choice::Plucked(0), "the note can be had as it is");
    remedies(harp, &passage, &times, &prices, DEFAULT_WIDTH, last)
}

/// Harp facts 2.3 (arithmetic): on E-flat tuning G-sharp is also the A string with its lever down. Another string costs no move, a free hand one move and
/// its sign.
#[test]
fn another_string() {
    let found = about_the_last(&Instrument::lever_34(), &["G4", "G#4"], Omission::Price(700));
    let [low, high] = [Remedy::OtherOctave { pitch: pitch("G#3"), price: 0 }, Remedy::OtherOctave { pitch: pitch("G#5"), price: 0 }];
    let string = Remedy::OtherString { pitch: pitch("Ab4"), price: 0 };
    assert_eq!(found, [string, Remedy::FreeHand { place: 1, price: 1010 }, low, high, Remedy::LeaveOut { price: 700 }, Remedy::OtherKey]);
}

/// Harp facts 2.3 (arithmetic): C-sharp has one string there. Facts 2.4 (Ballard; a harp teaching blog; Italian Folk Harp; Trotter): earlier or later, in an
/// octave in which the letter is not used, left out, or in another key, in this order.
#[test]
fn all_other_ways_in_their_order() {
    let found = about_the_last(&Instrument::lever_34(), &["C4", "C#4"], Omission::Price(700));
    let octaves = ["C#3", "C#5"].map(|p| Remedy::OtherOctave { pitch: pitch(p), price: 0 });
    let [low, high] = octaves;
    assert_eq!(found, [Remedy::FreeHand { place: 1, price: 1010 }, low, high, Remedy::LeaveOut { price: 700 }, Remedy::OtherKey]);
}

/// An octave that is played otherwise is no remedy; nor is one beyond the harp.
#[test]
fn octaves_that_are_used() {
    let found = about_the_last(&Instrument::lever_34(), &["C3", "C5", "C4", "C#4"], Omission::Price(700));
    assert_eq!(found, [Remedy::FreeHand { place: 5, price: 1010 }, Remedy::LeaveOut { price: 700 }, Remedy::OtherKey]);
}

/// Pedals move all octaves, and feet are always free (harp facts 1.3): on a string without a disc there is only another string (C-sharp as D-flat) or
/// another key.
#[test]
fn pedals_have_no_other_octave() {
    let pedals = Mechanism::Pedals { fixed: vec![] };
    let harp = Instrument::new("pedals".into(), pitch("C1"), 47, Tuning([-1; 7]), pedals).expect("a harp");
    let harp = harp.with_fixed(pitch("C1")).expect("its lowest string");
    let found = about_the_last(&harp, &["D4", "C#1"], Omission::Never);
    assert_eq!(found, [Remedy::OtherString { pitch: pitch("Db1"), price: 1010 }, Remedy::OtherKey]);
}
