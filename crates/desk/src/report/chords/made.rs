//! Chords that the program made for the melody: which, where, and why each is what it is.

use super::ChordFacts;
use crate::job::Job;
use crate::reader::Reader;
use crate::report::remarks::in_measures;
use harmony::bare::{Other, Reason, Version};
use music::{Beats, Interval, MeasureNumber, as_read};
use serde::Serialize;

pub fn version_name(version: Version) -> &'static str {
    match version {
        Version::ThreeChord => "three",
        Version::Fuller => "fuller",
    }
}

/// The printed numbers of measures of the tune that were filled in.
pub fn filled(job: &Job) -> Vec<MeasureNumber> {
    let Some(made) = job.chords.made.as_ref().filter(|m| m.version.is_none()) else { return Vec::new() };
    let mut numbers: Vec<MeasureNumber> = made.found.given.iter().map(|g| job.imported.sheet.measures[g.measure].frame.number).collect();
    numbers.dedup();
    numbers
}

/// The chords that were made, in the key of the page.
pub fn names(job: &Job) -> Vec<String> {
    let by = job.arrangement.moved;
    let mut names: Vec<String> = Vec::new();
    for given in job.chords.made.iter().flat_map(|m| &m.found.given) {
        let name = given.chord.up(by).to_string();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// "measure 3: F♯ is not of G: it passes".
pub fn outside(job: &Job) -> Vec<String> {
    let by = job.arrangement.moved;
    let told = |o: &harmony::bare::Outside| {
        let (pitch, chord) = (o.pitch.up(by).name(), as_read(&o.chord.up(by).to_string()));
        let number = job.imported.sheet.measures[o.measure].frame.number.in_words();
        format!("{number}: {pitch:#} is not of {chord}: it {}", o.figuration)
    };
    job.chords.made.iter().flat_map(|m| &m.found.outside).map(told).collect()
}

/// "made for the melody, at most three to a section: G D7 C".
pub fn line(facts: &ChordFacts, reader: Reader) -> String {
    let names: Vec<String> = facts.made.iter().map(|n| as_read(n)).collect();
    let (how, other) = match facts.version {
        Some("three") => (", at most three to a section", reader.either(" (--chords fuller makes more)", "")),
        _ => ("", reader.either(" (--chords three makes the plainest)", "")),
    };
    format!("made for the melody{how}: {}{other}", names.join(" "))
}

/// "those of measures 5-8 were made for the melody".
pub fn filled_line(facts: &ChordFacts) -> Option<String> {
    (!facts.filled.is_empty()).then(|| format!("those in {} were made for the melody", in_measures(&facts.filled)))
}

/// A made chord at a place of the page, in its key.
#[derive(Clone, Debug, Serialize)]
pub struct MadeHere {
    pub chord: String,
    pub why: String,
    /// The best first.
    pub others: Vec<OtherHere>,
}

/// A chord that might stand there instead.
#[derive(Clone, Debug, Serialize)]
pub struct OtherHere {
    /// In the key of the page.
    pub chord: String,
    /// In the tune's own key, as her choices name it.
    pub own: String,
    pub worth: &'static str,
    pub why: String,
}

/// What there is to say of a chord of ours at a place of the file; nothing where another stands.
pub fn here(job: &Job, measure: usize, at: Beats, chord: &str) -> Option<MadeHere> {
    let by = job.arrangement.moved;
    let given = job.chords.made.as_ref()?.at(measure, at)?;
    let name = given.chord.up(by).to_string();
    let other = |o: &Other| OtherHere {
        chord: o.chord.up(by).to_string(),
        own: o.chord.to_string(),
        worth: worth(o.less),
        why: why(&o.reasons, by),
    };
    (name == chord).then(|| MadeHere { why: why(&given.reasons, by), others: given.others.iter().map(other).collect(), chord: name })
}

fn why(reasons: &[Reason], by: Interval) -> String {
    reasons.iter().map(|r| r.up(by).to_string()).collect::<Vec<_>>().join("; ")
}

/// Hundredths of log odds in words. Ours: two to one is not much among chords.
fn worth(less: i64) -> &'static str {
    match less {
        ..40 => "as good",
        40..180 => "a little less good",
        _ => "clearly less good",
    }
}
