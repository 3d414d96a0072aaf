//! A harp: its lowest string, how many strings, how the open strings are tuned and what changes them.
//!
//! A string is a letter and an octave; [`music::Pitch::position`] is its number everywhere (C4 is 28). The range is never inferred from the
//! count alone: makers differ.

use music::{Pitch, PitchName, Step};
use std::collections::{BTreeMap, BTreeSet};
use thiserror::Error;

/// A harp.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Instrument {
    /// What the player calls it.
    pub name: String,
    lowest: i32,
    strings: u32,
    /// How its open strings are tuned.
    pub tuning: Tuning,
    /// Levers or pedals, and where.
    pub mechanism: Mechanism,
    /// The alteration of fixed strings that are tuned otherwise than their letter, by position.
    own: BTreeMap<i32, i32>,
    /// Strings that have a lever though not every string of their letter has one, by position.
    single: BTreeSet<i32>,
}

/// The alteration of each open string's letter, from C to B: E-flat tuning has -1 for E, A and B.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tuning(pub [i32; 7]);

impl Tuning {
    /// The tuning of a major key's scale, named by its tonic.
    pub fn of_major(tonic: PitchName) -> Tuning {
        let key = music::Key::of(tonic, music::Mode::Major);
        Tuning(Step::ALL.map(|s| key.alter(s)))
    }

    /// Of a letter: -1 flat, 0 natural, 1 sharp.
    pub fn alter(self, step: Step) -> i32 {
        self.0[step as usize]
    }
}

/// What changes a string's pitch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Mechanism {
    /// A lever raises one string by a semitone. The letters listed have levers, in every octave.
    Levers(Vec<Step>),
    /// A pedal sets a letter flat, natural or sharp in all octaves; the strings at these positions have no discs and stay as tuned
    /// ([`Instrument::with_fixed`] gives such a string a pitch of its own).
    Pedals {
        /// Positions of the strings without discs, in order.
        fixed: Vec<i32>,
    },
}

/// Why there is no such harp.
#[derive(Debug, Error, PartialEq, Eq)]
pub enum InstrumentError {
    /// So many strings are too few or too many.
    #[error("a harp of {0} strings: expected 15 to 47")]
    Strings(u32),
    /// The lowest string, by its name, is no harp's.
    #[error("the lowest string {0} is out of reach of any harp: expected A0 to C5")]
    Lowest(String),
    /// A letter is tuned too far from its natural.
    #[error("the tuning has an alteration of {0} semitones: expected -1, 0 or 1")]
    Alteration(i32),
    /// A fixed string that the harp lacks: its name, and those of the lowest and highest string.
    #[error("the fixed string {0} is not on this harp: expected one from {1} to {2}")]
    FixedString(String, String, String),
    /// The pitch of a fixed string is too far from its letter.
    #[error("the fixed string {0} is tuned more than a semitone from its letter: expected a flat, a natural or a sharp")]
    FixedPitch(String),
    /// A lever without a string: its name, and those of the lowest and highest string.
    #[error("the lever on {0} has no string: expected one from {1} to {2}")]
    LeverString(String, String, String),
    /// Only strings of a pedal harp can lack discs.
    #[error("a fixed string on a harp without pedals: expected strings without discs on a pedal harp only")]
    FixedWithoutPedals,
}

impl Instrument {
    /// `lowest` names the lowest string (its accidental is left to the tuning).
    pub fn new(name: String, lowest: Pitch, strings: u32, tuning: Tuning, mechanism: Mechanism) -> Result<Instrument, InstrumentError> {
        if !(15..=47).contains(&strings) {
            return Err(InstrumentError::Strings(strings));
        }
        if !(5..=35).contains(&lowest.position()) {
            return Err(InstrumentError::Lowest(format!("{lowest:#}")));
        }
        if let Some(bad) = tuning.0.iter().find(|a| a.abs() > 1) {
            return Err(InstrumentError::Alteration(*bad));
        }
        Ok(Instrument { name, lowest: lowest.position(), strings, tuning, mechanism, own: BTreeMap::new(), single: BTreeSet::new() })
    }

