//! One desk a folder: two that save into one folder would each lose what the other saved. Whoever opens a folder holds a lock in it, which the system gives back when the program ends,
//! however it ends; beside it stands the address of the page, for the next who comes.
//!
//! The address lets in whoever reads it, so only its owner may; where the file system cannot promise that, none is written.

use crate::failure::Failure;
use crate::save::{NEIGHBOUR, UNFINISHED};
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use tempfile::Builder;

/// The file that is locked; nothing stands in it, because some systems let nobody read what is locked.
const LOCK: &str = ".undersong-lock";
/// The file with the address.
const ADDRESS: &str = ".undersong-address";
/// No address is longer, in bytes.
const LONGEST: u64 = 200;

/// A folder, held until this is dropped.
#[derive(Debug)]
pub struct Held {
    folder: PathBuf,
    /// `None` where the folder takes no lock: it is read-only, or lies where none are kept.
    _lock: Option<File>,
}

/// Takes a folder; `None` where it is open in another start of the program.
pub fn hold(folder: &Path) -> Option<Held> {
    let lock = match opened(&folder.join(LOCK)).and_then(|file| file.try_lock().map(|()| file)) {
        Ok(file) => Some(file),
        Err(TryLockError::WouldBlock) => return None,
        Err(TryLockError::Error(_)) => None,
    };
    let held = Held { folder: folder.to_owned(), _lock: lock };
    // Left by one that was killed.
    held.forget();
    Some(held)
}

/// Whether a folder has been open in Undersong before.
pub fn was_held(folder: &Path) -> bool {
    folder.join(LOCK).is_file()
}

/// Another person's lock may perhaps not be written, and still be locked.
fn opened(path: &Path) -> Result<File, TryLockError> {
    let written = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path);
    let opened = written.or_else(|error| if error.kind() == ErrorKind::PermissionDenied { File::open(path) } else { Err(error) });
    opened.map_err(TryLockError::Error)
}

/// The address that whoever holds the folder has written down; `None` where there is none yet, or it is not for us to read.
pub fn address(folder: &Path) -> Option<String> {
    let mut text = String::new();
    File::open(folder.join(ADDRESS)).ok()?.take(LONGEST).read_to_string(&mut text).ok()?;
    Some(text.trim().to_owned()).filter(|text| !text.is_empty())
}

impl Held {
    /// Whether the system keeps others out.
    pub fn is_locked(&self) -> bool {
        self._lock.is_some()
    }

    /// Writes the address down for the next who comes. Errors: the folder takes no file.
    pub fn tell(&self, address: &str) -> Result<(), Failure> {
        let path = self.folder.join(ADDRESS);
        let cannot = |error| Failure::world("cannot save", &path, &error);
        let mut file = Builder::new().prefix(NEIGHBOUR).suffix(UNFINISHED).tempfile_in(&self.folder).map_err(cannot)?;
        if !is_private(file.as_file()) {
            return Ok(());
        }
        file.write_all(address.as_bytes()).map_err(cannot)?;
        file.persist(&path).map_err(|error| cannot(error.error))?;
        Ok(())
    }

    fn forget(&self) {
        // Where there is none, or it cannot be removed, the next who comes finds that nobody answers there.
        let _ = std::fs::remove_file(self.folder.join(ADDRESS));
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        self.forget();
    }
}

/// Whether only its owner may read a file that was made for its owner.
#[cfg(unix)]
fn is_private(file: &File) -> bool {
    use std::os::unix::fs::PermissionsExt;
    file.metadata().is_ok_and(|m| m.permissions().mode() & 0o077 == 0)
}

/// Elsewhere a folder of hers is hers.
#[cfg(not(unix))]
fn is_private(_: &File) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_at_a_time() {
        let folder = tempfile::tempdir().expect("a folder");
        let held = hold(folder.path()).expect("nobody has it");
        assert!(held.is_locked() && hold(folder.path()).is_none() && was_held(folder.path()));
        assert_eq!(address(folder.path()), None);
        held.tell("http://127.0.0.1:4711/?pass=0").expect("the folder takes a file");
        assert_eq!(address(folder.path()).as_deref(), Some("http://127.0.0.1:4711/?pass=0"));
        assert!(hold(folder.path()).is_none() && address(folder.path()).is_some(), "who comes second takes nothing away");
        drop(held);
        assert_eq!(address(folder.path()), None);
        assert!(hold(folder.path()).is_some());
    }

    #[test]
    fn what_a_killed_one_left_is_no_hindrance() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in [LOCK, ADDRESS] {
            std::fs::write(folder.path().join(name), "http://127.0.0.1:9/?pass=0").expect("left behind");
        }
        let held = hold(folder.path()).expect("nobody holds it");
        assert_eq!(address(folder.path()), None);
        drop(held);
    }

    #[cfg(unix)]
    #[test]
    fn the_address_is_for_its_owner() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a folder");
        let held = hold(folder.path()).expect("nobody has it");
        held.tell("http://127.0.0.1:4711/?pass=0").expect("the folder takes a file");
        let file = std::fs::metadata(folder.path().join(ADDRESS)).expect("it is there");
        assert_eq!(file.permissions().mode() & 0o777, 0o600);
    }

    #[test]
    fn a_folder_that_is_not_there_is_not_locked() {
        let folder = tempfile::tempdir().expect("a folder");
        assert!(!hold(&folder.path().join("none")).expect("nobody has it").is_locked());
    }
}
