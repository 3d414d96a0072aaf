//! From the plan to two hands on paper.
//!
//! One voice a hand; a note is written out to the next pluck, for a harp rings on and a rest would read "muffle" (habit 17). Silence of chords is a
//! rest. At the highest fullness the right hand adds a chord tone under long notes of the tune (habit 19).

use crate::measures::{LaidMeasure, SourceMeasure};
use crate::plan::Plan;
use crate::slots::Slot;
use crate::tune::Tune;
use harmony::spans::Silence;
use music::{Beats, Decoration, Hand, Note, Pitch, ScoreMeasure};

/// The fullness from which the right hand adds chord tones.
const RIGHT_HAND_ADDS: u8 = 6;
/// How far under the tune an added tone lies, in strings (habit 19).
const UNDER_THE_TUNE: std::ops::RangeInclusive<i32> = 3..=6;
/// Strings kept free between the hands.
const BETWEEN_THE_HANDS: i32 = 3;

/// The measures of the score. `steady` says whether the harp has a pitch all through the piece without a move; only such tones are added to the tune.
pub fn measures(tune: &Tune, plan: &Plan, steady: &dyn Fn(Pitch) -> bool, headings: &[(LaidMeasure, String)]) -> Vec<ScoreMeasure> {
    let mut lefts = accompaniment(tune, plan);
    let mut rights = melody(tune, plan, steady, &lefts);
    for measure in tune.measures().filter(|m| tune.melody_in[*m] == Hand::Left) {
        std::mem::swap(&mut lefts[measure.index()], &mut rights[measure.index()]);
    }
    let repeats = tune.sheet.measures.last().is_some_and(|m| m.frame.repeat_end.is_some());
    if let (Some(right), Some(left)) = (rights.last_mut(), lefts.last_mut())
        && !repeats
        && plan.slots.iter().any(|s| s.duty.last && s.fullness > 0)
    {
        crown(right, left);
    }
    let parts = tune.measures().zip(rights).zip(lefts);
    parts
        .map(|((measure, right), left)| ScoreMeasure {
            frame: tune.frame(measure).clone(),
            melody: tune.melody_in[measure],
            right,
            left,
            heading: headings.iter().find(|(at, _)| *at == measure).map(|(_, text)| text.clone()),
            marks: Vec::new(),
            source: tune.origin[measure].source().map(SourceMeasure::index),
        })
        .collect()
}

/// A fermata in each hand of the last measure, where it has none (habit 16): on what ends when the last string has sounded, so that both hands are held at
/// one moment. A hand that rests by then has it over its rest. A tune that ends with a repeat sign goes round without one.
fn crown(right: &mut [Note], left: &mut [Note]) {
    let sounding = right.iter().chain(left.iter()).filter(|n| !n.is_rest());
    let Some(end) = sounding.map(Note::end).max() else { return };
    for line in [right, left] {
        let own = line.iter().rev().find(|n| !n.is_rest()).is_some_and(is_held);
        let last = line.iter_mut().rev().find(|n| n.end() == end || !n.is_rest());
        if let Some(note) = last.filter(|_| !own) {
            note.decorations.push(Decoration::Fermata);
        }
    }
}

fn is_held(note: &Note) -> bool {
    note.decorations.contains(&Decoration::Fermata)
}

/// What the accompanying hand begins at one place; `None` stops what rings.
type Begins = (Beats, Option<(Vec<Pitch>, bool)>);

fn accompaniment(tune: &Tune, plan: &Plan) -> Vec<Vec<Note>> {
    let mut begins: Vec<Vec<Begins>> = vec![Vec::new(); tune.sheet.measures.len()];
    for ((slot, choices), chosen) in plan.slots.iter().zip(&plan.choices).zip(&plan.found.chosen) {
        let plucks = &choices.candidates[*chosen].plucks;
        if slot.silence == Silence::NoChord {
            begins[slot.measure.index()].push((slot.at, None));
        }
        for pluck in plucks {
            begins[slot.measure.index()].push((slot.at + pluck.at, Some((pluck.pitches.to_vec(), pluck.rolled))));
        }
    }
    let lengths = tune.sheet.measures.iter().map(|m| m.frame.length);
    begins.into_iter().zip(lengths).map(|(begins, length)| line(begins, length)).collect()
}

