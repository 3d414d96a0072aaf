//! The folder that the engraving library unpacks its fonts to.
//!
//! The binding unpacks about 12 MB to a new folder in the machine's place for temporary files, once a process, and leaves
//! it there. The library reads everything that we draw with when it is opened, so the folder is removed at once; a
//! second opening in the same process unpacks it again to the same place.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// Where the folder was in this process. The lock is held while a library is opened.
static FOLDER: Mutex<Option<PathBuf>> = Mutex::new(None);

/// Opens something that needs the folder; afterwards the folder is gone.
pub(crate) fn while_unpacked<T>(open: impl FnOnce() -> T, folder_of: impl FnOnce(&T) -> PathBuf) -> T {
    let mut known = FOLDER.lock().unwrap_or_else(|broken| broken.into_inner());
    if let Some(folder) = known.as_ref() {
        // A folder that cannot be made again shows in what `open` does.
        let _ = fs::create_dir_all(folder).and_then(|()| verovio_data::extract(folder));
    }
    let opened = open();
    let folder = folder_of(&opened);
    remove(&folder);
    *known = Some(folder);
    opened
}

/// Removes the folder if it is recognisably the library's.
fn remove(folder: &Path) {
    let named = folder.file_name().and_then(|n| n.to_str()).is_some_and(|n| n.starts_with("verovio-data-"));
    if named && folder.join("Leipzig.xml").is_file() && folder.join("text").is_dir() {
        // What cannot be removed is left for the machine to clear away.
        let _ = fs::remove_dir_all(folder);
    }
}
