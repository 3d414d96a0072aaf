//! Thinning: chords that change too fast for a harp become what a harp can say.
//!
//! [`pace`] says how many chords a measure has room for; [`given`] gathers what speaks for each chord and which notes of the melody it carries; [`search`]
//! finds the best choice exactly; [`why`] says of each dropped chord why it went; [`basses`] leaves only those inversions that make a line. Chords are
//! taken away, never moved or changed, and only in measures that have more than their number. The weights are ours ([`given`]).

use crate::phrases::breaths::Breath;
use music::{Beats, ChordSymbol, Clock, LeadSheet, MeasureNumber, PlacedChord};

pub mod basses;
mod given;
mod pace;
mod search;
mod why;

pub use basses::basses_that_matter;
pub use pace::Pace;
pub use why::Why;

/// A chord that was taken away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dropped {
    /// Index of the written measure, its printed number, the place in it.
    pub measure: usize,
    /// Its printed number.
    pub number: MeasureNumber,
    /// The place in it.
    pub at: Beats,
    /// What stood there.
    pub symbol: ChordSymbol,
    /// Why it went.
    pub why: Why,
}

impl std::fmt::Display for Dropped {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {} {}", self.number.in_words(), music::as_read(&self.symbol.harmony.to_string()), self.why)
    }
}

/// What thinning has to heed beside the tune itself.
pub struct Task<'a> {
    /// The times of the tune.
    pub clock: &'a Clock,
    /// Where one breathes.
    pub breaths: &'a [Breath],
    /// How many chords a measure has room for.
    pub pace: &'a Pace,
    /// Chords that stay whatever their number, by the index of their measure.
    pub stays: &'a dyn Fn(usize, &PlacedChord) -> bool,
}

/// Takes chords away until no measure has more than its number; those that stay by wish alone may be more. The last chord of the tune always stays.
/// What was taken is told in written order.
pub fn thin(sheet: &mut LeadSheet, task: &Task) -> Vec<Dropped> {
    let given = given::given(sheet, task);
    if given.iter().all(|g| g.stays) {
        return Vec::new();
    }
    let kept = search::search(&given);
    let mut dropped = Vec::new();
    for (i, g) in given.iter().enumerate().filter(|(i, _)| !kept[*i]) {
        let frame = &sheet.measures[g.measure].frame;
        let symbol = frame.chords[g.index].symbol.clone();
        dropped.push(Dropped { measure: g.measure, number: frame.number, at: g.at, symbol, why: why::why(&given, &kept, i) });
    }
    for gone in &dropped {
        sheet.measures[gone.measure].frame.chords.retain(|c| c.at != gone.at || c.symbol != gone.symbol);
    }
    dropped
}

#[cfg(test)]
mod tests;
