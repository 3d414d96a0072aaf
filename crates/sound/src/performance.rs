//! A page in seconds: what [`crate::perform()`] makes, and what is rendered or scheduled.

use harp::ring::{RingModel, Struck};
use music::{Beats, Hand, Pitch, Place, Seconds};
use std::collections::BTreeSet;

/// A page as it is played, from the first sound at or after zero.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Performance {
    /// In order of time, then from the lowest string up.
    pub plucks: Vec<Pluck>,
    /// The measures in the order they are played.
    pub passes: Vec<Pass>,
    /// When the last string has rung out and the last measure is over.
    pub end: Seconds,
}

/// One string plucked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pluck {
    /// As written, so as the levers or pedals make it sound; its letter and octave name the string.
    pub pitch: Pitch,
    pub at: Seconds,
    /// When a finger stops the string, if that is before it has rung out.
    pub stopped: Option<Seconds>,
    pub hand: Hand,
    pub strength: Strength,
    pub place: Place,
    /// Index into [`Performance::passes`].
    pub pass: usize,
}

/// One measure being played once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pass {
    /// Index into the measures of the score.
    pub measure: usize,
    pub start: Seconds,
    pub end: Seconds,
    /// The beats of its meter, for a click: place in the measure and time.
    pub beats: Vec<(Beats, Seconds)>,
}

/// How hard a string is plucked, as a share of the strongest pluck in thousandths: 1 to 1000.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Strength(u16);

impl Strength {
    /// The nearest there is.
    pub fn nearest(thousandths: i64) -> Strength {
        Strength(thousandths.clamp(1, 1000) as u16)
    }

    pub fn thousandths(self) -> u16 {
        self.0
    }

    /// The factor by which the string's samples are multiplied, above 0, at most 1.
    pub fn gain(self) -> f32 {
        f32::from(self.0) / 1000.0
    }
}

impl Pluck {
    /// When it is heard no more.
    pub fn until(&self, ring: &RingModel) -> Seconds {
        let rung = self.at + ring.time(self.pitch.position());
        self.stopped.map_or(rung, |stop| stop.min(rung))
    }

    /// The same for the ring model's questions.
    pub fn struck(&self) -> Struck {
        Struck { pitch: self.pitch, at: self.at, stopped: self.stopped }
    }
}

impl Performance {
    /// The strings that are plucked, each with each pitch it is given: what has to be rendered once.
    pub fn strings(&self) -> BTreeSet<Pitch> {
        self.plucks.iter().map(|p| p.pitch).collect()
    }
}
