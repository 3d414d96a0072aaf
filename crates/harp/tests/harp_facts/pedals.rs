//! Examples 1 to 26, 53 to 55: pedals.

use super::{pedal_harp, pitch, tonic};
use harp::settings::keys::Scale;
use harp::settings::pedals::{Classes, PedalSetting, glissandi, letters_of, sound_together};
use harp::settings::{Fault, GridPlace, MoveTimes, Omission, Part, Passage, Plan, Prices, Proof, SettingSign, Spelling, Use, plan, walk};
use harp::{Fluency, Instrument};
use music::{Seconds, Step};
use std::collections::BTreeMap;

/// A setting in the order of the pedals: "D C Bb | Eb F G Ab".
fn set(text: &str) -> PedalSetting {
    let mut all = [0; 7];
    for word in text.split([' ', '|']).filter(|w| !w.is_empty()) {
        let name = tonic(word);
        all[name.step as usize] = name.alter;
    }
    PedalSetting::new(all).expect("a setting")
}

fn major(text: &str) -> PedalSetting {
    PedalSetting::of_key(tonic(text), Scale::Major).expect("a key of pedals")
}

fn harmonic_minor(text: &str) -> PedalSetting {
    PedalSetting::of_key(tonic(text), Scale::HarmonicMinor).expect("a key of pedals")
}

/// Pitch classes by name.
fn classes(text: &str) -> Classes {
    text.split(' ').map(|p| pitch(&format!("{p}4")).midi().rem_euclid(12)).collect()
}

fn on(root: i32, semitones: &[i32]) -> Classes {
    semitones.iter().map(|s| (root + s) % 12).collect()
}

/// The roots on which a chord can be a glissando that sounds nothing else.
fn gliss_roots(semitones: &[i32]) -> Vec<i32> {
    (0..12).filter(|root| !glissandi(&on(*root, semitones)).is_empty()).collect()
}

fn roots(text: &str) -> Vec<i32> {
    classes(text).into_iter().collect()
}

/// Examples 1 and 2 (Grove's dictionary, both editions; arithmetic): all pedals up, in the middle, down.
#[test]
fn examples_1_and_2_all_alike() {
    assert_eq!(major("Cb").to_string(), "D♭ C♭ B♭ │ E♭ F♭ G♭ A♭");
    assert_eq!((major("C"), major("C#")), (PedalSetting::new([0; 7]).expect("middle"), PedalSetting::new([1; 7]).expect("down")));
}

/// Examples 3 to 5 (Helsinki manual on pedal diagrams; a course on orchestration; arithmetic).
#[test]
fn examples_3_to_5_keys() {
    assert_eq!(major("E").to_string(), "D♯ C♯ B │ E F♯ G♯ A");
    assert_eq!(major("Eb").to_string(), "D C B♭ │ E♭ F G A♭", "C natural minor has the same letters");
    assert_eq!(major("A").to_string(), "D C♯ B │ E F♯ G♯ A");
}

/// Examples 6 and 7 (arithmetic): one pedal to the harmonic minor.
#[test]
fn examples_6_and_7_to_the_harmonic_minor() {
    assert_eq!(major("Eb").moved(harmonic_minor("C")), [Step::B]);
    assert_eq!(harmonic_minor("C").alter(Step::B), 0);
    assert_eq!(major("C").moved(harmonic_minor("A")), [Step::G]);
    assert_eq!(harmonic_minor("A").alter(Step::G), 1);
}

/// Examples 8 and 9 (the idea: Fackler; counts: arithmetic): B major written as B or as C-flat.
#[test]
fn examples_8_and_9_b_or_c_flat() {
    let (d_flat, b, c_flat) = (major("Db"), major("B"), major("Cb"));
    assert_eq!((d_flat.moved(b).len(), d_flat.notches(b)), (7, 10));
    assert_eq!((d_flat.moved(c_flat), d_flat.notches(c_flat)), (vec![Step::C, Step::F], 2));
    assert_eq!((b.moved(c_flat).len(), b.notches(c_flat), b.sounds() == c_flat.sounds()), (7, 12, true));
}

/// Examples 10 to 12 (the passage of the first: Berlioz, scan page 90; arithmetic): the three diminished sevenths have one setting each.
#[test]
fn examples_10_to_12_diminished_sevenths() {
    assert_eq!(glissandi(&classes("C Eb Gb A")), [set("D# C B# | Eb F# Gb A")]);
    assert_eq!(glissandi(&classes("B D F Ab")), [set("D Cb B | E# F G# Ab")]);
    assert_eq!(glissandi(&classes("C# E G Bb")), [set("Db C# Bb | E Fb G A#")]);
}

