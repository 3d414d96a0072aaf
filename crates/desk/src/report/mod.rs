//! What is said about an arrangement: as text ([`text`]), as JSON ([`Report`] itself), and decision by decision ([`decisions`]).
//!
//! [`phrases`] tells the figures of each phrase, [`remarks`] puts what the arranger noticed into sentences.

pub mod remarks;
pub mod chords;
pub mod phrases;
pub mod settings;
pub mod decisions;
pub mod figures;
pub mod form;
pub mod melody;
pub mod text;

use crate::job::{Job, Setup};
use crate::wishes::tempo;
use arrange::{Wishes, WrittenBass};
use formats::{Diagnostic, Severity};
use harp::{Instrument, Mechanism, Player, Tuning};
use music::{Key, LeadSheet, MeasureNumber, Pitch, PitchName, Step};
use phrases::PhraseFigures;
use serde::Serialize;
use std::collections::BTreeMap;

/// The report on one tune. The fields are those of the JSON, in its order.
#[derive(Clone, Debug, Serialize)]
pub struct Report {
    pub tune: TuneFacts,
    /// What the player should know first.
    pub remarks: Vec<String>,
    pub key: String,
    /// The interval in semitones the tune was moved by.
    pub moved_semitones: i32,
    pub tempo: TempoFacts,
    pub kind: KindFacts,
    pub harp: HarpFacts,
    pub player: PlayerFacts,
    pub wishes: WishFacts,
    pub settings: settings::SettingFacts,
    /// Chords that are not simply those of the file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chords: Option<chords::ChordFacts>,
    /// What was added to the tune.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub form: Vec<form::PartFacts>,
    /// The verses whose melody the left hand plays, a sentence each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub melody_below: Vec<String>,
    /// How to close early from each measure of the verses.
    pub ways_out: Vec<form::WayOutFacts>,
    pub phrases: Vec<PhraseFigures>,
    /// Chord symbols at which nothing is plucked, each with the reason.
    pub left_out: Vec<String>,
    pub diagnostics: Vec<Said>,
    pub files: Vec<String>,
}

/// What was read.
#[derive(Clone, Debug, Serialize)]
pub struct TuneFacts {
    pub file: String,
    pub title: String,
    pub composer: Option<String>,
    /// The tunes of the file, where there are several.
    pub others: Vec<String>,
    pub key: String,
    pub meters: Vec<String>,
    pub measures: usize,
    pub chord_symbols: usize,
    pub verses_of_words: u32,
}

#[derive(Clone, Debug, Serialize)]
pub struct TempoFacts {
    pub words: String,
    /// The note value counted, as a fraction of a whole note.
    pub unit: String,
    pub per_minute: String,
    pub assumed: bool,
}

