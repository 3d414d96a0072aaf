//! What can be wrong with a recording, or with what she said about it.

use std::path::PathBuf;
use thiserror::Error;

/// The longest recording that is read, in minutes.
pub const MINUTES: u64 = 15;
/// The largest file that is read, in MiB: a quarter of an hour of the finest usual WAV.
pub const MIB: u64 = 512;

#[derive(Debug, Error)]
pub enum RecordingError {
    #[error("cannot read {}: {error}", .path.display())]
    World { path: PathBuf, error: std::io::Error },
    #[error("{} is no ordinary file (a folder, a pipe or a device): expected a recording", .0.display())]
    NoFile(PathBuf),
    #[error("{} is larger than {MIB} MiB, the most that is read of a recording: save it as MP3, FLAC or Ogg", .0.display())]
    TooLarge(PathBuf),
    #[error("{0} is no recording that can be read: expected WAV, MP3, FLAC or Ogg Vorbis")]
    Unknown(String),
    #[error("{name} cannot be read beyond {second} s ({why}): save or copy it again")]
    Damaged { name: String, second: u64, why: String },
    #[error("{0} lasts longer than {MINUTES} minutes, the most that is listened to: cut out the tune")]
    TooLong(String),
    #[error("{0} is silent from beginning to end: choose another recording")]
    Silent(String),
    #[error("{0} lasts less than two seconds: expected a whole tune")]
    TooShort(String),
    #[error("the tune has no note that could be listened for")]
    NoNotes,
    #[error("the tune is too long for this recording: {0} beats with all repeats; bring a part of it")]
    TuneTooLong(usize),
    #[error("measure {0} is not in this tune, which has {1}")]
    NoMeasure(usize, usize),
    #[error("the places you gave cannot all be right: {0}")]
    Anchors(String),
    #[error("the recording is shorter than the tune can be played: {recording} s for a tune of some {tune} s; is it this tune?")]
    NoRoom { recording: u64, tune: u64 },
}
