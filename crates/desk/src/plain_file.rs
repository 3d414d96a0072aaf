//! Reading a file that she named or that lies in her folder: only an ordinary one, and only so much of it. A pipe would be waited for without end, and a device may never end.

use crate::failure::Failure;
use std::fs::{File, Metadata};
use std::io::{Error, ErrorKind, Read};
use std::path::Path;

const MIB: u64 = 1024 * 1024;

/// The most that is read of a kind of file: how many bytes, and what such a file is called.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Most {
    pub bytes: u64,
    pub of: &'static str,
}

/// A file of settings: choices, a harp, a player.
pub const SETTINGS: Most = Most { bytes: 256 * 1024, of: "a file of settings" };
/// Figures of her own.
pub const FIGURES: Most = Most { bytes: 256 * 1024, of: "a file of figures" };
/// The steps that can be undone.
pub const HISTORY: Most = Most { bytes: 8 * MIB, of: "a file of undo steps" };
/// A SoundFont.
pub const FONT: Most = Most { bytes: 512 * MIB, of: "a SoundFont" };

impl Most {
    /// "256 KiB".
    pub fn said(self) -> String {
        if self.bytes.is_multiple_of(MIB) { format!("{} MiB", self.bytes / MIB) } else { format!("{} KiB", self.bytes / 1024) }
    }
}

/// How a file stands. Errors: there is none, it is no ordinary file, it is too large.
pub fn look(path: &Path, most: Most) -> Result<Metadata, Failure> {
    checked(path, most, std::fs::metadata(path))
}

/// The bytes of a file. Errors: as [`look`].
pub fn bytes(path: &Path, most: Most) -> Result<Vec<u8>, Failure> {
    look(path, most)?;
    let cannot = |error| Failure::world("cannot read", path, &error);
    let file = File::open(path).map_err(cannot)?;
    // It may have become another one since.
    checked(path, most, file.metadata())?;
    let mut bytes = Vec::new();
    file.take(most.bytes + 1).read_to_end(&mut bytes).map_err(cannot)?;
    if bytes.len() as u64 > most.bytes { Err(too_large(path, most)) } else { Ok(bytes) }
}

/// The text of a file. Errors: as [`look`], or it is no text.
pub fn text(path: &Path, most: Most) -> Result<String, Failure> {
    String::from_utf8(bytes(path, most)?).map_err(|_| Failure::wrong(format!("{} is not a text file in UTF-8", path.display())))
}

fn checked(path: &Path, most: Most, found: Result<Metadata, Error>) -> Result<Metadata, Failure> {
    let file = found.map_err(|error| Failure::world("cannot read", path, &error))?;
    if file.is_dir() {
        return Err(Failure::world("cannot read", path, &ErrorKind::IsADirectory.into()));
    }
    if !file.is_file() {
        return Err(Failure::wrong(format!("{} is no ordinary file (a pipe or a device): expected {}", path.display(), most.of)));
    }
    if file.len() > most.bytes { Err(too_large(path, most)) } else { Ok(file) }
}

fn too_large(path: &Path, most: Most) -> Failure {
    Failure::wrong(format!("{} is larger than {}, the most that is read of {}", path.display(), most.said(), most.of))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: Most = Most { bytes: 1024, of: "a small file" };

    fn says(path: &Path) -> String {
        let failure = bytes(path, SMALL).expect_err("it is not read");
        failure.to_string().replace(&path.display().to_string(), "FILE")
    }

    #[test]
    fn only_so_much() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("file");
        std::fs::write(&path, [b'a'; 1024]).expect("a file");
        assert_eq!(bytes(&path, SMALL).map(|b| b.len()), Ok(1024));
        std::fs::write(&path, [b'a'; 1025]).expect("a file");
        assert_eq!(says(&path), "FILE is larger than 1 KiB, the most that is read of a small file");
        std::fs::write(&path, [0xff]).expect("a file");
        assert!(text(&path, SMALL).is_err());
        assert_eq!(says(folder.path()), "cannot read FILE: it is a folder");
        assert_eq!(says(&folder.path().join("none")), "cannot read FILE: there is no such file or folder");
    }

    #[cfg(unix)]
    #[test]
    fn only_ordinary_files() {
        let folder = tempfile::tempdir().expect("a folder");
        let pipe = folder.path().join("pipe");
        let made = std::process::Command::new("mkfifo").arg(&pipe).status().expect("the system can make pipes");
        assert!(made.success());
        for path in [&pipe, Path::new("/dev/zero"), Path::new("/dev/null")] {
            assert_eq!(says(path), "FILE is no ordinary file (a pipe or a device): expected a small file");
        }
    }
}
