//! The sounds that strings can have: our own, the SoundFonts in her folder, and one that the program was opened with. Each keeps its strings once they are
//! rendered, and reads a font again when its file has changed.

use super::memory::{hash, locked};
use super::percent::encoded;
use crate::choices::Choices;
use crate::failure::Failure;
use crate::plain_file;
use crate::shelf::Shelf;
use harp::strings::ConcertPitch;
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
    known: Mutex<BTreeMap<Wanted, Arc<Sound>>>,
    /// Held while a font is read, which may take a while: other sounds are heard meanwhile.
    reading: Mutex<()>,
    /// A font for tunes that choose none.
    usual: Option<PathBuf>,
}

/// A sound by its name, and the concert pitch as it was chosen.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wanted {
    pub name: String,
    pub concert: Option<String>,
}

impl Wanted {
    fn voicing(&self) -> Result<Voicing, Failure> {
        let concert = self.concert.as_deref().map_or(Ok(ConcertPitch::default()), crate::wishes::concert)?;
        Ok(Voicing { concert, ..Voicing::default() })
    }

    /// What stands behind the address of every sample. A browser keeps samples by their address: a font with another content has another one.
    fn of(&self, mark: &str) -> String {
        let name = (self.name != OWN).then(|| format!("of={}&as={mark}", encoded(&self.name)));
        let concert = self.concert.as_deref().map(|c| format!("concert={}", encoded(c)));
        let all: Vec<String> = name.into_iter().chain(concert).collect();
        if all.is_empty() { String::new() } else { format!("?{}", all.join("&")) }
    }
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
        sounds.sounding(&Wanted { name: USUAL.into(), concert: None }, font)?;
        Ok(sounds)
    }

    /// The sound of a tune by her choices; an empty name is our own strings. Errors: a sentence about the font or the concert pitch.
    pub fn of(&self, shelf: &Shelf, choices: &Choices) -> Result<Arc<Sound>, Failure> {
        let usual = if self.usual.is_some() { USUAL } else { OWN };
        let name = choices.sound.clone().unwrap_or_else(|| usual.into());
        self.named(shelf, &Wanted { name, concert: choices.concert.clone() })
    }

    /// The sound behind an address.
    pub fn named(&self, shelf: &Shelf, wanted: &Wanted) -> Result<Arc<Sound>, Failure> {
        match (wanted.name.as_str(), &self.usual) {
            (OWN, _) => self.own(wanted.concert.clone()),
            (USUAL, Some(font)) => self.sounding(wanted, font),
            (name, _) => self.sounding(wanted, &shelf.font(name)?),
        }
    }

    /// Whether the program was opened with a sound for tunes that choose none.
    pub fn has_usual(&self) -> bool {
        self.usual.is_some()
    }

    /// Our own strings. Errors: no concert pitch.
    pub fn own(&self, concert: Option<String>) -> Result<Arc<Sound>, Failure> {
        let wanted = Wanted { name: OWN.into(), concert };
        let mut known = locked(&self.known);
        if let Some(sound) = known.get(&wanted) {
            return Ok(sound.clone());
        }
        let sound = Arc::new(Sound::new(String::new(), wanted.of(""), Strings::own(&wanted.voicing()?)));
        keep(&mut known, wanted, &sound);
        Ok(sound)
    }

    fn sounding(&self, wanted: &Wanted, path: &Path) -> Result<Arc<Sound>, Failure> {
        let mark = mark(path)?;
        let known = || locked(&self.known).get(wanted).filter(|s| s.mark == mark).cloned();
        if let Some(sound) = known() {
            return Ok(sound);
        }
        // Another may have read it while this one waited.
        let _reading = locked(&self.reading);
        if let Some(sound) = known() {
            return Ok(sound);
        }
        let sound = Arc::new(Sound::read(path, wanted, mark.clone())?);
        keep(&mut locked(&self.known), wanted.clone(), &sound);
        Ok(sound)
    }
}

/// Keeps a sound. A font may fill much of the memory: of those in her folder one is kept, and of our own and the usual one at most a second concert pitch.
fn keep(known: &mut BTreeMap<Wanted, Arc<Sound>>, wanted: Wanted, sound: &Arc<Sound>) {
    known.retain(|other, _| [OWN, USUAL].contains(&other.name.as_str()) && other.concert.is_none());
    known.insert(wanted, sound.clone());
}

/// How a font's file stands: when it was changed and how long it is. Errors: it cannot be looked at, or is too large.
fn mark(path: &Path) -> Result<String, Failure> {
    let file = plain_file::look(path, plain_file::FONT)?;
    Ok(hash(&[path.as_os_str().as_encoded_bytes(), format!("{:?} {}", file.modified().ok(), file.len()).as_bytes()]))
}

impl Sound {
    fn new(mark: String, of: String, strings: Strings) -> Sound {
        Sound { mark, of, strings: Mutex::new(strings), files: Mutex::default() }
    }

    fn read(path: &Path, wanted: &Wanted, mark: String) -> Result<Sound, Failure> {
        let bytes = plain_file::bytes(path, plain_file::FONT)?;
        let called = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let wrong = |error: SoundError| Failure::wrong(format!("{called}: {error}"));
        let font = SoundFont::read(&bytes).map_err(wrong)?;
        let of = wanted.of(&mark);
        let sound = Sound::new(mark, of, Strings::font(&wanted.voicing()?, &font));
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
