//! How fast each stretch of a measure goes, as a MIDI file says it: microseconds a quarter note.
//!
//! A file of ticks has no way to wait. Where a fermata holds, the last note before its end goes so much slower that what follows comes when the clock says.

use midly::num::u24;
use music::{Beats, Clock, Place, ScoreMeasure, Seconds};
use std::collections::BTreeMap;

/// From where in the measure on which speed holds, in order; the first from its start.
pub fn speeds(clock: &Clock, index: usize, measure: &ScoreMeasure) -> Vec<(Beats, u32)> {
    let tempos = clock.tempos(index);
    let speed = |tempo: music::Tempo| per_quarter(tempo.seconds(Beats::QUARTER), Beats::QUARTER);
    let mut all: BTreeMap<Beats, u32> = tempos.iter().map(|(at, tempo)| (*at, speed(*tempo))).collect();
    for (end, time) in clock.holds(index) {
        let onsets = measure.right.iter().chain(&measure.left).map(|n| n.at).filter(|at| *at < end);
        let changed = all.range(..end).next_back().map(|s| *s.0);
        let Some(from) = onsets.max().max(changed) else { continue };
        let tempo = clock.tempo(Place { measure: index, at: from });
        all.insert(from, per_quarter(tempo.seconds(end - from) + time, end - from));
        if end < measure.frame.length {
            all.entry(end).or_insert_with(|| speed(clock.tempo(Place { measure: index, at: end })));
        }
    }
    all.into_iter().collect()
}

/// Whole microseconds a quarter note, at most what three bytes hold.
fn per_quarter(time: Seconds, length: Beats) -> u32 {
    let (above, below) = length.fraction();
    let micros = i128::from(time.micros()) * i128::from(below);
    let rounded = (2 * micros + i128::from(above)) / (2 * i128::from(above.max(1)));
    u32::try_from(rounded).unwrap_or(u32::MAX).min(u24::max_value().as_int())
}
