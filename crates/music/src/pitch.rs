//! Letters, accidentals, octaves; intervals that keep the spelling.
//!
//! A pitch is written, not just sounded: C-sharp and D-flat are two pitches, because on a harp they are two strings.
//! Octaves are scientific (middle C is C4, MIDI 60). Names are written in two ways: `{}` is the form of files, which is typed and read back
//! (`F#3`, `Bb`), `{:#}` the form that people read (`F♯3`, `B♭`).

use std::fmt;
use std::ops::{Add, Neg};

/// A letter name. The order is C D E F G A B.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// The strings that are red on a harp.
    C,
    /// The letter above C.
    D,
    /// The letter above D.
    E,
    /// The strings that are black or blue on a harp.
    F,
    /// The letter above F.
    G,
    /// The letter above G; octaves change between B and C.
    A,
    /// The highest letter of an octave.
    B,
}

impl Step {
    /// From C to B.
    pub const ALL: [Step; 7] = [Step::C, Step::D, Step::E, Step::F, Step::G, Step::A, Step::B];
    /// The order in which sharps are added to a key signature; flats come in the reverse order.
    pub const SHARPS: [Step; 7] = [Step::F, Step::C, Step::G, Step::D, Step::A, Step::E, Step::B];

    /// From 0 for C to 6 for B.
    pub fn index(self) -> i32 {
        self as i32
    }

    /// The letter `index` steps above C, octaves left aside.
    pub fn from_index(index: i32) -> Step {
        Step::ALL[index.rem_euclid(7) as usize]
    }

    /// Semitones of the natural letter above C.
    pub fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }

    /// The capital letter.
    pub fn letter(self) -> char {
        ['C', 'D', 'E', 'F', 'G', 'A', 'B'][self as usize]
    }

    /// From a letter in either case.
    pub fn from_letter(letter: char) -> Option<Step> {
        Step::ALL.into_iter().find(|s| s.letter() == letter.to_ascii_uppercase())
    }
}

/// A letter and an accidental without an octave: the root of a chord, the tonic of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PitchName {
    /// Its letter.
    pub step: Step,
    /// Semitones: -1 flat, 1 sharp, 2 double sharp.
    pub alter: i32,
}

impl PitchName {
    /// A letter with `alter` half steps: -1 flat, 1 sharp.
    pub fn new(step: Step, alter: i32) -> PitchName {
        PitchName { step, alter }
    }

    /// 0 for C to 11 for B.
    pub fn pitch_class(self) -> i32 {
        (self.step.semitones() + self.alter).rem_euclid(12)
    }

    /// Place on the line of fifths: F is -1, C 0, G 1, F-sharp 6.
    pub fn fifths(self) -> i32 {
        [0, 2, 4, -1, 1, 3, 5][self.step as usize] + 7 * self.alter
    }

    /// The name at a place on the line of fifths; the inverse of [`PitchName::fifths`].
    pub fn from_fifths(fifths: i32) -> PitchName {
        let step = Step::SHARPS[(fifths + 1).rem_euclid(7) as usize];
        PitchName { step, alter: (fifths + 1).div_euclid(7) }
    }

    /// The pitch of this name in an octave; middle C stands in octave 4.
    pub fn at_octave(self, octave: i32) -> Pitch {
        Pitch { step: self.step, alter: self.alter, octave }
    }

    /// The name an interval above, spelled by its steps: a third above E is a G of some kind.
    pub fn up(self, interval: Interval) -> PitchName {
        self.at_octave(4).up(interval).name()
    }
}

impl fmt::Display for PitchName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [flat, sharp] = if f.alternate() { ["♭", "♯"] } else { ["b", "#"] };
        let sign = if self.alter < 0 { flat } else { sharp };
        write!(f, "{}{}", self.step.letter(), sign.repeat(self.alter.unsigned_abs() as usize))
    }
}

/// A written pitch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pitch {
    /// Scientific: middle C is in 4, the B below it in 3.
    pub octave: i32,
    /// Its letter: which string it is.
    pub step: Step,
    /// Half steps up from the letter: -1 flat, 1 sharp.
    pub alter: i32,
}

impl Pitch {
    /// A pitch; the octave comes last, as it is written.
    pub fn new(step: Step, alter: i32, octave: i32) -> Pitch {
        Pitch { octave, step, alter }
    }

    /// Its name without the octave.
    pub fn name(self) -> PitchName {
        PitchName { step: self.step, alter: self.alter }
    }

    /// MIDI note number; middle C is 60. May lie outside 0 to 127 for pitches no instrument has.
    pub fn midi(self) -> i32 {
        12 * (self.octave + 1) + self.step.semitones() + self.alter
    }

    /// 0 for C to 11 for B, however it is spelled.
    pub fn pitch_class(self) -> i32 {
        self.midi().rem_euclid(12)
    }

    /// The string or staff position: seven an octave, C4 is 28. Accidentals do not count.
    pub fn position(self) -> i32 {
        7 * self.octave + self.step.index()
    }

