//! How much work the search for settings may be: states are counted and no clock is read, so that every machine stops at the same point and finds the same plan.

/// States that may be made in exact runs: so many times the width, and once more the width for so many places.
const TIMES_THE_WIDTH: usize = 8;
const PLACES: usize = 64;
/// States that may be made in the others, at least and for each place.
const AT_LEAST: usize = 40_000;
const TO_A_PLACE: usize = 500;

/// Whether a run gives up when more is open than it follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Run {
    /// Never: it follows what looks best.
    Any,
    /// At once: only an answer that is proved counts.
    Exact,
}

/// How many states may still be made for a page.
#[derive(Clone, Copy, Debug)]
pub(super) struct Effort {
    exact: usize,
    any: usize,
    /// How many were made.
    pub made: usize,
}

impl Effort {
    /// `most` may be made in exact runs, even where the width would allow more.
    pub fn new(width: usize, places: usize, most: usize) -> Effort {
        let exact = width.saturating_mul(TIMES_THE_WIDTH + places / PLACES).min(most);
        Effort { exact, any: AT_LEAST.saturating_add(places.saturating_mul(TO_A_PLACE)), made: 0 }
    }

    pub fn is_spent(&self, run: Run) -> bool {
        match run {
            Run::Exact => self.exact == 0,
            Run::Any => self.any == 0,
        }
    }

    pub fn spend(&mut self, run: Run, states: usize) {
        let left = match run {
            Run::Exact => &mut self.exact,
            Run::Any => &mut self.any,
        };
        *left = left.saturating_sub(states);
        self.made = self.made.saturating_add(states);
    }
}
