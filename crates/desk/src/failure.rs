//! Why a command came to nothing, in words for the player, and the exit code that tells scripts which kind it was.

use std::fmt;
use std::io::Error as IoError;
use std::path::Path;

/// A failure. The text is ready to print: lower case, no full stop, with its place where it has one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Failure {
    /// Something the player gave is wrong: a file's contents, a name, a number. Exit code 2.
    Wrong(String),
    /// The world is in the way: a missing file, a full disk, a folder that may not be written to. Exit code 1.
    World(String),
    /// Everything has been said already, file by file; only the exit code is left.
    Said { exit_code: u8 },
}

impl Failure {
    pub fn wrong(text: impl fmt::Display) -> Failure {
        Failure::Wrong(text.to_string())
    }

    /// `attempted` names what was tried: "cannot read".
    pub fn world(attempted: &str, path: &Path, error: &IoError) -> Failure {
        Failure::World(format!("{attempted} {}: {}", path.display(), reason(error)))
    }

    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::Wrong(_) => 2,
            Failure::World(_) => 1,
            Failure::Said { exit_code } => *exit_code,
        }
    }

    /// The text, if there is something left to say.
    pub fn text(&self) -> Option<&str> {
        match self {
            Failure::Wrong(text) | Failure::World(text) => Some(text),
            Failure::Said { .. } => None,
        }
    }
}

/// The reason without the operating system's number.
pub fn reason(error: &IoError) -> String {
    use std::io::ErrorKind;
    match error.kind() {
        ErrorKind::NotFound => "there is no such file or folder".into(),
        ErrorKind::PermissionDenied => "it may not be touched (permission denied)".into(),
        ErrorKind::IsADirectory => "it is a folder".into(),
        ErrorKind::NotADirectory | ErrorKind::AlreadyExists => "a file is in the way where a folder is needed".into(),
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only".into(),
        ErrorKind::StorageFull => "the disk is full".into(),
        _ => error.to_string().split(" (os error").next().unwrap_or_default().to_lowercase(),
    }
}
