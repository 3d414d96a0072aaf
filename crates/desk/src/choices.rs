//! What the player chose for one tune: kept beside it as a short TOML file she could read and change, and sent to the page as JSON with the same names.

use crate::failure::Failure;
use crate::fields::fields;
use crate::harps::PRESETS;
use crate::job::Asked;
use crate::reader::Reader;
use crate::versions::{self, Versions};
use crate::wishes as words;
use crate::wishes::form::FormWords;
use arrange::{Figures, Wishes};
use harp::strings::ConcertPitch;
use harp::{Fluency, Instrument, Player, Reach, Shoulder};
use music::{Hand, Interval, LeadSheet};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::Path;

/// Every choice for a tune; the default is what holds where nothing was chosen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Choices {
    /// A harp of the program's, or a file of her own in the folder.
    pub harp: String,
    /// Which part of a file of several; none: the likeliest.
    pub part: Option<String>,
    /// "G", "best"; none: as written.
    pub key: Option<String>,
    pub octave: i32,
    /// A singer's range, "A3-D5": keys that suit it come first.
    pub voice: Option<String>,
    pub tempo: Option<String>,
    pub kind: Option<String>,
    /// One number (0 to 6) a verse; empty: as the tune suggests.
    pub fullness: Vec<u8>,
    #[serde(rename = "use")]
    pub only: Vec<String>,
    pub without: Vec<String>,
    /// A SoundFont of hers in the folder; none: our own strings.
    pub sound: Option<String>,
    /// The frequency of A4 in hertz, "442"; none: 440.
    pub concert: Option<String>,
    /// Where the chords come from: "written", "voices"; none: of itself.
    pub chords_from: Option<String>,
    /// The most chords in a measure; none: what she has time for, and only chords that Undersong found.
    pub chords_a_measure: Option<u32>,
    /// Chords that were brought back, by the printed number of their measure, "5", or "5@2" for the one after two quarter notes.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub keep: Vec<String>,
    /// What a written bass (C/E) means: "kept", always played; none: a strong suggestion.
    pub bass: Option<String>,
    /// From 1.
    pub variant: u32,
    /// none, few or all.
    pub fingers: String,
    /// Changes of single notes, a line each: see [`crate::by_hand`].
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<String>,
    pub player: PlayerChoices,
    /// What is put before, between and after the verses.
    #[serde(skip_serializing_if = "nothing_added")]
    pub form: FormWords,
    /// Ways she took, by the printed number of their measure: see [`crate::wishes::ways`].
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub ways: BTreeMap<String, String>,
    /// Figures she holds, by the printed number of their measure; 0.1.0 wrote the table as "pins".
    #[serde(alias = "pins")]
    pub holds: BTreeMap<String, String>,
    /// Where phrases begin or go on, by the printed number of their measure: "begins", "goes on".
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub phrases: BTreeMap<String, String>,
    /// Her own chord symbols in the tune's own key, by "MEASURE@BEATS": the measure of the file from 0, and quarter notes from its start. By "MEASURE" alone all chords of
    /// that measure: see [`crate::chords_of::hers`].
    pub chords: BTreeMap<String, String>,
}

/// The fields of a table of the file; the file's own are those of no name. None: a table whose fields are not known beforehand.
pub fn fields_of(table: &str) -> Option<&'static [&'static str]> {
    match table {
        "" => Some(fields::<Choices>()),
        "player" => Some(fields::<PlayerChoices>()),
        "form" => Some(fields::<FormWords>()),
        _ => None,
    }
}

/// The values of a player's file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct PlayerChoices {
    pub fluency: String,
    pub left_block: u32,
    pub left_rolled: u32,
    pub right_block: u32,
    pub right_rolled: u32,
    /// 0.1.0 wrote it as "spare".
    #[serde(alias = "spare")]
    pub leave_out: Vec<u8>,
    pub levers: String,
    pub shoulder: String,
}

impl Default for Choices {
    fn default() -> Choices {
        Choices {
            harp: "lever-34".into(),
            part: None,
            key: None,
            octave: 0,
            voice: None,
            tempo: None,
            kind: None,
            fullness: Vec::new(),
            only: Vec::new(),
            without: Vec::new(),
            sound: None,
            concert: None,
            chords_from: None,
            chords_a_measure: None,
            keep: Vec::new(),
            bass: None,
            variant: 1,
            fingers: "few".into(),
            form: FormWords::default(),
            changes: Vec::new(),
            player: PlayerChoices::default(),
            ways: BTreeMap::new(),
            holds: BTreeMap::new(),
            phrases: BTreeMap::new(),
            chords: BTreeMap::new(),
        }
    }
}

