//! What the settings are planned for: printed places, the playing order, the notes, and the player's times.

use crate::instrument::{Instrument, Mechanism};
use music::{Pitch, Seconds, Step};
use std::ops::Range;
use thiserror::Error;

/// What is moved: the lever of one string (by its position), or the pedal of one letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// By the position of its string.
    Lever(i32),
    /// By its letter.
    Pedal(Step),
}

impl Part {
    /// What sets this pitch's string; `None` where nothing does (no lever, no disc, no string).
    pub fn of(harp: &Instrument, pitch: Pitch) -> Option<Part> {
        if harp.settings_of(pitch.position()).len() < 2 {
            return None;
        }
        Some(match harp.mechanism {
            Mechanism::Levers(_) => Part::Lever(pitch.position()),
            Mechanism::Pedals { .. } => Part::Pedal(pitch.step),
        })
    }

    /// Who moves it: 0 for the hand that moves levers and for the left foot (D, C, B), 1 for the right foot (E, F, G, A; harp facts 1.3).
    pub fn limb(self) -> usize {
        match self {
            Part::Pedal(Step::E | Step::F | Step::G | Step::A) => 1,
            Part::Pedal(_) | Part::Lever(_) => 0,
        }
    }
}

/// A grid instant on the printed page at which something may sound or be moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GridPlace {
    /// Time on the printed page, each measure once.
    pub at: Seconds,
    /// How long from here the hand that moves levers is free, the times before and after the move taken off. Feet are always free.
    pub room: Seconds,
    /// What each move costs more for being made here.
    pub awkward: u64,
}

/// A string on which a note may be plucked: its spelling, and what this one costs more than the written one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spelling {
    /// The string, and how it must stand.
    pub pitch: Pitch,
    /// 0 for the written one, mostly.
    pub price: u64,
}

/// Whether a note may be left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Omission {
    /// It may not.
    Never,
    /// It may, at this price.
    Price(u64),
}

/// One printed note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Use {
    /// Index of the place where it is plucked.
    pub place: usize,
    /// Index of the first place at which its string may be moved again: the end of the written note, or of the last one tied to it. Where the
    /// playing order jumps away before, what is left of the note's time holds the string from where it jumps to.
    pub until: usize,
    /// The strings it can be plucked on, the written one first.
    pub spellings: Vec<Spelling>,
    /// Whether it may be left out.
    pub omission: Omission,
}

/// What is planned for. A printed note is plucked alike in every pass. A gesture is finished before the playing order jumps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Passage {
    pub(crate) places: Vec<GridPlace>,
    pub(crate) end: Seconds,
    pub(crate) uses: Vec<Use>,
    pub(crate) order: Vec<Range<usize>>,
}

/// Why there is no such passage; each names the first thing in the way, from 0.
#[derive(Clone, Copy, Debug, Error, PartialEq, Eq)]
pub enum PassageError {
    /// A place out of order.
    #[error("place {0} is not later than the one before: expected places in order of time, the end after the last")]
    Places(usize),
    /// A note out of order or without time.
    #[error("note {0} is not at a place of the passage, or ends where it begins: expected a place and a later end, notes in order")]
    Use(usize),
    /// A stretch that is none.
    #[error("stretch {0} of the playing order is empty or leaves the page")]
    Order(usize),
    /// Too few stretches or too many.
    #[error("{0} stretches in the playing order: expected 1 to 250")]
    Stretches(usize),
}

impl Passage {
    /// `uses` in order of place; `order` names stretches of place indices as they are played (a repeat is the same stretch twice).
    pub fn new(places: Vec<GridPlace>, end: Seconds, uses: Vec<Use>, order: Vec<Range<usize>>) -> Result<Passage, PassageError> {
        let n = places.len();
        let at = |i: usize| places.get(i).map_or(end, |p| p.at);
        if let Some(bad) = (0..n).find(|i| at(*i) >= at(i + 1)) {
            return Err(PassageError::Places(bad + 1));
        }
        let ordered = |i: usize| i == 0 || uses[i - 1].place <= uses[i].place;
        if let Some(bad) = (0..uses.len()).find(|i| uses[*i].place >= n || uses[*i].until <= uses[*i].place || !ordered(*i)) {
            return Err(PassageError::Use(bad));
        }
        if let Some(bad) = order.iter().position(|r| r.is_empty() || r.end > n) {
            return Err(PassageError::Order(bad));
        }
        let mut joined: Vec<Range<usize>> = Vec::new();
        for stretch in order {
            match joined.last_mut() {
                Some(last) if last.end == stretch.start => last.end = stretch.end,
                _ => joined.push(stretch),
            }
        }
        if !(1..=250).contains(&joined.len()) {
            return Err(PassageError::Stretches(joined.len()));
        }
        Ok(Passage { places, end, uses, order: joined })
    }

    /// In order of time.
    pub fn places(&self) -> &[GridPlace] {
        &self.places
    }

    /// The stretches of places in playing order.
    pub fn order(&self) -> &[Range<usize>] {
        &self.order
    }

    /// The notes, in order of their places.
    pub fn uses(&self) -> &[Use] {
        &self.uses
    }

    /// The time of a place, or the end.
    pub(crate) fn time(&self, place: usize) -> i64 {
        self.places.get(place).map_or(self.end, |p| p.at).micros()
    }

    /// The first place at or after a time, or the end.
    pub(super) fn place_from(&self, time: i64) -> usize {
        self.places.partition_point(|p| p.at.micros() < time)
    }
}

/// The weights of a plan's price.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Prices {
    /// Each move made. The unit of the others.
    pub a_move: u64,
    /// A pedal moved by two notches more: slower and noisier than one (harp facts 1.3, common practice; half a move, ASSUME).
    pub two_notches: u64,
    /// Each sign on the page: of two pages that are played alike, the cleaner one.
    pub sign: u64,
    /// A sign that does nothing the first time it is passed, because all stands so already: a reader takes it for a mistake. OURS.
    pub idle: u64,
    /// A note that cannot be had and may not be left out: dearer than any number of moves.
    pub missing: u64,
}

impl Default for Prices {
    fn default() -> Prices {
        Prices { a_move: 1000, two_notches: 500, sign: 10, idle: 400, missing: 1_000_000_000 }
    }
}
