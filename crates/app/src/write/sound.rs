//! An arrangement as sound: with the program's own strings, or with a SoundFont of the player's.

use crate::failure::Failure;
use crate::job::Job;
use desk::lesson::Spoken;
use desk::{plain_file, wishes};
use sound::wav::Depth;
use sound::{Performance, Performing, Samples, SoundError, SoundFont, Strings, Voicing, perform};
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
        self.file(job, &performance, |strings| strings.file(&performance))
    }

    /// A lesson as a WAV file.
    pub fn lesson(&self, spoken: &Spoken, job: &Job) -> Result<Vec<u8>, Failure> {
        self.file(job, &spoken.lesson.performance, |strings| spoken.lesson.samples(strings))
    }

    fn file(
        &self,
        job: &Job,
        performance: &Performance,
        samples: impl FnOnce(&Strings) -> Result<Samples, SoundError>,
    ) -> Result<Vec<u8>, Failure> {
        let strings = match &self.font {
            Some(font) => Strings::of_font(performance, &self.voicing, font),
            None => Strings::of(performance, &self.voicing),
        };
        let samples = strings.and_then(|strings| samples(&strings));
        samples
            .and_then(|samples| sound::wav::bytes(&samples, Depth::Sixteen))
            .map_err(|error| Failure::World(format!("{}: no sound could be made: {error}", job.path.display())))
    }
}

fn soundfont(path: &Path) -> Result<SoundFont, Failure> {
    let bytes = plain_file::bytes(path, plain_file::FONT)?;
    SoundFont::read(&bytes).map_err(|error| Failure::wrong(format!("{}: {error}", path.display())))
}