    /// The commonest full-size lever harp: 34 strings from C2 to A6, E-flat tuning, a lever on every string
    /// (harp facts 2.1 and 2.2: the size and the range as one exam board's minimum, the tuning as today's usual standard).
    ///
    /// ```
    /// use harp::Instrument;
    /// use music::Pitch;
    ///
    /// // Harp facts 2.1: C2 to A6; in E-flat tuning a lever raises the E string from E-flat to E.
    /// let harp = Instrument::lever_34();
    /// let string = |text: &str| Pitch::parse(text).expect("a pitch").position();
    /// assert_eq!((harp.lowest(), harp.highest()), (string("C2"), string("A6")));
    /// assert_eq!(harp.settings_of(string("E4")), [-1, 0]);
    /// ```
    pub fn lever_34() -> Instrument {
        let low = Pitch::new(Step::C, 0, 2);
        let tuning = Tuning::of_major(PitchName::new(Step::E, -1));
        Instrument::new("lever-34".into(), low, 34, tuning, Mechanism::Levers(Step::ALL.to_vec())).expect("34 strings from C2 are a harp")
    }

    /// The harp with a string that no pedal moves, tuned to this pitch before the piece: C1 and D1 of most pedal harps, G7 of some (harp facts 1.1:
    /// sources and instruments differ).
    pub fn with_fixed(mut self, pitch: Pitch) -> Result<Instrument, InstrumentError> {
        let position = pitch.position();
        if !self.has_string(position) {
            let name = |p: i32| Pitch::at_position(p, 0).to_string();
            return Err(InstrumentError::FixedString(name(position), name(self.lowest), name(self.highest())));
        }
        if pitch.alter.abs() > 1 {
            return Err(InstrumentError::FixedPitch(format!("{pitch:#}")));
        }
        let Mechanism::Pedals { fixed } = &mut self.mechanism else { return Err(InstrumentError::FixedWithoutPedals) };
        if !fixed.contains(&position) {
            fixed.push(position);
            fixed.sort_unstable();
        }
        self.own.insert(position, pitch.alter);
        Ok(self)
    }

    /// The harp with a lever on one string of a letter that has none elsewhere.
    pub fn with_lever(mut self, position: i32) -> Result<Instrument, InstrumentError> {
        let name = |p: i32| Pitch::at_position(p, 0).to_string();
        if !self.has_string(position) {
            return Err(InstrumentError::LeverString(name(position), name(self.lowest), name(self.highest())));
        }
        self.single.insert(position);
        Ok(self)
    }

    /// Whether a string has a lever.
    pub fn has_lever(&self, position: i32) -> bool {
        let letter = |letters: &[Step]| letters.contains(&Step::from_index(position));
        matches!(&self.mechanism, Mechanism::Levers(letters) if letter(letters) || self.single.contains(&position))
    }

    /// How the string at a position is tuned: its alteration with the lever down or the pedal up.
    pub fn open(&self, position: i32) -> i32 {
        let own = match &self.mechanism {
            Mechanism::Pedals { fixed } if fixed.contains(&position) => self.own.get(&position).copied(),
            _ => None,
        };
        own.unwrap_or_else(|| self.tuning.alter(Step::from_index(position)))
    }

    /// Position of the lowest string.
    pub fn lowest(&self) -> i32 {
        self.lowest
    }

    /// Position of the highest string.
    pub fn highest(&self) -> i32 {
        self.lowest + self.strings as i32 - 1
    }

    /// How many strings there are.
    pub fn strings(&self) -> u32 {
        self.strings
    }

    /// Whether a string lies at a position.
    pub fn has_string(&self, position: i32) -> bool {
        (self.lowest..=self.highest()).contains(&position)
    }

    /// The alterations a string can be set to, lowest first; empty where there is no such string.
    pub fn settings_of(&self, position: i32) -> Vec<i32> {
        if !self.has_string(position) {
            return Vec::new();
        }
        let open = self.open(position);
        match &self.mechanism {
            Mechanism::Levers(_) if self.has_lever(position) => vec![open, open + 1],
            Mechanism::Levers(_) => vec![open],
            Mechanism::Pedals { fixed } if fixed.contains(&position) => vec![open],
            Mechanism::Pedals { .. } => vec![-1, 0, 1],
        }
    }

