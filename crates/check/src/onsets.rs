//! What is plucked at each instant of a page, both staves together, as written.
//!
//! Tied notes are not plucked again. Two staves that have the same pitch at one instant pluck one string.

use music::{Beats, Clock, Decoration, Hand, Note, Pitch, Place, Score, Seconds};
use std::collections::BTreeMap;

/// One pitch plucked at an instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tone {
    pub pitch: Pitch,
    /// Where it is written.
    pub place: Place,
    /// The staff it stands on; which hand takes it is decided in [`crate::hands`].
    pub staff: Hand,
    /// Both staves have it.
    pub twice: bool,
    pub rolled: bool,
    /// Written length, ties not counted.
    pub length: Beats,
    /// The same in time.
    pub lasts: Seconds,
}

/// Everything plucked at one instant, lowest pitch first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Onset {
    pub place: Place,
    pub time: Seconds,
    pub tones: Vec<Tone>,
}

impl Onset {
    pub fn rolled(&self) -> bool {
        self.tones.iter().any(|t| t.rolled)
    }
}

/// All onsets of a page, in order of time.
pub fn onsets(score: &Score, clock: &Clock) -> Vec<Onset> {
    let mut all: BTreeMap<Place, BTreeMap<(i32, i32), Tone>> = BTreeMap::new();
    for (index, measure) in score.measures.iter().enumerate() {
        for staff in [Hand::Left, Hand::Right] {
            for note in measure.hand(staff).iter().filter(|n| n.is_plucked()) {
                let place = Place { measure: index, at: note.at };
                let tones = all.entry(place).or_default();
                let lasts = clock.at(Place { at: note.end(), ..place }) - clock.at(place);
                for pitch in &note.pitches {
                    let tone = Tone { pitch: *pitch, place, staff, twice: false, rolled: rolls(note), length: note.length, lasts };
                    let key = (pitch.midi(), pitch.position());
                    let kept = tones.entry(key).or_insert(tone);
                    if kept.staff != staff {
                        let (length, lasts) = (kept.length.max(tone.length), kept.lasts.max(lasts));
                        *kept = Tone { twice: true, rolled: kept.rolled || tone.rolled, length, lasts, ..*kept };
                    }
                }
            }
        }
    }
    let mut found: Vec<Onset> = Vec::with_capacity(all.len());
    for (place, tones) in all {
        let onset = Onset { place, time: clock.at(place), tones: tones.into_values().collect() };
        // A place that a damaged measure has no time for joins the instant before it.
        match found.last_mut() {
            Some(last) if last.time >= onset.time => last.tones.extend(onset.tones),
            _ => found.push(onset),
        }
    }
    found
}

fn rolls(note: &Note) -> bool {
    note.rolled || note.decorations.contains(&Decoration::Arpeggio)
}
