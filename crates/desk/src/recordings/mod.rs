//! Recordings that she has of her tunes: which lie in her folder, and where the measures of a tune are in one.
//!
//! A recording stays where it lies and is never written. [`kept`] is the small file beside the tune with the places, [`shown`] what the page is told of them.

pub mod kept;
pub mod shown;

use crate::failure::Failure;
use crate::plain_file::Most;
use crate::shelf::{Shelf, is_plain};
use recording::RecordingError;
use std::path::PathBuf;

/// Endings of the recordings that can be read.
pub const ENDINGS: [&str; 5] = ["wav", "mp3", "flac", "ogg", "oga"];
/// The largest recording that a page may send here; larger ones are read in the folder.
pub const MOST_SENT: usize = 200 * 1024 * 1024;
/// A recording in the folder.
pub const MOST: Most = Most { bytes: recording::error::MIB * 1024 * 1024, of: "a recording" };

pub fn is_recording(name: &str) -> bool {
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).unwrap_or_default();
    is_plain(name) && ENDINGS.contains(&ending.as_str())
}

impl Shelf {
    /// The recordings directly in the folder, by name.
    pub fn recordings(&self) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(self.folder()) else { return Vec::new() };
        let ordinary = entries.flatten().filter(|e| e.path().is_file());
        let mut names: Vec<String> = ordinary.filter_map(|e| e.file_name().into_string().ok()).filter(|n| is_recording(n)).collect();
        names.sort_by_key(|n| n.to_lowercase());
        names
    }

    /// The path of a recording there is. Errors: none of this name stands directly in the folder.
    pub fn recording(&self, name: &str) -> Result<PathBuf, Failure> {
        let missing = || Failure::wrong(format!("there is no recording \"{name}\" in your folder"));
        if !is_recording(name) {
            return Err(missing());
        }
        let real = self.folder().join(name).canonicalize().map_err(|_| missing())?;
        let inside = real.parent() == Some(self.folder()) && real.is_file();
        if inside { Ok(real) } else { Err(missing()) }
    }
}

impl From<RecordingError> for Failure {
    fn from(error: RecordingError) -> Failure {
        match error {
            RecordingError::World { path, error } => Failure::world("cannot read", &path, &error),
            _ => Failure::wrong(error),
        }
    }
}
