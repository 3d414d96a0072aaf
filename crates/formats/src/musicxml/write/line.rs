//! One hand in one measure, cut into the pieces that are printed.
//!
//! A [`Piece`] is one notehead group or rest with one value; a note that no single value holds, or that would hide a strong beat, is several pieces
//! tied together. Ties, accidentals and beams are filled in afterwards.

use super::grid::{Cut, Grid, Sort, longest_first};
use super::value::Value;
use music::{Beats, Frame, Grace, MeterSign, Note, Pitch, TupletEdge};

/// The notes of one hand in one measure and their printed pieces, in order and without gaps.
#[derive(Debug)]
pub struct Line {
    pub notes: Vec<Note>,
    pub pieces: Vec<Piece>,
}

/// One printed note, chord or rest.
#[derive(Debug, Default)]
pub struct Piece {
    /// Index into the line's notes.
    pub note: usize,
    /// Which part of its note this is, from 0.
    pub part: usize,
    pub is_last_part: bool,
    pub at: Beats,
    pub length: Beats,
    /// `None` for a rest that fills the measure and for lengths shorter than any printed value.
    pub value: Option<Value>,
    /// So many in the time of so many.
    pub ratio: Option<(i64, i64)>,
    pub tuplet: TupletSign,
    pub heads: Vec<Head>,
    pub grace: Vec<GraceChord>,
    pub slurs_start: Vec<u32>,
    pub slurs_stop: Vec<u32>,
    pub beams: Vec<&'static str>,
    pub grace_beams: Vec<Vec<&'static str>>,
}

/// One grace note or chord before a piece.
#[derive(Debug)]
pub struct GraceChord {
    pub heads: Vec<Head>,
    /// Printed number of its value: 8 for an eighth.
    pub value: u32,
    /// "yes" with a stroke, "no" without.
    pub slash: &'static str,
}

/// One notehead.
#[derive(Clone, Copy, Debug)]
pub struct Head {
    pub pitch: Pitch,
    pub tied_before: bool,
    pub tied_on: bool,
    /// The accidental printed before it, in semitones.
    pub accidental: Option<i32>,
}

impl Head {
    fn new(pitch: Pitch) -> Head {
        Head { pitch, tied_before: false, tied_on: false, accidental: None }
    }
}

/// Whether a tuplet's number begins or ends at a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct TupletSign {
    pub starts: bool,
    pub stops: bool,
}

impl Line {
    /// Cuts the notes of one hand, which are of this sort where they are no rests. `shift` is how far into a full measure this measure begins (a pickup begins
    /// late).
    pub fn new(notes: &[Note], sort: Sort, frame: &Frame, shift: Beats) -> Line {
        let notes = filled(notes, frame.length);
        let grid = Grid::new(&frame.meter, frame.length + shift);
        let whole_rest =
            |n: &Note| n.is_rest() && n.at.is_zero() && n.length == frame.length && n.grace.is_empty() && fills_a_measure(frame);
        let mut pieces = Vec::new();
        for (index, note) in notes.iter().enumerate() {
            match whole_rest(note) {
                true => pieces.push(piece(index, note, Cut { at: note.at, length: note.length, value: None }, None)),
                false => pieces.extend(pieces_of((index, note), sort, &grid, shift)),
            }
        }
        let mut line = Line { notes, pieces };
        line.mark_parts();
        line.mark_tuplets();
        line
    }

    pub fn note(&self, piece: &Piece) -> &Note {
        &self.notes[piece.note]
    }

    pub fn length(&self) -> Beats {
        self.pieces.iter().map(|p| p.length).sum()
    }

    fn mark_parts(&mut self) {
        for i in 0..self.pieces.len() {
            let note = self.pieces[i].note;
            let part = if i > 0 && self.pieces[i - 1].note == note { self.pieces[i - 1].part + 1 } else { 0 };
            self.pieces[i].part = part;
            self.pieces[i].is_last_part = self.pieces.get(i + 1).is_none_or(|next| next.note != note);
            if part > 0 {
                self.pieces[i].grace.clear();
            }
        }
    }

