//! The player's folder: which files are tunes, their names, taking one in; [`bin`] is the way out and back, [`fonts`] are
//! sounds of her own, [`sets`] tunes in an order, [`lock`] keeps a second desk out. A tune's own file is written only where
//! she asks.

pub mod bin;
pub mod fonts;
pub mod sets;
pub mod lock;

use crate::failure::{Failure, Missing};
use crate::save::{self, Disk, Standing};
use crate::toml_file::TomlFile;
use crate::usual::FILE;
use formats::read::LARGEST_FILE;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::{Duration, UNIX_EPOCH};

/// Endings of tune files.
pub const ENDINGS: [&str; 4] = ["abc", "musicxml", "xml", "mxl"];
/// What stands after a tune's name for the file of choices, for those of undo steps, of places in a recording, and of what she practised as older programs kept it.
pub const CHOICES: &str = ".undersong.toml";
pub const HISTORY: &str = ".undersong-history.json";
pub const RECORDING: &str = ".undersong-recording.json";
pub const PRACTICE: &str = ".undersong-practice.toml";
/// A file with figures of her own.
pub const FIGURES: &str = "figures.txt";
/// No save takes so long.
const LEFT_BEHIND: Duration = Duration::from_secs(3600);

/// A folder of tunes.
pub struct Shelf {
    folder: PathBuf,
    disk: Box<dyn Disk>,
}

/// A tune's file, seen from outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spine {
    /// The file's name.
    pub id: String,
    /// Seconds since 1970: the file itself, and its choices where there are some.
    pub changed: u64,
    pub worked_on: Option<u64>,
}

/// A name that stays in its folder on every system and is not hidden.
pub fn is_plain(name: &str) -> bool {
    let bad = |c: char| c.is_control() || "/\\:".contains(c);
    !name.is_empty() && name.len() <= 240 && !name.starts_with('.') && !name.chars().any(bad) && name.trim() == name
}

/// The tune of an address, which may name one of its versions after a colon.
pub fn tune_of(id: &str) -> &str {
    id.split_once(':').map_or(id, |(tune, _)| tune)
}

fn is_tune(name: &str) -> bool {
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).unwrap_or_default();
    is_plain(name) && ENDINGS.contains(&ending.as_str())
}

impl Shelf {
    /// Opens a folder, made where it is missing.
    pub fn open(folder: &Path, disk: Box<dyn Disk>) -> Result<Shelf, Failure> {
        let cannot = |error| Failure::world("cannot make the folder", folder, &error);
        std::fs::create_dir_all(folder).map_err(cannot)?;
        let folder = folder.canonicalize().map_err(|error| Failure::world("cannot open the folder", folder, &error))?;
        let shelf = Shelf { folder, disk };
        shelf.tidy();
        Ok(shelf)
    }

    /// Takes away what a kill in the middle of a save has left, once it is old enough that nobody can still be writing it.
    fn tidy(&self) {
        let Ok(entries) = std::fs::read_dir(&self.folder) else { return };
        for entry in entries.flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            let old = entry.metadata().and_then(|m| m.modified()).ok().and_then(|t| t.elapsed().ok()).is_some_and(|age| age > LEFT_BEHIND);
            if old && name.starts_with(save::NEIGHBOUR) && name.ends_with(save::UNFINISHED) {
                // It is in nobody's way where it cannot be removed.
                let _ = std::fs::remove_file(entry.path());
            }
        }
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The tunes by name. Errors: the folder cannot be read.
    pub fn tunes(&self) -> Result<Vec<Spine>, Failure> {
        let entries = std::fs::read_dir(&self.folder).map_err(|e| Failure::world("cannot read the folder", &self.folder, &e))?;
        let names = entries.flatten().filter_map(|entry| entry.file_name().into_string().ok());
        let mut spines: Vec<Spine> = names.filter(|name| is_tune(name)).filter_map(|name| self.spine(name)).collect();
        spines.sort_by(|a, b| a.id.to_lowercase().cmp(&b.id.to_lowercase()).then(a.id.cmp(&b.id)));
        Ok(spines)
    }

    fn spine(&self, id: String) -> Option<Spine> {
        let path = self.path(&id).ok()?;
        let changed = seconds(&path)?;
        Some(Spine { worked_on: seconds(&self.beside(&id, CHOICES)), changed, id })
    }

    /// The path of a tune there is, whichever version is named. Errors: no tune of this name stands directly in the folder.
    pub fn path(&self, id: &str) -> Result<PathBuf, Failure> {
        let id = tune_of(id);
        let missing = || Failure::from(Missing::Tune(id.to_owned()));
        if !is_tune(id) {
            return Err(missing());
        }
        let path = self.folder.join(id);
        let real = path.canonicalize().map_err(|_| missing())?;
        let inside = real.parent() == Some(&self.folder) && real.is_file();
        if inside { Ok(path) } else { Err(missing()) }
    }

