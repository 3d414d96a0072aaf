//! The lead sheet: one melody with chord symbols, as it was read.

use crate::chord::Harmony;
use crate::measure::Frame;
use crate::note::Note;
use crate::pitch::Interval;
use crate::time::{Beats, Tempo};

/// A melody with chord symbols.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct LeadSheet {
    pub words: Words,
    /// The tempo the source gives, if it does.
    pub tempo: Option<Tempo>,
    pub measures: Vec<SheetMeasure>,
}

/// What is printed about a tune.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Words {
    pub title: String,
    pub subtitles: Vec<String>,
    pub composer: Option<String>,
    pub lyricist: Option<String>,
    pub origin: Option<String>,
    /// The kind of tune in the source's own word: "jig", "waltz".
    pub rhythm: Option<String>,
    /// Tempo in words: "slow and free".
    pub tempo_words: Option<String>,
    pub source: Option<String>,
    pub rights: Option<String>,
    /// Verses printed below the music, a line each; an empty line parts verses.
    pub verses: Vec<String>,
}

/// One measure of the melody. The notes are in order and fill the measure without gaps or overlaps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetMeasure {
    pub frame: Frame,
    pub notes: Vec<Note>,
}

impl LeadSheet {
    /// Where each measure starts when the measures are laid end to end as written.
    pub fn starts(&self) -> Vec<Beats> {
        let mut at = Beats::ZERO;
        self.measures
            .iter()
            .map(|m| {
                let start = at;
                at += m.frame.length;
                start
            })
            .collect()
    }

    pub fn has_chords(&self) -> bool {
        self.measures.iter().flat_map(|m| &m.frame.chords).any(|c| matches!(c.symbol.harmony, Harmony::Chord(_)))
    }

    pub fn has_syllables(&self) -> bool {
        self.measures.iter().flat_map(|m| &m.notes).any(|n| !n.syllables.is_empty())
    }

    /// The whole tune moved by an interval: notes, chords and keys.
    pub fn up(&self, interval: Interval) -> LeadSheet {
        let measures = self
            .measures
            .iter()
            .map(|m| {
                let mut frame = m.frame.clone();
                frame.key = frame.key.up(interval);
                for chord in &mut frame.chords {
                    chord.symbol = chord.symbol.up(interval);
                }
                SheetMeasure { frame, notes: m.notes.iter().map(|n| n.up(interval)).collect() }
            })
            .collect();
        LeadSheet { measures, ..self.clone() }
    }
}
