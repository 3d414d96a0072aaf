//! The file beside a tune: which recording, what she said about it, and where the measures are.

use crate::failure::Failure;
use crate::file_form;
use crate::plain_file::{self, Most};
use crate::shelf::{RECORDING, Shelf, tune_of};
use music::{Beats, Seconds};
use recording::{Anchor, Followed, Pass, Sure};
use serde::{Deserialize, Serialize};

/// Twenty thousand measures and their beats.
const LARGEST: Most = Most { bytes: 8 * 1024 * 1024, of: "a file of places in a recording" };

/// The form of the file.
const FORM: i64 = 1;
const MEANWHILE: &str = "no places of this tune in a recording are kept";

/// Which recording it is: it is known again by its bytes, whatever it is called.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Which {
    pub name: String,
    /// Made from its bytes.
    pub mark: String,
    /// It lies in the folder, from where it is read again by itself.
    #[serde(default)]
    pub in_folder: bool,
}

/// A first beat that she gave.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Given {
    /// Index into the measures of the tune's file.
    pub measure: usize,
    pub seconds: f64,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KeptPass {
    pub measure: usize,
    /// The place in quarter notes, and seconds.
    pub beats: Vec<(f64, f64)>,
    pub end: f64,
    /// "yes", "no", "given".
    pub sure: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    pub recording: Which,
    /// Made from what was listened for: places of another text are stale.
    pub tune: String,
    pub seconds: f64,
    /// Half steps above the tune's file, and cents beside A = 440 Hz.
    pub half_steps: i32,
    pub cents: i32,
    pub broken_off: bool,
    pub agrees: f32,
    pub key_before_next: f32,
    pub given: Vec<Given>,
    pub passes: Vec<KeptPass>,
}

impl Kept {
    pub fn of(which: Which, tune: String, given: Vec<Given>, found: &Followed) -> Kept {
        let beats = |p: &Pass| p.beats.iter().map(|(at, time)| (at.as_f64(), time.as_f64())).collect();
        let pass = |p: &Pass| KeptPass { measure: p.measure, beats: beats(p), end: p.end.as_f64(), sure: sure(p.sure).into() };
        Kept {
            recording: which,
            tune,
            seconds: found.length,
            half_steps: found.shift,
            cents: found.cents,
            broken_off: found.broken_off,
            agrees: found.agrees,
            key_before_next: found.key_before_next,
            given,
            passes: found.passes.iter().map(pass).collect(),
        }
    }

    /// The same as it was found.
    pub fn followed(&self) -> Followed {
        let time = |t: f64| Seconds::from_millis((t * 1000.0).round() as i64);
        let pass = |p: &KeptPass| Pass {
            measure: p.measure,
            beats: p.beats.iter().map(|(at, t)| (Beats::nearest_quarters((at * 1e6).round() as i64, 1_000_000), time(*t))).collect(),
            end: time(p.end),
            sure: if p.sure == "no" { Sure::Not } else { Sure::Yes },
        };
        Followed {
            shift: self.half_steps,
            cents: self.cents,
            passes: self.passes.iter().map(pass).collect(),
            broken_off: self.broken_off,
            agrees: self.agrees,
            key_before_next: self.key_before_next,
            length: self.seconds,
        }
    }
}

pub fn sure(sure: Sure) -> &'static str {
    match sure {
        Sure::Not => "no",
        Sure::Yes => "yes",
        Sure::Given => "given",
    }
}

pub fn anchors(given: &[Given]) -> Vec<Anchor> {
    given.iter().map(|g| Anchor { measure: g.measure, seconds: g.seconds }).collect()
}

/// What is kept of a tune's recording; nothing where nothing is. Errors: the file is of a newer form or cannot be read; as long as it stands there it is left as it is.
pub fn read(shelf: &Shelf, id: &str) -> Result<Option<Kept>, Failure> {
    let path = shelf.beside(id, RECORDING);
    if !path.exists() {
        return Ok(None);
    }
    file_form::of_json(&format!("{}{RECORDING}", tune_of(id)), &plain_file::bytes(&path, LARGEST)?, FORM, MEANWHILE)
}

/// Errors: there is a file that is left as it is, or the disk does not take it.
pub fn write(shelf: &Shelf, id: &str, kept: &Kept) -> Result<(), Failure> {
    read(shelf, id)?;
    shelf.note(id, RECORDING, &file_form::to_json(FORM, kept))
}

/// Forgets the places; the recording itself stays where it lies. Errors: there is a file that is left as it is.
pub fn forget(shelf: &Shelf, id: &str) -> Result<(), Failure> {
    read(shelf, id)?;
    let path = shelf.beside(id, RECORDING);
    match std::fs::remove_file(&path) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(Failure::world("cannot forget", &path, &error)),
        _ => Ok(()),
    }
}
