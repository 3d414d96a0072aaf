//! The bin: a folder inside hers. What she takes off the shelf goes there with its choices, undo steps, places in a recording and what was practised, and comes back
//! with them; nothing is overwritten either way, and nothing is deleted.

use super::{CHOICES, HISTORY, PRACTICE, RECORDING, Shelf, is_tune, read, tune_of};
use crate::failure::{Failure, Missing};
use crate::practice::diary::Diary;
use std::fs::Metadata;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

pub const BIN: &str = "bin";

/// A tune in the bin: its file's name there, and since when it is there, in seconds since 1970.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Binned {
    pub name: String,
    pub since: u64,
}

impl Shelf {
    fn bin(&self) -> PathBuf {
        self.folder.join(BIN)
    }

    /// The tunes in the bin, the latest first. Errors: the bin cannot be read.
    pub fn binned(&self) -> Result<Vec<Binned>, Failure> {
        let bin = self.bin();
        if !bin.exists() {
            return Ok(Vec::new());
        }
        let entries = std::fs::read_dir(&bin).map_err(|error| Failure::world("cannot read the bin", &bin, &error))?;
        let names = entries.flatten().filter_map(|entry| entry.file_name().into_string().ok());
        let binned = |name: String| Some(Binned { since: moved_at(&std::fs::metadata(self.binned_path(&name).ok()?).ok()?), name });
        let mut tunes: Vec<Binned> = names.filter_map(binned).collect();
        tunes.sort_by(|a, b| b.since.cmp(&a.since).then_with(|| a.name.cmp(&b.name)));
        Ok(tunes)
    }

    /// The bytes of a tune in the bin, at most one more than may be read.
    pub fn binned_bytes(&self, name: &str) -> Result<Vec<u8>, Failure> {
        read(&self.binned_path(name)?)
    }

    /// The path of a tune in the bin. Errors: no tune of this name stands directly there.
    fn binned_path(&self, name: &str) -> Result<PathBuf, Failure> {
        let missing = || Failure::from(Missing::TuneInBin(name.to_owned()));
        if !is_tune(name) {
            return Err(missing());
        }
        let path = self.bin().join(name);
        let real = path.canonicalize().map_err(|_| missing())?;
        let inside = real.parent() == Some(&self.bin()) && real.is_file();
        if inside { Ok(path) } else { Err(missing()) }
    }

    /// Moves a tune and what stands beside it into the bin.
    pub fn to_bin(&self, id: &str) -> Result<(), Failure> {
        self.path(id)?;
        let id = tune_of(id);
        let bin = self.bin();
        std::fs::create_dir_all(&bin).map_err(|error| Failure::world("cannot make the bin", &bin, &error))?;
        let name = moved(&self.folder, id, &bin, "cannot move to the bin")?;
        self.in_diary(id, &format!("{BIN}/{name}"));
        Ok(())
    }

    /// Brings a tune back to the shelf with what stands beside it, under a free name, and says which.
    pub fn back(&self, name: &str) -> Result<String, Failure> {
        self.binned_path(name)?;
        let id = moved(&self.bin(), name, &self.folder, "cannot bring back")?;
        self.in_diary(&format!("{BIN}/{name}"), &id);
        Ok(id)
    }

    /// What was practised goes with its tune. The tune has moved already: a diary that cannot be written holds it under the name it had.
    fn in_diary(&self, from: &str, to: &str) {
        let _ = Diary::of(self).moved(from, to);
    }
}

/// Moves a tune's files to another folder, to the first name that all of them have free there.
fn moved(from: &Path, id: &str, to: &Path, attempted: &str) -> Result<String, Failure> {
    let (stem, ending) = id.rsplit_once('.').unwrap_or((id, ""));
    let files = ["", CHOICES, HISTORY, RECORDING, PRACTICE];
    let free = |name: &String| files.iter().all(|beside| std::fs::symlink_metadata(to.join(format!("{name}{beside}"))).is_err());
    let mut names = std::iter::once(id.to_owned()).chain((2..10_000).map(|n| format!("{stem} {n}.{ending}")));
    let name = names.find(free).ok_or_else(|| Failure::wrong(format!("there are too many tunes named \"{stem}\"")))?;
    // What stands beside goes first: broken off in between, the tune itself still lies where she last saw it.
    for beside in files.into_iter().rev() {
        let old = from.join(format!("{id}{beside}"));
        if old.exists() {
            let cannot = |error| Failure::world(attempted, &old, &error);
            std::fs::rename(&old, to.join(format!("{name}{beside}"))).map_err(cannot)?;
        }
    }
    Ok(name)
}

/// When a file last came to its place: its change of status, which moving it is; where the system keeps none, when it was written.
fn moved_at(file: &Metadata) -> u64 {
    #[cfg(unix)]
    let status = u64::try_from(std::os::unix::fs::MetadataExt::ctime(file)).ok();
    #[cfg(not(unix))]
    let status = None;
    let written = || file.modified().ok().and_then(|t| t.duration_since(UNIX_EPOCH).ok()).map_or(0, |t| t.as_secs());
    status.unwrap_or_else(written)
}
