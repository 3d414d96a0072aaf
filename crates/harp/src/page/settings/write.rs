//! What was planned, written into the page: marks, the strings that are plucked, notes left out and notes that cannot be played.

use super::{PageMark, PageSettings, PageUse};
use music::{Hand, Note, Pitch, PlacedMark, Score};
use std::collections::BTreeSet;

impl PageSettings {
    /// Writes the marks, the spelling of what is plucked, what is left out and what cannot be played into the page.
    pub fn write(&self, score: &mut Score) {
        for PageMark { measure, at, mark, first_pass } in &self.marks {
            score.measures[*measure].marks.push(PlacedMark { at: *at, hand: None, mark: mark.clone(), first_pass: *first_pass });
        }
        for measure in &mut score.measures {
            measure.marks.sort_by_key(|m| m.at);
        }
        for (used, spelled) in self.uses.iter().zip(&self.spelled) {
            match spelled {
                Some(pitch) if *pitch != used.written => respell(score, used, *pitch),
                _ => {}
            }
        }
        for note in &self.missing {
            cross_out(score, &self.uses[note.used]);
        }
        let left_out: Vec<&PageUse> = self.left_out().collect();
        left_out.iter().for_each(|used| leave_out(score, used));
        let measures: BTreeSet<(Hand, usize)> = left_out.iter().flat_map(|u| u.notes.iter().map(|(m, _)| (u.hand, *m))).collect();
        for (hand, measure) in measures {
            let line = line_of(score, hand, measure);
            *line = going_on(line);
        }
    }
}

fn line_of(score: &mut Score, hand: Hand, measure: usize) -> &mut Vec<Note> {
    match hand {
        Hand::Right => &mut score.measures[measure].right,
        Hand::Left => &mut score.measures[measure].left,
    }
}

fn respell(score: &mut Score, used: &PageUse, to: Pitch) {
    for (measure, index) in &used.notes {
        let note = &mut line_of(score, used.hand, *measure)[*index];
        let graces = note.grace.iter_mut().flat_map(|g| &mut g.pitches);
        let pitches: Vec<&mut Pitch> = if used.grace { graces.collect() } else { note.pitches.iter_mut().collect() };
        pitches.into_iter().filter(|p| **p == used.written).for_each(|p| *p = to);
        note.pitches.sort_by_key(|p| (p.position(), p.alter));
    }
}

/// Says of a pitch that it cannot be played.
fn cross_out(score: &mut Score, used: &PageUse) {
    for (measure, index) in &used.notes {
        let note = &mut line_of(score, used.hand, *measure)[*index];
        if !note.unplayable.contains(&used.written) {
            note.unplayable.push(used.written);
        }
    }
}

/// Takes a pitch away; where nothing is left of a note, a rest stands for it.
fn leave_out(score: &mut Score, used: &PageUse) {
    for (measure, index) in &used.notes {
        let note = &mut line_of(score, used.hand, *measure)[*index];
        note.pitches.retain(|p| *p != used.written);
        if note.is_rest() {
            *note = Note { tuplet: note.tuplet, ..Note::rest(note.at, note.length) };
        }
    }
}

/// A line in which notes go on through the rests after them: a rest would read "muffle".
fn going_on(line: &[Note]) -> Vec<Note> {
    let mut joined: Vec<Note> = Vec::new();
    for note in line {
        match joined.last_mut() {
            Some(last) if note.is_rest() && !last.is_rest() && last.tuplet.is_none() && note.tuplet.is_none() && !last.tie.to_next => {
                last.length += note.length;
            }
            _ => joined.push(note.clone()),
        }
    }
    joined
}
