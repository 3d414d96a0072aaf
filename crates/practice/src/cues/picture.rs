//! The shape of a figure on the strings, as data for a drawing: which strings lie under the hand, which finger is on each, and in which order and when they are plucked.

use crate::lesson::Lesson;
use arrange::slots::Slot;
use harp::page::fingers::fingered;
use music::{Beats, Hand, Note, Pitch, Place};
use std::collections::BTreeMap;

/// A shape, taken from one place of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShapePicture {
    /// The measure of the page that it was taken from, and its chord.
    pub measure: usize,
    pub chord: String,
    /// Positions of the lowest and the highest string that are drawn: the hand's own and one more on either side, as far as the harp has them.
    pub lowest: i32,
    pub highest: i32,
    pub plucks: Vec<PicturePluck>,
    /// How long it takes, and the places of its beats.
    pub length: Beats,
    pub beats: Vec<Beats>,
}

/// What is plucked at one instant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PicturePluck {
    pub at: Beats,
    pub rolled: bool,
    pub touches: Vec<Touch>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Touch {
    pub pitch: Pitch,
    /// 1 (thumb) to 4.
    pub finger: Option<u8>,
}

/// The picture of a figure in some measures: of its first full measure there, or the longest place that it has.
pub fn picture(lesson: &Lesson, measures: &[usize], figure: usize) -> Option<ShapePicture> {
    let richness = |slot: &Slot| (slot.full_measure, !slot.duty.phrase_end, slot.length, lesson.printed(slot).count());
    // The first of several equal ones.
    let mut best: Option<&Slot> = None;
    for (slot, ..) in lesson.played().filter(|(slot, f, _)| measures.contains(&slot.measure.index()) && *f == figure) {
        if lesson.printed(slot).next().is_some() && best.is_none_or(|b| richness(slot) > richness(b)) {
            best = Some(slot);
        }
    }
    best.map(|slot| of(lesson, slot))
}

/// The picture of what is plucked in one slot.
pub fn of(lesson: &Lesson, slot: &Slot) -> ShapePicture {
    let fingers = fingers(lesson);
    let touches = |note: &Note| -> Vec<Touch> {
        let known = fingers.get(&Place { measure: slot.measure.index(), at: note.at });
        let finger = |pitch: &Pitch| known.and_then(|all| all.iter().find(|(string, _)| *string == pitch.position())).map(|(_, f)| *f);
        note.playable().map(|pitch| Touch { pitch, finger: finger(&pitch) }).collect()
    };
    let drawn: Vec<PicturePluck> =
        lesson.printed(slot).map(|note| PicturePluck { at: note.at - slot.at, rolled: note.rolled, touches: touches(note) }).collect();
    let strings = || drawn.iter().flat_map(|p| &p.touches).map(|t| t.pitch.position());
    let (low, high) = (strings().min().unwrap_or_default(), strings().max().unwrap_or_default());
    ShapePicture {
        measure: slot.measure.index(),
        chord: music::as_read(&slot.text),
        lowest: (low - 1).max(lesson.harp.lowest()),
        highest: (high + 1).min(lesson.harp.highest()),
        length: slot.length,
        beats: beats(slot),
        plucks: drawn,
    }
}

/// The beats of the measure that lie in a slot, counted from its start.
fn beats(slot: &Slot) -> Vec<Beats> {
    let inside = slot.meter.beats().into_iter().filter(|at| *at >= slot.at && *at < slot.at + slot.length);
    inside.map(|at| at - slot.at).collect()
}

/// The fingers of the left hand by the place of the pluck: string and finger.
fn fingers(lesson: &Lesson) -> BTreeMap<Place, Vec<(i32, u8)>> {
    let score = &lesson.made.score;
    let hand = fingered(score, Hand::Left, lesson.player);
    let placed = hand.places.iter().zip(&hand.fingering.plucks);
    placed
        .map(|((measure, note), placed)| {
            let note = &score.measures[*measure].left[*note];
            let mut strings: Vec<i32> = note.playable().map(|p| p.position()).collect();
            strings.sort_unstable();
            strings.dedup();
            (Place { measure: *measure, at: note.at }, strings.into_iter().zip(placed.fingers.iter().copied()).collect())
        })
        .collect()
}
