//! Chords for a bare melody beside the chords that a tune is known with, which are hidden from the search.
//!
//! [`corpus`] reads tunes and takes their chords off, [`counts`] counts chords in degrees, [`fit`] finds what the cues are worth, [`score`] compares, [`baselines`] are the
//! plain ways that have to be beaten.

pub mod corpus;
pub mod counts;
pub mod fit;
pub mod score;
pub mod baselines;

use harmony::bare::places::Ground;
use music::{Beats, Chord, LeadSheet};

/// A tune with its chords taken off.
pub struct Case {
    pub name: String,
    pub sheet: LeadSheet,
    pub ground: Ground,
    /// What chord held when: (measure, place, length, chord).
    pub truth: Vec<(usize, Beats, Beats, Chord)>,
    /// Tunes with one melody have one number.
    pub melody: usize,
}
