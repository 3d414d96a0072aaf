//! Out of all voices of a part, one line: the melody.
//!
//! The line is the part's top staff with notes, and on it the leading voice: the one that comes first and sounds in at least half as many
//! measures as the busiest. In a measure where the leading voice has nothing at all, the voice with the highest note is taken. Within a
//! voice, what is written first stands; a note that would sound over it is left out. Gaps are rests.

use super::measure::{PlacedNote, Walked};
use super::remarks::Remarks;
use super::{note, tuplets};
use crate::diagnostic::excerpt;
use music::{Beats, Grace, Note};
use std::collections::BTreeMap;

/// The line that is followed through a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line<'a> {
    pub staff: u32,
    pub voice: &'a str,
}

impl<'a> Line<'a> {
    /// The top line of the part; `None` where nothing is pitched.
    pub fn of(measures: &[Walked<'a>]) -> Option<Line<'a>> {
        let pitched = || measures.iter().flat_map(|m| &m.notes).filter(|n| n.is_pitched() && !n.grace);
        let staff = pitched().map(|n| n.staff).min()?;
        // For each voice: how many voices came before it, and in how many measures it sounds.
        let mut sounding: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
        for measure in measures {
            for voice in voices(measure, staff) {
                let order = sounding.len();
                sounding.entry(voice).or_insert((order, 0)).1 += 1;
            }
        }
        let most = sounding.values().map(|(_, count)| *count).max()?;
        let leading = sounding.into_iter().filter(|(_, (_, count))| count * 2 >= most).min_by_key(|(_, (order, _))| *order);
        leading.map(|(voice, _)| Line { staff, voice })
    }
}

/// The voices with pitched notes on a staff, each once, in order of appearance.
fn voices<'a>(measure: &Walked<'a>, staff: u32) -> Vec<&'a str> {
    let mut found = Vec::new();
    for note in measure.notes.iter().filter(|n| n.staff == staff && n.is_pitched() && !n.grace) {
        if !found.contains(&note.voice) {
            found.push(note.voice);
        }
    }
    found
}

/// One measure of the line, filling `length`. Grace notes without a note after them are handed back in `grace` for the next measure.
pub fn notes(measure: &Walked, line: Line, length: Beats, grace: &mut Vec<Grace>, remarks: &mut Remarks) -> Vec<Note> {
    let voice = voice_here(measure, line);
    let written: Vec<&PlacedNote> = members(measure, line, voice, remarks);
    let graces = grace_notes(&written, grace, remarks);
    let mut notes: Vec<Note> = Vec::new();
    let mut sources: Vec<Option<&PlacedNote>> = Vec::new();
    let mut at = Beats::ZERO;
    for (placed, before) in placed_without_overlap(&written, length, remarks).into_iter().map(|i| (written[i], &graces[i])) {
        if placed.at > at {
            notes.push(Note::rest(at, placed.at - at));
            sources.push(None);
        }
        notes.push(note::build(placed, before.clone(), remarks));
        sources.push(Some(placed));
        at = placed.end();
    }
    if at < length {
        notes.push(Note::rest(at, length - at));
        sources.push(None);
    }
    tuplets::put(&mut notes, &sources);
    notes
}

/// The leading voice where it is present, else the one with the highest note.
fn voice_here<'a>(measure: &Walked<'a>, line: Line<'a>) -> &'a str {
    let present = measure.notes.iter().any(|n| n.staff == line.staff && n.voice == line.voice && !is_hidden_rest(n));
    if present {
        return line.voice;
    }
    let top = |voice: &str| {
        let of_voice = measure.notes.iter().filter(|n| n.staff == line.staff && n.voice == voice);
        of_voice.filter_map(|n| note::written_top(n)).max()
    };
    let mut best = line.voice;
    for voice in voices(measure, line.staff) {
        if top(voice) > top(best) {
            best = voice;
        }
    }
    best
}

fn is_hidden_rest(note: &PlacedNote) -> bool {
    !note.is_pitched() && super::element::is_hidden(note.members[0])
}

/// The notes of the voice on the staff, in written order, with those it lends to another staff; says what is left out.
fn members<'m, 'a>(measure: &'m Walked<'a>, line: Line, voice: &str, remarks: &mut Remarks) -> Vec<&'m PlacedNote<'a>> {
    let own: Vec<&PlacedNote> = measure.notes.iter().filter(|n| n.staff == line.staff && n.voice == voice).collect();
    let crosses = |n: &PlacedNote| {
        n.voice == voice && n.staff != line.staff && !own.is_empty() && own.iter().all(|o| o.end() <= n.at || n.end() <= o.at)
    };
    let mut taken = Vec::new();
    for placed in &measure.notes {
        let first = placed.members[0];
        if super::element::has(first, "cue") {
            remarks.note(first, "a cue note is left out", "");
        } else if (placed.staff == line.staff && placed.voice == voice) || crosses(placed) {
            taken.push(placed);
        } else if placed.is_pitched() {
            remarks.note(first, left_out(placed, line), "");
        }
    }
    taken
}

fn left_out(placed: &PlacedNote, line: Line) -> String {
    if placed.staff == line.staff {
        format!("a note of voice {} beside the melody is left out", excerpt(placed.voice))
    } else {
        format!("a note of staff {} is left out: the melody is on staff {}", placed.staff, line.staff)
    }
}

/// For each written note, the grace notes that stand before it; those at the end stay in `pending`.
fn grace_notes(written: &[&PlacedNote], pending: &mut Vec<Grace>, remarks: &mut Remarks) -> Vec<Vec<Grace>> {
    let mut all = Vec::new();
    for placed in written {
        if placed.grace {
            pending.extend(note::build_grace(placed, remarks));
            all.push(Vec::new());
        } else if placed.is_pitched() {
            all.push(std::mem::take(pending));
        } else {
            all.push(Vec::new());
        }
    }
    if let Some(last) = written.last().filter(|p| p.grace) {
        remarks.note(last.members[0], "a grace note at the end of a measure is moved to the next note", "");
    }
    all
}

/// Which notes stand, in order of time: pitched notes in written order unless they overlap, then rests where there is room.
fn placed_without_overlap(written: &[&PlacedNote], length: Beats, remarks: &mut Remarks) -> Vec<usize> {
    let mut standing: BTreeMap<Beats, (Beats, usize)> = BTreeMap::new();
    for pitched in [true, false] {
        for (i, placed) in written.iter().enumerate().filter(|(_, p)| !p.grace && !p.length.is_zero() && p.is_pitched() == pitched) {
            let before = standing.range(..placed.end()).next_back();
            let free = before.is_none_or(|(_, (end, _))| *end <= placed.at) && placed.end() <= length;
            if free {
                standing.insert(placed.at, (placed.end(), i));
            } else if pitched {
                remarks.warn(placed.members[0], "a note that sounds over an earlier one of the same voice is left out", "");
            }
        }
    }
    let left: Vec<_> = written.iter().filter(|p| !p.is_pitched() && !p.is_rest() && !p.grace).collect();
    if let Some(unpitched) = left.first() {
        remarks.note(unpitched.members[0], "a note without pitch is read as a rest", "");
    }
    standing.into_values().map(|(_, i)| i).collect()
}
