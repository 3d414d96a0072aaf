//! The diary: what she practised, how long, at what tempo, which step passed. A database in her folder, one file ([`mod@file`]): what stands in it ([`kept`], [`stays`]),
//! when a tune needs a visit ([`visits`], of [`day`]s), what the page is told ([`shown`], with a [`picture`] of the last weeks), and all of it as plain text ([`texts`]).
//!
//! The file is opened for each question and closed again, so that it may be copied, brought from another machine or put away while the program runs.

pub mod day;
pub mod visits;
pub mod file;
pub mod kept;
pub mod stays;
pub mod shown;
pub mod picture;
pub mod texts;

use crate::failure::Failure;
use crate::shelf::Shelf;
use day::Day;
use std::path::PathBuf;

/// The file's name.
pub const FILE: &str = "undersong-diary.sqlite";
/// The longest name, title and sentence that is kept, in bytes.
pub const LONGEST: usize = 600;

/// The diary of a folder.
#[derive(Clone, Copy)]
pub struct Diary<'a> {
    shelf: &'a Shelf,
}

/// A moment where she sits: milliseconds since 1970, and the day on her calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    millis: i64,
    day: Day,
}

impl Moment {
    /// Errors: the day is not within a day of the moment, wherever on earth she sits.
    pub fn of(millis: i64, day: &str) -> Result<Moment, Failure> {
        let wrong = || Failure::wrong(format!("\"{day}\" is not the day of this moment: expected a day as 2026-11-26"));
        let day = Day::parse(day).ok_or_else(wrong)?;
        let near = day.since(Day::of_millis(millis)).abs() <= 1;
        if near { Ok(Moment { millis, day }) } else { Err(wrong()) }
    }

    pub fn millis(self) -> i64 {
        self.millis
    }

    pub fn day(self) -> Day {
        self.day
    }
}

impl<'a> Diary<'a> {
    pub fn of(shelf: &'a Shelf) -> Diary<'a> {
        Diary { shelf }
    }

    pub fn path(&self) -> PathBuf {
        self.shelf.folder().join(FILE)
    }
}

/// Errors: a text that is too long for the diary.
fn short(texts: &[&str]) -> Result<(), Failure> {
    if texts.iter().any(|text| text.len() > LONGEST) {
        return Err(Failure::wrong(format!("a name or a sentence is longer than {LONGEST} letters: say it shorter")));
    }
    Ok(())
}
