//! The chords of a measure as she may type them, and those that were taken away.

use crate::chords_of::hers;
use crate::worktable::Worktable;
use music::{Beats, ChordOrigin, Score, ScoreMeasure};
use serde::Serialize;

/// The chords of one measure, in the key of the page.
#[derive(Clone, Debug, Serialize)]
pub struct ChordsHere {
    /// The measure's name among her own chords.
    pub place: String,
    /// As she may type them: "C@1 F@3".
    pub text: String,
    /// All of them are hers.
    pub hers: bool,
    /// Taken away for want of time.
    pub dropped: Vec<Gone>,
    /// What she keeps here that would be taken away.
    pub kept: Vec<String>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Gone {
    pub chord: String,
    /// In quarter notes from the start of the measure.
    pub at: f64,
    /// What keeps it.
    pub keep: String,
    pub why: String,
}

/// Whether the chord that holds at a place is the program's.
pub fn is_ours(score: &Score, index: usize, at: Beats) -> bool {
    let here = score.measures[index].frame.chords.iter().rfind(|c| c.at <= at);
    let before = || score.measures[..index].iter().rev().find_map(|m| m.frame.chords.last());
    here.or_else(before).is_some_and(|c| c.origin == ChordOrigin::Ours)
}

/// `None` for a measure that is not the tune's own.
pub fn chords_here(worktable: &Worktable, measure: &ScoreMeasure) -> Option<ChordsHere> {
    let source = measure.source?;
    let (choices, place) = (&worktable.choices, source.to_string());
    let number = measure.frame.number.to_string();
    let all = worktable.report.chords.iter().flat_map(|c| &c.dropped);
    let gone = all.filter(|d| d.source == source);
    let is_here = |keep: &&String| keep.split('@').next() == Some(&number);
    Some(ChordsHere {
        text: hers::written(&measure.frame),
        hers: choices.chords.contains_key(&place),
        dropped: gone.map(|d| Gone { chord: d.chord.clone(), at: d.at, keep: d.keep.clone(), why: d.why.clone() }).collect(),
        kept: choices.keep.iter().filter(is_here).cloned().collect(),
        place,
    })
}