impl Default for PlayerChoices {
    fn default() -> PlayerChoices {
        let player = Player::default();
        PlayerChoices {
            fluency: player.fluency.name().into(),
            left_block: player.left.block,
            left_rolled: player.left.rolled,
            right_block: player.right.block,
            right_rolled: player.right.rolled,
            leave_out: player.fingers_left_out,
            levers: "left".into(),
            shoulder: "right".into(),
        }
    }
}

impl PlayerChoices {
    /// The player these values describe.
    pub fn player(&self) -> Result<Player, Failure> {
        let player = Player {
            left: Reach { block: self.left_block, rolled: self.left_rolled.max(self.left_block) },
            right: Reach { block: self.right_block, rolled: self.right_rolled.max(self.right_block) },
            fluency: self.fluency()?,
            fingers_left_out: self.leave_out.clone(),
            lever_hand: side("levers", &self.levers, [Hand::Left, Hand::Right])?,
            shoulder: side("shoulder", &self.shoulder, [Shoulder::Left, Shoulder::Right])?,
        };
        player.check().map_err(Failure::wrong)
    }

    fn fluency(&self) -> Result<Fluency, Failure> {
        let all = [Fluency::Slow, Fluency::Fluent, Fluency::Advanced];
        let expected = || Failure::wrong(format!("fluency \"{}\": expected slow, fluent or advanced", self.fluency));
        all.into_iter().find(|f| f.name() == self.fluency).ok_or_else(expected)
    }
}

fn side<T>(field: &str, word: &str, [left, right]: [T; 2]) -> Result<T, Failure> {
    match word {
        "left" => Ok(left),
        "right" => Ok(right),
        other => Err(Failure::wrong(format!("{field} \"{other}\": expected left or right"))),
    }
}

/// A file without it stays as it was.
fn nothing_added(form: &FormWords) -> bool {
    *form == FormWords::default()
}

impl Choices {
    /// The choices with what stands beside them in her folder. A harp that is not the program's own must be a file directly in the folder.
    pub fn asked(&self, folder: &Path) -> Result<Asked, Failure> {
        let figures = folder.join(crate::shelf::FIGURES);
        // Only the sound asks for it: a mistake is said when it is chosen.
        self.concert()?;
        let choices = Choices { octave: self.octave.clamp(-3, 3), variant: self.variant.clamp(1, 20), ..self.clone() };
        let harp = self.harp_in(folder)?;
        Ok(Asked { harp, figures: figures.exists().then_some(figures), reader: Reader::Page, ..Asked::of(choices) })
    }

    /// The wishes that hold for every tune; [`Choices::for_tune`] adds what depends on one. A new wish is a field above and a line here.
    pub fn wishes(&self, figures: &Figures, reader: Reader) -> Result<Wishes, Failure> {
        let named = |names: &[String]| names.iter().map(|name| words::figure(name, figures, reader)).collect::<Result<Vec<_>, _>>();
        let holds = self.holds.iter().map(|(measure, figure)| words::hold(measure, figure, figures, reader));
        Ok(Wishes {
            kind: self.kind.as_deref().map(words::kind).transpose()?,
            fullness: self.fullness.iter().map(|n| words::fullness(&n.to_string())).collect::<Result<_, _>>()?,
            only: named(&self.only)?,
            without: named(&self.without)?,
            holds: holds.collect::<Result<_, _>>()?,
            ways: self.ways.iter().map(|(measure, text)| words::ways::way(measure, text)).collect::<Result<_, _>>()?,
            phrases: self.phrases.iter().map(|(measure, here)| words::phrase(measure, here)).collect::<Result<_, _>>()?,
            bass: self.bass.as_deref().map(words::bass).transpose()?.unwrap_or_default(),
            variant: self.variant,
            form: self.form.form()?,
            high: self.form.high()?,
            melody_below: self.form.melody_below()?,
            fingers: words::fingers(&self.fingers)?,
            ..Wishes::default()
        })
    }

