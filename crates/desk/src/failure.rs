//! Why a command or a request came to nothing: what kind of thing it was, which decides the exit code and the answer's status, and the words for the player.

use crate::drawing::NoPage;
use std::fmt;
use std::io::{Error as IoError, ErrorKind};
use std::path::{Path, PathBuf};

/// A failure. Its text is ready to print: lower case, no full stop, with its place where it has one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Failure {
    /// Something the player gave is wrong: what is in a file, a name, a number, a wish. Exit code 2.
    Wrong(String),
    /// The same at a place of a file of hers: "harp.toml:6:10". Exit code 2.
    InFile { place: String, what: String },
    /// What she named is not there. Exit code 2.
    Missing(Missing),
    /// The system does not do with a file what was attempted ("cannot read"). Exit code 1.
    File { attempted: String, path: PathBuf, why: Hindrance },
    /// A file stays as it is, and why. Exit code 1.
    NotWrittenOver { path: PathBuf, why: String },
    /// A page was not drawn. Exit code 2 where the music is too much for it, 1 where the engraver is not to be had.
    NoPage(NoPage),
    /// Something else of the world is in the way, which no choice of hers would change. Exit code 1.
    World(String),
    /// Everything has been said already, file by file; only the exit code is left.
    Said { exit_code: u8 },
}

/// What is not there, by its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Missing {
    Tune(String),
    TuneInBin(String),
    Set(String),
    /// A version, and those there are.
    Version {
        name: String,
        there: Vec<String>,
    },
}

/// Why the system does not do it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Hindrance {
    NotThere,
    NotAllowed,
    IsFolder,
    /// A file stands where a folder is needed.
    FileInTheWay,
    ReadOnly,
    DiskFull,
    /// The disk is full or broken, and does not say which.
    DiskFullOrBroken,
    /// In the system's words, or ours.
    Other(String),
}

impl Failure {
    pub fn wrong(text: impl fmt::Display) -> Failure {
        Failure::Wrong(text.to_string())
    }

    /// `place` is a file with a line, and a column where it is known: "harp.toml:6:10".
    pub fn in_file(place: impl fmt::Display, what: impl fmt::Display) -> Failure {
        Failure::InFile { place: place.to_string(), what: what.to_string() }
    }

    /// `attempted` names what was tried: "cannot read".
    pub fn world(attempted: &str, path: &Path, error: &IoError) -> Failure {
        Failure::File { attempted: attempted.to_owned(), path: path.to_owned(), why: Hindrance::of(error) }
    }

    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::Wrong(_) | Failure::InFile { .. } | Failure::Missing(_) => 2,
            Failure::NoPage(NoPage::TooLong(_) | NoPage::Failed) => 2,
            Failure::NoPage(NoPage::Refused(_) | NoPage::NoEngraver(_)) => 1,
            Failure::File { .. } | Failure::NotWrittenOver { .. } | Failure::World(_) => 1,
            Failure::Said { exit_code } => *exit_code,
        }
    }

    /// The text, if there is something left to say.
    pub fn text(&self) -> Option<String> {
        (!matches!(self, Failure::Said { .. })).then(|| self.to_string())
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Wrong(text) | Failure::World(text) => f.write_str(text),
            Failure::InFile { place, what } => write!(f, "{place}: error: {what}"),
            Failure::Missing(what) => write!(f, "{what}"),
            Failure::File { attempted, path, why } => write!(f, "{attempted} {}: {why}", path.display()),
            Failure::NotWrittenOver { path, why } => write!(f, "{} is not written over: {why}", path.display()),
            Failure::NoPage(why) => write!(f, "{why}"),
            Failure::Said { .. } => f.write_str("Undersong could not do this"),
        }
    }
}

impl From<NoPage> for Failure {
    fn from(no_page: NoPage) -> Failure {
        Failure::NoPage(no_page)
    }
}

impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Missing::Tune(name) => write!(f, "there is no tune \"{name}\" on the shelf"),
            Missing::TuneInBin(name) => write!(f, "there is no tune \"{name}\" in the bin"),
            Missing::Set(name) => write!(f, "there is no set \"{name}\" on the shelf"),
            Missing::Version { name, there } => {
                let there: Vec<String> = there.iter().map(|name| format!("\"{name}\"")).collect();
                write!(f, "there is no version \"{name}\" of this tune: it has {}", there.join(", "))
            }
        }
    }
}

impl From<Missing> for Failure {
    fn from(missing: Missing) -> Failure {
        Failure::Missing(missing)
    }
}

impl Hindrance {
    pub fn of(error: &IoError) -> Hindrance {
        match error.kind() {
            ErrorKind::NotFound => Hindrance::NotThere,
            ErrorKind::PermissionDenied => Hindrance::NotAllowed,
            ErrorKind::IsADirectory => Hindrance::IsFolder,
            ErrorKind::NotADirectory | ErrorKind::AlreadyExists => Hindrance::FileInTheWay,
            ErrorKind::ReadOnlyFilesystem => Hindrance::ReadOnly,
            ErrorKind::StorageFull => Hindrance::DiskFull,
            // Without the operating system's number.
            _ => Hindrance::Other(error.to_string().split(" (os error").next().unwrap_or_default().to_lowercase()),
        }
    }
}

impl fmt::Display for Hindrance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Hindrance::NotThere => "there is no such file or folder",
            Hindrance::NotAllowed => "it may not be touched (permission denied)",
            Hindrance::IsFolder => "it is a folder",
            Hindrance::FileInTheWay => "a file is in the way where a folder is needed",
            Hindrance::ReadOnly => "the disk is read-only",
            Hindrance::DiskFull => "the disk is full",
            Hindrance::DiskFullOrBroken => "the disk is full, or does not take what is written",
            Hindrance::Other(why) => why,
        })
    }
}
