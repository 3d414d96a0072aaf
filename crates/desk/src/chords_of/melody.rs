//! Chords made for the melody: for a tune that has none, or for those of its measures that have none.

use harmony::bare::{Found, Given, Version, chords, fill};
use music::{Beats, LeadSheet};

/// Chords that the program made for a melody.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// `None` where only missing ones were filled in.
    pub version: Option<Version>,
    pub found: Found,
}

impl Made {
    /// The chord that was made for a place of the file.
    pub fn at(&self, measure: usize, at: Beats) -> Option<&Given> {
        self.found.given.iter().rfind(|g| g.measure == measure && g.at <= at && at < g.at + g.length)
    }
}

/// Puts chords under the whole melody, in place of what stood there. `None` for a melody without notes.
pub fn put(sheet: &mut LeadSheet, version: Version) -> Option<Made> {
    if sheet.measures.iter().flat_map(|m| &m.notes).all(|n| n.is_rest()) {
        return None;
    }
    sheet.measures.iter_mut().for_each(|m| m.frame.chords.clear());
    let found = chords(sheet, version);
    lay(sheet, &found);
    Some(Made { version: Some(version), found })
}

/// Puts chords where the tune has none; what is written stays.
pub fn put_missing(sheet: &mut LeadSheet) -> Option<Made> {
    let found = fill(sheet);
    lay(sheet, &found);
    (!found.given.is_empty()).then_some(Made { version: None, found })
}

fn lay(sheet: &mut LeadSheet, found: &Found) {
    for (measure, placed) in found.symbols(sheet) {
        sheet.measures[measure].frame.chords.push(placed);
    }
}

/// Where a chord of hers stands before one of ours that only went on, ours is said again: what she changes changes there and not further.
pub fn resume(sheet: &mut LeadSheet, made: &Made) {
    let given = &made.found.given;
    for pair in given.windows(2) {
        let (before, next) = (&pair[0], &pair[1]);
        let frame = &sheet.measures[before.measure].frame;
        let end = if next.measure == before.measure { next.at } else { frame.length };
        let stands = frame.chords.iter().rfind(|c| c.at < end);
        let changed = stands.is_some_and(|c| c.symbol.chord() != Some(&before.chord));
        let chords = &mut sheet.measures[next.measure].frame.chords;
        if changed && chords.iter().all(|c| c.at != next.at) {
            chords.push(next.placed());
            chords.sort_by_key(|c| c.at);
        }
    }
}