    /// Whether some setting gives this written pitch on its own string.
    pub fn can_sound(&self, pitch: Pitch) -> bool {
        let (position, alter) = (pitch.position(), pitch.alter);
        let open = self.open(position);
        self.has_string(position)
            && match &self.mechanism {
                Mechanism::Levers(_) => alter == open || alter == open + 1 && self.has_lever(position),
                Mechanism::Pedals { fixed } => {
                    if fixed.contains(&position) {
                        alter == open
                    } else {
                        alter.abs() <= 1
                    }
                }
            }
    }

    /// The string and spelling this harp has for a pitch: as written where it can, else the same sound on a neighbouring string.
    pub fn spelled(&self, pitch: Pitch) -> Option<Pitch> {
        if self.can_sound(pitch) {
            return Some(pitch);
        }
        [-1, 1].into_iter().find_map(|side| {
            let other = Pitch::at_position(pitch.position() + side, 0);
            let other = Pitch { alter: pitch.midi() - other.midi(), ..other };
            self.can_sound(other).then_some(other)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pitch(text: &str) -> Pitch {
        Pitch::parse(text).expect("a pitch")
    }

    /// Harp facts 2.1: 34 strings from C2 end at A6.
    #[test]
    fn range_of_34_strings() {
        let harp = Instrument::lever_34();
        assert_eq!((harp.lowest(), harp.highest()), (pitch("C2").position(), pitch("A6").position()));
    }

    /// A harp with a lever on the F strings and on one C: the other C strings stay as tuned.
    #[test]
    fn a_lever_on_one_string() {
        let levers = Mechanism::Levers(vec![Step::F]);
        let harp = Instrument::new("mine".into(), pitch("C3"), 26, Tuning([0; 7]), levers).expect("a harp");
        let harp = harp.with_lever(pitch("C5").position()).expect("the string is there");
        let can = |text: &str| harp.can_sound(pitch(text));
        assert_eq!([can("F#4"), can("C#5"), can("C#4"), can("G#4")], [true, true, false, false]);
        assert_eq!(harp.settings_of(pitch("C5").position()), [0, 1]);
        let beyond = harp.with_lever(pitch("C2").position()).expect_err("no such string");
        assert_eq!(beyond.to_string(), "the lever on C2 has no string: expected one from C3 to G6");
    }

    /// Harp facts 1.1: C1 and D1 normally have no discs, so their pitch is fixed before the piece.
    #[test]
    fn a_fixed_string_has_a_pitch_of_its_own() {
        let pedals = Mechanism::Pedals { fixed: vec![pitch("D1").position()] };
        let flat = Tuning::of_major(PitchName::new(Step::C, -1));
        let harp = Instrument::new("pedal-47".into(), pitch("C1"), 47, flat, pedals).expect("a harp");
        let tuned = harp.clone().with_fixed(pitch("C1")).expect("the lowest string");
        assert_eq!((tuned.settings_of(7), tuned.settings_of(8), tuned.settings_of(14)), (vec![0], vec![-1], vec![-1, 0, 1]));
        assert!(tuned.can_sound(pitch("C1")) && !tuned.can_sound(pitch("Cb1")) && tuned.can_sound(pitch("Cb2")));
        let beyond = InstrumentError::FixedString("B0".into(), "C1".into(), "G7".into());
        assert_eq!(harp.clone().with_fixed(pitch("B0")), Err(beyond));
        assert_eq!(harp.with_fixed(pitch("C##1")), Err(InstrumentError::FixedPitch("C♯♯1".into())));
        assert_eq!(Instrument::lever_34().with_fixed(pitch("C2")), Err(InstrumentError::FixedWithoutPedals));
    }

    /// Harp facts 2.3: on E-flat tuning D-flat is had only as C-sharp, A-sharp only as B-flat.
    #[test]
    fn enharmonics_of_e_flat_tuning() {
        let harp = Instrument::lever_34();
        assert_eq!(harp.spelled(pitch("Db4")), Some(pitch("C#4")));
        assert_eq!(harp.spelled(pitch("A#3")), Some(pitch("Bb3")));
        assert_eq!(harp.spelled(pitch("Ab3")), Some(pitch("Ab3")));
        assert_eq!(harp.spelled(pitch("C7")), None);
    }
}
