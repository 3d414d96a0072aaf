//! Puts the chord symbols on their measures and places.
//!
//! Several symbols at one place before a note mean that the chord changes while the note sounds. Common practice puts such a change on a beat, or
//! on its half or third where the beats do not go round, and makes the earlier chords the longer ones. A symbol behind the end of its measure
//! belongs to the next.

use super::direction::Directions;
use super::element::{Element, child, child_text};
use super::harmony;
use super::line::Line;
use super::measure::{PlacedHarmony, Walked};
use super::remarks::Remarks;
use super::sheet::Walks;
use crate::diagnostic::excerpt;
use music::{Beats, ChordOrigin, ChordSymbol, Frame, Interval, Meter, Note, PlacedChord};

/// Fills `chords` of every frame.
pub fn put(walks: &Walks, line: Line, directions: &mut [Directions], notes: &[Vec<Note>], frames: &mut [Frame], remarks: &mut Remarks) {
    let measures = walks.symbols.as_ref().unwrap_or(&walks.melody);
    let staff = walks.symbols.is_none().then_some(line.staff).filter(|s| has_own(measures, *s));
    let mut late: Vec<(Beats, ChordSymbol)> = Vec::new();
    for i in 0..frames.len() {
        let mut found = std::mem::take(&mut late);
        if let Some(measure) = measures.get(i) {
            let wanted = measure.harmonies.iter().filter(|h| staff.is_none_or(|s| staff_of(h) == s));
            found.extend(wanted.filter_map(|h| Some((h.at, harmony::symbol(h, remarks)?))));
        }
        let transposition = walks.melody[i].attributes.transposition(line.staff);
        add_words(&mut found, std::mem::take(&mut directions[i].symbols), transposition);
        found.sort_by_key(|(at, _)| *at);
        let length = frames[i].length;
        late = found.iter().filter(|(at, _)| *at >= length).map(|(at, s)| (*at - length, s.clone())).collect();
        found.retain(|(at, _)| *at < length);
        let count = found.len();
        let (chords, left) = shared_out(found, &notes[i], length, &frames[i].meter);
        if left > 0 {
            let message = format!("of {count} chord symbols in one measure {left} find no place of their own and are left out");
            remarks.warn(walks.melody[i].source.measure, message, "");
        }
        frames[i].chords = chords;
        if let Some(measure) = measures.get(i) {
            give_origins(&mut frames[i].chords, measure);
        }
    }
    if let Some((_, symbol)) = late.first() {
        let source = walks.melody[walks.melody.len() - 1].source.measure;
        remarks.warn(source, format!("the chord symbol {} behind the last measure is left out", excerpt(&symbol.source)), "");
    }
}

/// On our own pages the symbols in italics are the program's; another's italics mean nothing.
fn give_origins(chords: &mut [PlacedChord], measure: &Walked) {
    let ours = |h: &&PlacedHarmony| h.element.attribute("font-style") == Some("italic") && is_our_page(h.element);
    for harmony in measure.harmonies.iter().filter(ours) {
        let here = chords.iter_mut().filter(|c| c.at == harmony.at);
        here.for_each(|c| c.origin = ChordOrigin::Ours);
    }
}

fn is_our_page(element: Element) -> bool {
    let root = element.document().root_element();
    let encoding = child(root, "identification").and_then(|i| child(i, "encoding"));
    encoding.and_then(|e| child_text(e, "software")).is_some_and(|name| name == super::write::SOFTWARE)
}

fn staff_of(harmony: &PlacedHarmony) -> u32 {
    let staff = super::element::child_whole(harmony.element, "staff");
    staff.and_then(|s| u32::try_from(s).ok()).unwrap_or(1)
}

fn has_own(measures: &[Walked], staff: u32) -> bool {
    measures.iter().flat_map(|m| &m.harmonies).any(|h| staff_of(h) == staff)
}

/// A symbol in words counts where no other stands at the same place.
fn add_words(found: &mut Vec<(Beats, ChordSymbol)>, words: Vec<(Beats, ChordSymbol)>, transposition: Interval) {
    for (at, symbol) in words {
        if !found.iter().any(|(place, _)| *place == at) {
            found.push((at, symbol.up(harmony::within_octave(transposition))));
        }
    }
}

/// Where so many chords begin between two places: on the beats inside; where the beats do not go round, those that are left share the last one by
/// its halves or thirds. `None` where even those are too few.
fn places(from: Beats, to: Beats, parts: usize, meter: &Meter) -> Option<Vec<Beats>> {
    let mut found = steps(from, to, meter.beat());
    if found.len() >= parts {
        return Some(chosen(&found, parts));
    }
    let last = found.pop()?;
    let left = parts - found.len();
    let first = if meter.is_compound() { meter.unit_length() } else { meter.beat().scaled(1, 2)? };
    let mut finer = (0..4).filter_map(|i| Some(steps(last, to, first.scaled(1, 1 << i)?)));
    found.extend(chosen(&finer.find(|places| places.len() >= left)?, left));
    Some(found)
}

/// A place and all multiples of a step behind it.
fn steps(from: Beats, to: Beats, step: Beats) -> Vec<Beats> {
    let inside = (from.div_floor(step) + 1..).map(|i| step * i).take_while(|at| *at < to);
    std::iter::once(from).chain(inside).collect()
}

/// So many of the places, the wider gaps first.
fn chosen(places: &[Beats], parts: usize) -> Vec<Beats> {
    (0..parts).map(|k| places[(k * places.len()).div_ceil(parts)]).collect()
}

/// The most chord symbols that share one note.
const MOST_AT_ONE_PLACE: usize = 64;

/// One symbol a place, and how many are left out: equal ones fall together, different ones share the note that sounds there; of those that find no place the first are kept.
fn shared_out(found: Vec<(Beats, ChordSymbol)>, notes: &[Note], length: Beats, meter: &Meter) -> (Vec<PlacedChord>, usize) {
    let mut placed: Vec<PlacedChord> = Vec::new();
    let mut left = 0;
    let mut rest = found.as_slice();
    while let Some((at, _)) = rest.first().cloned() {
        let count = rest.iter().take_while(|(place, _)| *place == at).count();
        let mut symbols: Vec<&ChordSymbol> = rest[..count].iter().map(|(_, s)| s).collect();
        symbols.dedup_by(|a, b| a.harmony == b.harmony);
        rest = &rest[count..];
        let next = rest.first().map_or(length, |(place, _)| *place);
        let end = notes.iter().find(|n| n.at == at).map_or(next, Note::end).min(next);
        let count = symbols.len().min(MOST_AT_ONE_PLACE);
        let places = (1..=count).rev().find_map(|parts| places(at, end, parts, meter)).unwrap_or_else(|| vec![at]);
        left += symbols.len() - places.len();
        placed.extend(places.into_iter().zip(symbols).map(|(at, symbol)| PlacedChord::new(at, symbol.clone())));
    }
    (placed, left)
}
