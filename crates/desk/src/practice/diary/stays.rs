//! Stays: one sitting at one thing, as a step, a drill or a sheet to read at sight; or what she practised elsewhere and wrote down.

use super::{Diary, Moment, short};
use crate::failure::Failure;
use rusqlite::{Connection, Error, Transaction, params};
use serde::{Deserialize, Serialize};

/// What a stay was at.
pub const KINDS: [&str; 6] = ["step", "drill", "sight", "cues", "recording", "elsewhere"];
/// The longest stay, in seconds: a day.
const LONGEST_STAY: u32 = 24 * 3600;
/// The fastest click that a stay is kept with.
const FASTEST: u32 = 1000;

/// One sitting at one thing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Stay {
    /// On her calendar, when it began.
    pub day: String,
    /// Milliseconds since 1970.
    pub began: i64,
    /// The tune's file; empty for a sheet to read at sight.
    pub tune: String,
    pub tune_title: String,
    /// One of [`KINDS`].
    pub what: String,
    /// Which step, drill or sheet, in words.
    pub title: String,
    pub seconds: u32,
    /// The last tempo at which the other part was played: beats a minute, and percent of the tune's own. None: nothing was played.
    pub beats: Option<u32>,
    pub percent: Option<u32>,
}

impl Stay {
    /// Errors: a sentence.
    pub fn check(&self) -> Result<(), Failure> {
        Moment::of(self.began, &self.day)?;
        short(&[&self.tune, &self.tune_title, &self.what, &self.title])?;
        if !KINDS.contains(&self.what.as_str()) {
            return Err(Failure::wrong(format!("\"{}\" is nothing that is practised: expected {}", self.what, KINDS.join(", "))));
        }
        if self.seconds == 0 || self.seconds > LONGEST_STAY {
            return Err(Failure::wrong("how long was it? Between a minute and a day is written down"));
        }
        if self.beats.into_iter().chain(self.percent).any(|n| n == 0 || n > FASTEST) {
            return Err(Failure::wrong(format!("a tempo is between 1 and {FASTEST}")));
        }
        Ok(())
    }
}

impl Diary<'_> {
    /// Keeps a stay. The same stay, longer by now, takes the place of what was kept of it.
    pub fn stay(&self, stay: &Stay) -> Result<(), Failure> {
        stay.check()?;
        self.writing(|writing| put(writing, stay).map_err(|error| self.cannot("cannot save", error)))
    }

    /// Takes a stay out again.
    pub fn take_out(&self, stay: &Stay) -> Result<(), Failure> {
        let out = "DELETE FROM stay WHERE began = ? AND tune = ? AND what = ? AND title = ?";
        self.writing(|writing| {
            let done = writing.execute(out, params![stay.began, stay.tune, stay.what, stay.title]);
            done.map(drop).map_err(|error| self.cannot("cannot save", error))
        })
    }

    /// The stays since a day, the earliest first.
    pub fn stays(&self, since: &str) -> Result<Vec<Stay>, Failure> {
        Ok(self.reading(|c| stays(c, since))?.unwrap_or_default())
    }
}

pub(super) fn stays(connection: &Connection, since: &str) -> Result<Vec<Stay>, Error> {
    let mut asked = connection.prepare(
        "SELECT day, began, tune, tune_title, what, title, seconds, beats, percent FROM stay WHERE day >= ? ORDER BY began, tune, what, title",
    )?;
    let row = |row: &rusqlite::Row| {
        Ok(Stay {
            day: row.get(0)?,
            began: row.get(1)?,
            tune: row.get(2)?,
            tune_title: row.get(3)?,
            what: row.get(4)?,
            title: row.get(5)?,
            seconds: row.get(6)?,
            beats: row.get(7)?,
            percent: row.get(8)?,
        })
    };
    asked.query_map([since], row)?.collect()
}

pub(super) fn put(writing: &Transaction, stay: &Stay) -> Result<(), Error> {
    let put = "INSERT OR REPLACE INTO stay (day, began, tune, tune_title, what, title, seconds, beats, percent) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)";
    let Stay { day, began, tune, tune_title, what, title, seconds, beats, percent } = stay;
    writing.execute(put, params![day, began, tune, tune_title, what, title, seconds, beats, percent]).map(drop)
}
