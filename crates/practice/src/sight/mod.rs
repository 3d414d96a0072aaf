//! New melodies to read at sight: numbered, endless, each from its level and number alone.
//!
//! A [`Level`] says what may stand on a sheet. [`chords`] lays out two or four phrases with their cadences, [`rhythm`] gives them a rhythm in which motifs come back,
//! [`melody`] finds the line: a search over the strings of the level that lets the strong beats stand in the chord, goes by step for the most part, rises and falls over a
//! phrase and closes where the cadence is. [`luck`] is where sheets differ: a sequence made of level and number, the same on every machine. [`abc`] writes a sheet down.

pub mod level;
pub mod luck;
pub mod chords;
pub mod rhythm;
pub mod melody;
pub mod abc;

pub use level::{LEVELS, Level};

use chords::Harmony;
use luck::Luck;
use melody::Tone;
use music::Key;

/// The highest number of a sheet.
pub const MOST: u32 = 1_000_000;

/// A sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    pub level: u8,
    pub number: u32,
    pub title: String,
    pub key: Key,
    pub meter: rhythm::Meter,
    /// Beats (dotted quarters in 6/8) a minute.
    pub tempo: u32,
    /// One a measure, or two.
    pub chords: Vec<Vec<Harmony>>,
    /// The melody of each measure.
    pub measures: Vec<Vec<Tone>>,
    /// The notes before the first bar line.
    pub pickup: Vec<Tone>,
}

/// The sheet of a level with a number. `None`: there is no such level or number.
pub fn sheet(level: u8, number: u32) -> Option<Sheet> {
    let rules = Level::of(level)?;
    if !(1..=MOST).contains(&number) {
        return None;
    }
    (0..=u8::MAX).find_map(|attempt| tried(rules, number, Luck::of(level, number, attempt)))
}

fn tried(rules: &Level, number: u32, mut luck: Luck) -> Option<Sheet> {
    let level = rules.number;
    let key = luck.one_of(rules.keys).key();
    let meter = *luck.one_of(rules.meters);
    let plan = chords::plan(rules, &key, meter, &mut luck);
    let rhythm = rhythm::rhythm(rules, meter, &plan, &mut luck);
    let melody = melody::melody(rules, &key, meter, &plan, &rhythm, &mut luck)?;
    let tempo = luck.between(rules.tempo.0 / 4, rules.tempo.1 / 4) * 4;
    let tempo = if meter == rhythm::Meter::SixEight { tempo * 2 / 3 / 4 * 4 } else { tempo };
    Some(Sheet {
        level,
        number,
        title: format!("Sight reading {level}, number {number}"),
        key,
        meter,
        tempo,
        chords: plan.chords,
        measures: melody.measures,
        pickup: melody.pickup,
    })
}
