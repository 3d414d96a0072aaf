//! When each place of a measure comes, each time the measure is played: tempo marks followed, fermatas held.
//!
//! A fermata holds both hands at the end of its note. After a jump the tempo is the one that stands there on the page.

use crate::performance::Pass;
use crate::performing::{Performing, TempoShare};
use music::order::playing_order;
use music::{Beats, Decoration, Frame, Hand, Score, ScoreMeasure, Seconds, Tempo};
use std::collections::BTreeMap;

/// No measure begins later: a day. Repeats of repeats of a damaged file would never end.
const LONGEST: Seconds = Seconds::from_millis(24 * 3_600_000);

/// A measure being played, with the stretches of one tempo in it.
pub struct Timed {
    pub pass: Pass,
    /// Where each begins, when, and how fast it is; never empty.
    stretches: Vec<(Beats, Seconds, Tempo)>,
    share: TempoShare,
}

impl Timed {
    /// When a place of the measure comes; what lies at the end of a hold comes after it.
    pub fn at(&self, place: Beats) -> Seconds {
        let (from, time, tempo) = self.stretches.iter().rfind(|s| s.0 <= place).unwrap_or(&self.stretches[0]);
        *time + self.share.stretch(tempo.seconds(place - *from))
    }
}

/// The measures in playing order, in time.
pub fn passes(score: &Score, performing: &Performing) -> Vec<Timed> {
    let frames: Vec<&Frame> = score.measures.iter().map(|m| &m.frame).collect();
    let tempos = written_tempos(score);
    let mut passes: Vec<Timed> = Vec::new();
    for index in playing_order(&frames).measures {
        let start = passes.last().map_or(Seconds::ZERO, |t| t.pass.end);
        if start >= LONGEST {
            break;
        }
        passes.push(timed(index, &score.measures[index], tempos[index], start, performing));
    }
    passes
}

/// The tempo in force at the start of each written measure.
fn written_tempos(score: &Score) -> Vec<Tempo> {
    let mut now = score.tempo;
    let at_start = |measure: &ScoreMeasure| {
        let before = now;
        now = measure.frame.tempos.iter().max_by_key(|t| t.0).map_or(now, |t| t.1);
        before
    };
    score.measures.iter().map(at_start).collect()
}

fn timed(index: usize, measure: &ScoreMeasure, tempo: Tempo, start: Seconds, performing: &Performing) -> Timed {
    let length = measure.frame.length.max(Beats::ZERO);
    let pass = Pass { measure: index, start, end: start, beats: Vec::new() };
    let mut timed = Timed { pass, stretches: vec![(Beats::ZERO, start, tempo)], share: performing.tempo };
    let mut tempo = tempo;
    for (place, change) in changes(measure, length) {
        let mut time = timed.at(place);
        match change {
            Change::Hold(written) => time = time + performing.holds.longer.of(performing.tempo.stretch(tempo.seconds(written))),
            Change::Tempo(new) => tempo = new,
        }
        timed.stretches.push((place, time, tempo));
    }
    timed.pass.end = timed.at(length);
    timed.pass.beats = beats(&measure.frame).into_iter().map(|b| (b, timed.at(b))).collect();
    timed
}

enum Change {
    /// The length of the held note.
    Hold(Beats),
    Tempo(Tempo),
}

/// Holds and tempo marks in order of place; of several holds at one place the longest counts, and a hold comes before a tempo that begins there.
fn changes(measure: &ScoreMeasure, length: Beats) -> Vec<(Beats, Change)> {
    let mut holds: BTreeMap<Beats, Beats> = BTreeMap::new();
    for hand in [Hand::Right, Hand::Left] {
        for note in measure.hand(hand).iter().filter(|n| n.decorations.contains(&Decoration::Fermata)) {
            let held = holds.entry(note.end().min(length)).or_default();
            *held = note.length.max(*held);
        }
    }
    let holds = holds.into_iter().map(|(place, held)| (place, Change::Hold(held)));
    let tempos = measure.frame.tempos.iter().map(|(place, tempo)| ((*place).clamp(Beats::ZERO, length), Change::Tempo(*tempo)));
    let mut changes: Vec<(Beats, Change)> = holds.chain(tempos).collect();
    changes.sort_by_key(|c| c.0);
    changes
}

/// The places of the beats. A pickup ends on a full beat, so its first may come after some rest of one.
fn beats(frame: &Frame) -> Vec<Beats> {
    let missing = if frame.number == 0 { (frame.meter.length() - frame.length).max(Beats::ZERO) } else { Beats::ZERO };
    let all = frame.meter.beats().into_iter().filter(|b| *b >= missing).map(|b| b - missing);
    all.filter(|b| *b < frame.length).collect()
}
