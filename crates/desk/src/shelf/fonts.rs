//! SoundFonts of her own: files ending in .sf2 directly in her folder, which may take the place of our strings.

use super::{Shelf, is_plain};
use crate::failure::Failure;
use std::path::PathBuf;

fn is_font(name: &str) -> bool {
    is_plain(name) && name.rsplit_once('.').is_some_and(|(_, ending)| ending.eq_ignore_ascii_case("sf2"))
}

/// What is said of a font there is not.
fn missing(name: &str) -> Failure {
    Failure::wrong(format!("there is no SoundFont \"{name}\" in your folder: put the .sf2 file beside your tunes"))
}

impl Shelf {
    /// The names of her fonts.
    pub fn fonts(&self) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(&self.folder) else { return Vec::new() };
        let names = entries.flatten().filter_map(|entry| entry.file_name().into_string().ok());
        let mut fonts: Vec<String> = names.filter(|name| self.font(name).is_ok()).collect();
        fonts.sort();
        fonts
    }

    /// The path of a font there is. Errors: none of this name stands directly in the folder.
    pub fn font(&self, name: &str) -> Result<PathBuf, Failure> {
        let path = self.folder.join(name);
        let inside = |real: PathBuf| real.parent() == Some(&self.folder) && real.is_file();
        if is_font(name) && path.canonicalize().is_ok_and(inside) { Ok(path) } else { Err(missing(name)) }
    }
}
