//! Phrases beside what others marked: fermatas of chorales, lines of folk songs, and tunes cut by hand.
//!
//! [`corpus`] reads the tunes and hides the marks, [`fit`] finds what the cues are worth, [`score`] compares, [`by_hand`] holds our own cuts.

pub mod corpus;
pub mod fit;
pub mod score;
pub mod by_hand;

use harmony::phrases::line::Line;
use music::LeadSheet;
use std::collections::BTreeSet;

/// A tune with its marks taken off.
pub struct Case {
    pub name: String,
    pub sheet: LeadSheet,
    pub line: Line,
    /// The notes with which phrases begin after a mark, the first note and what follows the last mark at the end left out.
    pub begins: BTreeSet<usize>,
    /// Tunes with one melody have one number.
    pub melody: usize,
    /// Its part in the fitting of the program's own table.
    pub part: Part,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    Fitted,
    HeldOut,
}
