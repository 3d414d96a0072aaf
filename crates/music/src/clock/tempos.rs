//! Which tempo holds from where on the printed page: marks as they are, words as a guess.
//!
//! A ritardando or accelerando goes in steps of half a beat, each at one tempo, evenly from the tempo before to where it arrives; so a MIDI file can say exactly
//! the same. It lasts to the next mark or tempo word, the end of a fermata, a double or final bar line, a repeat sign, a jump or a new section; at most
//! [`MOST_MEASURES`] measures and [`MOST_BEATS`] beats. A mark that follows and lies in its direction is where it arrives. Where nothing is said at its
//! end, the tempo before it holds again. A number at the same place says more than a word.

use super::words::{Hundredths, TempoWord};
use crate::measure::{Barline, Frame, Jump};
use crate::meter::Meter;
use crate::score::Mark;
use crate::time::{Beats, Tempo};

/// The longest that a change of tempo in words goes on. Ours: a phrase.
const MOST_MEASURES: usize = 4;
/// The same in beats. Ours.
const MOST_BEATS: i64 = 32;

/// A measure as the clock reads it.
pub(super) struct Written<'a> {
    pub frame: &'a Frame,
    /// The lines of its notes, for their fermatas.
    pub lines: [&'a [crate::note::Note]; 2],
    pub marks: &'a [crate::score::PlacedMark],
}

/// Something of the page that bears on the tempo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sign {
    Mark(Tempo),
    Word(TempoWord),
}

/// From which place of the page which tempo holds, in order, each place once. `holds` are the places where a fermata ends.
pub(super) fn tempos(opening: Tempo, page: &[Written], starts: &[Beats], end: Beats, holds: &[Beats]) -> Vec<(Beats, Tempo)> {
    let mut signs = signs(page, starts);
    signs.retain(|s| s.0 < end);
    let first = signs.iter().take_while(|s| s.0.is_zero()).find_map(|s| if let Sign::Mark(t) = s.1 { Some(t) } else { None });
    let opening = first.unwrap_or(opening);
    let mut bounds: Vec<Beats> =
        page.iter().zip(starts).flat_map(|(m, start)| bounds(m.frame, *start)).chain(holds.iter().copied()).collect();
    bounds.push(end);
    bounds.sort();
    let mut walk = Walk { before: opening, standing: opening, now: opening, found: vec![(Beats::ZERO, opening)] };
    for (index, (at, sign)) in signs.iter().enumerate() {
        match sign {
            Sign::Mark(tempo) => walk.stand(*at, *tempo),
            Sign::Word(TempoWord::First) => walk.stand(*at, opening),
            Sign::Word(TempoWord::Return) => walk.stand(*at, walk.before),
            Sign::Word(TempoWord::Other(share)) => walk.other(*at, *share),
            Sign::Word(TempoWord::Gradual(share)) => {
                let stretch = Stretch::new(*at, &signs[index + 1..], &bounds, page, starts);
                walk.gradual(&stretch, *share);
            }
            Sign::Word(TempoWord::HeldBack(share)) => {
                let stretch = Stretch::new(*at, &signs[index + 1..], &bounds, page, starts);
                walk.held_back(&stretch, *share);
            }
        }
    }
    walk.found
}

/// Marks and words in order; where a mark stands, no word does, and no word stands twice.
fn signs(page: &[Written], starts: &[Beats]) -> Vec<(Beats, Sign)> {
    let mut all: Vec<(Beats, Sign)> = Vec::new();
    for (measure, start) in page.iter().zip(starts) {
        let frame = measure.frame;
        let length = frame.length.max(Beats::ZERO);
        let place = |at: Beats| *start + at.clamp(Beats::ZERO, length);
        let mut here: Vec<(Beats, Sign)> = frame.tempos.iter().map(|(at, tempo)| (place(*at), Sign::Mark(*tempo))).collect();
        let below = measure.marks.iter().filter_map(|m| if let Mark::Words(text) = &m.mark { Some((m.at, text)) } else { None });
        let words = frame.words.iter().map(|(at, text)| (*at, text)).chain(below);
        here.extend(words.filter_map(|(at, text)| Some((place(at), Sign::Word(TempoWord::read(text)?)))));
        here.sort_by_key(|s| (s.0, matches!(s.1, Sign::Word(_))));
        all.extend(here);
    }
    let mut kept: Vec<(Beats, Sign)> = Vec::with_capacity(all.len());
    for (at, sign) in all {
        match kept.last_mut() {
            Some(last) if last.0 == at && matches!(sign, Sign::Mark(_)) => last.1 = sign,
            Some(last) if last.0 == at => {}
            _ => kept.push((at, sign)),
        }
    }
    kept
}

