//! Ties made whole: a tie joins two neighbouring notes of the line that share a pitch, and both know of it.
//!
//! A second ending may take over a tie from the measure before the first ending; such a tie is kept.

use super::document::MeasureSource;
use super::remarks::Remarks;
use music::{Frame, Note};

/// Mends the ties of the whole line; `sources` has the element of each measure for the remarks.
pub fn mend(frames: &[Frame], notes: &mut [Vec<Note>], sources: &[MeasureSource], remarks: &mut Remarks) {
    let places: Vec<(usize, usize)> = notes.iter().enumerate().flat_map(|(m, line)| (0..line.len()).map(move |n| (m, n))).collect();
    for (i, (measure, index)) in places.iter().copied().enumerate() {
        let next = places.get(i + 1).copied();
        let shares = next.is_some_and(|(m, n)| share(&notes[measure][index], &notes[m][n]));
        let wanted = notes[measure][index].tie.to_next;
        let answered = next.is_some_and(|(m, n)| notes[m][n].tie.from_before);
        let joined = shares && (wanted || answered);
        if wanted && !joined {
            remarks.note(sources[measure].measure, "a tie that leads to no note of the same pitch is left out", "");
        }
        notes[measure][index].tie.to_next = joined;
        if let Some((m, n)) = next {
            let over_ending = answered && !joined && n == 0 && reaches_over(frames, notes, m);
            notes[m][n].tie.from_before = joined || over_ending;
        }
    }
    if let Some((m, n)) = places.first().copied() {
        notes[m][n].tie.from_before = false;
    }
}

fn share(a: &Note, b: &Note) -> bool {
    a.pitches.iter().any(|p| b.pitches.iter().any(|q| p.midi() == q.midi()))
}

/// A later ending that begins with the pitch on which the measure before the endings closes.
fn reaches_over(frames: &[Frame], notes: &[Vec<Note>], measure: usize) -> bool {
    if !frames[measure].ending.as_ref().is_some_and(|e| e.starts) {
        return false;
    }
    let before = frames[..measure].iter().rposition(|f| f.ending.is_none());
    let last = before.and_then(|m| notes[m].last());
    last.zip(notes[measure].first()).is_some_and(|(a, b)| share(a, b))
}