#[derive(Clone, Debug, Serialize)]
pub struct KindFacts {
    pub name: String,
    pub because: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct HarpFacts {
    pub name: String,
    pub strings: u32,
    pub lowest: String,
    pub highest: String,
    /// The letters that are not natural on the open strings.
    pub tuning: Vec<String>,
    pub changed_by: &'static str,
}

#[derive(Clone, Debug, Serialize)]
pub struct PlayerFacts {
    pub left_reach: [u32; 2],
    pub right_reach: [u32; 2],
    pub fluency: &'static str,
    pub fingers_left_out: Vec<u8>,
}

#[derive(Clone, Debug, Serialize)]
pub struct WishFacts {
    pub fullness: Vec<u8>,
    #[serde(rename = "use")]
    pub only: Vec<String>,
    pub without: Vec<String>,
    #[serde(serialize_with = "crate::number::table")]
    pub holds: BTreeMap<MeasureNumber, String>,
    /// Ways she took, as her file has them.
    #[serde(skip_serializing_if = "BTreeMap::is_empty", serialize_with = "crate::number::table")]
    pub ways: BTreeMap<MeasureNumber, String>,
    /// "kept" where written basses are always played.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bass: Option<&'static str>,
    pub variant: u32,
}

/// One problem of the text.
#[derive(Clone, Debug, Serialize)]
pub struct Said {
    pub line: u32,
    pub column: u32,
    pub severity: &'static str,
    pub message: String,
    pub hint: Option<String>,
}

/// The report on an arranged tune; the files are added once they are written.
pub fn report(job: &Job, setup: &Setup) -> Report {
    let arrangement = &job.arrangement;
    let sheet = &arrangement.tune.sheet;
    let score_tempo = arrangement.score.tempo;
    Report {
        tune: tune_facts(job),
        remarks: remarks::sentences(job, setup),
        key: first_key(sheet).to_string(),
        moved_semitones: arrangement.moved.semitones,
        tempo: TempoFacts {
            words: tempo::in_words(score_tempo),
            unit: tempo::value(score_tempo.unit()),
            per_minute: tempo::number(score_tempo.milli_per_minute()),
            assumed: arrangement.tempo_assumed,
        },
        kind: KindFacts {
            name: arrangement.kind.kind.name().into(),
            because: if job.wishes.kind.is_some() { "as you wish".into() } else { arrangement.kind.because.to_string() },
        },
        harp: harp_facts(&setup.harp),
        player: player_facts(&setup.player),
        wishes: wish_facts(&job.wishes, &arrangement.fullness),
        settings: settings::facts(job, setup),
        chords: chords::facts(job),
        form: form::facts(arrangement),
        melody_below: melody::lines(job),
        ways_out: form::ways_out(arrangement),
        phrases: phrases::figures_of_phrases(arrangement, &setup.figures),
        left_out: arrangement.left_out.iter().map(ToString::to_string).collect(),
        diagnostics: job.imported.diagnostics.iter().map(said).collect(),
        files: Vec::new(),
    }
}

fn tune_facts(job: &Job) -> TuneFacts {
    let sheet = &job.imported.sheet;
    let mut meters: Vec<String> = sheet.measures.iter().map(|m| m.frame.meter.to_string()).collect();
    let mut seen = Vec::new();
    meters.retain(|meter| {
        !seen.contains(meter) && {
            seen.push(meter.clone());
            true
        }
    });
    let notes = sheet.measures.iter().flat_map(|m| &m.notes);
    TuneFacts {
        file: job.path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default(),
        title: job.title(),
        composer: sheet.words.composer.clone(),
        others: if job.imported.tunes.len() > 1 { job.imported.tunes.clone() } else { Vec::new() },
        key: first_key(sheet).to_string(),
        meters,
        measures: sheet.measures.iter().map(|m| m.frame.number.count).max().unwrap_or(0) as usize,
        chord_symbols: job.chords.written,
        verses_of_words: notes.flat_map(|n| &n.syllables).map(|s| s.verse).max().unwrap_or(0),
    }
}

fn first_key(sheet: &LeadSheet) -> Key {
    sheet.measures.first().map_or(Key::C_MAJOR, |m| m.frame.key.clone())
}

pub fn harp_facts(harp: &Instrument) -> HarpFacts {
    let string = |position| Pitch::at_position(position, 0).to_string();
    HarpFacts {
        name: harp.name.clone(),
        strings: harp.strings(),
        lowest: string(harp.lowest()),
        highest: string(harp.highest()),
        tuning: altered(harp.tuning),
        changed_by: match &harp.mechanism {
            Mechanism::Levers(_) if !(harp.lowest()..=harp.highest()).any(|p| harp.has_lever(p)) => "nothing",
            Mechanism::Levers(_) => "levers",
            Mechanism::Pedals { .. } => "pedals",
        },
    }
}

/// The letters that are not natural, in the order of the key signature: "Bb", "Eb", "Ab".
pub fn altered(tuning: Tuning) -> Vec<String> {
    let flats = Step::SHARPS.iter().rev().filter(|s| tuning.alter(**s) < 0);
    let sharps = Step::SHARPS.iter().filter(|s| tuning.alter(**s) > 0);
    flats.chain(sharps).map(|s| PitchName::new(*s, tuning.alter(*s)).to_string()).collect()
}

fn player_facts(player: &Player) -> PlayerFacts {
    PlayerFacts {
        left_reach: [player.left.block, player.left.rolled],
        right_reach: [player.right.block, player.right.rolled],
        fluency: player.fluency.name(),
        fingers_left_out: player.fingers_left_out.clone(),
    }
}

fn wish_facts(wishes: &Wishes, fullness: &[u8]) -> WishFacts {
    WishFacts {
        fullness: fullness.to_vec(),
        only: wishes.only.clone(),
        without: wishes.without.clone(),
        holds: wishes.holds.clone(),
        ways: wishes.ways.iter().map(|(number, way)| (*number, crate::wishes::ways::written(way))).collect(),
        bass: (wishes.bass == WrittenBass::Kept).then_some("kept"),
        variant: wishes.variant.max(1),
    }
}

fn said(diagnostic: &Diagnostic) -> Said {
    Said {
        line: diagnostic.span.line,
        column: diagnostic.span.column,
        severity: match diagnostic.severity {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        },
        message: diagnostic.message.clone(),
        hint: diagnostic.hint.clone(),
    }
}
