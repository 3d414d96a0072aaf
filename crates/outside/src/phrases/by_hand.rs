//! Tunes that we cut by hand, told by their titles; their notes are elsewhere.

use super::score::Hits;
use formats::{ReadOptions, read};
use harmony::phrases::{Phrases, line::Line};
use music::LeadSheet;
use std::collections::BTreeSet;

/// One tune of the list.
pub struct Cut {
    /// Its title; before it the number in its file ("X:80") where several have one title.
    pub title: &'static str,
    /// The measures with which phrases begin, the first phrase left out.
    pub measures: BTreeSet<usize>,
}

/// The list.
pub fn cuts() -> Vec<Cut> {
    let lines = include_str!("../../phrases/by_hand.txt").lines().filter(|l| !l.starts_with('#'));
    lines.map(cut).collect()
}

fn cut(line: &'static str) -> Cut {
    let parts: Vec<&str> = line.split('|').map(str::trim).collect();
    let [title, measures, why] = parts[..] else { panic!("not three parts: {line}") };
    assert!(!why.is_empty(), "{title}: no reason");
    let measures = measures.split_whitespace().map(|m| m.parse().unwrap_or_else(|_| panic!("{title}: {m} is no measure")));
    Cut { title, measures: measures.collect() }
}

/// Every tune of an ABC file that is in the list.
pub fn tunes(text: &str) -> Vec<(Cut, LeadSheet)> {
    let split = format!("\n{text}");
    let tunes = split.split("\nX:").skip(1).map(|t| format!("X:{t}"));
    let listed = |t: String| {
        let title = t.lines().find_map(|l| l.strip_prefix("T:"))?.trim().to_owned();
        let numbered = format!("{} {title}", t.lines().next()?.replace(' ', ""));
        let cut = cuts().into_iter().find(|c| c.title == title || c.title == numbered)?;
        let sheet = read(t.as_bytes(), &ReadOptions { tune: None, part: None }).ok()?.sheet;
        Some((cut, sheet))
    };
    tunes.filter_map(listed).collect()
}

/// What the planner's phrases are beside the cut.
pub fn hits(found: &Phrases, cut: &Cut) -> Hits {
    Hits::of(&beginnings(found), &cut.measures)
}

/// The measures with which phrases begin, the first phrase left out.
pub fn beginnings(found: &Phrases) -> BTreeSet<usize> {
    (0..found.measures.len()).filter(|i| found.measures[*i].first_of_phrase).skip(1).collect()
}

/// Marked beginnings as the measures they fall on; what begins in the last half of a measure is a pickup to the next.
pub fn measures(line: &Line, notes: &BTreeSet<usize>, sheet: &LeadSheet) -> BTreeSet<usize> {
    notes.iter().map(|k| line.first_measure(*k, sheet)).collect()
}
