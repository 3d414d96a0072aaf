//! The levels of sheets and what may stand on one. All bounds are our own: a ladder of reading, never shown as an examination's.

use super::rhythm::Meter;
use music::{Key, Mode};

/// The rules of a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Level {
    pub number: u8,
    /// What it holds, in words for the player.
    pub words: &'static str,
    pub keys: &'static [Signature],
    pub meters: &'static [Meter],
    /// Whole measures, in phrases of four.
    pub measures: usize,
    /// The lowest and the highest step of the melody, counted from the tonic.
    pub range: (i32, i32),
    /// The widest leap of the melody in steps (2 is a third).
    pub leap: i32,
    /// The shortest note, in sixteenths.
    pub shortest: u32,
    /// Of a hundred measures inside a phrase so many have two chords.
    pub two_chords: u32,
    /// Of a hundred sheets so many begin with a pickup.
    pub pickup: u32,
    /// Beats a minute.
    pub tempo: (u32, u32),
}

/// A key signature with its mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Signature(pub i32, pub Mode);

impl Signature {
    pub fn key(self) -> Key {
        Key::new(self.0, self.1)
    }
}

const fn major(fifths: i32) -> Signature {
    Signature(fifths, Mode::Major)
}

const fn minor(fifths: i32) -> Signature {
    Signature(fifths, Mode::Minor)
}

const fn dorian(fifths: i32) -> Signature {
    Signature(fifths, Mode::Dorian)
}

const fn mixolydian(fifths: i32) -> Signature {
    Signature(fifths, Mode::Mixolydian)
}

/// All levels, the easiest first. Every key can be set on a lever harp in E♭, and no sheet needs a lever moved for its melody.
pub const LEVELS: [Level; 5] = [
    Level {
        number: 1,
        words: "C, D, F and G major; 4/4 and 3/4; the melody inside a sixth, by step and third; quarters and halves; one chord a measure: I, IV and V",
        keys: &[major(0), major(-1), major(1), major(2)],
        // Three quarters give fewer rhythms: they come a quarter of the time.
        meters: &[Meter::FourFour, Meter::FourFour, Meter::FourFour, Meter::ThreeFour],
        measures: 8,
        range: (0, 5),
        leap: 2,
        shortest: 4,
        two_chords: 0,
        pickup: 0,
        tempo: (60, 76),
    },
    Level {
        number: 2,
        words: "up to two sharps or flats; the melody inside an octave with leaps to a fifth; eighths in pairs; one chord a measure, with II and VI",
        keys: &[major(0), major(-1), major(1), major(2), major(-2)],
        meters: &[Meter::FourFour, Meter::ThreeFour, Meter::TwoFour],
        measures: 8,
        range: (-2, 5),
        leap: 4,
        shortest: 2,
        two_chords: 0,
        pickup: 30,
        tempo: (63, 84),
    },
    Level {
        number: 3,
        words: "minor keys too; 6/8; dotted notes and pickups; sixteen measures; one chord a measure and now and then two",
        keys: &[major(0), major(1), major(2), major(-1), major(-2), minor(0), minor(1), minor(-1)],
        meters: &[Meter::FourFour, Meter::ThreeFour, Meter::SixEight],
        measures: 16,
        range: (-3, 6),
        leap: 5,
        shortest: 2,
        two_chords: 20,
        pickup: 40,
        tempo: (66, 92),
    },
    Level {
        number: 4,
        words: "up to three sharps or flats; notes across the beat and sixteenths; leaps to an octave; often two chords a measure, sevenths among them",
        keys: &[major(3), major(-3), major(2), major(-2), minor(0), minor(-1), minor(-2), minor(1)],
        meters: &[Meter::FourFour, Meter::ThreeFour, Meter::SixEight, Meter::TwoFour],
        measures: 16,
        range: (-3, 7),
        leap: 7,
        shortest: 1,
        two_chords: 45,
        pickup: 50,
        tempo: (69, 96),
    },
    Level {
        number: 5,
        words: "Dorian and Mixolydian beside major and minor; all rhythms of the levels before; a tenth and more; two chords in most measures",
        keys: &[dorian(0), dorian(1), dorian(2), mixolydian(0), mixolydian(1), mixolydian(2), major(3), major(-3), minor(-2), minor(-3)],
        meters: &[Meter::FourFour, Meter::ThreeFour, Meter::SixEight],
        measures: 16,
        range: (-4, 8),
        leap: 7,
        shortest: 1,
        two_chords: 65,
        pickup: 50,
        tempo: (72, 104),
    },
];

impl Level {
    pub fn of(number: u8) -> Option<&'static Level> {
        LEVELS.iter().find(|l| l.number == number)
    }
}
