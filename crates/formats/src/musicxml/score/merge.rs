//! All voices of a staff as one line of plucks.
//!
//! A note stands at every moment at which a string is plucked, with the pitches plucked there; it lasts to the next pluck of its staff, or to
//! the end of its longest tone. Where a measure begins with nothing but held tones of the note before, they stand as its tied continuation.
//! So every note of the line is either all plucked or all held. Gaps are rests.

use super::super::element::{Element, child, child_whole, children};
use super::super::measure::{PlacedNote, Walked};
use super::super::notations::{self, Fingering};
use super::super::remarks::Remarks;
use super::super::tuplets;
use super::Hold;
use super::tones::{Onset, Source, Tone, starts};
use music::{Beats, Frame, Hand, Note, Pitch};
use std::collections::BTreeMap;

/// The line of one hand, measure by measure.
pub fn line(source: Source, tones: &[Tone], frames: &[Frame], remarks: &mut Remarks) -> Vec<Vec<Note>> {
    let mut lines: Vec<Vec<Note>> = Vec::with_capacity(frames.len());
    let mut rest = tones;
    for (measure, frame) in frames.iter().enumerate() {
        let (here, later) = rest.split_at(rest.partition_point(|t| t.measure <= measure));
        rest = later;
        let mut onsets: BTreeMap<Beats, Vec<&Tone>> = BTreeMap::new();
        for tone in here.iter().filter(|t| t.hand == source.hand && t.onset != Onset::Joined) {
            onsets.entry(tone.at).or_default().push(tone);
        }
        let before = lines.last_mut().and_then(|l| l.last_mut());
        let mut notes = measure_notes(onsets, before, remarks);
        fill_with_rests(&mut notes, frame.length);
        if let Some(walked) = source.measures.get(measure) {
            sign_rests(&mut notes, walked, source.staff, remarks);
            put_tuplets(&mut notes, walked, source.staff);
        }
        lines.push(notes);
    }
    lines
}

fn measure_notes(onsets: BTreeMap<Beats, Vec<&Tone>>, before: Option<&mut Note>, remarks: &mut Remarks) -> Vec<Note> {
    let mut notes: Vec<Note> = Vec::new();
    let mut before = before;
    for (at, tones) in onsets {
        let plucked: Vec<&Tone> = tones.iter().copied().filter(|t| t.onset == Onset::Plucked).collect();
        let first = before.take();
        let (tones, held) = if plucked.is_empty() { (continued(&tones, first), true) } else { (plucked, false) };
        let Some(end) = tones.iter().map(|t| t.end).max() else { continue };
        if let Some(last) = notes.last_mut() {
            last.length = last.length.min(at - last.at);
        }
        let mut note = note_of(at, end - at, &tones, remarks);
        note.tie.from_before = held;
        notes.push(note);
    }
    notes
}

/// The held tones that go on from the note before, which then knows of the tie.
fn continued<'t, 'a>(tones: &[&'t Tone<'a>], before: Option<&mut Note>) -> Vec<&'t Tone<'a>> {
    let over = |t: &&&Tone| t.onset == Onset::HeldOverEnding;
    let Some(before) = before else { return tones.iter().filter(over).copied().collect() };
    let shared = |t: &&&Tone| before.pitches.iter().any(|p| p.midi() == t.pitch.midi());
    let kept: Vec<&Tone> = tones.iter().filter(|t| over(t) || shared(t)).copied().collect();
    before.tie.to_next |= kept.iter().any(|t| t.onset == Onset::Held);
    kept
}

fn note_of(at: Beats, length: Beats, tones: &[&Tone], remarks: &mut Remarks) -> Note {
    let mut strings: BTreeMap<(i32, i32), (Pitch, Element)> = BTreeMap::new();
    for tone in tones {
        strings.entry((tone.pitch.midi(), tone.pitch.position())).or_insert((tone.pitch, tone.elements[0]));
    }
    let mut note = Note::of(at, length, strings.values().map(|s| s.0).collect());
    let elements: Vec<Element> = strings.values().map(|s| s.1).collect();
    note.fingers = fingers(&elements, remarks);
    let in_parentheses = |e: &Element| child(*e, "notehead").is_some_and(|h| h.attribute("parentheses") == Some("yes"));
    note.unplayable = strings.values().filter(|s| in_parentheses(&s.1)).map(|s| s.0).collect();
    for tone in tones {
        note.grace.extend(tone.grace.iter().cloned());
        for element in &tone.elements {
            notations::put(*element, &mut note, Fingering::ReadElsewhere, remarks);
        }
    }
    note
}

