//! Rungs to strings: which tone of the chord stands on each rung, and on which string it is plucked.
//!
//! A rung is a string counted from the chord's root; the fourth of a suspended chord stands for its third (habits, "How a figure is read").
//! Figures that are named after their strings are written in rungs; the others in roles, see [`crate::voicing`].

use harp::Instrument;
use music::{Chord, ChordTone, Pitch};

/// A chord laid out as rungs from one root string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rungs<'a> {
    pub chord: &'a Chord,
    /// The chord's tones, looked up once for all.
    pub tones: &'a [ChordTone],
    /// Position of the root that rung 1 of the plain rungs has.
    pub root: i32,
}

impl Rungs<'_> {
    /// The pitch on a rung, or `None` where the chord has no such tone or the harp no such pitch.
    pub fn pitch(&self, rung: u8, harp: &Instrument) -> Option<Pitch> {
        let (degree, octaves) = split(rung);
        let tone = self.tone(degree)?;
        let name = self.chord.name_of(tone);
        let place = Pitch::at_position(self.root + tone.degree - 1 + 7 * octaves, 0);
        debug_assert_eq!(place.step, name.step);
        harp.spelled(Pitch { alter: name.alter, ..place })
    }

    fn tone(&self, degree: u8) -> Option<ChordTone> {
        match degree {
            1 => Some(ChordTone { degree: 1, semitones: 0 }),
            3 => self.find(&[3, 4, 2, 11]),
            5 => self.find(&[5]),
            _ => None,
        }
    }

    /// The first of these degrees that the chord has; an eleventh counts as a fourth.
    fn find(&self, wanted: &[i32]) -> Option<ChordTone> {
        let tone = wanted.iter().find_map(|d| self.tones.iter().copied().find(|t| t.degree == *d))?;
        Some(if tone.degree > 7 { ChordTone { degree: tone.degree - 7, semitones: tone.semitones - 12 } } else { tone })
    }
}

/// A rung as degree 1, 3 or 5 and octaves above the root.
fn split(rung: u8) -> (u8, i32) {
    ((rung - 1) % 7 + 1, i32::from((rung - 1) / 7))
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::{ChordKind, PitchName, Step};

    fn rungs(root: (Step, i32), kind: ChordKind) -> String {
        let chord = Chord::new(PitchName::new(root.0, root.1), kind);
        let low = Pitch::new(root.0, 0, 3).position();
        let on = Rungs { chord: &chord, tones: &chord.tones(), root: low };
        let harp = Instrument::lever_34();
        let show = |r: &u8| on.pitch(*r, &harp).map_or("-".into(), |p| p.to_string());
        [1, 3, 5, 8, 10].iter().map(show).collect::<Vec<_>>().join(" ")
    }

    /// Harp facts 5, patterns 1-5-8 and 1-5-10.
    #[test]
    fn rungs_are_strings() {
        assert_eq!(rungs((Step::C, 0), ChordKind::Major), "C3 E3 G3 C4 E4");
        assert_eq!(rungs((Step::D, 0), ChordKind::SuspendedFourth), "D3 G3 A3 D4 G4");
        assert_eq!(rungs((Step::F, 0), ChordKind::Power), "F3 - C4 F4 -");
    }
}
