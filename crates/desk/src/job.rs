//! One tune's way from its file to an arrangement; what both `arrange` and `explain` do.

use crate::choices::Choices;
use crate::chords_of::{self, ChordsOf};
use crate::failure::Failure;
use crate::reader::Reader;
use crate::{harps, player, read, wishes};
use arrange::keys::{KeyChoice, Nearest, Patience, keys, nearest_for_the_tune, nearest_that_works};
use arrange::{Arrangement, Decision, Figures, Wishes};
use formats::{Imported, ReadOptions};
use harp::{Instrument, Player};
use music::PitchName;
use std::path::{Path, PathBuf};

/// What is asked for: the wishes, and what goes with them at the edge they came in by.
#[derive(Clone, Debug)]
pub struct Asked {
    pub choices: Choices,
    /// Which tune of a file of several. Default: the first.
    pub tune: Option<u32>,
    /// A harp of the program's by its name, or a file with its way there. Default: that of the choices.
    pub harp: String,
    /// Her file. Default: the player that is assumed.
    pub player: Option<PathBuf>,
    /// A file with figures of her own.
    pub figures: Option<PathBuf>,
    /// Whom the sentences are for. Default: the command line.
    pub reader: Reader,
}

impl Asked {
    pub fn of(choices: Choices) -> Asked {
        Asked { harp: choices.harp.clone(), choices, tune: None, player: None, figures: None, reader: Reader::default() }
    }
}

/// What holds for all tunes of a run: read once, before the first tune.
pub struct Setup {
    asked: Asked,
    pub figures: Figures,
    pub harp: Instrument,
    pub player: Player,
    wishes: Wishes,
}

/// A tune with its keys, best first.
pub struct Ranked {
    pub title: String,
    pub keys: Vec<KeyChoice>,
}

/// A tune, arranged.
pub struct Job {
    pub path: PathBuf,
    pub imported: Imported,
    /// The tune's number in its file was asked for.
    pub chosen: Option<u32>,
    pub wishes: Wishes,
    pub chords: ChordsOf,
    pub arrangement: Arrangement,
}

impl Setup {
    pub fn new(asked: &Asked) -> Result<Setup, Failure> {
        Setup::of(asked, player::player(asked.player.as_deref())?)
    }

    /// With a player that was read elsewhere.
    pub fn of(asked: &Asked, player: Player) -> Result<Setup, Failure> {
        let figures = wishes::figures(asked.figures.as_deref())?;
        // Only the ranking of keys asks for it: a mistake is said before any work.
        asked.choices.voice.as_deref().map(wishes::voice).transpose()?;
        asked.choices.chords_from.as_deref().map(chords_of::wished).transpose()?;
        if asked.choices.chords_a_measure == Some(0) {
            return Err(Failure::wrong("0 chords a measure: expected 1 or more; fullness 0 is a tune without a left hand"));
        }
        Ok(Setup {
            harp: harps::harp(&asked.harp)?,
            player,
            wishes: asked.choices.wishes(&figures, asked.reader)?,
            figures,
            asked: asked.clone(),
        })
    }

    pub fn arrange(&self, path: &Path) -> Result<Job, Failure> {
        let (imported, chords) = self.read(path)?;
        self.arrange_read(path, imported, chords)
    }

    /// A tune of a file with its chords.
    fn read(&self, path: &Path) -> Result<(Imported, ChordsOf), Failure> {
        let (mut imported, bytes) = read::tune(path, &self.options())?;
        let chords = self.supply(&mut imported, &bytes)?;
        match &chords.unmet {
            Some(why) => Err(Failure::wrong(format!("{}: {why}", path.display()))),
            None => Ok((imported, chords)),
        }
    }

    /// Arranges a tune that was read before and has its chords; its file only gives it a name.
    pub fn arrange_read(&self, path: &Path, imported: Imported, chords: ChordsOf) -> Result<Job, Failure> {
        let mut wishes = self.asked.choices.for_tune(&self.wishes, &imported.sheet, &self.harp)?;
        if self.asked.choices.key.as_deref() == Some(wishes::key::BEST) {
            let best = self.ranked(&imported, &wishes, &self.harp, path)?;
            wishes.transpose = best.first().map(|k| k.wished);
        }
        let arrangement = arrange::arrange(&imported.sheet, &self.figures, &self.harp, &self.player, &wishes)
            .map_err(|error| Failure::wrong(format!("{}: {error}", path.display())))?;
        Ok(Job { path: path.to_owned(), imported, chosen: self.asked.tune, wishes, chords, arrangement })
    }