    /// Adds the wished key, octave and tempo, which depend on the tune's own key and meter.
    pub fn for_tune(&self, wishes: &Wishes, sheet: &LeadSheet, harp: &Instrument) -> Result<Wishes, Failure> {
        let wished = self.key.as_deref().filter(|text| *text != words::key::BEST);
        let to_key = wished.map(|text| words::key::interval(text, sheet, harp)).transpose()?;
        let by_octaves = (self.octave != 0).then(|| Interval::octaves(self.octave));
        let transpose = to_key.map_or(by_octaves, |by| Some(by + by_octaves.unwrap_or(Interval::UNISON)));
        Ok(Wishes { transpose, ..self.for_key(wishes, sheet)? })
    }

    /// The same without a key: for the ranking of all keys.
    pub fn for_key(&self, wishes: &Wishes, sheet: &LeadSheet) -> Result<Wishes, Failure> {
        let tempo = self.tempo.as_deref().map(|text| words::tempo::tempo(text, sheet)).transpose()?;
        Ok(Wishes { tempo, ..wishes.clone() })
    }

    /// The concert pitch. Errors: no frequency of an A4.
    pub fn concert(&self) -> Result<ConcertPitch, Failure> {
        self.concert.as_deref().map_or(Ok(ConcertPitch::default()), crate::wishes::concert)
    }

    fn harp_in(&self, folder: &Path) -> Result<String, Failure> {
        let first = self.harp.trim().split(' ').next().unwrap_or_default().to_lowercase();
        if PRESETS.iter().any(|p| p.name == first) {
            return Ok(self.harp.clone());
        }
        if crate::shelf::is_plain(&self.harp) && self.harp.ends_with(".toml") {
            return Ok(folder.join(&self.harp).display().to_string());
        }
        Err(Failure::wrong(format!("there is no harp \"{}\": expected one of the list, or a file of your own in this folder", self.harp)))
    }

    /// As the file beside the tune.
    pub fn toml(&self) -> String {
        Versions::of_one(self.clone()).toml()
    }

    /// The lines of that file.
    pub fn body(&self) -> String {
        toml::to_string(self).expect("texts, numbers, lists and tables of texts have a TOML form")
    }

    /// Whether the file will be read again. Errors: it would be too large.
    pub fn check_size(&self) -> Result<(), Failure> {
        versions::file::check_size(&self.toml())
    }

    /// As JSON with the same names.
    pub fn json(&self) -> serde_json::Value {
        serde_json::to_value(self).expect("texts, numbers, lists and tables of texts have a JSON form")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::toml_file::TomlFile;

    #[test]
    fn the_file_reads_back() {
        let mut choices = Choices { key: Some("G".into()), fullness: vec![2, 4], ..Choices::default() };
        choices.holds.insert("5".into(), "open-fifth".into());
        choices.chords.insert("3@2".into(), "Am7".into());
        let file = TomlFile { name: "a.abc.undersong.toml".into(), text: choices.toml() };
        let read = versions::file::read(&file).expect("our own text");
        assert_eq!(read, Versions::of_one(choices));
        assert_eq!(toml::from_str::<Choices>("").expect("nothing chosen"), Choices::default());
    }

    /// Those of 0.1.0 too, which wrote "pins" and "spare".
    #[test]
    fn the_fields_are_those_that_are_read() {
        let known = |table: &str, field: &str| fields_of(table).is_some_and(|fields| fields.contains(&field));
        for (table, field) in
            [("", "use"), ("", "holds"), ("", "pins"), ("player", "leave_out"), ("player", "spare"), ("form", "melody_below")]
        {
            assert!(known(table, field), "{table} {field}");
        }
        assert!(!known("", "only") && !known("", "stool"), "the names of the file");
        assert_eq!(fields_of("holds"), None);
    }

    #[test]
    fn a_harp_file_stays_in_the_folder() {
        let harp = |name: &str| Choices { harp: name.into(), ..Choices::default() }.asked(Path::new("tunes")).map(|a| a.harp);
        assert_eq!(harp("lever-36 in F"), Ok("lever-36 in F".into()));
        assert_eq!(harp("mine.toml"), Ok(Path::new("tunes").join("mine.toml").display().to_string()));
        for outside in ["../mine.toml", "/etc/mine.toml", "a\\b.toml", "passwd"] {
            assert!(harp(outside).is_err(), "{outside}");
        }
    }

    #[test]
    fn the_player_assumed_is_the_same() {
        assert_eq!(PlayerChoices::default().player(), Ok(Player::default()));
        let none = PlayerChoices { leave_out: vec![1, 2, 3, 4], ..PlayerChoices::default() };
        assert!(none.player().is_err());
    }
}
