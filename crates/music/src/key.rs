//! Key signatures, modes, and the accidentals they put on each letter.

use crate::pitch::{Interval, PitchName, Step};
use std::fmt;

/// The church modes and the two common names. `Other` is a signature without a named tonic.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mode {
    /// As [`Mode::Ionian`], by its common name.
    Major,
    /// As [`Mode::Aeolian`], by its common name.
    Minor,
    /// Minor with a raised sixth: D to D on the white keys.
    Dorian,
    /// Minor with a lowered second: E to E.
    Phrygian,
    /// Major with a raised fourth: F to F.
    Lydian,
    /// Major with a lowered seventh: G to G.
    Mixolydian,
    /// A to A.
    Aeolian,
    /// C to C.
    Ionian,
    /// Minor with a lowered second and fifth: B to B.
    Locrian,
    /// A signature whose tonic nobody has named.
    Other,
}

impl Mode {
    /// All but [`Mode::Other`].
    pub const NAMED: [Mode; 9] = [
        Mode::Major,
        Mode::Minor,
        Mode::Dorian,
        Mode::Phrygian,
        Mode::Lydian,
        Mode::Mixolydian,
        Mode::Aeolian,
        Mode::Ionian,
        Mode::Locrian,
    ];

    /// How far the tonic lies from the signature's major tonic on the line of fifths: minor is 3 (A minor has C's signature).
    pub fn fifths_above_major(self) -> i32 {
        match self {
            Mode::Major | Mode::Ionian | Mode::Other => 0,
            Mode::Mixolydian => 1,
            Mode::Dorian => 2,
            Mode::Minor | Mode::Aeolian => 3,
            Mode::Phrygian => 4,
            Mode::Locrian => 5,
            Mode::Lydian => -1,
        }
    }

    /// Its English name in small letters; "other" for a signature alone.
    pub fn name(self) -> &'static str {
        match self {
            Mode::Major => "major",
            Mode::Minor => "minor",
            Mode::Dorian => "dorian",
            Mode::Phrygian => "phrygian",
            Mode::Lydian => "lydian",
            Mode::Mixolydian => "mixolydian",
            Mode::Aeolian => "aeolian",
            Mode::Ionian => "ionian",
            Mode::Locrian => "locrian",
            Mode::Other => "other",
        }
    }

    /// Whether the third above the tonic is minor.
    pub fn is_minor(self) -> bool {
        matches!(self, Mode::Minor | Mode::Aeolian | Mode::Dorian | Mode::Phrygian | Mode::Locrian)
    }
}

/// A key: the signature's fifths (flats negative), the mode, and accidentals that depart from the plain signature.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    /// Sharps of the signature; flats are negative.
    pub fifths: i32,
    /// Which of the signature's tones is at home.
    pub mode: Mode,
    /// Letters whose alteration is not what `fifths` says (Highland pipes, `K: D exp _b`); empty for ordinary keys.
    pub explicit: Vec<(Step, i32)>,
}

impl Key {
    /// No sharps, no flats.
    pub const C_MAJOR: Key = Key { fifths: 0, mode: Mode::Major, explicit: Vec::new() };

    /// A key with its plain signature: `Key::new(-1, Mode::Dorian)` is G dorian.
    pub fn new(fifths: i32, mode: Mode) -> Key {
        Key { fifths, mode, explicit: Vec::new() }
    }

    /// The key of a tonic and mode: (D, dorian) has no sharps or flats.
    ///
    /// ```
    /// use music::{Key, Mode, PitchName, Step};
    ///
    /// // Common practice: E dorian has the two sharps of D major.
    /// let key = Key::of(PitchName::new(Step::E, 0), Mode::Dorian);
    /// assert_eq!((key.fifths, key.alter(Step::C), key.to_string().as_str()), (2, 1, "E dorian"));
    /// ```
    pub fn of(tonic: PitchName, mode: Mode) -> Key {
        Key::new(tonic.fifths() - mode.fifths_above_major(), mode)
    }

    /// The tone at home; for [`Mode::Other`] that of the signature's major key.
    pub fn tonic(&self) -> PitchName {
        PitchName::from_fifths(self.fifths + self.mode.fifths_above_major())
    }

    /// What the signature does to a letter: -1 flat, 0 natural, 1 sharp.
    pub fn alter(&self, step: Step) -> i32 {
        if let Some((_, alter)) = self.explicit.iter().find(|(s, _)| *s == step) {
            return *alter;
        }
        let place = PitchName::new(step, 0).fifths();
        // A letter is sharp once its place on the line of fifths is passed by the signature, flat on the other side.
        (self.fifths - place + 5).div_euclid(7)
    }

    /// The same key moved by an interval; explicit accidentals move with their letters.
    pub fn up(&self, interval: Interval) -> Key {
        let moved = self.tonic().up(interval);
        let explicit = self
            .explicit
            .iter()
            .map(|(s, a)| {
                let name = PitchName::new(*s, *a).up(interval);
                (name.step, name.alter)
            })
            .collect();
        Key { explicit, ..Key::of(moved, self.mode) }
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.mode {
            Mode::Other => {
                f.write_str("signature of ")?;
                PitchName::from_fifths(self.fifths).fmt(f)
            }
            mode => {
                self.tonic().fmt(f)?;
                write!(f, " {}", mode.name())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: the order of sharps and flats.
    #[test]
    fn signatures() {
        let letters = |fifths: i32| -> String {
            let key = Key::new(fifths, Mode::Major);
            Step::ALL.iter().filter(|s| key.alter(**s) != 0).map(|s| format!("{}{:+}", s.letter(), key.alter(*s))).collect()
        };
        assert_eq!(letters(0), "");
        assert_eq!(letters(2), "C+1F+1");
        assert_eq!(letters(-3), "E-1A-1B-1");
        assert_eq!(letters(7), "C+1D+1E+1F+1G+1A+1B+1");
        assert_eq!(letters(-7), "C-1D-1E-1F-1G-1A-1B-1");
    }

    #[test]
    fn names_for_files_and_for_people() {
        let key = Key::of(PitchName::new(Step::B, -1), Mode::Dorian);
        assert_eq!((key.to_string(), format!("{key:#}")), ("Bb dorian".into(), "B♭ dorian".into()));
    }

    #[test]
    fn modes_share_signatures() {
        let key = |step, alter, mode| Key::of(PitchName::new(step, alter), mode).fifths;
        assert_eq!(key(Step::D, 0, Mode::Dorian), 0);
        assert_eq!(key(Step::A, 0, Mode::Mixolydian), 2);
        assert_eq!(key(Step::E, 0, Mode::Minor), 1);
        assert_eq!(key(Step::F, 0, Mode::Lydian), 0);
        assert_eq!(key(Step::B, -1, Mode::Major), -2);
    }
}
