//! The sounds that strings can have: our own, the SoundFonts in her folder, and one that the program was opened with. Each keeps its strings once they are
//! rendered, and reads a font again when its file has changed.

use super::desk::{hash, locked};
use super::percent::encoded;
use crate::failure::Failure;
use crate::shelf::Shelf;
use crate::shelf::fonts::LARGEST_FONT;
use music::{Pitch, Step};
use sound::{Samples, SoundError, SoundFont, Strings, Voicing, wav};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// Strings of a sound that are kept at once: the whole of a large harp with some of its settings.
const KEPT: usize = 100;

/// The name of our own strings, and of the sound the program was opened with; no file of her folder has either.
const OWN: &str = "";
const USUAL: &str = "usual";

/// The sounds in use, by name.
#[derive(Default)]
pub struct Sounds {
    known: Mutex<BTreeMap<String, Arc<Sound>>>,
    /// A font for tunes that choose none.
    usual: Option<PathBuf>,
}

/// One sound.
pub struct Sound {
    /// Says which file it was read from and how that stood; nothing for our own.
    mark: String,
    /// What stands behind the address of every sample.
    pub of: String,
    strings: Mutex<Strings>,
    files: Mutex<BTreeMap<Pitch, Arc<Vec<u8>>>>,
}

impl Sounds {
    /// With a font for every tune that chooses no sound of its own. Errors: it cannot be read or is none.
    pub fn with_usual(font: &Path) -> Result<Sounds, Failure> {
        let sounds = Sounds { usual: Some(font.to_owned()), ..Sounds::default() };
        sounds.sounding(USUAL, font)?;
        Ok(sounds)
    }

    /// The sound of a tune by her choice; an empty name is our own strings. Errors: a sentence about the font.
    pub fn of(&self, shelf: &Shelf, choice: Option<&str>) -> Result<Arc<Sound>, Failure> {
        let usual = if self.usual.is_some() { USUAL } else { OWN };
        self.named(shelf, choice.unwrap_or(usual))
    }

    /// The sound behind an address.
    pub fn named(&self, shelf: &Shelf, name: &str) -> Result<Arc<Sound>, Failure> {
        match (name, &self.usual) {
            (OWN, _) => Ok(self.own()),
            (USUAL, Some(font)) => self.sounding(name, font),
            _ => self.sounding(name, &shelf.font(name)?),
        }
    }

    /// Our own strings.
    pub fn own(&self) -> Arc<Sound> {
        let mut known = locked(&self.known);
        let own = || Arc::new(Sound::new(String::new(), String::new(), Strings::own(&Voicing::default())));
        known.entry(OWN.into()).or_insert_with(own).clone()
    }

    fn sounding(&self, name: &str, path: &Path) -> Result<Arc<Sound>, Failure> {
        let mark = mark(path)?;
        let mut known = locked(&self.known);
        if let Some(sound) = known.get(name).filter(|s| s.mark == mark) {
            return Ok(sound.clone());
        }
        let sound = Arc::new(Sound::read(path, name, mark)?);
        // A font may fill much of the memory: of those in her folder one is kept.
        known.retain(|other, _| [OWN, USUAL].contains(&other.as_str()));
        known.insert(name.into(), sound.clone());
        Ok(sound)
    }
}

/// How a font's file stands: when it was changed and how long it is. Errors: it cannot be looked at, or is too large.
fn mark(path: &Path) -> Result<String, Failure> {
    let file = std::fs::metadata(path).map_err(|error| Failure::world("cannot read", path, &error))?;
    if file.len() > LARGEST_FONT {
        let most = LARGEST_FONT / (1024 * 1024);
        return Err(Failure::wrong(format!("{} is larger than {most} MiB, the most that is read of a SoundFont", path.display())));
    }
    Ok(hash(&[path.as_os_str().as_encoded_bytes(), format!("{:?} {}", file.modified().ok(), file.len()).as_bytes()]))
}

impl Sound {
    fn new(mark: String, of: String, strings: Strings) -> Sound {
        Sound { mark, of, strings: Mutex::new(strings), files: Mutex::default() }
    }

    fn read(path: &Path, name: &str, mark: String) -> Result<Sound, Failure> {
        let bytes = std::fs::read(path).map_err(|error| Failure::world("cannot read", path, &error))?;
        let called = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let wrong = |error: SoundError| Failure::wrong(format!("{called}: {error}"));
        let font = SoundFont::read(&bytes).map_err(wrong)?;
        // A browser keeps samples by their address: another content has another one.
        let of = format!("?of={}&as={mark}", encoded(name));
        let sound = Sound::new(mark, of, Strings::font(&Voicing::default(), &font));
        // What is damaged inside shows only when it is played.
        sound.strings(&BTreeSet::from([Pitch::new(Step::C, 0, 4)])).map_err(wrong)?;
        Ok(sound)
    }

    /// These strings, with others that were rendered before.
    pub fn strings(&self, wanted: &BTreeSet<Pitch>) -> Result<Strings, SoundError> {
        let mut known = locked(&self.strings);
        let all = known.with(wanted)?;
        *known = if all.count() > KEPT { all.only(wanted) } else { all };
        Ok(known.clone())
    }

    /// One string as a WAV file, plucked once and left alone.
    pub fn wav(&self, pitch: Pitch) -> Result<Arc<Vec<u8>>, SoundError> {
        if let Some(known) = locked(&self.files).get(&pitch) {
            return Ok(known.clone());
        }
        let strings = self.strings(&BTreeSet::from([pitch]))?;
        let sound = strings.sound(pitch).expect("the string was just rendered").to_vec();
        let samples = Samples { rate: Voicing::default().rate, channels: vec![sound] };
        let file = Arc::new(wav::bytes(&samples, wav::Depth::Sixteen)?);
        locked(&self.files).insert(pitch, file.clone());
        Ok(file)
    }
}