    /// The path of a file that stands beside a tune.
    pub fn beside(&self, id: &str, ending: &str) -> PathBuf {
        self.folder.join(format!("{}{ending}", tune_of(id)))
    }

    /// The bytes of a tune, at most one more than may be read.
    pub fn bytes(&self, id: &str) -> Result<Vec<u8>, Failure> {
        read(&self.path(id)?)
    }

    /// Takes a new tune in under a name of its own, and says which. Nothing that is there is overwritten.
    pub fn take_in(&self, stem: &str, ending: &str, bytes: &[u8]) -> Result<String, Failure> {
        let stem = crate::names::safe(stem);
        let names = std::iter::once(format!("{stem}.{ending}")).chain((2..10_000).map(|n| format!("{stem} {n}.{ending}")));
        for name in names {
            if !self.folder.join(&name).exists() {
                save::whole(&*self.disk, &self.folder.join(&name), bytes, Standing::Stays)?;
                return Ok(name);
            }
        }
        Err(Failure::wrong(format!("there are too many tunes named \"{stem}\"")))
    }

    /// Replaces a tune's text: only for her own explicit save.
    pub fn rewrite(&self, id: &str, bytes: &[u8]) -> Result<(), Failure> {
        save::whole(&*self.disk, &self.path(id)?, bytes, Standing::Replaced)
    }

    /// Writes a file beside a tune.
    pub fn note(&self, id: &str, ending: &str, bytes: &[u8]) -> Result<(), Failure> {
        self.path(id)?;
        save::whole(&*self.disk, &self.beside(id, ending), bytes, Standing::Replaced)
    }

    /// Writes a file of everything that was taken along to its place: a name, or "bin/" and a name.
    pub fn bring(&self, path: &str, bytes: &[u8], standing: Standing) -> Result<(), Failure> {
        let path = self.folder.join(path);
        let folder = path.parent().unwrap_or(&self.folder);
        std::fs::create_dir_all(folder).map_err(|error| Failure::world("cannot make the folder", folder, &error))?;
        save::whole(&*self.disk, &path, bytes, standing)
    }

    /// Writes a hidden file of the program's own into the folder.
    pub fn remember(&self, name: &str, bytes: &[u8]) -> Result<(), Failure> {
        save::whole(&*self.disk, &self.folder.join(name), bytes, Standing::Replaced)
    }

    /// Harp files of her own: TOML files directly in the folder that are no choices.
    pub fn harps(&self) -> Vec<String> {
        let harp = |name: &String| crate::harps::harp(&self.folder.join(name).display().to_string()).is_ok();
        self.tables().into_iter().filter(harp).collect()
    }

    /// Why files that a newer program wrote are not among them, a sentence each.
    pub fn harps_left(&self) -> Vec<String> {
        let left = |name: String| {
            let mut file = TomlFile::open(&self.folder.join(&name)).ok()?;
            file.name = name;
            crate::harps::check_form(&file).err().map(|failure| format!("{failure}."))
        };
        self.tables().into_iter().filter_map(left).collect()
    }

    /// TOML files directly in the folder that may be harps, by name.
    fn tables(&self) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(&self.folder) else { return Vec::new() };
        let names = entries.flatten().filter_map(|entry| entry.file_name().into_string().ok());
        let others = |name: &str| name == FILE || name.ends_with(CHOICES) || name.ends_with(PRACTICE) || sets::is_set(name);
        let mut found: Vec<String> = names.filter(|name| name.ends_with(".toml") && is_plain(name) && !others(name)).collect();
        found.sort();
        found
    }
}

/// A file's bytes, at most one more than a tune may have.
pub fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    let cannot = |error| Failure::world("cannot read", path, &error);
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(cannot)?;
    file.take(LARGEST_FILE as u64 + 1).read_to_end(&mut bytes).map_err(cannot)?;
    Ok(bytes)
}

fn seconds(path: &Path) -> Option<u64> {
    let time = std::fs::metadata(path).ok()?.modified().ok()?;
    Some(time.duration_since(UNIX_EPOCH).ok()?.as_secs())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_stay_inside() {
        assert!(is_plain("The Ferry.abc") && is_tune("a.MXL"));
        for bad in ["", ".hidden.abc", "../a.abc", "a/b.abc", "a\\b.abc", "c:a.abc", "a\0.abc", " a.abc"] {
            assert!(!is_tune(bad), "{bad:?}");
        }
        assert!(!is_tune("notes.txt") && !is_tune("abc"));
    }
}
