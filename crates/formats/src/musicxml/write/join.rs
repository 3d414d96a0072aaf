//! What joins notes across bar lines: ties and slurs, worked out for one hand from the first measure to the last.

use super::line::Line;
use std::collections::{BTreeMap, BTreeSet};

/// The numbers that slurs of one hand may bear; each hand has its own, so that they are never mixed up.
pub struct SlurNumbers {
    pub first: u32,
    pub last: u32,
}

/// Ties the pieces of one note, and neighbouring notes in the pitches that both share.
///
/// A tie from before that finds no note before it (it comes from an earlier pass through a repeat) is kept for all pitches.
pub fn tie(lines: &mut [Line]) {
    let places = places(lines);
    for (here, next) in places.iter().zip(places.iter().skip(1)) {
        let one_note = here.0 == next.0 && lines[here.0].pieces[here.1].note == lines[next.0].pieces[next.1].note;
        let tie_on = note_at(lines, *here).tie.to_next && note_at(lines, *next).tie.from_before;
        if !one_note && !tie_on {
            continue;
        }
        let after: BTreeSet<_> = lines[next.0].pieces[next.1].heads.iter().map(|h| h.pitch).collect();
        let before: BTreeSet<_> = lines[here.0].pieces[here.1].heads.iter().map(|h| h.pitch).collect();
        for head in &mut lines[here.0].pieces[here.1].heads {
            head.tied_on = after.contains(&head.pitch);
        }
        for head in &mut lines[next.0].pieces[next.1].heads {
            head.tied_before = before.contains(&head.pitch);
        }
    }
    for (i, place) in places.iter().enumerate() {
        let from_earlier_pass = i.checked_sub(1).is_none_or(|b| !note_at(lines, places[b]).tie.to_next);
        if lines[place.0].pieces[place.1].part == 0 && note_at(lines, *place).tie.from_before && from_earlier_pass {
            lines[place.0].pieces[place.1].heads.iter_mut().for_each(|h| h.tied_before = true);
        }
    }
}

type Place = (usize, usize);

/// (measure, piece) of all pieces in order.
fn places(lines: &[Line]) -> Vec<Place> {
    lines.iter().enumerate().flat_map(|(m, line)| (0..line.pieces.len()).map(move |p| (m, p))).collect()
}

fn note_at(lines: &[Line], place: Place) -> &music::Note {
    let line = &lines[place.0];
    line.note(&line.pieces[place.1])
}

/// Numbers the slurs that have both ends, the innermost first to close; a slur with one end is left out.
pub fn slur(lines: &mut [Line], numbers: &SlurNumbers) {
    let mut open: Vec<Place> = Vec::new();
    let mut pairs: BTreeMap<Place, Vec<Place>> = BTreeMap::new();
    for place in places(lines) {
        let piece = &lines[place.0].pieces[place.1];
        let note = lines[place.0].note(piece);
        let stops = if piece.is_last_part { note.slurs_stop } else { 0 };
        let starts = if piece.part == 0 { note.slurs_start } else { 0 };
        for _ in 0..stops {
            if let Some(from) = open.pop() {
                pairs.entry(from).or_default().push(place);
            }
        }
        open.extend((0..starts).map(|_| place));
    }
    number(lines, &pairs, numbers);
}

/// The smallest number that no slur still open bears; slurs beyond the last number are left out.
fn number(lines: &mut [Line], pairs: &BTreeMap<Place, Vec<Place>>, numbers: &SlurNumbers) {
    let mut until: BTreeMap<u32, Place> = BTreeMap::new();
    for (from, ends) in pairs {
        for to in ends {
            let free = (numbers.first..=numbers.last).find(|n| until.get(n).is_none_or(|end| end < from));
            if let Some(free) = free {
                until.insert(free, *to);
                lines[from.0].pieces[from.1].slurs_start.push(free);
                lines[to.0].pieces[to.1].slurs_stop.push(free);
            }
        }
    }
}
