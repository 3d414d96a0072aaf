//! TOML files of the player's: reading one, and where in it a mistake stands.

use crate::failure::Failure;
use crate::plain_file;
use serde::de::DeserializeOwned;
use std::fmt::Display;
use std::ops::Range;
use std::path::Path;

/// A settings file: its name for messages, and its text.
pub struct TomlFile {
    pub name: String,
    pub text: String,
}

impl TomlFile {
    pub fn open(path: &Path) -> Result<TomlFile, Failure> {
        Ok(TomlFile { name: path.display().to_string(), text: plain_file::text(path, plain_file::SETTINGS)? })
    }

    /// Reads it as a table with the fields of `T`.
    pub fn table<T: DeserializeOwned>(&self) -> Result<T, Failure> {
        toml::from_str(&self.text).map_err(|error| {
            let place = error.span().unwrap_or(0..0);
            self.wrong(&place, error.message().trim_end().replace('\n', ": "))
        })
    }

    /// A mistake at a place: "FILE:LINE:COLUMN: error: …".
    pub fn wrong(&self, place: &Range<usize>, what: impl Display) -> Failure {
        let (line, column) = self.line_and_column(place.start);
        Failure::in_file(format_args!("{}:{line}:{column}", self.name), what)
    }

    fn line_and_column(&self, at: usize) -> (usize, usize) {
        let before = self.text.get(..at).unwrap_or(&self.text);
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }
}
