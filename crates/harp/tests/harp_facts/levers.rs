//! Examples 27 to 36: levers.

use super::{harp, lever_harp, pitch, tonic};
use harp::settings::keys::{KeySetting, Scale, setting};
use harp::settings::{GridPlace, MoveTimes, Omission, Part, Passage, Prices, Spelling, Use, plan};
use harp::{Fluency, Instrument, Mechanism};
use music::{Seconds, Step};
use std::collections::BTreeSet;

fn major(harp: &Instrument, text: &str) -> KeySetting {
    setting(harp, tonic(text), Scale::Major)
}

fn letters(harp: &Instrument, text: &str) -> BTreeSet<char> {
    major(harp, text).moved.iter().map(|s| s.letter()).collect()
}

fn raised(harp: &Instrument, letters: &BTreeSet<char>) -> usize {
    (harp.lowest()..=harp.highest()).filter(|p| letters.contains(&Step::from_index(*p).letter())).count()
}

/// Example 27 (teaching page on setting lever harps; arithmetic): C major on E-flat tuning raises E, A and B.
#[test]
fn example_27_c_major_on_e_flat_tuning() {
    assert_eq!(letters(&lever_harp("C2", 34, "Eb"), "C"), BTreeSet::from(['A', 'B', 'E']));
}

/// Examples 28 and 29 (arithmetic): those are 14 levers of 34 strings from C2, 9 of 22 from C3.
#[test]
fn examples_28_and_29_how_many_levers() {
    for (lowest, strings, levers) in [("C2", 34, 14), ("C3", 22, 9)] {
        let harp = lever_harp(lowest, strings, "Eb");
        assert_eq!(raised(&harp, &letters(&harp, "C")), levers);
    }
}

/// Examples 30 and 31 (arithmetic): D major raises five letters, E major all seven.
#[test]
fn examples_30_and_31_sharp_keys_on_e_flat_tuning() {
    let harp = lever_harp("C2", 34, "Eb");
    assert_eq!(letters(&harp, "D"), BTreeSet::from(['A', 'E', 'B', 'F', 'C']));
    assert_eq!(letters(&harp, "E").len(), 7);
}

/// Example 32 (arithmetic): A-flat major cannot be set: D-flat is C-sharp, and C is in the key.
#[test]
fn example_32_a_flat_major_on_e_flat_tuning() {
    let harp = lever_harp("C2", 34, "Eb");
    assert_eq!(major(&harp, "Ab").setting, None);
    assert_eq!(harp.spelled(pitch("Db4")), Some(pitch("C#4")));
}

/// Example 33 (Celtic-harp teaching page; arithmetic): G major on F tuning raises B and F.
#[test]
fn example_33_g_major_on_f_tuning() {
    assert_eq!(letters(&lever_harp("C2", 34, "F"), "G"), BTreeSet::from(['B', 'F']));
}

/// Example 34 (arithmetic): B-flat major on C tuning cannot be set; A-sharp stands in for B-flat, and A is lost in that octave.
#[test]
fn example_34_b_flat_major_on_c_tuning() {
    let harp = lever_harp("C2", 34, "C");
    assert_eq!(major(&harp, "Bb").setting, None);
    assert_eq!(harp.spelled(pitch("Bb4")), Some(pitch("A#4")));
    assert_eq!(Part::of(&harp, pitch("A#4")), Part::of(&harp, pitch("A4")));
}

/// Example 35 (Coursen): A-sharp then B on E-flat tuning are both on the B string, with one move between them.
#[test]
fn example_35_a_sharp_then_b() {
    let harp = lever_harp("C2", 34, "Eb");
    let first = harp.spelled(pitch("A#3")).expect("on the B string");
    assert_eq!(first, pitch("Bb3"));
    let note =
        |place: usize, pitch| Use { place, until: place + 1, spellings: vec![Spelling { pitch, price: 0 }], omission: Omission::Never };
    let place = |i: i64| GridPlace { at: Seconds::from_millis(i * 1000), room: Seconds::from_millis(1000), awkward: 0 };
    let uses = vec![note(0, first), note(2, pitch("B3"))];
    let stretch = 0..3;
    let passage = Passage::new((0..3).map(place).collect(), Seconds::from_millis(3000), uses, vec![stretch]).expect("a passage");
    let found = plan(&harp, &passage, &MoveTimes::of(Fluency::Fluent), &Prices::default(), 100);
    assert!(found.is_feasible());
    assert_eq!(found.marks.iter().map(|m| (m.place, m.part, m.to)).collect::<Vec<_>>(), [(1, Part::Lever(pitch("B3").position()), 0)]);
}

/// Example 36 (a harp teaching blog's habanera): A harmonic minor with the levers of C major raises G.
#[test]
fn example_36_a_harmonic_minor_on_c_tuning() {
    let minor = setting(&lever_harp("C2", 34, "C"), tonic("A"), Scale::HarmonicMinor);
    assert_eq!(minor.moved, [Step::G]);
}

/// Harp facts 2.2 (a harp maker's article): with levers on F, C and B only, G major can be set and A major cannot: no lever on G.
#[test]
fn partial_levers() {
    let harp = harp("G2", 30, "C", Mechanism::Levers(vec![Step::F, Step::C, Step::B]));
    assert_eq!(letters(&harp, "D"), BTreeSet::from(['F', 'C']));
    assert_eq!(major(&harp, "A").setting, None);
}
