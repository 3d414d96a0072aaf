//! An arrangement as sound: with the program's own strings, or with a SoundFont of the player's.

use crate::failure::Failure;
use crate::job::Job;
use desk::{plain_file, wishes};
use sound::wav::Depth;
use sound::{Performing, SoundError, SoundFont, Strings, Voicing, perform};
use std::path::Path;

/// What a page is played with, and how it is tuned.
pub struct Sounding {
    font: Option<SoundFont>,
    voicing: Voicing,
}

impl Sounding {
    /// Reads the SoundFont and the concert pitch that were asked for.
    pub fn read(font: Option<&Path>, concert: Option<&str>) -> Result<Sounding, Failure> {
        let concert = concert.map(wishes::concert).transpose()?.unwrap_or_default();
        let font = font.map(soundfont).transpose()?;
        Ok(Sounding { font, voicing: Voicing { concert, ..Voicing::default() } })
    }

    /// The whole piece, every repeat played, as a WAV file.
    pub fn wav(&self, job: &Job) -> Result<Vec<u8>, Failure> {
        let performance = perform(&job.arrangement.score, &Performing::default());
        let strings = match &self.font {
            Some(font) => Strings::of_font(&performance, &self.voicing, font),
            None => Strings::of(&performance, &self.voicing),
        };
        let no_sound = |error: SoundError| Failure::World(format!("{}: no sound could be made: {error}", job.path.display()));
        let samples = strings.and_then(|s| s.file(&performance)).map_err(no_sound)?;
        sound::wav::bytes(&samples, Depth::Sixteen).map_err(no_sound)
    }
}

fn soundfont(path: &Path) -> Result<SoundFont, Failure> {
    let bytes = plain_file::bytes(path, plain_file::FONT)?;
    SoundFont::read(&bytes).map_err(|error| Failure::wrong(format!("{}: {error}", path.display())))
}
