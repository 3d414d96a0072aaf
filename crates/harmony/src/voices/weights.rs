//! The weights of the search, as a table that a person can read: `weights.txt`, one line each with its meaning and at its head where they come from.

use super::labels::{FAMILIES, QUALITIES};
use super::moments::LEVELS;

const TABLE: &str = include_str!("weights.txt");
const HABITS: &str = include_str!("habits.txt");

/// Whole numbers; a thousand is about what one quarter note of a pure chord is worth.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weights {
    /// In the order of the table.
    pub values: Vec<i64>,
    /// How usual a quality is on each semitone above the tonic, in major and minor: -100 times the logarithm of its share.
    pub degrees: [[[i64; QUALITIES]; 12]; 2],
    /// The same for what follows a family of chords: semitones up to the next root, and the next family.
    pub follows: [[[i64; FAMILIES]; 12]; FAMILIES],
}

/// Names in the order of the table.
pub const NAMES: [&str; 62] = [
    "inside",
    "outside",
    "accent-0",
    "accent-1",
    "accent-2",
    "accent-3",
    "accent-4",
    "no-root",
    "no-third",
    "no-fifth",
    "no-seventh",
    "seventh-dom7",
    "seventh-maj7",
    "seventh-min7",
    "seventh-hdim7",
    "seventh-dim7",
    "light-seventh",
    "quality-dim",
    "quality-aug",
    "bass-root",
    "bass-third",
    "bass-fifth",
    "bass-seventh",
    "bass-strange",
    "change-0",
    "change-1",
    "change-2",
    "change-3",
    "change-4",
    "same-again",
    "degree",
    "follow",
    "key-change",
    "none-short",
    "none-long",
    "passing-short-weak",
    "passing-short-strong",
    "passing-long-weak",
    "passing-long-strong",
    "neighbour-short-weak",
    "neighbour-short-strong",
    "neighbour-long-weak",
    "neighbour-long-strong",
    "suspension-short",
    "suspension-long",
    "anticipation-short",
    "anticipation-long",
    "appoggiatura-short",
    "appoggiatura-long",
    "escape-short",
    "escape-long",
    "held-short",
    "held-long",
    "fifth-in-bass-weak",
    "short-chord",
    "one-note",
    "all-tones",
    "bass-first",
    "quiet-change",
    "seventh-fig",
    "bass-out",
    "misspelled",
];

macro_rules! places {
    ($($name:ident = $place:expr),* $(,)?) => { $(pub(super) const $name: usize = $place;)* };
}

places! {
    INSIDE = 0, OUTSIDE = 1, ACCENT = 2, NO_ROOT = 7, NO_THIRD = 8, NO_FIFTH = 9, NO_SEVENTH = 10, SEVENTH = 11, LIGHT_SEVENTH = 16,
    DIM = 17, AUG = 18, BASS_ROOT = 19, BASS_THIRD = 20, BASS_FIFTH = 21, BASS_SEVENTH = 22, BASS_STRANGE = 23, CHANGE = 24,
    SAME_AGAIN = 29, DEGREE = 30, FOLLOW = 31, KEY_CHANGE = 32, FIGURED = 33, WEAK_SIX_FOUR = 53, SHORT_CHORD = 54, ONE_NOTE = 55,
    ALL_TONES = 56, BASS_FIRST = 57, QUIET_CHANGE = 58, SEVENTH_FIG = 59, BASS_OUT = 60, MISSPELLED = 61,
}

impl Weights {
    /// The table that the program carries.
    pub fn ours() -> Weights {
        Weights::read(TABLE, HABITS)
    }

    /// Reads the two tables.
    pub fn read(table: &str, habits: &str) -> Weights {
        let lines = |text: &str| -> Vec<Vec<String>> {
            let kept = text.lines().filter(|l| !l.starts_with('#') && !l.trim().is_empty());
            kept.map(|l| l.split_whitespace().map(str::to_owned).collect()).collect()
        };
        let number = |text: &String| text.parse::<i64>().expect("our own table holds whole numbers");
        let mut values = vec![0; NAMES.len()];
        for line in lines(table) {
            let place = NAMES.iter().position(|n| *n == line[0]).expect("our own table has known names");
            values[place] = number(&line[1]);
        }
        let mut weights = Weights { values, degrees: Default::default(), follows: Default::default() };
        for line in lines(habits) {
            let numbers = |from: usize| line[from..].iter().map(number);
            match line[0].as_str() {
                "degree" => {
                    let (mode, above) = (number(&line[1]) as usize, number(&line[2]) as usize);
                    numbers(3).zip(&mut weights.degrees[mode][above]).for_each(|(n, to)| *to = n);
                }
                _ => {
                    let (family, up) = (number(&line[1]) as usize, number(&line[2]) as usize);
                    numbers(3).zip(&mut weights.follows[family][up]).for_each(|(n, to)| *to = n);
                }
            }
        }
        weights
    }

    pub(super) fn key_change(&self) -> i64 {
        self.values[KEY_CHANGE]
    }

    pub(super) fn of(&self, place: usize) -> i64 {
        self.values[place]
    }

    pub(super) fn accent(&self, level: usize) -> i64 {
        self.values[ACCENT + level.min(LEVELS - 1)]
    }

    /// How much of the price of a note outside the chord is asked, in percent.
    pub(super) fn figured(&self, note: &super::moments::Sounding) -> i64 {
        use super::moments::Figuration::*;
        let long = usize::from(note.long);
        let strong = usize::from(note.on_beat && note.begins);
        let place = match note.figuration {
            None => long,
            Passing => 2 + 2 * long + strong,
            Neighbour => 6 + 2 * long + strong,
            Suspension => 10 + long,
            Anticipation => 12 + long,
            Appoggiatura => 14 + long,
            Escape => 16 + long,
            Held => 18 + long,
        };
        self.values[FIGURED + place]
    }
}