/// Examples 13 and 14 (arithmetic): whole tones on C in five settings, on D-flat in four.
#[test]
fn examples_13_and_14_whole_tones() {
    let on_c = glissandi(&classes("C D E F# G# Bb"));
    assert_eq!(on_c.len(), 5);
    assert!(on_c.contains(&set("D C Bb | E F# G# Ab")));
    assert!(on_c.iter().all(|s| [Step::D, Step::C, Step::E].iter().all(|l| s.alter(*l) == 0) && s.alter(Step::B) != 0));
    let on_d_flat = glissandi(&classes("Db Eb F G A B"));
    let tail = |s: &PedalSetting| [s.alter(Step::D), s.alter(Step::C), s.alter(Step::E)];
    assert!(on_d_flat.iter().all(|s| [Step::B, Step::F, Step::G, Step::A].iter().all(|l| s.alter(*l) == 0)));
    let mut tails: Vec<[i32; 3]> = on_d_flat.iter().map(tail).collect();
    tails.sort_unstable();
    assert_eq!(tails, [[-1, -1, -1], [-1, 1, -1], [1, 1, -1], [1, 1, 1]], "D, C, E");
}

/// Examples 15 and 16 (a question-and-answer thread on pentatonic glissandi; arithmetic).
#[test]
fn examples_15_and_16_pentatonics() {
    assert_eq!(glissandi(&classes("C D E G A")), [set("D C B# | E Fb G A")]);
    assert_eq!(glissandi(&classes("C D F G A")), [set("D C B# | E# F G A")]);
}

/// Example 17 (arithmetic): the pentatonic on G-flat in six settings.
#[test]
fn example_17_g_flat_pentatonic() {
    let all = glissandi(&classes("Gb Ab Bb Db Eb"));
    assert_eq!(all.len(), 6);
    let same = |s: &PedalSetting| [s.alter(Step::B), s.alter(Step::C), s.alter(Step::E), s.alter(Step::F)] == [-1, 1, -1, 1];
    assert!(all.iter().all(|s| same(s) && s.alter(Step::D) != 0));
}

/// Examples 18 and 19 (arithmetic): on which roots a seventh chord can be the whole glissando.
#[test]
fn examples_18_and_19_seventh_chords() {
    assert!(glissandi(&classes("G B D F")).is_empty());
    assert_eq!(gliss_roots(&[0, 4, 7, 10]), roots("C# E F# Ab B"));
    assert_eq!(gliss_roots(&[0, 3, 7, 10]), roots("C# Eb F Ab Bb"));
    assert_eq!(gliss_roots(&[0, 4, 7, 11]), roots("C# E F# B"));
}

/// Example 20 (Berlioz, scan page 86; arithmetic): C, G and B raised from the open tuning sound C, E, G, B on the strings C, F, G, B.
#[test]
fn example_20_berlioz() {
    let (open, raised) = (major("Cb"), set("Db C B | Eb Fb G Ab"));
    assert_eq!((open.moved(raised), open.notches(raised)), (vec![Step::C, Step::G, Step::B], 3));
    assert_eq!([Step::C, Step::F, Step::G, Step::B].map(|s| raised.class(s)), [0, 4, 7, 11]);
}

/// Examples 21 and 22 (Canton and Overlach on pedals; arithmetic): C, C-sharp, D together can be set; G, G-sharp, A are the only three that cannot. And harp
/// facts 1.4 (arithmetic): any two can, and 13 fours cannot.
#[test]
fn examples_21_and_22_together() {
    assert!(set("D C# B# | E F G A").sounds().is_superset(&classes("C C# D")));
    let chosen = |count: usize| (0..1 << 12).filter(move |bits: &i32| bits.count_ones() as usize == count);
    let as_classes = |bits: i32| (0..12).filter(|c| bits >> c & 1 == 1).collect::<Classes>();
    let never = |count| chosen(count).map(as_classes).filter(|c| !sound_together(c)).collect::<Vec<_>>();
    assert_eq!(never(2), Vec::<Classes>::new());
    assert_eq!(never(3), [classes("G G# A")]);
    assert_eq!(never(4).len(), 13);
}

/// Examples 23 to 25 (Berlioz, scan page 88; arithmetic): B-flat has two strings, D, G and A have one, nine classes have two.
#[test]
fn examples_23_to_25_two_strings() {
    assert_eq!(letters_of(10), [Step::A, Step::B]);
    assert_eq!([2, 7, 9].map(|c| letters_of(c).len()), [1, 1, 1]);
    assert_eq!((0..12).filter(|c| letters_of(*c).len() == 2).count(), 9);
}