pub(crate) fn line(begins: Vec<Begins>, length: Beats) -> Vec<Note> {
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

/// The tune, with a chord tone under its long notes on the strong beats where the fullness asks for it.
fn melody(tune: &Tune, plan: &Plan, steady: &dyn Fn(Pitch) -> bool, lefts: &[Vec<Note>]) -> Vec<Vec<Note>> {
    let mut rights: Vec<Vec<Note>> = tune.sheet.measures.iter().map(|m| m.notes.clone()).collect();
    for slot in plan.slots.iter().filter(|s| s.fullness >= RIGHT_HAND_ADDS && s.hand == Hand::Left && s.chord.is_some()) {
        let strong_beats: Vec<Beats> = slot.strong_beats.iter().map(|p| *p + slot.at).collect();
        for note in rights[slot.measure.index()].iter_mut().filter(|n| strong_beats.contains(&n.at) && takes_company(n, slot)) {
            if let Some(added) = company(note, slot, steady, &lefts[slot.measure.index()]) {
                note.pitches.insert(0, added);
            }
        }
    }
    rights
}

/// A long single note, plucked here and not tied on.
fn takes_company(note: &Note, slot: &Slot) -> bool {
    note.pitches.len() == 1 && note.is_plucked() && !note.tie.to_next && note.grace.is_empty() && note.length * 2 >= slot.meter.beat() * 3
}

/// The highest tone of the chord a third to a sixth under the note, clear of the left hand; the third of the chord before any other.
fn company(note: &Note, slot: &Slot, steady: &dyn Fn(Pitch) -> bool, left: &[Note]) -> Option<Pitch> {
    let chord = slot.chord.as_ref()?;
    let top = note.top()?;
    let sounding = left.iter().filter(|l| l.at < note.end() && l.end() > note.at);
    let floor = sounding.filter_map(|l| l.top()).map(|p| p.position()).max().map_or(i32::MIN, |p| p + BETWEEN_THE_HANDS);
    let third = chord.third().map(|t| chord.name_of(t));
    let names = chord.tones().into_iter().filter(|t| t.degree <= 7).map(|t| chord.name_of(t));
    let mut found: Vec<(bool, i32, Pitch)> = Vec::new();
    for name in names.filter(|n| n.pitch_class() != top.pitch_class()) {
        for under in UNDER_THE_TUNE {
            let place = Pitch::at_position(top.position() - under, 0);
            let pitch = Pitch { alter: name.alter, ..place };
            if place.step == name.step && steady(pitch) && pitch.position() >= floor {
                found.push((third == Some(name), -under, pitch));
            }
        }
    }
    found.into_iter().max_by_key(|(is_third, near, _)| (*is_third, *near)).map(|(_, _, pitch)| pitch)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(at: i64, length: i64) -> Note {
        Note::of(Beats::QUARTER * at, Beats::QUARTER * length, vec![Pitch::new(music::Step::G, 0, 4)])
    }

    fn rest(at: i64, length: i64) -> Note {
        Note::rest(Beats::QUARTER * at, Beats::QUARTER * length)
    }

    /// Where each hand's fermatas end, in quarters.
    fn held(mut right: Vec<Note>, mut left: Vec<Note>) -> [Vec<Beats>; 2] {
        crown(&mut right, &mut left);
        [right, left].map(|line| line.iter().filter(|n| is_held(n)).map(Note::end).collect())
    }

    /// Common practice: all players are held at one moment.
    #[test]
    fn both_hands_are_held_at_one_moment() {
        let (three, four) = (Beats::QUARTER * 3, Beats::QUARTER * 4);
        assert_eq!(held(vec![note(0, 3)], vec![note(0, 1), note(1, 2)]), [[three], [three]]);
        assert_eq!(held(vec![note(0, 3), rest(3, 1)], vec![note(0, 2), note(2, 2)]), [[four], [four]], "over the rest of the tune");
        assert_eq!(held(vec![note(0, 4)], vec![note(0, 2), rest(2, 2)]), [[four], [four]]);
        assert_eq!(held(vec![note(0, 3), rest(3, 1)], vec![note(0, 3), rest(3, 1)]), [[three], [three]], "nobody waits on rests alone");
    }

    #[test]
    fn a_tune_that_has_its_own_keeps_it_alone() {
        let own = Note { decorations: vec![Decoration::Fermata], ..note(0, 3) };
        assert_eq!(held(vec![own, rest(3, 1)], vec![note(0, 4)]), [[Beats::QUARTER * 3], [Beats::QUARTER * 4]]);
    }
}