    /// Every key for the tune, best first.
    pub fn keys(&self, path: &Path) -> Result<Ranked, Failure> {
        self.keys_read(path, &self.read(path)?.0)
    }

    /// The same for a tune that was read before.
    pub fn keys_read(&self, path: &Path, imported: &Imported) -> Result<Ranked, Failure> {
        let wishes = self.asked.choices.for_key(&self.wishes, &imported.sheet)?;
        let keys = self.ranked(imported, &wishes, &self.harp, path)?;
        let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        let title = imported.sheet.words.title.trim();
        Ok(Ranked { title: if title.is_empty() { stem } else { title.to_owned() }, keys })
    }

    fn ranked(&self, imported: &Imported, wishes: &Wishes, harp: &Instrument, path: &Path) -> Result<Vec<KeyChoice>, Failure> {
        let voice = self.asked.choices.voice.as_deref().map(wishes::voice).transpose()?;
        let ranked = keys(&imported.sheet, &self.figures, harp, &self.player, wishes, voice);
        ranked.map_err(|error| Failure::wrong(format!("{}: {error}", path.display())))
    }

    pub fn asked(&self) -> &Asked {
        &self.asked
    }

    /// The wishes that hold for every tune.
    pub fn wishes(&self) -> &Wishes {
        &self.wishes
    }

    pub fn options(&self) -> ReadOptions {
        ReadOptions { tune: self.asked.tune, part: self.asked.choices.part.clone() }
    }

    /// For a tune that this harp does not wholly have: the best key that works, or what would. `None` where nothing is missing.
    pub fn instead(&self, job: &Job) -> Option<String> {
        if job.arrangement.plan.settled.page.missing.is_empty() {
            return None;
        }
        let wishes = Wishes { transpose: None, ..job.wishes.clone() };
        let mut patience = Patience::default();
        let found = nearest_that_works(&job.imported.sheet, &self.figures, &self.harp, &self.player, &wishes, &mut patience).ok()?;
        let none = |said: &str| format!("{said} {}", self.what_would_read(&job.imported));
        match found {
            Nearest::Key(key) => {
                Some(format!("All of it can be played in {:#} ({}): {}.", key.key, key.sentence(&self.harp), self.to_take(key.key.tonic())))
            }
            Nearest::None => Some(none("It cannot all be played on this harp in any key.")),
            Nearest::NotFound => Some(none("No key was found in which all of it can be played on this harp.")),
            Nearest::GivenUp => None,
        }
    }

    /// The first harp of the program's own, larger ones after smaller, on which some key gives all of the tune, whatever the left hand does under it.
    pub fn what_would(&self, path: &Path) -> Result<String, Failure> {
        Ok(self.what_would_read(&read::tune(path, &self.options())?.0))
    }

    /// The same for a tune that was read before.
    pub fn what_would_read(&self, imported: &Imported) -> String {
        let mut patience = Patience::default();
        let works = |name: &str| -> Option<String> {
            let harp = harps::harp(name).ok().filter(|harp| *harp != self.harp)?;
            let key = nearest_for_the_tune(&imported.sheet, &harp, &self.player, &self.wishes, &mut patience).ok()??;
            Some(format!("The tune can be played on {} in {key:#}.", harps::on(name)))
        };
        let found = ["lever-34", "lever-38", "pedal-47"].into_iter().find_map(works);
        found.unwrap_or_else(|| "On any harp it would need a slower tempo, or a chord or a note less where it stands.".into())
    }

    /// What to do for a key.
    fn to_take(&self, tonic: PitchName) -> String {
        match self.reader() {
            Reader::CommandLine => format!("--key {tonic}"),
            Reader::Page => "choose it under Whole tune, Key".into(),
        }
    }

    /// Whom the sentences are for.
    pub fn reader(&self) -> Reader {
        self.asked.reader
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
