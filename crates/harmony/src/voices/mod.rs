//! Chords out of several voices: a hymn, a chorale, a song with its piano.
//!
//! [`moments`] cuts the score where any voice begins a note and tells figuration from the neighbours of each note; [`keys`] finds the key at each
//! moment; [`score`] says what a stretch is worth as one chord; [`search`] takes the dearest whole. The weights are a table ([`weights`]);
//! [`reasons`] says of each chord which of its tones sound and what the other notes are.

use music::{Beats, Chord, PitchName, Voices};

mod labels;
mod moments;
mod keys;
mod weights;
mod score;
mod search;
mod reasons;

pub use labels::{Label, Quality};
pub use moments::Figuration;
pub use reasons::Reason;
pub use weights::{NAMES, Weights};

use moments::Moment;

/// A chord and where it holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoundChord {
    /// Index of the measure in which it begins, and the place in it.
    pub measure: usize,
    /// The place in that measure.
    pub at: Beats,
    /// From the start of the score.
    pub start: Beats,
    /// Root and quality.
    pub label: Label,
    /// Spelled as the notes are, with a bass of its own where that bass carries the chord.
    pub chord: Chord,
    /// Which tones sound and what the other notes are.
    pub reasons: Vec<Reason>,
}

/// The search holds so many moments at a time; only a score of many hundred measures has more, and is cut there.
const BLOCK: usize = 8_192;

/// The chords of a score, one after the other, each until the next; neighbours differ in root or quality. Before the first note there is none.
pub fn chords(voices: &Voices, weights: &Weights) -> Vec<FoundChord> {
    let moments = moments::moments(voices);
    let Some(first) = voices.frames.first().filter(|_| !moments.is_empty()) else { return Vec::new() };
    let keys = keys::keys(&moments, first.key.fifths, weights.key_change());
    let blocks = moments.chunks(BLOCK).zip(keys.chunks(BLOCK)).enumerate();
    let found: Vec<search::Found> =
        blocks.flat_map(|(i, (m, k))| search::search(m, k, weights).into_iter().map(move |f| f.after(i * BLOCK))).collect();
    let mut all: Vec<FoundChord> = Vec::new();
    for same in found.chunk_by(|a, b| a.label == b.label) {
        let (from, to) = (same[0].from, same[same.len() - 1].to);
        all.push(named(same[0].label, &moments[from..to], voices));
    }
    all
}

fn named(label: Label, moments: &[Moment], voices: &Voices) -> FoundChord {
    let first = &moments[0];
    let names: Vec<PitchName> = moments.iter().flat_map(|m| m.notes.iter().map(|n| n.name)).collect();
    let root = labels::spelled(label.root, &names, &voices.frames[first.measure].key);
    let plain = Chord::new(root, label.quality.kind());
    let chord = Chord { bass: bass(label, moments, &plain), ..plain };
    let reasons = reasons::reasons(label, &chord, moments);
    let label = augmented_sixth(label, root, &names).unwrap_or(label);
    FoundChord { measure: first.measure, at: first.at, start: first.start, label, chord, reasons }
}

/// A dominant seventh whose seventh is written as a sixth, F-sharp above A-flat: ten fifths up instead of two down.
fn augmented_sixth(label: Label, root: PitchName, names: &[PitchName]) -> Option<Label> {
    let above = |n: &PitchName| n.fifths() - root.fifths();
    let sixth = names.iter().find(|n| above(n) == 10).filter(|_| label.quality == Quality::Dominant7)?;
    let written = names.iter().all(|n| above(n) != -2);
    written.then(|| Label { root: sixth.pitch_class() as usize, quality: Quality::AugmentedSixth })
}

/// The bass matters where one tone of the chord that is not its root begins it and is the lowest for at least half of its time.
fn bass(label: Label, moments: &[Moment], chord: &Chord) -> Option<PitchName> {
    let lowest = |m: &Moment| m.notes.iter().map(|n| n.pitch).min().map(|p| p.rem_euclid(12) as usize);
    let class = lowest(&moments[0]).filter(|class| *class != label.root && label.tones().any(|t| t == *class))?;
    let all: i64 = moments.iter().map(|m| m.length).sum();
    let held: i64 = moments.iter().filter(|m| lowest(m) == Some(class)).map(|m| m.length).sum();
    let names = chord.tones().into_iter().map(|t| chord.name_of(t));
    names.into_iter().find(|n| n.pitch_class() as usize == class).filter(|_| held * 2 >= all)
}

#[cfg(test)]
mod tests;
