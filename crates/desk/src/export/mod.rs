//! Everything of a folder as plain files, to take to another machine: her tunes with what stands beside them, harps, figures, usual choices, the bin, and the diary as text.
//!
//! What goes along is told by its ending, so that a new kind of text goes along by itself. Recordings, SoundFonts and pages that were printed stay where they lie.
//! [`zipped`] puts all of it into one file, [`written`] into a folder; [`bring`] brings it back and overwrites nothing by itself.

pub mod zipped;
pub mod written;
pub mod bring;

use crate::failure::Failure;
use crate::plain_file::{self, Most};
use crate::practice::diary::texts::{Contents, LADDERS, MARKS, STAYS};
use crate::practice::diary::{Diary, FILE};
use crate::save::NEIGHBOUR;
use crate::shelf::bin::BIN;
use crate::shelf::{ENDINGS, Shelf, is_plain};
use std::collections::BTreeMap;
use std::path::Path;

/// Endings of the texts that go along beside the tunes.
const TEXTS: [&str; 4] = ["toml", "txt", "json", "csv"];
/// The folder of the diary's texts.
const DIARY: &str = "diary";
const DIARY_TEXTS: [&str; 3] = [STAYS, MARKS, LADDERS];
/// One file, and all of them.
const LARGEST: Most = Most { bytes: 16 * 1024 * 1024, of: "a file that goes along" };
const MOST_BYTES: u64 = 512 * 1024 * 1024;
const MOST_FILES: usize = 50_000;

/// What goes along.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Everything {
    /// By their place in the folder: a name, or "bin/" and a name.
    pub files: BTreeMap<String, Vec<u8>>,
    pub diary: Contents,
    /// What lies there too and does not go along, by name.
    pub left_out: Vec<String>,
}

fn ending(name: &str) -> String {
    name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).unwrap_or_default()
}

/// A file's place in the folder, if a file there would go along.
fn goes_along(path: &str) -> bool {
    let name = path.strip_prefix(BIN).and_then(|rest| rest.strip_prefix('/')).unwrap_or(path);
    let ending = ending(name);
    is_plain(name) && (ENDINGS.contains(&ending.as_str()) || TEXTS.contains(&ending.as_str()))
}

impl Everything {
    /// All that lies in a folder of tunes. Errors: a file cannot be read.
    pub fn of(shelf: &Shelf) -> Result<Everything, Failure> {
        let mut all = Everything { diary: Diary::of(shelf).contents()?, ..Everything::default() };
        all.gather(shelf.folder(), "")?;
        all.gather(&shelf.folder().join(BIN), "bin/")?;
        Ok(all)
    }

    /// Takes the files directly in a folder, if it is there.
    fn gather(&mut self, folder: &Path, before: &str) -> Result<(), Failure> {
        if !folder.is_dir() {
            return Ok(());
        }
        let entries = std::fs::read_dir(folder).map_err(|error| Failure::world("cannot read the folder", folder, &error))?;
        let mut names: Vec<String> =
            entries.flatten().filter(|e| e.path().is_file()).filter_map(|e| e.file_name().into_string().ok()).collect();
        names.sort();
        for name in names.into_iter().filter(|n| !n.starts_with('.') && !n.starts_with(NEIGHBOUR) && !n.starts_with(FILE)) {
            let path = format!("{before}{name}");
            if goes_along(&path) {
                self.take(path, plain_file::bytes(&folder.join(&name), LARGEST)?)?;
            } else {
                self.left_out.push(path);
            }
        }
        Ok(())
    }

    fn take(&mut self, path: String, bytes: Vec<u8>) -> Result<(), Failure> {
        self.files.insert(path, bytes);
        let all: u64 = self.files.values().map(|b| b.len() as u64).sum();
        if self.files.len() > MOST_FILES || all > MOST_BYTES {
            return Err(Failure::wrong(format!(
                "more than {MOST_FILES} files or {} MiB do not go along at once",
                MOST_BYTES / (1024 * 1024)
            )));
        }
        Ok(())
    }

    /// Takes a file from where everything was put: a file of the folder, a text of the diary, or something else, which is left out.
    fn found(&mut self, path: &str, bytes: Vec<u8>) -> Result<(), Failure> {
        let text = path.strip_prefix(DIARY).and_then(|rest| rest.strip_prefix('/')).filter(|name| DIARY_TEXTS.contains(name));
        if let Some(name) = text {
            let text = String::from_utf8(bytes).map_err(|_| Failure::wrong(format!("{path} is not a text file in UTF-8")))?;
            return self.diary.read(name, &text);
        }
        if goes_along(path) {
            return self.take(path.to_owned(), bytes);
        }
        self.left_out.push(path.to_owned());
        Ok(())
    }

    /// Every file by its place, those of the diary among them. The same folder gives the same bytes.
    fn places(&self) -> BTreeMap<String, Vec<u8>> {
        let mut places = self.files.clone();
        if !self.diary.is_empty() {
            places.extend(self.diary.files().map(|(name, text)| (format!("{DIARY}/{name}"), text.into_bytes())));
        }
        places
    }

    fn tunes(&self) -> usize {
        self.files.keys().filter(|path| !path.contains('/') && ENDINGS.contains(&ending(path).as_str())).count()
    }

    /// "4 tunes, 9 other files and a diary of 12 entries".
    pub fn said(&self) -> String {
        let many = |n: usize, one: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") };
        let entries = self.diary.stays.len() + self.diary.marks.len() + self.diary.tunes.len();
        let entries = if entries == 1 { "1 entry".to_owned() } else { format!("{entries} entries") };
        let others = self.files.len() - self.tunes();
        format!("{}, {} and a diary of {entries}", many(self.tunes(), "tune"), many(others, "other file"))
    }
}
