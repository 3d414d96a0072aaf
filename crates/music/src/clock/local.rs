//! The clock near one place of the page: what a chord that is planned, or a measure that is looked at, needs to know of time.
//!
//! Where one tempo holds all through, a length takes the same time everywhere; so nothing is looked up.

use crate::time::{Beats, Seconds, Tempo};

/// Times counted from a place of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LocalClock {
    /// What holds first, and from where and when on what holds later; empty where one tempo holds.
    first: Tempo,
    later: Vec<(Beats, Seconds, Tempo)>,
    /// The tempo at the place itself.
    here: Tempo,
}

impl LocalClock {
    /// One tempo that never changes.
    pub fn steady(tempo: Tempo) -> LocalClock {
        LocalClock { first: tempo, later: Vec::new(), here: tempo }
    }

    /// `pieces` are in order, at least one; the first is taken to hold before it too.
    pub(super) fn of(pieces: impl Iterator<Item = (Beats, Seconds, Tempo)>) -> Option<LocalClock> {
        let mut later: Vec<(Beats, Seconds, Tempo)> = pieces.collect();
        let first = later.first()?.2;
        let here = later.iter().rfind(|p| p.0 <= Beats::ZERO).map_or(first, |p| p.2);
        if later.len() == 1 {
            later.clear();
        }
        Some(LocalClock { first, later, here })
    }

    /// The tempo at the place the times are counted from.
    pub fn tempo(&self) -> Tempo {
        self.here
    }

    /// When a place comes; what lies at the end of a hold comes after it.
    pub fn at(&self, place: Beats) -> Seconds {
        match self.later.iter().rfind(|p| p.0 <= place).or(self.later.first()) {
            Some((from, time, tempo)) => *time + tempo.seconds(place - *from),
            None => self.first.seconds(place),
        }
    }

    /// What passes from one place to another.
    pub fn between(&self, from: Beats, to: Beats) -> Seconds {
        if self.later.is_empty() { self.first.seconds(to - from) } else { self.at(to) - self.at(from) }
    }
}