/// The places in a measure at which a change in words comes to its end.
fn bounds(frame: &Frame, start: Beats) -> Vec<Beats> {
    let strong = |line: Barline| matches!(line, Barline::Double | Barline::Final);
    let leaves = |jump: &Jump| matches!(jump, Jump::ToCoda | Jump::Fine | Jump::DaCapo | Jump::DalSegno);
    let begins = frame.section.is_some() || frame.repeat_start || strong(frame.left);
    let ends = strong(frame.right) || frame.repeat_end.is_some() || frame.jumps.iter().any(leaves);
    let end = start + frame.length.max(Beats::ZERO);
    [begins.then_some(start), ends.then_some(end)].into_iter().flatten().collect()
}

/// Over which stretch of the page a change in words goes on.
struct Stretch {
    from: Beats,
    to: Beats,
    /// Half a beat of the meter where it begins.
    step: Beats,
    /// What is said at its end.
    then: Option<Sign>,
}

impl Stretch {
    fn new(from: Beats, later: &[(Beats, Sign)], bounds: &[Beats], page: &[Written], starts: &[Beats]) -> Stretch {
        let measure = starts.partition_point(|s| *s <= from).saturating_sub(1);
        let beat = page.get(measure).map_or(Beats::QUARTER, |m| m.frame.meter.beat());
        let after = |index: usize| starts.get(index).copied();
        let longest = from + beat * MOST_BEATS;
        let last = after(measure + MOST_MEASURES).map_or(longest, |end| end.min(longest));
        let bound = bounds.get(bounds.partition_point(|b| *b <= from)).map_or(last, |b| (*b).min(last));
        let next = later.first().filter(|s| s.0 <= bound);
        let step = page.get(measure).map_or(Beats::EIGHTH, |m| half_beat(&m.frame.meter));
        Stretch { from, to: next.map_or(bound, |s| s.0), step, then: next.map(|s| s.1) }
    }
}

fn half_beat(meter: &Meter) -> Beats {
    meter.beat().scaled(1, 2).unwrap_or_else(|| meter.beat())
}

/// The page walked through.
struct Walk {
    /// Before the last change in words: what "a tempo" means.
    before: Tempo,
    /// What holds again after a ritardando.
    standing: Tempo,
    /// What holds at this moment.
    now: Tempo,
    found: Vec<(Beats, Tempo)>,
}

impl Walk {
    fn put(&mut self, at: Beats, tempo: Tempo) {
        self.now = tempo;
        match self.found.last_mut() {
            Some(last) if last.0 >= at => last.1 = tempo,
            Some(last) if last.1 == tempo => {}
            _ => self.found.push((at, tempo)),
        }
    }

    fn stand(&mut self, at: Beats, tempo: Tempo) {
        (self.before, self.standing) = (tempo, tempo);
        self.put(at, tempo);
    }

    fn other(&mut self, at: Beats, share: Hundredths) {
        self.before = self.standing;
        self.standing = self.standing.times(share.0, 100);
        self.put(at, self.standing);
    }

    fn gradual(&mut self, stretch: &Stretch, share: Hundredths) {
        self.before = self.standing;
        let (from, unit) = (self.now, self.now.unit());
        let guess = from.times(share.0, 100);
        let slower = share.0 < 100;
        let arrives = match stretch.then {
            Some(Sign::Mark(mark)) if if slower { mark.is_slower_than(from) } else { from.is_slower_than(mark) } => mark,
            _ => guess,
        };
        let steps = (stretch.to - stretch.from + stretch.step - Beats::SMALLEST).div_floor(stretch.step).max(1);
        let arrives = arrives.counted_in(unit).unwrap_or(guess).milli_per_minute();
        for step in 0..steps {
            let way = (arrives - from.milli_per_minute()) * (step + 1);
            let milli = from.milli_per_minute() + (way + way.signum() * steps / 2) / steps;
            self.put(stretch.from + stretch.step * step, Tempo::new(unit, milli).unwrap_or(guess));
        }
        self.end(stretch);
    }

    fn held_back(&mut self, stretch: &Stretch, share: Hundredths) {
        self.before = self.standing;
        self.put(stretch.from, self.now.times(share.0, 100));
        self.end(stretch);
    }

    /// The tempo before holds again where nothing else is said; a further ritardando goes on from here.
    fn end(&mut self, stretch: &Stretch) {
        if stretch.then.is_none() {
            self.put(stretch.to, self.standing);
        }
    }
}
