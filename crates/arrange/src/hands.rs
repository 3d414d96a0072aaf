//! From the plan to two hands on paper.
//!
//! One voice a hand; a note is written out to the next pluck, for a harp rings on and a rest would read "muffle" (figures, habit 17). Silence of chords is a
//! rest.

use crate::plan::Plan;
use crate::tune::Tune;
use harmony::spans::Silence;
use music::{Beats, Note, ScoreMeasure};

/// The measures of the score.
pub fn measures(tune: &Tune, plan: &Plan, headings: &[(usize, String)]) -> Vec<ScoreMeasure> {
    let lefts = left_hands(tune, plan);
    let parts = tune.sheet.measures.iter().zip(lefts).enumerate();
    parts
        .map(|(index, (measure, left))| ScoreMeasure {
            frame: measure.frame.clone(),
            right: measure.notes.clone(),
            left,
            heading: headings.iter().find(|(at, _)| *at == index).map(|(_, text)| text.clone()),
            marks: Vec::new(),
            source: tune.origin[index].source,
        })
        .collect()
}

/// What the left hand begins at one place; `None` stops what rings.
type Begins = (Beats, Option<(Vec<music::Pitch>, bool)>);

fn left_hands(tune: &Tune, plan: &Plan) -> Vec<Vec<Note>> {
    let mut begins: Vec<Vec<Begins>> = vec![Vec::new(); tune.sheet.measures.len()];
    for ((slot, choices), chosen) in plan.slots.iter().zip(&plan.choices).zip(&plan.found.chosen) {
        let plucks = &choices.candidates[*chosen].plucks;
        if slot.silence == Silence::NoChord {
            begins[slot.measure].push((slot.at, None));
        }
        for pluck in plucks {
            begins[slot.measure].push((slot.at + pluck.at, Some((pluck.pitches.clone(), pluck.rolled))));
        }
    }
    let lengths = tune.sheet.measures.iter().map(|m| m.frame.length);
    begins.into_iter().zip(lengths).map(|(begins, length)| line(begins, length)).collect()
}

fn line(begins: Vec<Begins>, length: Beats) -> Vec<Note> {
    let mut notes = Vec::new();
    let first = begins.first().map_or(length, |b| b.0);
    if first > Beats::ZERO {
        notes.push(Note::rest(Beats::ZERO, first));
    }
    for (index, (at, what)) in begins.iter().enumerate() {
        let end = begins.get(index + 1).map_or(length, |b| b.0);
        if end <= *at {
            continue;
        }
        notes.push(match what {
            Some((pitches, rolled)) => Note { rolled: *rolled, ..Note::of(*at, end - *at, pitches.clone()) },
            None => Note::rest(*at, end - *at),
        });
    }
    notes
}
