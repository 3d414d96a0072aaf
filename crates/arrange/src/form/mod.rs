//! The whole of a piece: what is put before, between and after the verses.
//!
//! An introduction, a vamp, an interlude and an ending are measures like those of the tune, with chords and a melody, so that everything that is done for the
//! tune is done for them. [`home`] says to which chords the tune comes home, [`played`] has the tune as it is played once, [`opening`] makes what leads to
//! the first note and [`close`] what comes after the last; [`crate::tune`] lays it all out. How to close early from any measure is found in [`crate::ways_out`]. Why it is as it is stands in [`why`].

pub mod home;
pub mod played;
pub mod opening;
pub mod close;
pub mod why;

use harmony::kind::KindOfTune;
use home::Home;
use music::{LeadSheet, Part, SheetMeasure};
use opening::Opening;
use played::Played;
use why::Why;

/// What she wishes of the whole. Default: the tune alone, its repeats as they are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Form {
    pub introduction: Option<Length>,
    /// A stretch before the first verse that goes round until she is ready.
    pub vamp: Option<Length>,
    /// Between verses.
    pub interlude: Option<Length>,
    pub ending: Option<Ending>,
    pub repeats: Repeats,
    pub ways_out: WaysOut,
}

/// How many measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Length {
    Two,
    Four,
}

impl Length {
    pub fn measures(self) -> usize {
        match self {
            Length::Two => 2,
            Length::Four => 4,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// One chord.
    Short,
    /// The last two measures once more, slower, and a chord.
    Usual,
    /// Four measures that climb the chord and thin out.
    Fading,
}

/// What is done with the repeat signs of one verse; several verses are always written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Repeats {
    #[default]
    Kept,
    WrittenOut,
}

/// Whether ways out are printed at the ends of phrases.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum WaysOut {
    #[default]
    Known,
    Printed,
}

/// A part that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    pub part: Part,
    pub heading: String,
    pub measures: Vec<SheetMeasure>,
    /// For each measure, by how much the left hand is fuller than in the verse beside it; mostly less.
    pub fuller: Vec<i8>,
    /// At least this full, where the right hand leaves the music to the left.
    pub least: u8,
    pub why: Vec<Why>,
}

/// All that was made for a tune.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Added {
    pub introduction: Option<Made>,
    pub vamp: Option<Made>,
    pub interlude: Option<Made>,
    pub ending: Option<Made>,
}

impl Added {
    pub fn is_empty(&self) -> bool {
        self.all().next().is_none()
    }

    pub fn all(&self) -> impl Iterator<Item = &Made> {
        [&self.introduction, &self.vamp, &self.interlude, &self.ending].into_iter().flatten()
    }

    /// Something stands before the tune.
    pub fn leads_in(&self) -> bool {
        self.introduction.is_some() || self.vamp.is_some()
    }
}

/// The highest string there is, for what is played an octave up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Highest(pub i32);

/// Makes what is wished for a tune that is in its key. An interlude is made for several verses only.
pub fn make(sheet: &LeadSheet, form: &Form, kind: KindOfTune, verses: usize, highest: Highest) -> Added {
    let (Some(played), Some(home)) = (Played::of(sheet), Home::of(sheet)) else { return Added::default() };
    let opening = Opening { played: &played, home: &home, kind };
    Added {
        introduction: form.introduction.map(|length| opening.introduction(length)),
        vamp: form.vamp.map(|length| opening.vamp(length)),
        interlude: form.interlude.filter(|_| verses > 1).map(|length| opening.interlude(length)),
        ending: form.ending.map(|ending| close::ending(&played, &home, ending, highest)),
    }
}
