//! The tones of both hands as they are written, every voice: one tone for each pitch, ties followed.
//!
//! Tied tones of one measure and staff are one tone. A tone that a tie continues from the measure before knows it; how long the whole chain is
//! written to sound stands at its first tone.

use super::super::element::{Element, has};
use super::super::measure::{PlacedNote, Walked};
use super::super::note;
use super::super::remarks::Remarks;
use music::{Beats, Frame, Grace, Hand, Pitch, Tie};
use std::collections::BTreeMap;

/// One pitch at one place.
pub struct Tone<'a> {
    pub hand: Hand,
    pub measure: usize,
    pub at: Beats,
    /// Within the measure.
    pub end: Beats,
    pub pitch: Pitch,
    pub voice: &'a str,
    /// The note, and the notes of the same measure tied to it.
    pub elements: Vec<Element<'a>>,
    pub grace: Vec<Grace>,
    tie: Tie,
    pub onset: Onset,
    /// From the start of the piece, as written, to the end of the last note tied on.
    pub chain_end: Beats,
}

/// How a tone begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Onset {
    Plucked,
    /// A tie leads here.
    Held,
    /// A tie leads to a later ending from the measure before the first.
    HeldOverEnding,
    /// It is part of an earlier tone of its measure.
    Joined,
}

/// One hand's part and staff.
#[derive(Clone, Copy)]
pub struct Source<'w, 'a> {
    pub hand: Hand,
    pub staff: u32,
    pub measures: &'w [Walked<'a>],
}

/// Where each measure starts, laid end to end as written.
pub fn starts(frames: &[Frame]) -> Vec<Beats> {
    let mut at = Beats::ZERO;
    let start = |f: &Frame| {
        let start = at;
        at += f.length;
        start
    };
    frames.iter().map(start).collect()
}

/// All tones of the hands, in order of measure and place, with ties resolved.
pub fn of<'a>(sources: &[Source<'_, 'a>], frames: &[Frame], remarks: &mut Remarks) -> Vec<Tone<'a>> {
    let mut tones: Vec<Tone> = Vec::new();
    for source in sources {
        let mut pending: BTreeMap<&str, Vec<Grace>> = BTreeMap::new();
        for (measure, (walked, frame)) in source.measures.iter().zip(frames).enumerate() {
            for placed in walked.notes.iter().filter(|n| n.staff == source.staff) {
                collect(placed, (source.hand, measure), frame.length, &mut pending, &mut tones, remarks);
            }
        }
        if let Some(last) = source.measures.last().filter(|_| pending.values().any(|g| !g.is_empty())) {
            remarks.warn(last.source.measure, "grace notes after the last note are left out", "");
        }
    }
    tones.sort_by_key(|t| (t.measure, t.at));
    link(&mut tones, frames);
    tones
}

fn collect<'a>(
    placed: &PlacedNote<'a>,
    (hand, measure): (Hand, usize),
    length: Beats,
    pending: &mut BTreeMap<&'a str, Vec<Grace>>,
    tones: &mut Vec<Tone<'a>>,
    remarks: &mut Remarks,
) {
    let first = placed.members[0];
    if has(first, "cue") {
        return remarks.note(first, "a cue note is left out", "");
    }
    if placed.grace {
        return pending.entry(placed.voice).or_default().extend(note::build_grace(placed, remarks));
    }
    if !placed.is_pitched() && !placed.is_rest() {
        remarks.note(first, "a note without pitch is read as a rest", "");
    }
    let end = placed.end().min(length);
    if end <= placed.at {
        return;
    }
    for member in &placed.members {
        let Some(pitch) = note::pitch(*member, placed.transposition, remarks) else { continue };
        let tie = note::tie_of(*member);
        let mut grace = pending.remove(placed.voice).unwrap_or_default();
        if tie.from_before && !placed.at.is_zero() && !grace.is_empty() {
            remarks.note(first, "grace notes before a note that is tied on are left out", "");
            grace.clear();
        }
        tones.push(Tone {
            hand,
            measure,
            at: placed.at,
            end,
            pitch,
            voice: placed.voice,
            elements: vec![*member],
            grace,
            tie,
            onset: Onset::Plucked,
            chain_end: Beats::ZERO,
        });
    }
}