    /// Every run of pieces in one tuplet begins and ends once, whatever edges the source forgot.
    fn mark_tuplets(&mut self) {
        let edges: Vec<_> = self.pieces.iter().map(|p| self.notes[p.note].tuplet).collect();
        for i in 0..self.pieces.len() {
            let Some(tuplet) = edges[i] else { continue };
            let (part, is_last_part) = (self.pieces[i].part, self.pieces[i].is_last_part);
            let joins = |other: Option<&Option<music::Tuplet>>| {
                other.is_some_and(|o| o.is_some_and(|o| (o.actual, o.normal) == (tuplet.actual, tuplet.normal)))
            };
            let before_stopped = i == 0 || self.pieces[i - 1].tuplet.stops || !joins(edges.get(i - 1));
            let next_starts = edges.get(i + 1).is_some_and(|o| o.is_some_and(|o| o.edge == TupletEdge::Start)) && is_last_part;
            let starts = before_stopped || tuplet.edge == TupletEdge::Start && part == 0;
            let stops = tuplet.edge == TupletEdge::Stop && is_last_part || next_starts || !joins(edges.get(i + 1));
            self.pieces[i].tuplet = TupletSign { starts, stops };
        }
    }
}

/// A rest through the measure is a whole rest; through a pickup it has its own value.
fn fills_a_measure(frame: &Frame) -> bool {
    frame.is_full() || frame.meter.sign == MeterSign::Free
}

/// The notes with rests in every gap and nothing sounding over its neighbour.
fn filled(notes: &[Note], length: Beats) -> Vec<Note> {
    let mut filled: Vec<Note> = Vec::new();
    let mut at = Beats::ZERO;
    for note in notes.iter().filter(|n| n.end() > n.at) {
        if note.at > at {
            filled.push(Note::rest(at, note.at - at));
        }
        if note.end() > at.max(note.at) {
            let start = at.max(note.at);
            filled.push(Note { at: start, length: note.end() - start, ..note.clone() });
            at = note.end();
        }
    }
    if at < length {
        filled.push(Note::rest(at, length - at));
    }
    filled
}

fn pieces_of((index, note): (usize, &Note), sort: Sort, grid: &Grid, shift: Beats) -> Vec<Piece> {
    let ratio = ratio(note);
    let cuts = match ratio {
        Some((actual, normal)) => cuts_in_tuplet(note, actual, normal),
        None => {
            let sort = if note.is_rest() { Sort::Rest } else { sort };
            let cuts = grid.cut(note.at + shift, note.end() + shift, sort);
            cuts.into_iter().map(|c| Cut { at: c.at - shift, ..c }).collect()
        }
    };
    cuts.into_iter().map(|cut| piece(index, note, cut, ratio)).collect()
}

/// The tuplet a note stands in: the one it names, or, for a length that halving never reaches, the smallest that holds it.
fn ratio(note: &Note) -> Option<(i64, i64)> {
    if let Some(tuplet) = note.tuplet.filter(|t| t.actual > 0 && t.normal > 0) {
        return Some((i64::from(tuplet.actual), i64::from(tuplet.normal)));
    }
    let below = note.length.fraction().1;
    let odd = below >> below.trailing_zeros();
    (odd > 1).then(|| (odd, 1 << (63 - odd.leading_zeros())))
}

/// Values inside a tuplet: cut as if the ratio were not there, lengths with the ratio applied.
fn cuts_in_tuplet(note: &Note, actual: i64, normal: i64) -> Vec<Cut> {
    let bare = || vec![Cut { at: note.at, length: note.length, value: None }];
    let Some(printed) = note.length.scaled(actual, normal) else { return bare() };
    let sounding: Option<Vec<Cut>> = longest_first(Beats::ZERO, printed)
        .into_iter()
        .map(|c| Some(Cut { at: note.at + c.at.scaled(normal, actual)?, length: c.length.scaled(normal, actual)?, value: c.value }))
        .collect();
    sounding.unwrap_or_else(bare)
}

fn heads(pitches: &[Pitch]) -> Vec<Head> {
    pitches.iter().map(|p| Head::new(*p)).collect()
}

fn grace_chord(grace: &Grace) -> GraceChord {
    GraceChord { heads: heads(&grace.pitches), value: grace.value, slash: if grace.slashed { "yes" } else { "no" } }
}

fn piece(index: usize, note: &Note, cut: Cut, ratio: Option<(i64, i64)>) -> Piece {
    Piece {
        note: index,
        at: cut.at,
        length: cut.length,
        value: cut.value,
        ratio,
        heads: heads(&note.pitches),
        grace: note.grace.iter().filter(|g| !g.pitches.is_empty()).map(grace_chord).collect(),
        ..Piece::default()
    }
}
