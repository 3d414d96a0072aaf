//! All ways the seven pedals can stand: what each sounds, what lies between two of them, which of them make a glissando.
//!
//! There are 3 to the power of 7, few enough to look at every one.

use super::keys::{Scale, alterations};
use music::{PitchName, Step};
use std::collections::BTreeSet;
use std::fmt;

/// The order of the pedals from left to right (harp facts 1.3); the first three are the left foot's.
pub const PEDALS: [Step; 7] = [Step::D, Step::C, Step::B, Step::E, Step::F, Step::G, Step::A];

/// Pitch classes, 0 for C to 11 for B.
pub type Classes = BTreeSet<i32>;

/// How the seven pedals stand: the alteration of each letter from C to B, -1 flat (up) to 1 sharp (down).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PedalSetting([i32; 7]);

impl PedalSetting {
    /// `None` where a letter is altered by more than a semitone.
    pub fn new(alterations: [i32; 7]) -> Option<PedalSetting> {
        alterations.iter().all(|a| a.abs() <= 1).then_some(PedalSetting(alterations))
    }

    /// The setting of a key, spelled so; `None` where that needs a double sharp or flat.
    pub fn of_key(tonic: PitchName, scale: Scale) -> Option<PedalSetting> {
        PedalSetting::new(alterations(tonic, scale))
    }

    /// All 2187, those with more flats first.
    pub fn all() -> impl Iterator<Item = PedalSetting> {
        (0..3_i32.pow(7)).map(|number| PedalSetting(std::array::from_fn(|i| number / 3_i32.pow(6 - i as u32) % 3 - 1)))
    }

    /// Of a letter: -1 flat, 0 natural, 1 sharp.
    pub fn alter(self, step: Step) -> i32 {
        self.0[step as usize]
    }

    /// The pitch class of a letter's strings.
    pub fn class(self, step: Step) -> i32 {
        (step.semitones() + self.alter(step)).rem_euclid(12)
    }

    /// What all strings together sound: a glissando over every string.
    pub fn sounds(self) -> Classes {
        Step::ALL.into_iter().map(|s| self.class(s)).collect()
    }

    /// The pedals that move from this setting to another, in the order C to B.
    pub fn moved(self, to: PedalSetting) -> Vec<Step> {
        Step::ALL.into_iter().filter(|s| self.alter(*s) != to.alter(*s)).collect()
    }

    /// Over how many notches they move together.
    pub fn notches(self, to: PedalSetting) -> i32 {
        Step::ALL.into_iter().map(|s| (self.alter(s) - to.alter(s)).abs()).sum()
    }
}

/// The settings in which a glissando over every string sounds these pitch classes and no others.
pub fn glissandi(classes: &Classes) -> Vec<PedalSetting> {
    PedalSetting::all().filter(|s| s.sounds() == *classes).collect()
}

/// Whether some setting has all these pitch classes at once, each on a string of its own.
pub fn sound_together(classes: &Classes) -> bool {
    PedalSetting::all().any(|s| s.sounds().is_superset(classes))
}

/// The letters from C to B whose strings can be set to a pitch class.
pub fn letters_of(class: i32) -> Vec<Step> {
    let distance = |s: &Step| (class - s.semitones() + 6).rem_euclid(12) - 6;
    Step::ALL.into_iter().filter(|s| distance(s).abs() <= 1).collect()
}

impl fmt::Display for PedalSetting {
    /// In the order of the pedals, the feet apart: "D♯ C♯ B │ E F♯ G♯ A".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in PEDALS.into_iter().enumerate() {
            let sign = ["♭", "", "♯"][(self.alter(step) + 1) as usize];
            let before = ["", " ", " ", " │ ", " ", " ", " "][i];
            write!(f, "{before}{}{sign}", step.letter())?;
        }
        Ok(())
    }
}
