//! An arrangement as sound: with the program's own strings, or with a SoundFont of the player's.

use crate::failure::Failure;
use crate::job::Job;
use sound::wav::Depth;
use sound::{Performing, SoundError, SoundFont, Strings, Voicing, perform};
use std::path::Path;

/// The SoundFont of a file.
pub fn font(path: &Path) -> Result<SoundFont, Failure> {
    let bytes = std::fs::read(path).map_err(|error| Failure::world("cannot read", path, &error))?;
    SoundFont::read(&bytes).map_err(|error| Failure::wrong(format!("{}: {error}", path.display())))
}

/// The whole piece, every repeat played, as a WAV file.
pub fn wav(job: &Job, font: Option<&SoundFont>) -> Result<Vec<u8>, Failure> {
    let voicing = Voicing::default();
    let performance = perform(&job.arrangement.score, &Performing::default());
    let strings = match font {
        Some(font) => Strings::of_font(&performance, &voicing, font),
        None => Strings::of(&performance, &voicing),
    };
    let no_sound = |error: SoundError| Failure::World(format!("{}: no sound could be made: {error}", job.path.display()));
    let samples = strings.and_then(|s| s.mix(&performance)).map_err(no_sound)?;
    sound::wav::bytes(&samples, Depth::Sixteen).map_err(no_sound)
}