    /// The pitch at a position with an alteration; the inverse of [`Pitch::position`].
    pub fn at_position(position: i32, alter: i32) -> Pitch {
        Pitch { octave: position.div_euclid(7), step: Step::from_index(position), alter }
    }

    /// The pitch an interval above, spelled by its steps.
    ///
    /// ```
    /// use music::{Interval, Pitch};
    ///
    /// // Common practice: a major third (three letters, four half steps) above D is F-sharp, never G-flat.
    /// let d = Pitch::parse("D4").expect("a pitch");
    /// assert_eq!(d.up(Interval::new(2, 4)).to_string(), "F#4");
    /// assert_eq!((d.midi(), d.up(Interval::OCTAVE).midi()), (62, 74));
    /// ```
    pub fn up(self, interval: Interval) -> Pitch {
        let moved = Pitch::at_position(self.position() + interval.steps, 0);
        Pitch { alter: self.midi() + interval.semitones - moved.midi(), ..moved }
    }

    /// Reads `C4`, `F#3`, `Bb2`, `E##5`: the form that [`fmt::Display`] writes.
    pub fn parse(text: &str) -> Option<Pitch> {
        let mut chars = text.chars();
        let step = Step::from_letter(chars.next()?)?;
        let rest = chars.as_str();
        let digits = rest.trim_start_matches(['#', 'b']);
        let signs = &rest[..rest.len() - digits.len()];
        let alter = signs.chars().map(|c| if c == '#' { 1 } else { -1 }).sum();
        let octave = digits.parse().ok()?;
        ((-2..=12).contains(&octave) && signs.len() <= 3).then_some(Pitch { octave, step, alter })
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.name().fmt(f)?;
        write!(f, "{}", self.octave)
    }
}

/// A distance that keeps spelling: letter steps and semitones, both counted upward. A major third is (2, 4).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Interval {
    /// Letters up; on a harp, strings.
    pub steps: i32,
    /// Half steps up.
    pub semitones: i32,
}

impl Interval {
    /// No distance.
    pub const UNISON: Interval = Interval { steps: 0, semitones: 0 };
    /// Seven letters, twelve half steps.
    pub const OCTAVE: Interval = Interval { steps: 7, semitones: 12 };

    /// So many letters and half steps up; both negative for down.
    pub fn new(steps: i32, semitones: i32) -> Interval {
        Interval { steps, semitones }
    }

    /// From one pitch up to another.
    pub fn between(low: Pitch, high: Pitch) -> Interval {
        Interval { steps: high.position() - low.position(), semitones: high.midi() - low.midi() }
    }

    /// So many octaves up.
    pub fn octaves(count: i32) -> Interval {
        Interval { steps: 7 * count, semitones: 12 * count }
    }
}

impl Add for Interval {
    type Output = Interval;
    fn add(self, other: Interval) -> Interval {
        Interval { steps: self.steps + other.steps, semitones: self.semitones + other.semitones }
    }
}

impl Neg for Interval {
    type Output = Interval;
    fn neg(self) -> Interval {
        Interval { steps: -self.steps, semitones: -self.semitones }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 16 and MIDI: A4 is 440 Hz, note 69; middle C is 60.
    #[test]
    fn midi_numbers() {
        assert_eq!(Pitch::new(Step::C, 0, 4).midi(), 60);
        assert_eq!(Pitch::new(Step::A, 0, 4).midi(), 69);
        assert_eq!(Pitch::parse("Cb4").map(Pitch::midi), Some(59));
    }

    #[test]
    fn names_and_fifths_agree() {
        for fifths in -15..=15 {
            assert_eq!(PitchName::from_fifths(fifths).fifths(), fifths);
        }
        assert_eq!(PitchName::from_fifths(-3).to_string(), "Eb");
        assert_eq!(PitchName::from_fifths(6).to_string(), "F#");
    }

    #[test]
    fn names_for_files_and_for_people() {
        let both = |p: Pitch| (p.to_string(), format!("{p:#}"));
        assert_eq!(both(Pitch::new(Step::F, 1, 3)), ("F#3".into(), "F♯3".into()));
        assert_eq!(both(Pitch::new(Step::B, -2, 2)), ("Bbb2".into(), "B♭♭2".into()));
        assert_eq!(both(Pitch::new(Step::C, 0, 4)), ("C4".into(), "C4".into()));
    }

    #[test]
    fn intervals_keep_the_spelling() {
        let up = |p: &str, steps, semitones| Pitch::parse(p).map(|p| p.up(Interval::new(steps, semitones)).to_string());
        assert_eq!(up("Eb3", 2, 3), Some("Gb3".into()));
        assert_eq!(up("B3", 4, 6), Some("F4".into()));
        assert_eq!(up("G#4", 2, 4), Some("B#4".into()));
        assert_eq!(up("C4", -1, -1), Some("B3".into()));
    }
}
