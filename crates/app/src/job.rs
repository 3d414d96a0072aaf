//! One tune's way from its file to an arrangement; what both `arrange` and `explain` do.

use crate::arguments::Choices;
use crate::failure::Failure;
use crate::{harps, player, read, wishes};
use arrange::{Arrangement, Decision, Figures, Wishes};
use formats::{Imported, ReadOptions};
use harp::{Instrument, Player};
use std::path::{Path, PathBuf};

/// What holds for all tunes of a run: read once, before the first tune.
pub struct Setup<'a> {
    choices: &'a Choices,
    pub figures: Figures,
    pub harp: Instrument,
    pub player: Player,
    wishes: Wishes,
}

/// A tune, arranged.
pub struct Job {
    pub path: PathBuf,
    pub imported: Imported,
    /// The tune's number in its file was asked for.
    pub chosen: Option<u32>,
    pub wishes: Wishes,
    pub arrangement: Arrangement,
}

impl Setup<'_> {
    pub fn new(choices: &Choices) -> Result<Setup<'_>, Failure> {
        let figures = wishes::figures(choices.figures.as_deref())?;
        Ok(Setup {
            harp: harps::harp(&choices.harp)?,
            player: player::player(choices.player.as_deref())?,
            wishes: wishes::wishes(choices, &figures)?,
            figures,
            choices,
        })
    }

    pub fn arrange(&self, path: &Path) -> Result<Job, Failure> {
        let options = ReadOptions { tune: self.choices.tune, part: self.choices.part.clone() };
        let imported = read::tune(path, &options)?;
        let wishes = wishes::for_tune(&self.wishes, self.choices, &imported.sheet, &self.harp)?;
        let arrangement = arrange::arrange(&imported.sheet, &self.figures, &self.harp, &self.player, &wishes)
            .map_err(|error| Failure::wrong(format!("{}: {error}", path.display())))?;
        Ok(Job { path: path.to_owned(), imported, chosen: self.choices.tune, wishes, arrangement })
    }

    pub fn decisions(&self, job: &Job) -> Vec<Decision> {
        job.arrangement.decisions(&self.figures, &self.harp, &self.player, &job.wishes)
    }
}

impl Job {
    /// The tune's title, or the name of its file.
    pub fn title(&self) -> String {
        let title = self.imported.sheet.words.title.trim();
        let stem = || self.path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        if title.is_empty() { stem() } else { title.to_owned() }
    }
}
