//! What music21 found in the tunes of its corpus, as `outside/facts.py` wrote it down.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// All tunes of one format.
#[derive(Debug, Deserialize)]
pub struct Facts {
    /// The folder below which the files lie.
    pub root: PathBuf,
    pub tunes: Vec<Tune>,
}

/// Most pieces of the corpus with chord symbols are madrigals of one composer, long and much alike: one in so many of them is enough.
const MADRIGALS: usize = 5;

impl Facts {
    /// Enough of the tunes to meet all that they can bring: a share of the madrigals, and every other tune.
    pub fn enough(&self) -> impl Iterator<Item = &Tune> {
        let (madrigals, others): (Vec<_>, Vec<_>) = self.tunes.iter().partition(|tune| tune.file.contains("monteverdi"));
        others.into_iter().chain(madrigals.into_iter().step_by(MADRIGALS))
    }
}

/// The 33 chord kinds.
#[derive(Debug, Deserialize)]
pub struct Kinds {
    pub kinds: Vec<Kind>,
}

/// A chord kind's tones as (degree, semitones above the root): by the words of the standard, and in music21.
#[derive(Debug, Deserialize)]
pub struct Kind {
    pub name: String,
    pub standard: Option<Vec<(i32, i32)>>,
    pub music21: Option<Vec<(i32, i32)>>,
}

/// What experts read in chorales.
#[derive(Debug, Deserialize)]
pub struct Analyses {
    /// The folder below which the files lie.
    pub root: PathBuf,
    pub scores: Vec<Analysis>,
}

/// One score with its chords; none where score and analysis could not be laid over each other.
#[derive(Debug, Deserialize)]
pub struct Analysis {
    pub file: String,
    /// The share of the notes' time that belongs to these chords.
    pub fits: f64,
    pub chords: Vec<ExpertChord>,
}

/// (onset and end in quarter notes, pitch class of the root, kind as in `undersong chords --csv`, pitch class of the bass, tonic of the key).
#[derive(Debug, Deserialize)]
pub struct ExpertChord(pub f64, pub f64, pub usize, pub String, pub usize, pub String);

/// One tune of an ABC file, or one MusicXML score.
#[derive(Debug, Deserialize)]
pub struct Tune {
    /// Its file below the root.
    pub file: String,
    /// What the file is called in lists: the folder of the unofficial MusicXML test suite is "test-suite".
    pub name: String,
    /// The number in the tune's `X:` field.
    pub tune: Option<u32>,
    /// How long music21 took to read it.
    pub seconds: f64,
    #[serde(default)]
    pub parts: Vec<Part>,
    /// Why music21 could not read it.
    pub error: Option<String>,
}

#[derive(Debug, Deserialize)]
pub struct Part {
    /// Place of the part in the source, from 1; the staves of one part share it.
    pub place: u32,
    /// The staff within the part, from 1.
    pub staff: u32,
    pub measures: Vec<Measure>,
    /// Indices of the measures as played; none where music21 could not say.
    pub order: Option<Vec<usize>>,
}

impl Part {
    /// There is a note with a pitch in it.
    pub fn sounds(&self) -> bool {
        self.measures.iter().any(|m| m.lines.values().any(|line| !line.is_empty()))
    }
}

#[derive(Debug, Deserialize)]
pub struct Measure {
    /// From the start of the measure to the end of what stands in it.
    pub length: Fraction,
    /// The events of each voice; a measure with one voice has it under the empty name.
    pub lines: BTreeMap<String, Vec<Event>>,
    /// (place, fifths).
    pub keys: Vec<(Fraction, i32)>,
    /// (place, as written: "3/4", "2/8+3/8").
    pub meters: Vec<(Fraction, String)>,
    pub chords: Vec<PlacedChord>,
}

/// (place, pitch class of the root, all pitch classes, pitch class of the bass, text); no root and no bass for an explicit silence of chords.
pub type PlacedChord = (Fraction, Option<i32>, Vec<i32>, Option<i32>, String);

/// (place, length, MIDI pitches from low to high, tied from before).
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Event(pub Fraction, pub Fraction, pub Vec<i32>, pub bool);

/// A time in quarter notes, in lowest terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Fraction(pub i64, pub i64);

impl Fraction {
    pub const ZERO: Fraction = Fraction(0, 1);

    pub fn new(numerator: i64, denominator: i64) -> Fraction {
        let divisor = greatest_divisor(numerator.unsigned_abs(), denominator.unsigned_abs()).max(1) as i64;
        Fraction(numerator / divisor, denominator / divisor)
    }

    pub fn plus(self, other: Fraction) -> Fraction {
        Fraction::new(self.0 * other.1 + other.0 * self.1, self.1 * other.1)
    }
}

fn greatest_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { greatest_divisor(b, a % b) }
}

impl std::fmt::Display for Fraction {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.1 == 1 { write!(f, "{}", self.0) } else { write!(f, "{}/{}", self.0, self.1) }
    }
}

impl<'de> Deserialize<'de> for Fraction {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Fraction, D::Error> {
        let text = String::deserialize(deserializer)?;
        let (numerator, denominator) = text.split_once('/').unwrap_or((&text, "1"));
        match (numerator.parse(), denominator.parse()) {
            (Ok(n), Ok(d)) => Ok(Fraction(n, d)),
            _ => Err(serde::de::Error::custom(format!("{text} is no fraction"))),
        }
    }
}

/// The value of a variable that `scripts/test` sets. A test that needs it fails without: a check that was not made must not look passed.
pub fn prepared(variable: &str) -> PathBuf {
    match std::env::var_os(variable) {
        Some(value) => PathBuf::from(value),
        None => panic!("{variable} is not set: run scripts/test, which prepares what the checks against the outside need"),
    }
}

/// Loads what `outside/facts.py` wrote: [`Facts`] from "abc" and "musicxml", [`Kinds`] from "kinds", [`Analyses`] from
/// "chords".
pub fn load<T: DeserializeOwned>(name: &str) -> T {
    let path = prepared("UNDERSONG_FACTS").join(format!("{name}.json"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}; scripts/test writes it", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}
