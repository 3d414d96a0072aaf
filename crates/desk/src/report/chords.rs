//! Where the chords came from, how many stay, and which were taken away.

pub mod made;

use crate::chords_of::{ChordsOf, From};
use crate::job::Job;
use crate::reader::Reader;
use crate::worktable::chord_name;
use music::{Interval, MeasureNumber};
use serde::Serialize;

/// What there is to say of chords that are not simply those of the file.
#[derive(Clone, Debug, Serialize)]
pub struct ChordFacts {
    /// "file", "voices", "melody" or "nowhere".
    pub from: &'static str,
    /// How many voices the file has, where they give the chords or could.
    pub voices: Option<usize>,
    /// "three" or "fuller" for chords made for the melody.
    pub version: Option<&'static str>,
    /// Measures that had no chords and were given some, as printed; nothing where all of the tune was.
    #[serde(serialize_with = "crate::number::list")]
    pub filled: Vec<MeasureNumber>,
    /// The chords that were made, each once, in the order of their first coming.
    pub made: Vec<String>,
    /// Strong notes of the melody that are not of their chord, in words.
    pub outside: Vec<String>,
    pub found: usize,
    pub stand: usize,
    /// The most in a full measure, and whether she wished it.
    pub a_measure: Option<usize>,
    pub wished: bool,
    /// What was taken away, in written order.
    pub dropped: Vec<DroppedFacts>,
}

/// A chord that was taken away, named in the key of the page.
#[derive(Clone, Debug, Serialize)]
pub struct DroppedFacts {
    /// The printed number of its measure.
    pub measure: u32,
    /// The measure of the file, from 0.
    pub source: usize,
    /// In quarter notes from the start of the measure.
    pub at: f64,
    /// What keeps it: "5@2".
    pub keep: String,
    pub chord: String,
    pub why: String,
}

pub fn facts(job: &Job) -> Option<ChordFacts> {
    let chords = &job.chords;
    let plain = match chords.from {
        From::Voices(_) | From::Melody(_) => false,
        From::File => chords.most.is_none() && chords.voices.is_none() && chords.made.is_none(),
        From::Nowhere => chords.most.is_none() && chords.voices.is_none(),
    };
    if plain {
        return None;
    }
    let by = job.arrangement.moved;
    Some(ChordFacts {
        from: match chords.from {
            From::File => "file",
            From::Voices(_) => "voices",
            From::Melody(_) => "melody",
            From::Nowhere => "nowhere",
        },
        voices: chords.voices,
        version: chords.made.as_ref().and_then(|m| m.version).map(made::version_name),
        filled: made::filled(job),
        made: made::names(job),
        outside: made::outside(job),
        found: chords.found,
        stand: chords.stand,
        a_measure: chords.most,
        wished: chords.most_wished,
        dropped: dropped(chords, by),
    })
}

fn dropped(chords: &ChordsOf, by: Interval) -> Vec<DroppedFacts> {
    let fact = |gone: &harmony::thin::Dropped| DroppedFacts {
        measure: gone.number.count,
        source: gone.measure,
        at: gone.at.as_f64(),
        keep: chord_name(gone.number.count as usize, gone.at),
        chord: gone.symbol.up(by).harmony.to_string(),
        why: gone.why.up(by).to_string(),
    };
    chords.dropped.iter().map(fact).collect()
}

/// "31 found in its 4 voices; 20 of them stay, at most 2 in a measure: there is time for no more".
pub fn line(facts: &ChordFacts, reader: Reader) -> Option<String> {
    let count = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let found = match (facts.from, facts.voices) {
        ("voices", Some(voices)) => format!("{} found in its {}", count(facts.found, "chord"), count(voices, "voice")),
        ("melody", _) => made::line(facts, reader),
        ("file", _) => match made::filled_line(facts) {
            Some(filled) => format!("{}; {filled}", count(facts.found, "chord")),
            None if facts.a_measure.is_some() => count(facts.found, "chord"),
            None => return None,
        },
        _ => return None,
    };
    let Some(most) = facts.a_measure.filter(|_| !facts.dropped.is_empty()) else { return Some(found) };
    let why = match (facts.wished, reader) {
        (true, _) => "as you wish".to_owned(),
        (false, Reader::CommandLine) => "as many as there is time for (--chords-a-measure changes it)".to_owned(),
        (false, Reader::Page) => "as many as there is time for".to_owned(),
    };
    Some(format!("{found}; {} of them stay, at most {most} in a measure, {why}", facts.stand))
}

/// "measure 1: E minor …" for each chord that was taken away.
pub fn dropped_lines(facts: &ChordFacts) -> Vec<String> {
    facts.dropped.iter().map(|d| format!("{}: {} {}", MeasureNumber::from(d.measure).in_words(), music::as_read(&d.chord), d.why)).collect()
}

/// What she should know first of them: where they came from, on the page; what was wished and cannot be; how they lie.
pub fn sentences(job: &Job, reader: Reader) -> Vec<String> {
    let chords = &job.chords;
    let mut said: Vec<String> = chords.unmet.iter().chain(&chords.said).cloned().collect();
    if reader == Reader::Page
        && let Some(line) = facts(job).filter(|f| f.from == "voices" || f.from == "melody").and_then(|f| line(&f, reader))
    {
        let back = if chords.dropped.is_empty() { "" } else { " The others stand grey at their measures and can be brought back." };
        said.insert(0, format!("The tune has no chord symbols of its own: {line}.{back}"));
    }
    if reader == Reader::Page
        && let Some(filled) = facts(job).filter(|f| f.from == "file").and_then(|f| made::filled_line(&f))
    {
        said.insert(0, format!("Some measures have no chord symbols: {filled}."));
    }
    said
}

/// What to do for a tune without chords.
pub fn none(job: &Job, reader: Reader) -> String {
    match job.chords.voices {
        Some(voices) => format!(
            "The tune has no chord symbols, so the left hand has nothing to play. Its {voices} voices can give it chords: {}.",
            reader.either("--chords voices", "\"Chords from its voices\", under Whole tune")
        ),
        None => format!(
            "The tune has no chord symbols, so the left hand has nothing to play. Its melody can be given chords: {}.",
            reader.either("--chords three or --chords fuller", "\"Three chords\" or \"More chords\", under Whole tune")
        ),
    }
}
