//! Why a chord was taken away, in a few words.

use super::given::Given;
use music::{Chord, Interval};
use std::fmt;

/// What spoke against a chord, the plainest first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// With the chord between gone, the one before goes on through it.
    GoesOn,
    /// A six-four chord that only delays this chord.
    Delays(Chord),
    /// Its bass passes by step between these two.
    Passes(Chord, Chord),
    /// It begins between two beats.
    BetweenBeats,
    /// It stands on a weak beat.
    WeakBeat,
    /// The measure has room for so many, and others matter more to the phrase.
    NoRoom(usize),
}

impl Why {
    /// The same with its chords in another key.
    pub fn up(&self, by: Interval) -> Why {
        match self {
            Why::Delays(next) => Why::Delays(next.up(by)),
            Why::Passes(before, next) => Why::Passes(before.up(by), next.up(by)),
            other => other.clone(),
        }
    }
}

pub(super) fn why(given: &[Given], kept: &[bool], i: usize) -> Why {
    let chord = |g: Option<&Given>| g.and_then(|g| g.chord.clone());
    let held = (0..i).rev().find(|j| kept[*j]).map(|j| &given[j]);
    let around = (chord(i.checked_sub(1).map(|j| &given[j])), chord(given.get(i + 1)));
    match around {
        _ if held.is_some_and(|h| h.is_same(&given[i])) => Why::GoesOn,
        (_, Some(next)) if given[i].six_four => Why::Delays(next),
        (Some(before), Some(next)) if given[i].passes => Why::Passes(before, next),
        _ if given[i].beat == 3 => Why::BetweenBeats,
        _ if given[i].beat == 2 => Why::WeakBeat,
        _ => Why::NoRoom(given.iter().enumerate().filter(|(j, g)| g.measure == given[i].measure && kept[*j]).count()),
    }
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Why::GoesOn => f.write_str("goes on from before"),
            Why::Delays(next) => write!(f, "only delays {next:#}"),
            Why::Passes(before, next) => write!(f, "passes between {before:#} and {next:#}"),
            Why::BetweenBeats => f.write_str("comes between two beats"),
            Why::WeakBeat => f.write_str("stands on a weak beat"),
            Why::NoRoom(0) => f.write_str("matters less than the chord that holds"),
            Why::NoRoom(1) => f.write_str("matters less than the chord that stays"),
            Why::NoRoom(_) => f.write_str("matters less than the chords that stay"),
        }
    }
}
