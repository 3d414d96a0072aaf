//! The folder that the engraving library reads its measures of signs and letters from.
//!
//! The library wants files on disk, and reads all that we draw with while it is opened. Of its 12 MB of data these are six
//! files, so they are written to a small folder of ours among the machine's temporary files, and the folder is gone
//! before the first page is drawn. One left behind by a process that was ended just then is removed at the next start.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

const FILES: [&str; 6] =
    ["Bravura.xml", "Leipzig.xml", "text/Times.xml", "text/Times-bold.xml", "text/Times-bold-italic.xml", "text/Times-italic.xml"];

/// What our folders' names begin with; the process's number and a counter follow.
const NAME: &str = "undersong-engraving-";

/// Runs `open` with the folder; afterwards the folder is gone. Errors: it cannot be written.
pub(crate) fn with_folder<T>(open: impl FnOnce(&Path) -> T) -> io::Result<T> {
    let place = std::env::temp_dir();
    sweep(&place);
    let folder = Folder::new(&place)?;
    fs::create_dir(folder.0.join("text"))?;
    for name in FILES {
        let file = verovio_data::DATA.get_file(name).expect("the library's data has its own files");
        fs::write(folder.0.join(name), file.contents())?;
    }
    Ok(open(&folder.0))
}

/// Removed when it is dropped.
struct Folder(PathBuf);

impl Folder {
    /// A folder that did not exist before.
    fn new(place: &Path) -> io::Result<Folder> {
        let mut number = 0;
        loop {
            let path = place.join(format!("{NAME}{}-{number}", std::process::id()));
            match fs::create_dir(&path) {
                Ok(()) => return Ok(Folder(path)),
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists && number < 1000 => number += 1,
                Err(e) => return Err(e),
            }
        }
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // What cannot be removed now is swept away later.
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Removes our folders whose process has ended.
fn sweep(place: &Path) {
    let Ok(entries) = fs::read_dir(place) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let process = name.to_str().and_then(|n| n.strip_prefix(NAME)).and_then(|n| n.split('-').next()?.parse::<u32>().ok());
        if process.is_some_and(|process| ended(process, &entry)) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// Whether a process has surely ended: the system lists processes and this one is not there, or the folder is a day old.
fn ended(process: u32, entry: &fs::DirEntry) -> bool {
    let processes = Path::new("/proc");
    let missing = processes.join("self").exists() && !processes.join(process.to_string()).exists();
    let written = entry.metadata().and_then(|m| m.modified());
    let age = written.ok().and_then(|w| SystemTime::now().duration_since(w).ok());
    missing || age.is_some_and(|age| age > Duration::from_secs(24 * 60 * 60))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_is_there_while_it_is_needed() {
        let seen = with_folder(|folder| (folder.to_owned(), folder.join("text/Times.xml").is_file())).expect("a folder");
        assert!(seen.1 && !seen.0.exists());
    }

    #[test]
    fn only_folders_of_ended_processes_are_swept() {
        let place = tempfile::tempdir().expect("a folder");
        // No process has this number: Linux counts to four million.
        let [stale, ours, other] =
            [format!("{NAME}4294967295-0"), format!("{NAME}{}-0", std::process::id()), "undersong-4294967295-0".to_owned()];
        for name in [&stale, &ours, &other] {
            fs::create_dir(place.path().join(name)).expect("a folder");
        }
        sweep(place.path());
        let there = |name: &str| place.path().join(name).exists();
        assert!(there(&ours) && there(&other));
        assert!(!there(&stale) || !Path::new("/proc/self").exists());
    }
}
