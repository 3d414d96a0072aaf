//! Examples 37 to 42, 58, 59: ranges, frequencies, octave numbers.

use super::{lever_harp, pedal_harp, pitch};
use harp::strings::{ConcertPitch, name};
use music::Pitch;

/// To a hundredth of a hertz.
fn hertz(text: &str) -> String {
    format!("{:.2}", ConcertPitch::default().frequency(pitch(text)))
}

/// Example 37 (arithmetic on ISO 16): 34 strings from C2.
#[test]
fn example_37_ends_of_34_strings() {
    let harp = lever_harp("C2", 34, "Eb");
    assert_eq!(Pitch::at_position(harp.highest(), 0), pitch("A6"));
    assert_eq!((hertz("C2"), hertz("A6")), ("65.41".into(), "1760.00".into()));
}

/// Example 38 (arithmetic): 47 strings, pedals natural.
#[test]
fn example_38_ends_of_47_strings() {
    let harp = pedal_harp("C1", 47);
    assert_eq!(Pitch::at_position(harp.highest(), 0), pitch("G7"));
    assert_eq!((hertz("C1"), hertz("G7")), ("32.70".into(), "3135.96".into()));
}

/// Example 39 (arithmetic): the same flat below and sharp above.
#[test]
fn example_39_ends_flat_and_sharp() {
    let harp = pedal_harp("C1", 47);
    assert!(harp.can_sound(pitch("Cb1")) && harp.can_sound(pitch("G#7")));
    assert_eq!((hertz("Cb1"), hertz("G#7")), ("30.87".into(), "3322.44".into()));
}

/// Example 40 (arithmetic).
#[test]
fn example_40_some_strings() {
    assert_eq!((hertz("C4"), hertz("C3"), hertz("G6")), ("261.63".into(), "130.81".into(), "1567.98".into()));
}

/// Example 41 (ISO 16:1975 for 440 Hz; the formula is arithmetic): twelve equal steps to an octave, from any concert pitch.
#[test]
fn example_41_equal_temperament() {
    let usual = ConcertPitch::default();
    for text in ["Cb1", "C4", "F#5", "G7"] {
        let formula = 440.0 * 2_f64.powf(f64::from(pitch(text).midi() - 69) / 12.0);
        assert!((usual.frequency(pitch(text)) / formula - 1.0).abs() < 1e-12, "{text}");
    }
    let lower = ConcertPitch::new(415.0).expect("a pitch in use");
    assert_eq!(lower.frequency(pitch("A4")), 415.0);
    assert_eq!(ConcertPitch::new(f64::NAN), None);
    assert_eq!(ConcertPitch::new(4400.0), None);
}

/// Example 42 (Curcio; a harp technician's page on string numbers): middle C is 4C; and harp facts 1.1: the first octave is E7 to F6, F7 and G7 are above.
#[test]
fn example_42_octave_numbers() {
    let said = ["C4", "C3", "C2", "C1", "E7", "F6", "E6", "F7", "G7"].map(|p| name(pitch(p).position()));
    assert_eq!(said, ["4C", "5C", "6C", "7C", "1E", "1F", "2E", "0F", "0G"]);
}

/// Example 58 (glossary page on the 47-stringed harp; arithmetic): 44 strings from D1.
#[test]
fn example_58_44_strings() {
    assert_eq!(Pitch::at_position(pedal_harp("D1", 44).highest(), 0), pitch("E7"));
}

/// Example 59 (arithmetic): of 47 strings 21 lie at or below B3.
#[test]
fn example_59_strings_up_to_b3() {
    let harp = pedal_harp("C1", 47);
    let b3 = pitch("B3").position();
    assert_eq!((harp.lowest()..=harp.highest()).filter(|p| *p <= b3).count(), 21);
}