/// Example 26 and harp facts 1.4 (arithmetic): 2187 settings, 977 sets of pitch classes.
#[test]
fn example_26_how_many() {
    let mut by_size: BTreeMap<usize, std::collections::BTreeSet<Classes>> = BTreeMap::new();
    for setting in PedalSetting::all() {
        by_size.entry(setting.sounds().len()).or_default().insert(setting.sounds());
    }
    let sizes: Vec<(usize, usize)> = by_size.iter().map(|(size, sets)| (*size, sets.len())).collect();
    assert_eq!(PedalSetting::all().count(), 2187);
    assert_eq!(sizes, [(4, 25), (5, 178), (6, 415), (7, 359)]);
    assert_eq!(sizes.iter().map(|s| s.1).sum::<usize>(), 977);
}

/// Signs at places a quarter of a second apart, all pedals flat before, nothing plucked.
fn walked(signs: &[(usize, Step)]) -> Result<usize, Fault> {
    let harp = pedal_harp("C1", 47);
    let place = |i: i64| GridPlace { at: Seconds::from_millis(i * 250), room: Seconds::from_millis(0), awkward: 0 };
    let whole = 0..8;
    let passage = Passage::new((0..8).map(place).collect(), Seconds::from_millis(2000), Vec::new(), vec![whole]).expect("a passage");
    let marks = signs.iter().map(|(place, step)| SettingSign { place: *place, part: Part::Pedal(*step), to: 0 }).collect();
    let opening = Step::ALL.into_iter().map(|s| (Part::Pedal(s), -1)).collect();
    let plan = Plan { opening, marks, choices: Vec::new(), price: 0, least: 0, proof: Proof::NotProved };
    walk(&harp, &passage, &MoveTimes::of(Fluency::Fluent), &Prices::default(), &plan).map(|w| w.moves.len())
}

/// Example 53 (Bligh: about two moves a second, four when the feet share them).
#[test]
fn example_53_four_pedals_in_a_second() {
    let [first, second] = [(0, Step::E), (1, Step::F)];
    let fault = SettingSign { place: 1, part: Part::Pedal(Step::F), to: 0 };
    assert_eq!(walked(&[first, second, (2, Step::G), (3, Step::A)]), Err(Fault::Busy(fault)));
    assert_eq!(walked(&[(0, Step::D), (0, Step::E), (2, Step::C), (2, Step::F)]), Ok(4));
}

/// Example 54 (Helsinki manual on pedaling; a harp forum thread on two pedals with one foot): opposite feet on one beat, not one foot.
#[test]
fn example_54_two_pedals_on_a_beat() {
    assert_eq!(walked(&[(0, Step::D), (0, Step::E)]), Ok(2));
    assert!(matches!(walked(&[(0, Step::D), (0, Step::B)]), Err(Fault::Busy(_))));
}

/// The plan for all seven naturals, then a chord two seconds later.
fn chord_after_naturals(harp: &Instrument, chord: &[&str]) -> Plan {
    let note = |place: usize, text: &str| Use {
        place,
        until: place + 1,
        spellings: vec![Spelling { pitch: pitch(text), price: 0 }],
        omission: Omission::Never,
    };
    let naturals = ["C4", "D4", "E4", "F4", "G4", "A4", "B4"].map(|n| note(0, n));
    let uses = naturals.into_iter().chain(chord.iter().map(|n| note(2, n))).collect();
    let place = |i: i64| GridPlace { at: Seconds::from_millis(i * 1000), room: Seconds::from_millis(0), awkward: 0 };
    let whole = 0..3;
    let passage = Passage::new((0..3).map(place).collect(), Seconds::from_millis(3000), uses, vec![whole]).expect("a passage");
    plan(harp, &passage, &MoveTimes::of(Fluency::Fluent), &Prices::default(), 1000)
}

/// Example 55 (arithmetic): F-sharp half-diminished with all pedals natural moves F alone.
#[test]
fn example_55_f_sharp_half_diminished() {
    let found = chord_after_naturals(&pedal_harp("C1", 47), &["F#3", "A3", "C4", "E4"]);
    assert!(found.is_feasible());
    assert_eq!(found.marks.iter().map(|m| (m.part, m.to)).collect::<Vec<_>>(), [(Part::Pedal(Step::F), 1)]);
}
