//! Rungs to strings: which tone of the chord stands on each rung, and on which string it is plucked.
//!
//! A rung is a string counted from the chord's root. A seventh or sixth of the chord may stand for the octave, the fourth of a suspended
//! chord stands for its third, and an inversion or slash bass turns the rungs so that the lowest is another tone (figures, "How to read the table").

use harp::Instrument;
use music::{Chord, ChordTone, Pitch, PitchName};

/// Which tone the lowest rung is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Footing {
    /// The root is the lowest rung.
    Root,
    /// First inversion: 3 8 10.
    Third,
    /// Second inversion: 5 8 10.
    Fifth,
    /// A bass that is no tone of the chord stands below the rungs.
    Foreign(PitchName),
}

/// What stands for the octave and the third in the figure's rungs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Colour {
    Plain,
    /// The tenth stands for the highest octave, so that the third is heard.
    Tenth,
    /// The seventh (or sixth) stands for the octave off the strong beats.
    Seventh,
}

/// The rungs of a chord from one root string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rungs<'a> {
    pub chord: &'a Chord,
    /// The chord's tones, looked up once for all its placements.
    pub tones: &'a [ChordTone],
    pub footing: Footing,
    /// Position of the root that rung 1 has in root position.
    pub root: i32,
}

/// The footing a chord's written bass asks for.
pub fn written_footing(chord: &Chord) -> Footing {
    let Some(bass) = chord.bass else { return Footing::Root };
    let is = |tone: Option<ChordTone>| tone.is_some_and(|t| chord.name_of(t).pitch_class() == bass.pitch_class());
    if bass.pitch_class() == chord.root.pitch_class() {
        Footing::Root
    } else if is(chord.third()) {
        Footing::Third
    } else if is(chord.fifth()) {
        Footing::Fifth
    } else {
        Footing::Foreign(bass)
    }
}

impl Rungs<'_> {
    /// The pitch on a rung, or `None` where the chord has no such tone or the harp no such pitch.
    pub fn pitch(&self, rung: u8, colour: Colour, harp: &Instrument) -> Option<Pitch> {
        let turned = self.turned(rung);
        if let (Footing::Foreign(bass), 1) = (self.footing, rung) {
            return harp.spelled(self.below_root(bass));
        }
        let (degree, octaves) = split(turned);
        let stands_for_octave = colour == Colour::Seventh && degree == 1 && octaves > 0;
        let tone = if stands_for_octave { self.find(&[7, 6])? } else { self.tone(degree)? };
        let name = self.chord.name_of(tone);
        let low = self.root + tone.degree - 1 + 7 * (octaves - i32::from(stands_for_octave));
        let pitch = Pitch::at_position(low, 0);
        let pitch = Pitch { alter: name.alter, ..pitch };
        debug_assert_eq!(pitch.step, name.step);
        harp.spelled(pitch)
    }

    /// The rung of the root position that a rung means on this footing: 1 5 8 10 becomes 3 8 10 12 over the third.
    fn turned(&self, rung: u8) -> u8 {
        const OPEN: [u8; 6] = [1, 5, 8, 10, 12, 15];
        let next = |rungs: &[(u8, u8)]| rungs.iter().find(|(a, _)| *a == rung).map_or(rung, |(_, b)| *b);
        match self.footing {
            Footing::Root | Footing::Foreign(_) => rung,
            Footing::Third => next(&[(1, 3), (3, 5), (5, 8), (8, 10), (10, 12), (12, 15), (15, 17)]),
            Footing::Fifth => match OPEN.iter().position(|r| *r == rung) {
                Some(0) => 5,
                Some(1) => 8,
                Some(2) => 10,
                Some(3) => 12,
                Some(4) => 15,
                _ => next(&[(3, 8), (15, 17)]),
            },
        }
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

    fn below_root(&self, bass: PitchName) -> Pitch {
        let low = self.root - (self.root - bass.step.index()).rem_euclid(7);
        let low = if low == self.root { low - 7 } else { low };
        Pitch { alter: bass.alter, ..Pitch::at_position(low, 0) }
    }
}

/// A rung as degree 1, 3 or 5 and octaves above the root.
fn split(rung: u8) -> (u8, i32) {
    ((rung - 1) % 7 + 1, i32::from((rung - 1) / 7))
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::{ChordKind, Step};

    fn rungs(root: (Step, i32), kind: ChordKind, footing: Footing, colour: Colour) -> String {
        let chord = Chord::new(PitchName::new(root.0, root.1), kind);
        let low = Pitch::new(root.0, 0, 3).position();
        let rungs = Rungs { chord: &chord, tones: &chord.tones(), footing, root: low };
        let harp = Instrument::lever_34();
        let show = |r: &u8| rungs.pitch(*r, colour, &harp).map_or("-".into(), |p| p.to_string());
        [1, 3, 5, 8, 10].iter().map(show).collect::<Vec<_>>().join(" ")
    }

    /// Harp facts 5, patterns 1-5-8 and 1-5-10; slash chords 3 8 10 and 5 8 10 as figures.md reads them.
    #[test]
    fn rungs_on_each_footing() {
        assert_eq!(rungs((Step::C, 0), ChordKind::Major, Footing::Root, Colour::Plain), "C3 E3 G3 C4 E4");
        assert_eq!(rungs((Step::G, 0), ChordKind::Dominant, Footing::Root, Colour::Seventh), "G3 B3 D4 F4 B4");
        assert_eq!(rungs((Step::C, 0), ChordKind::Major, Footing::Third, Colour::Plain), "E3 G3 C4 E4 G4");
        assert_eq!(rungs((Step::C, 0), ChordKind::Minor, Footing::Fifth, Colour::Plain), "G3 C4 C4 Eb4 G4");
        assert_eq!(rungs((Step::D, 0), ChordKind::SuspendedFourth, Footing::Root, Colour::Plain), "D3 G3 A3 D4 G4");
        assert_eq!(rungs((Step::F, 0), ChordKind::Power, Footing::Root, Colour::Plain), "F3 - C4 F4 -");
    }
}
