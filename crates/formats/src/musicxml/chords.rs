//! Puts the chord symbols on their measures and places.
//!
//! Several symbols at one place before a note mean that the chord changes while the note sounds; they share its length evenly, on the beat
//! where there are beats enough. A symbol behind the end of its measure belongs to the next.

use super::direction::Directions;
use super::harmony;
use super::line::Line;
use super::measure::{PlacedHarmony, Walked};
use super::remarks::Remarks;
use super::sheet::Walks;
use music::{Beats, ChordSymbol, Frame, Interval, Note, PlacedChord};

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
        frames[i].chords = shared_out(found, &notes[i], length, frames[i].meter.beat());
    }
    if let Some((_, symbol)) = late.first() {
        let source = walks.melody[walks.melody.len() - 1].source.measure;
        remarks.warn(source, format!("the chord symbol {} behind the last measure is left out", symbol.source), "");
    }
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

/// Where the share `i` of `parts` begins: evenly, but on the beat where there are beats enough.
fn share(whole: Beats, i: i64, parts: i64, beat: Beats) -> Beats {
    let evenly = whole.scaled(i, parts).unwrap_or(Beats::ZERO);
    if whole.div_floor(beat) >= parts { beat * evenly.div_floor(beat) } else { evenly }
}

/// One symbol a place: equal ones fall together, different ones share the note that sounds there.
fn shared_out(found: Vec<(Beats, ChordSymbol)>, notes: &[Note], length: Beats, beat: Beats) -> Vec<PlacedChord> {
    let mut placed: Vec<PlacedChord> = Vec::new();
    let mut rest = found.as_slice();
    while let Some((at, _)) = rest.first().cloned() {
        let count = rest.iter().take_while(|(place, _)| *place == at).count();
        let mut symbols: Vec<&ChordSymbol> = rest[..count].iter().map(|(_, s)| s).collect();
        symbols.dedup_by(|a, b| a.harmony == b.harmony);
        rest = &rest[count..];
        let next = rest.first().map_or(length, |(place, _)| *place);
        let end = notes.iter().find(|n| n.at == at).map_or(next, Note::end).min(next);
        let parts = symbols.len() as i64;
        for (i, symbol) in symbols.into_iter().enumerate() {
            let later = share(end - at, i as i64, parts, beat);
            if i == 0 || !later.is_zero() {
                placed.push(PlacedChord { at: at + later, symbol: symbol.clone() });
            }
        }
    }
    placed
}
