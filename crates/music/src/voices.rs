//! All voices of a score: what a hymn, a chorale or a song with its piano is before a left hand is made.
//!
//! A voice is one line of notes from the start to the end; where a staff writes chords, each place in the chord from the top is a line of its own. Tied
//! notes are one. Nothing is unfolded: repeats stay in the frames.

use crate::measure::Frame;
use crate::pitch::Pitch;
use crate::sheet::Words;
use crate::time::Beats;

/// A score as it sounds, voice by voice.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Voices {
    /// Title, names, verses.
    pub words: Words,
    /// The measures; chord symbols of the source are not among them.
    pub frames: Vec<Frame>,
    /// From the highest part of the score to the lowest.
    pub lines: Vec<VoiceLine>,
    /// Index of the line with the melody: the one that is sung, else the top one.
    pub melody: usize,
}

/// One voice.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct VoiceLine {
    /// What the source calls it; may be empty.
    pub name: String,
    /// In order of their starts.
    pub notes: Vec<VoiceNote>,
}

/// A note with the notes tied to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct VoiceNote {
    /// From the start of the score.
    pub start: Beats,
    /// How long it sounds, ties joined.
    pub length: Beats,
    /// The one pitch; notes together are several of these.
    pub pitch: Pitch,
}

impl VoiceNote {
    /// Where it is over, from the start of the piece.
    pub fn end(&self) -> Beats {
        self.start + self.length
    }
}

impl Voices {
    /// Where each measure starts, laid end to end as written.
    pub fn starts(&self) -> Vec<Beats> {
        let mut at = Beats::ZERO;
        let start = |f: &Frame| {
            let start = at;
            at += f.length;
            start
        };
        self.frames.iter().map(start).collect()
    }
}