/// Follows the ties. Within a voice one end of a tie is enough; from voice to voice, and over a repeat sign, both are wanted.
fn link(tones: &mut [Tone], frames: &[Frame]) {
    let starts = starts(frames);
    // The tones that end at a moment with a pitch, each with the first tone of its chain.
    let mut ends: BTreeMap<(Beats, i32), Vec<(usize, usize)>> = BTreeMap::new();
    for i in 0..tones.len() {
        let key = (starts[tones[i].measure] + tones[i].at, tones[i].pitch.midi());
        let end = starts[tones[i].measure] + tones[i].end;
        tones[i].chain_end = end;
        let joint = joint(&tones[i], frames);
        let found = ends.get_mut(&key).and_then(|open| Some(open.remove(tied_from(open, &tones[i], tones, joint)?)));
        let mut entry = (i, i);
        if let Some((last, head)) = found {
            entry.1 = head;
            tones[head].chain_end = end;
            tones[i].onset = Onset::Held;
            join(tones, last, i, &mut entry);
        } else if tones[i].tie.from_before && tones[i].at.is_zero() && reaches_over(&tones[i], &ends, frames, &starts) {
            tones[i].onset = Onset::HeldOverEnding;
        }
        ends.entry((end, tones[i].pitch.midi())).or_default().push(entry);
    }
}

/// What stands between a tone and the one before it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Joint {
    Plain,
    /// A repeat sign, or a pitch of another name: both ends of a tie are wanted.
    Wide,
}

fn joint(tone: &Tone, frames: &[Frame]) -> Joint {
    let before = tone.measure.checked_sub(1).filter(|_| tone.at.is_zero()).map(|m| &frames[m]);
    if before.is_some_and(|f| f.repeat_end.is_some()) { Joint::Wide } else { Joint::Plain }
}

/// Makes a held tone part of the one before it where both stand in one measure and hand.
fn join(tones: &mut [Tone], last: usize, here: usize, entry: &mut (usize, usize)) {
    let same = tones[last].measure == tones[here].measure && tones[last].hand == tones[here].hand;
    if !same {
        return;
    }
    let elements = std::mem::take(&mut tones[here].elements);
    let (end, to_next) = (tones[here].end, tones[here].tie.to_next);
    tones[here].onset = Onset::Joined;
    tones[last].elements.extend(elements);
    tones[last].end = end;
    tones[last].tie.to_next = to_next;
    entry.0 = last;
}

/// Which of the tones that end here the tie comes from: the same string if any, else the same sound under another name.
fn tied_from(open: &[(usize, usize)], here: &Tone, tones: &[Tone], joint: Joint) -> Option<usize> {
    let same_name = |p: &Pitch| *p == here.pitch;
    let exact = open.iter().position(|(last, _)| same_name(&tones[*last].pitch) && ties(&tones[*last], here, joint));
    exact.or_else(|| open.iter().position(|(last, _)| ties(&tones[*last], here, Joint::Wide)))
}

fn ties(last: &Tone, here: &Tone, joint: Joint) -> bool {
    let (begun, ended) = (last.tie.to_next, here.tie.from_before);
    let near = joint == Joint::Plain && last.voice == here.voice && last.hand == here.hand;
    if near { begun || ended } else { begun && ended }
}

/// A later ending that begins with a pitch on which the measure before the endings closes.
fn reaches_over(tone: &Tone, ends: &BTreeMap<(Beats, i32), Vec<(usize, usize)>>, frames: &[Frame], starts: &[Beats]) -> bool {
    let begins = frames[tone.measure].ending.as_ref().is_some_and(|e| e.starts);
    let before = frames[..tone.measure].iter().rposition(|f| f.ending.is_none()).filter(|_| begins);
    let closed = before.map(|m| starts[m] + frames[m].length);
    // The first ending takes its tone out of the list of open ends, so any tone that began the chain will do.
    closed.is_some_and(|at| at < starts[tone.measure] && (ends.contains_key(&(at, tone.pitch.midi()))))
}
