//! Beams: notes shorter than a quarter are joined up to the beat.
//!
//! Common practice: a beam never crosses a beat, except that plain eighths share one between two strong beats (four in half a measure of four-four,
//! six in three-four). Rests end a beam.

use super::grid::Grid;
use super::line::{Line, Piece};
use super::value::Value;
use music::{Beats, Frame};

/// Fills in the beams of one hand in one measure; `shift` is how far into a full measure it begins.
pub fn mark(line: &mut Line, frame: &Frame, shift: Beats) {
    let grid = Grid::new(&frame.meter, frame.length + shift);
    let mut from = 0;
    while from < line.pieces.len() {
        let to = group_end(&line.pieces, from, &grid, shift);
        join(&mut line.pieces[from..to], shift);
        from = to;
    }
    for piece in &mut line.pieces {
        let values: Vec<Value> = piece.grace.iter().map(|g| Value::of_number(g.value)).collect();
        piece.grace_beams = grace_beams(&values);
    }
}

/// Where the group that starts at a piece ends: the index after its last piece.
fn group_end(pieces: &[Piece], from: usize, grid: &Grid, shift: Beats) -> usize {
    let start = pieces[from].at + shift;
    if !has_beam(&pieces[from]) {
        return from + 1;
    }
    let wide_end = next_place(&grid.eighth_ends, start);
    let count = |end: Option<Beats>, good: &dyn Fn(&Piece) -> bool| {
        pieces[from..].iter().take_while(|p| end.is_none_or(|e| p.at + shift < e) && good(p)).count()
    };
    let eighths = count(wide_end, &|p| is_plain_eighth(p));
    let reaches = pieces[from + eighths.max(1) - 1..].first().map(|p| p.at + p.length + shift);
    let fills = grid.eighth_ends.contains(&start)
        && wide_end.is_none_or(|e| reaches >= Some(e))
        && (wide_end.is_some() || from + eighths == pieces.len());
    if eighths > 1 && fills {
        return from + eighths;
    }
    from + count(next_place(&grid.beam_ends, start), &|p| has_beam(p)).max(1)
}

/// The first of the places, which are in order, behind another.
fn next_place(places: &[Beats], after: Beats) -> Option<Beats> {
    places.get(places.partition_point(|p| *p <= after)).copied()
}

fn has_beam(piece: &Piece) -> bool {
    !piece.heads.is_empty() && levels(piece) > 0
}

fn is_plain_eighth(piece: &Piece) -> bool {
    !piece.heads.is_empty() && piece.ratio.is_none() && piece.length == Beats::EIGHTH
}

fn levels(piece: &Piece) -> usize {
    piece.value.map_or(0, Value::beams)
}

fn join(group: &mut [Piece], shift: Beats) {
    let levels: Vec<usize> = group.iter().map(levels).collect();
    // A hook points to the neighbour within the same double value: forward where the note begins one.
    let begins: Vec<bool> = group.iter().map(|p| ((p.at + shift) % (p.length * 2)).is_zero()).collect();
    for (piece, beams) in group.iter_mut().zip(beams(&levels, &begins)) {
        piece.beams = beams;
    }
}

fn grace_beams(values: &[Value]) -> Vec<Vec<&'static str>> {
    let levels: Vec<usize> = values.iter().map(|v| v.beams()).collect();
    if levels.contains(&0) {
        return vec![Vec::new(); levels.len()];
    }
    beams(&levels, &vec![true; levels.len()])
}

/// The beams of each note of a group, outermost first; none for a group of one.
fn beams(levels: &[usize], begins: &[bool]) -> Vec<Vec<&'static str>> {
    let one = |i: usize| (1..=levels[i]).map(|level| beam(levels, begins, i, level)).collect();
    if levels.len() < 2 { vec![Vec::new(); levels.len()] } else { (0..levels.len()).map(one).collect() }
}

fn beam(levels: &[usize], begins: &[bool], at: usize, level: usize) -> &'static str {
    let before = at > 0 && levels[at - 1] >= level;
    let after = levels.get(at + 1).is_some_and(|l| *l >= level);
    match (before, after) {
        (false, true) => "begin",
        (true, true) => "continue",
        (true, false) => "end",
        (false, false) if at == 0 || (begins[at] && at + 1 < levels.len()) => "forward hook",
        (false, false) => "backward hook",
    }
}
