//! What this program has written into a folder, so that it never writes over anything else: a tune, a file of another program, a page that was changed by hand, or the
//! pages of another tune of the same title.
//!
//! The list is a hidden file in the folder: a line a file, with its check sum (CRC-32) and size as they were written, its name, and the tune it was made from.

use super::save;
use crate::failure::Failure;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The name of the list.
const LIST: &str = ".undersong-written";

/// What to do where a file stands that is not as this program left it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Others {
    /// It stays, and that is said.
    Stay,
    /// It is written over; the tunes that are read stay all the same.
    WrittenOver,
}

impl Others {
    /// By `--force`.
    pub fn of(force: bool) -> Others {
        if force { Others::WrittenOver } else { Others::Stay }
    }
}

/// The files of one folder that this program wrote.
pub struct Written {
    folder: PathBuf,
    others: Others,
    /// The tunes that are read, as the system knows them.
    read: Vec<PathBuf>,
    files: BTreeMap<String, Entry>,
    /// Lines of the list that mean nothing here, of a newer program perhaps: they stay as they are.
    strange: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct Entry {
    sum: u32,
    size: usize,
    tune: String,
}

impl Entry {
    fn of(bytes: &[u8], tune: &Path) -> Entry {
        Entry { sum: crc32fast::hash(bytes), size: bytes.len(), tune: known(tune).display().to_string() }
    }
}

impl Written {
    /// Reads the list of a folder; a folder without one has nothing of this program's.
    pub fn open(folder: &Path, tunes: &[PathBuf], others: Others) -> Written {
        let list = std::fs::read_to_string(folder.join(LIST)).unwrap_or_default();
        let read = tunes.iter().map(|t| known(t)).collect();
        let strange = list.lines().filter(|line| entry(line).is_none()).map(str::to_owned).collect();
        Written { folder: folder.to_owned(), others, read, files: list.lines().filter_map(entry).collect(), strange }
    }

    /// Writes a file made from a tune, if nothing stands in its place that is not this program's own.
    pub fn save(&mut self, name: &str, bytes: &[u8], tune: &Path) -> Result<(), Failure> {
        let path = self.folder.join(name);
        self.may_write(&path, name, tune)?;
        save::whole(&path, bytes)?;
        self.files.insert(name.to_owned(), Entry::of(bytes, tune));
        self.keep()
    }

    fn may_write(&self, path: &Path, name: &str, tune: &Path) -> Result<(), Failure> {
        if self.read.contains(&known(path)) {
            let why = "it is a tune that is read here: --out takes another folder";
            return Err(Failure::NotWrittenOver { path: path.to_owned(), why: why.to_owned() });
        }
        // What is no ordinary file is left to the writing itself to say.
        if self.others == Others::WrittenOver || !path.is_file() {
            return Ok(());
        }
        let there = std::fs::read(path).map_err(|error| Failure::world("cannot read", path, &error))?;
        let why = match self.files.get(name) {
            Some(ours) if *ours == Entry::of(&there, tune) => return Ok(()),
            Some(ours) if ours.tune != known(tune).display().to_string() => "it was made from another tune",
            Some(_) => "it was changed since it was written",
            None => "it is not of this program's making, as far as is known here",
        };
        let why = format!("{why}; --force writes over it, --out takes another folder");
        Err(Failure::NotWrittenOver { path: path.to_owned(), why })
    }

    fn keep(&self) -> Result<(), Failure> {
        let line = |(name, e): (&String, &Entry)| format!("{:08x}\t{}\t{name}\t{}\n", e.sum, e.size, e.tune);
        let strange = self.strange.iter().map(|line| format!("{line}\n"));
        save::whole(&self.folder.join(LIST), strange.chain(self.files.iter().map(line)).collect::<String>().as_bytes())
    }
}

/// A line of the list; one that is none is passed over, and its file counts as somebody else's.
fn entry(line: &str) -> Option<(String, Entry)> {
    let mut parts = line.splitn(4, '\t');
    let (sum, size) = (u32::from_str_radix(parts.next()?, 16).ok()?, parts.next()?.parse().ok()?);
    Some((parts.next()?.to_owned(), Entry { sum, size, tune: parts.next()?.to_owned() }))
}

/// A path as the system knows it, where it stands there.
fn known(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_owned())
}
