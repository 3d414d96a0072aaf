//! One measure made two, at any place in it: both keep its number, and a note that sounds over the place is tied.

use music::{Barline, Beats, Ending, Frame, Jump, Note, SheetMeasure, Tie};

/// The two parts of a measure; `at` lies inside it.
pub fn halves(whole: SheetMeasure, at: Beats) -> (SheetMeasure, SheetMeasure) {
    let SheetMeasure { frame, notes: mut left } = whole;
    let (before, after) = (first_frame(&frame, at), second_frame(&frame, at));
    let mut right = left.split_off(left.partition_point(|n| n.end() <= at));
    if let Some(over) = right.first_mut().filter(|n| n.at < at) {
        let (a, b) = cut(std::mem::take(over), at);
        left.push(a);
        *over = Note { at, ..b };
    }
    right.iter_mut().for_each(|n| n.at -= at);
    (SheetMeasure { frame: before, notes: left }, SheetMeasure { frame: after, notes: right })
}

/// A note over the split becomes two, tied.
fn cut(note: Note, at: Beats) -> (Note, Note) {
    let sounding = !note.is_rest();
    let second = Note {
        tie: Tie { from_before: sounding, to_next: note.tie.to_next },
        slurs_stop: note.slurs_stop,
        fingers: note.fingers.clone(),
        ..Note::of(Beats::ZERO, note.end() - at, note.pitches.clone())
    };
    let tie = Tie { to_next: sounding, ..note.tie };
    (Note { length: at - note.at, tie, slurs_stop: 0, ..note }, second)
}

fn first_frame(frame: &Frame, at: Beats) -> Frame {
    let mut half = frame.clone();
    half.length = at;
    half.right = Barline::Plain;
    half.repeat_end = None;
    half.ending = frame.ending.clone().map(|e| Ending { stops: false, ..e });
    half.jumps.retain(|j| is_place(*j));
    half.tempos.retain(|t| t.0 < at);
    half.words.retain(|w| w.0 < at);
    half.chords.retain(|c| c.at < at);
    half
}

fn second_frame(frame: &Frame, at: Beats) -> Frame {
    let mut half = frame.clone();
    half.length = frame.length - at;
    half.left = Barline::None;
    half.repeat_start = false;
    half.section = None;
    half.ending = frame.ending.clone().map(|e| Ending { starts: false, ..e });
    half.jumps.retain(|j| !is_place(*j));
    half.tempos = later(&frame.tempos, at);
    half.words = later(&frame.words, at);
    half.chords.retain(|c| c.at >= at);
    half.chords.iter_mut().for_each(|c| c.at -= at);
    half
}

fn later<T: Clone>(placed: &[(Beats, T)], at: Beats) -> Vec<(Beats, T)> {
    placed.iter().filter(|p| p.0 >= at).map(|p| (p.0 - at, p.1.clone())).collect()
}

fn is_place(jump: Jump) -> bool {
    matches!(jump, Jump::Segno | Jump::Coda)
}