/// A finger for each note, lowest first; none where not every note has one a harpist uses.
fn fingers(elements: &[Element], remarks: &mut Remarks) -> Vec<u8> {
    let printed: Vec<Option<i64>> = elements.iter().map(|e| finger(*e)).collect();
    let good: Option<Vec<u8>> = printed.iter().map(|f| f.filter(|n| (1..=4).contains(n)).map(|n| n as u8)).collect();
    if good.is_none() && printed.iter().any(Option::is_some) {
        remarks.note(elements[0], "fingering that does not give each note a finger from 1 to 4 is left out", "");
    }
    good.unwrap_or_default()
}

fn finger(element: Element) -> Option<i64> {
    let mut technical = children(element, "notations").flat_map(|n| children(n, "technical"));
    technical.find_map(|t| child_whole(t, "fingering"))
}

fn fill_with_rests(notes: &mut Vec<Note>, length: Beats) {
    let mut filled: Vec<Note> = Vec::with_capacity(notes.len() + 1);
    let mut at = Beats::ZERO;
    for note in notes.drain(..) {
        if note.at > at {
            filled.push(Note::rest(at, note.at - at));
        }
        at = note.end();
        filled.push(note);
    }
    if at < length {
        filled.push(Note::rest(at, length - at));
    }
    *notes = filled;
}

/// A fermata or the like over a rest.
fn sign_rests(notes: &mut [Note], walked: &Walked, staff: u32, remarks: &mut Remarks) {
    for placed in walked.notes.iter().filter(|n| n.staff == staff && !n.grace && n.is_rest()) {
        if let Some(rest) = notes.iter_mut().find(|n| n.is_rest() && n.at <= placed.at && placed.at < n.end()) {
            notations::put(placed.members[0], rest, Fingering::ReadElsewhere, remarks);
        }
    }
}

/// Tuplets stand at the notes and rests whose length is as written.
fn put_tuplets(notes: &mut [Note], walked: &Walked, staff: u32) {
    let own: Vec<&PlacedNote> = walked.notes.iter().filter(|n| n.staff == staff && !n.grace).collect();
    let same =
        |note: &Note, placed: &PlacedNote| placed.at == note.at && placed.length == note.length && placed.is_rest() == note.is_rest();
    let written: Vec<Option<&PlacedNote>> = notes.iter().map(|note| own.iter().copied().find(|placed| same(note, placed))).collect();
    tuplets::put(notes, &written);
}

/// The pitches whose written end is not the end of their note.
pub fn holds(hand: Hand, tones: &[Tone], lines: &[Vec<Note>], frames: &[Frame]) -> Vec<Hold> {
    let starts = starts(frames);
    let row: Vec<(usize, &Note)> = lines.iter().enumerate().flat_map(|(m, l)| l.iter().map(move |n| (m, n))).collect();
    let places: BTreeMap<(usize, Beats), usize> = row.iter().enumerate().map(|(i, (m, n))| ((*m, n.at), i)).collect();
    let mut longest: BTreeMap<(usize, Beats, Pitch), Beats> = BTreeMap::new();
    for tone in tones.iter().filter(|t| t.hand == hand && t.onset == Onset::Plucked) {
        let written = tone.chain_end - starts[tone.measure] - tone.at;
        let kept = longest.entry((tone.measure, tone.at, tone.pitch)).or_insert(written);
        *kept = written.max(*kept);
    }
    let shown = |measure: usize, at: Beats, pitch: Pitch| {
        let from = places.get(&(measure, at)).copied().unwrap_or(row.len());
        let mut length = Beats::ZERO;
        for (i, (_, note)) in row.iter().enumerate().skip(from) {
            let goes_on = i == from || note.tie.from_before && note.pitches.iter().any(|p| p.midi() == pitch.midi());
            if !goes_on {
                break;
            }
            length += note.length;
            if !note.tie.to_next {
                break;
            }
        }
        length
    };
    let all = longest.into_iter().filter(|((measure, at, pitch), written)| shown(*measure, *at, *pitch) != *written);
    all.map(|((measure, at, pitch), length)| Hold { hand, measure, at, pitch, length }).collect()
}
