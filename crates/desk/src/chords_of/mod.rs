//! Where the chords of a tune come from: its file, its own voices, her hand; and how many of them stay.
//!
//! Every way to an arrangement goes through [`Setup::supply`], so that all commands and the page have the same chords. Nothing here touches the tune's file: what is
//! found or taken away stands in the sheet that was read.

pub mod hers;
pub mod melody;
mod thinned;
mod voices;

use crate::failure::Failure;
use crate::job::Setup;
use formats::Imported;
use harmony::thin::Dropped;
use music::{ChordOrigin, LeadSheet};

use harmony::bare::Version;
use melody::Made;

/// What she wishes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Wished {
    /// Those of the file where it has any, with what is missing filled in; else those of its voices where it has several; else three to a section for the melody.
    #[default]
    OfItself,
    Written,
    Voices,
    Melody(Version),
}

/// Where they came from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum From {
    #[default]
    File,
    /// Found in so many voices.
    Voices(usize),
    /// Made for the melody.
    Melody(Version),
    /// There are none.
    Nowhere,
}

/// The chords of a tune: where they came from, and what was done to them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ChordsOf {
    pub from: From,
    /// How many chord symbols the file has.
    pub written: usize,
    /// How many there were before any was taken away, hers included.
    pub found: usize,
    /// How many of them stand in the sheet.
    pub stand: usize,
    /// The most chords in a full measure, where chords were to be thinned.
    pub most: Option<usize>,
    /// That number was her wish.
    pub most_wished: bool,
    pub dropped: Vec<Dropped>,
    /// What was made for the melody, all of it or some measures.
    pub made: Option<Made>,
    /// Her wish cannot be met: why, and what stands instead.
    pub unmet: Option<String>,
    /// The file has several voices, which could give chords.
    pub voices: Option<usize>,
    /// What else she should know.
    pub said: Vec<String>,
}

impl ChordsOf {
    /// Some chords are the program's.
    pub fn is_ours(&self) -> bool {
        matches!(self.from, From::Voices(_) | From::Melody(_))
    }
}

/// Reads a wish.
pub fn wished(text: &str) -> Result<Wished, Failure> {
    match text.trim().to_lowercase().as_str() {
        "written" => Ok(Wished::Written),
        "voices" => Ok(Wished::Voices),
        "three" => Ok(Wished::Melody(Version::ThreeChord)),
        "fuller" => Ok(Wished::Melody(Version::Fuller)),
        _ => Err(Failure::wrong(format!(
            "chords \"{text}\": expected written (those of the file), voices (those its voices make), three (three to a section, made for the melody) or fuller (more of them)"
        ))),
    }
}

impl Setup {
    /// Gives a tune its chords; `bytes` are the file it was read from. Errors: a chord or a place of hers that cannot be read.
    pub fn supply(&self, imported: &mut Imported, bytes: &[u8]) -> Result<ChordsOf, Failure> {
        let choices = &self.asked().choices;
        let sheet = &mut imported.sheet;
        let mut chords = ChordsOf { written: count(sheet, ChordOrigin::Source), ..ChordsOf::default() };
        let wish = choices.chords_from.as_deref().map_or(Ok(Wished::OfItself), wished)?;
        let takes_voices = wish == Wished::Voices || wish == Wished::OfItself && !sheet.has_chords();
        let voices = voices::of(bytes, &self.options());
        chords.voices = voices.as_ref().map(voices::count);
        match voices.filter(|_| takes_voices) {
            Some(voices) => {
                chords.from = From::Voices(voices::count(&voices));
                chords.said.extend(voices::put(sheet, &voices));
            }
            None if wish == Wished::Voices => {
                let instead = if sheet.has_chords() { "the chords of the file stand" } else { "it has none" };
                chords.unmet = Some(format!("The file has too few voices to give chords (a hymn has four): {instead}."));
            }
            None => {}
        }
        self.make(sheet, wish, &mut chords);
        chords.said.extend(hers::lay(sheet, &choices.chords)?);
        if let Some(made) = &chords.made {
            melody::resume(sheet, made);
        }
        chords.found = all(sheet);
        self.thin(sheet, &mut chords)?;
        if matches!(chords.from, From::Voices(_)) {
            harmony::thin::basses_that_matter(sheet);
        }
        chords.stand = all(sheet);
        if chords.stand == 0 {
            chords.from = From::Nowhere;
        }
        Ok(chords)
    }
}

impl Setup {
    /// Chords for the melody, where she wishes them or there are no others.
    fn make(&self, sheet: &mut LeadSheet, wish: Wished, chords: &mut ChordsOf) {
        let version = match wish {
            Wished::Melody(version) => version,
            Wished::OfItself if all(sheet) == 0 => Version::ThreeChord,
            Wished::OfItself if chords.from == From::File => {
                chords.made = melody::put_missing(sheet);
                return;
            }
            _ => return,
        };
        chords.made = melody::put(sheet, version);
        match chords.made {
            Some(_) => chords.from = From::Melody(version),
            None if wish != Wished::OfItself => chords.unmet = Some("The melody has no notes to make chords for.".into()),
            None => {}
        }
    }
}

fn count(sheet: &LeadSheet, origin: ChordOrigin) -> usize {
    sheet.measures.iter().flat_map(|m| &m.frame.chords).filter(|c| c.origin == origin).count()
}

fn all(sheet: &LeadSheet) -> usize {
    sheet.measures.iter().map(|m| m.frame.chords.len()).sum()
}

#[cfg(test)]
mod tests;
