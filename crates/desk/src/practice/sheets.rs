//! Sheets to read at sight as tunes of the desk: the same way from text to page and sound as any tune of hers.

use crate::choices::Choices;
use crate::failure::Failure;
use crate::one_staff::{self, Tempo};
use crate::worktable::Worktable;
use practice::sight::{self, LEVELS, MOST, Sheet};
use std::path::Path;

/// The sheet of a level with a number. Error: there is none.
pub fn sheet(level: u8, number: u32) -> Result<Sheet, Failure> {
    if !LEVELS.iter().any(|l| l.number == level) {
        return Err(Failure::wrong(format!("there is no level {level}: expected 1 to {}", LEVELS.len())));
    }
    sight::sheet(level, number).ok_or_else(|| Failure::wrong(format!("there is no sheet {number}: expected 1 to {MOST}")))
}

/// The sheet on her harp.
pub fn worktable(folder: &Path, sheet: &Sheet, choices: &Choices) -> Result<Worktable, Failure> {
    Worktable::new(folder, &sheet.title, sheet.abc().as_bytes(), choices)
}

/// The lead sheet of an arranged tune: the melody and its chords.
pub fn lead_sheet(worktable: &Worktable) -> String {
    one_staff::upper(worktable.musicxml(), Tempo::Written)
}
