//! What a candidate is: one playable way to fill a slot; and why a figure has none there. They are made by [`crate::filling`].

use crate::figures::Job;
use crate::hand_time::{Pluck, TooFast};
use crate::price::Price;
use crate::principles::{Entry, Exit};
use harp::HandLimit;
use std::collections::BTreeMap;
use std::fmt;

/// One playable way to fill a slot.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Index into [`crate::figures::Figures::all`].
    pub figure: usize,
    pub job: Job,
    pub plucks: Vec<Pluck>,
    /// The string of a last tone that leads by step into the next bass.
    pub lead: Option<i32>,
    pub price: Price,
    pub entry: Entry,
    pub exit: Exit,
}

/// A candidate before it is known whether it is kept.
pub(crate) struct Draft {
    pub figure: usize,
    pub job: Job,
    pub plucks: Vec<Pluck>,
    pub lead: Option<i32>,
    pub price: Price,
}

/// The candidates of one slot and what was left out.
#[derive(Clone, Debug)]
pub struct Candidates {
    pub candidates: Vec<Candidate>,
    /// For each figure with no candidate here: the reason its last placement failed for.
    pub left_out: BTreeMap<usize, Reason>,
}

/// Why a figure is not played at a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    NoSuchMeter,
    NoSuchTone,
    OffTheHarp,
    Hand(HandLimit),
    TooFast(TooFast),
    TuneString,
    CrossesTune,
    TooHigh,
    NotForThisKind,
    LeftOutByYou,
    OnlyTheLastChord,
    OnlyPhraseEnds,
    TooMany,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reason::NoSuchMeter => f.write_str("it has no pattern for this meter or length"),
            Reason::NoSuchTone => f.write_str("the chord lacks a tone that it needs"),
            Reason::OffTheHarp => f.write_str("it needs strings this harp does not have"),
            Reason::Hand(limit) => limit.fmt(f),
            Reason::TooFast(TooFast::Plucks) => f.write_str("it is too fast for the hand at this tempo"),
            Reason::TooFast(TooFast::Blocks) => f.write_str("its chords come too quickly one after another at this tempo"),
            Reason::TooFast(TooFast::SameString) => f.write_str("a string would have to be plucked again too soon"),
            Reason::TooFast(TooFast::Leap) => f.write_str("the hand has no time for its leap"),
            Reason::TuneString => f.write_str("it needs a string that the melody is on"),
            Reason::CrossesTune => f.write_str("it would rise into the melody"),
            Reason::TooHigh => f.write_str("it would rise higher than the left hand goes"),
            Reason::NotForThisKind => f.write_str("it does not belong to this kind of tune"),
            Reason::LeftOutByYou => f.write_str("you left it out"),
            Reason::OnlyTheLastChord => f.write_str("it is only for the last chord"),
            Reason::OnlyPhraseEnds => f.write_str("it is only for phrase ends and the top of the tune"),
            Reason::TooMany => f.write_str("others fit better here"),
        }
    }
}
