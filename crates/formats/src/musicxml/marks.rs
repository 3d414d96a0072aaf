//! Puts tempo marks, words, section letters and dynamics where they belong on frames and notes.

use super::direction::{Bond, PlacedTempo, PlacedWords};
use super::tempo::in_beats_of;
use music::{Beats, Decoration, Frame, Note, Tempo, Words};

/// Words that speak of tempo, by their beginnings; common practice.
const TEMPO_WORDS: [&str; 34] = [
    "adagi", "air", "alla", "allegr", "andant", "animat", "bright", "con moto", "fast", "freely", "grave", "gently", "jig", "langsam",
    "larg", "lebhaft", "lent", "lento", "livel", "maestoso", "march", "mäßig", "moderat", "molto", "presto", "quick", "reel", "rubato",
    "schnell", "slow", "swing", "tempo", "vivac", "waltz",
];

/// The tempo marks of the piece, as they come.
#[derive(Default)]
pub struct Tempos {
    first: Option<Tempo>,
    now: Option<Tempo>,
}

impl Tempos {
    /// The tempo at the start is the sheet's own and stands on no frame; others go on their frames, one a place.
    pub fn put(&mut self, measure: usize, mut found: Vec<PlacedTempo>, frames: &mut [Frame]) {
        found.sort_by_key(|t| (t.at, t.origin));
        found.dedup_by_key(|t| t.at);
        let opening = measure == 0 || (measure == 1 && frames[0].number == 0);
        for placed in found {
            let tempo = in_beats_of(&frames[measure].meter, placed.tempo);
            if self.now.is_none() && opening && placed.at.is_zero() {
                self.first = Some(tempo);
            } else if self.now != Some(tempo) {
                let at = placed.at.min(frames[measure].length);
                frames[measure].tempos.push((at, tempo));
            }
            self.now = Some(tempo);
        }
    }

    pub fn first(&self) -> Option<Tempo> {
        self.first
    }
}

/// Words at the start that go with the tempo are the sheet's tempo words; all others stay at their places.
pub fn put_words(measure: usize, found: Vec<PlacedWords>, frames: &mut [Frame], words: &mut Words) {
    for placed in found {
        let opening = measure == 0 && placed.at.is_zero() && words.tempo_words.is_none();
        if opening && (placed.bond == Bond::Tempo || (placed.bond == Bond::Above && speaks_of_tempo(&placed.text))) {
            words.tempo_words = Some(placed.text);
        } else {
            let at = placed.at.min(frames[measure].length);
            frames[measure].words.push((at, placed.text));
        }
    }
    frames[measure].words.sort_by_key(|w| w.0);
}

fn speaks_of_tempo(text: &str) -> bool {
    let lower = text.to_lowercase();
    TEMPO_WORDS.iter().any(|w| lower.starts_with(w))
}

/// A section letter holds at the head of its measure; one at the end belongs to the next.
pub fn put_sections(measure: usize, found: Vec<(Beats, String)>, frames: &mut [Frame]) {
    for (at, label) in found.into_iter().filter(|(_, label)| !label.is_empty()) {
        let late = at >= frames[measure].length && measure + 1 < frames.len();
        let section = &mut frames[measure + usize::from(late)].section;
        match section {
            Some(before) if *before != label => before.extend([" ", &label]),
            Some(_) => {}
            None => *section = Some(label),
        }
    }
}

/// A dynamic goes with the first note at or after its place, else with the last note of the measure.
pub fn put_dynamics(found: Vec<(Beats, Decoration)>, notes: &mut [Note]) {
    for (at, dynamic) in found {
        let index = notes.iter().position(|n| n.at >= at && !n.is_rest()).or_else(|| notes.iter().rposition(|n| !n.is_rest()));
        if let Some(note) = index.map(|i| &mut notes[i]).filter(|n| !n.decorations.contains(&dynamic)) {
            note.decorations.push(dynamic);
        }
    }
}
