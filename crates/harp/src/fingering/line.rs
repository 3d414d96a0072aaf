//! One hand's line: what it plucks, and when.

use crate::hand::Strike;
use music::Seconds;
use thiserror::Error;

/// One pluck of one hand: one string or several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pluck {
    /// When, from the beginning of the page.
    pub at: Seconds,
    /// Positions of the strings (see [`music::Pitch::position`]), lowest first, each once.
    pub strings: Vec<i32>,
    /// Together or rolled.
    pub strike: Strike,
    /// A measure or chord begins here: the hand rather places anew than keeps on from before.
    pub anew: bool,
    /// Fingers the player chose, by string; a finger that no hand can place there is passed over.
    pub wanted: Vec<(i32, u8)>,
    /// How the same passage is taken elsewhere, so that it is taken alike here.
    pub liked: Option<Liked>,
}

/// How a pluck is taken elsewhere: its fingers by string, and whether a group begins with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Liked {
    /// Finger 1 (thumb) to 4 by string.
    pub fingers: Vec<(i32, u8)>,
    /// The hand is placed anew for it.
    pub begins: bool,
}

impl Pluck {
    /// Strings plucked together, with no wish and no beginning: `strings` from the lowest up.
    pub fn of(at: Seconds, strings: &[i32]) -> Pluck {
        Pluck { at, strings: strings.to_vec(), strike: Strike::Together, anew: false, wanted: Vec::new(), liked: None }
    }

    /// Twice the middle between the lowest and the highest string: where the hand is.
    pub(crate) fn middle(&self) -> i32 {
        self.strings.first().unwrap_or(&0) + self.strings.last().unwrap_or(&0)
    }
}

/// The plucks of one hand, each later than the one before.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line(Vec<Pluck>);

/// Why plucks are no line; each names the first pluck that is in the way, from 0.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum LineError {
    /// It has no string.
    #[error("pluck {0} has no string: expected one to four")]
    Empty(usize),
    /// Its strings are not in order.
    #[error("the strings of pluck {0} are not in order from the lowest, each once")]
    Strings(usize),
    /// It is not later than the one before.
    #[error("pluck {0} is not later than the one before: strings plucked together are one pluck")]
    Time(usize),
    /// It lies beyond what is counted.
    #[error("pluck {0} lies outside the strings and times that can be counted")]
    Bounds(usize),
}

/// The widest position and the longest time a line may hold: far beyond any harp and any piece.
const WIDEST: i32 = 1000;
const LONGEST: i64 = 1_000_000_000_000;

impl Line {
    /// Checks what the search relies on. Plucks are counted from 0 in the errors.
    pub fn new(plucks: Vec<Pluck>) -> Result<Line, LineError> {
        for (i, pluck) in plucks.iter().enumerate() {
            if pluck.strings.is_empty() {
                return Err(LineError::Empty(i));
            }
            if pluck.strings.iter().any(|s| s.abs() > WIDEST) || pluck.at.micros().abs() > LONGEST {
                return Err(LineError::Bounds(i));
            }
            if !pluck.strings.is_sorted_by(|a, b| a < b) {
                return Err(LineError::Strings(i));
            }
            if i > 0 && plucks[i - 1].at >= pluck.at {
                return Err(LineError::Time(i));
            }
        }
        Ok(Line(plucks))
    }

    /// They, in order of time.
    pub fn plucks(&self) -> &[Pluck] {
        &self.0
    }
}
