//! The one clock: when each place of a tune or a page comes, on the printed page and as it is played.
//!
//! Page time counts each measure once, in printed order; played time follows repeats, endings and jumps ([`crate::order`]). Both know every tempo mark, the
//! words that change the tempo ([`words`], a guess of ours) and the fermatas. After a jump the tempo that stands there on the page holds, so a measure takes
//! the same time in every pass; verses that are written out carry marks of their own where that makes a difference.
//!
//! Times are whole microseconds. One stretch of one tempo is counted from where it begins, however many measures it has, so nothing adds up but one rounding a
//! change of tempo. A fermata lets the time of half its note more pass at the end of the note, for both hands; what stands there comes after it.

mod local;
mod tempos;
pub mod words;
#[cfg(test)]
mod tests;

pub use local::LocalClock;
pub use words::TempoWord;

use crate::measure::Frame;
use crate::note::{Decoration, Note};
use crate::order::playing_order;
use crate::score::Score;
use crate::sheet::LeadSheet;
use crate::time::{Beats, Seconds, Tempo};
use std::collections::BTreeMap;
use tempos::{Written, tempos};

/// How much longer a fermata makes its note, in percent. Ours.
pub const LONGER: u8 = 50;

/// A place on the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place {
    /// Index into the measures of the page.
    pub measure: usize,
    /// From the start of the measure.
    pub at: Beats,
}

/// One measure being played once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pass {
    /// Index into the measures of the page.
    pub measure: usize,
    /// From the beginning of the playing.
    pub start: Seconds,
    /// From the beginning of the playing; a hold at its end counted in.
    pub end: Seconds,
}

/// A stretch of the page in one tempo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Stretch {
    /// In beats from the beginning of the page.
    from: Beats,
    /// When it begins, what was held before it over.
    start: Seconds,
    tempo: Tempo,
}

/// The times of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clock {
    /// Where each measure begins.
    starts: Vec<Beats>,
    end: Beats,
    /// In order; the first begins with the page.
    stretches: Vec<Stretch>,
    order: Vec<usize>,
    passes: Vec<Pass>,
}

impl Clock {
    /// The times of a page for two hands, each fermata [`LONGER`].
    ///
    /// ```
    /// use music::{Clock, text};
    ///
    /// // Arithmetic: 60 quarters a minute, so a measure of four lasts four seconds.
    /// let score = text::page(&[("C5:4", "C3:4"), ("G4:4", "G2:4")], 60);
    /// let clock = Clock::of_score(&score);
    /// assert_eq!((clock.end().micros(), clock.played().len()), (8_000_000, 2));
    /// ```
    pub fn of_score(score: &Score) -> Clock {
        Clock::holding(score, LONGER)
    }

    /// The same with fermatas that make their notes so many percent longer.
    pub fn holding(score: &Score, longer: u8) -> Clock {
        let page = score.measures.iter().map(|m| Written { frame: &m.frame, lines: [&m.right, &m.left], marks: &m.marks });
        Clock::new(score.tempo, &page.collect::<Vec<_>>(), longer)
    }

    /// `opening` is the tempo of a tune that has no mark at its first note.
    pub fn of_sheet(sheet: &LeadSheet, opening: Tempo) -> Clock {
        let page = sheet.measures.iter().map(|m| Written { frame: &m.frame, lines: [&m.notes, &[]], marks: &[] });
        Clock::new(opening, &page.collect::<Vec<_>>(), LONGER)
    }

    fn new(opening: Tempo, page: &[Written], longer: u8) -> Clock {
        let mut end = Beats::ZERO;
        let mut starts = Vec::with_capacity(page.len());
        for measure in page {
            starts.push(end);
            end += measure.frame.length.max(Beats::ZERO);
        }
        let holds = holds(page, &starts);
        let places: Vec<Beats> = holds.keys().copied().collect();
        let tempos = tempos(opening, page, &starts, end, &places);
        let frames: Vec<&Frame> = page.iter().map(|m| m.frame).collect();
        let order = playing_order(&frames).measures;
        let mut clock = Clock { starts, end, stretches: stretches(&tempos, &holds, longer), order, passes: Vec::new() };
        clock.passes = clock.follow();
        clock
    }

    fn follow(&self) -> Vec<Pass> {
        let mut start = Seconds::ZERO;
        let pass = |measure: &usize| {
            let here = start;
            start = start.saturating_add(self.at_beats(self.start(*measure + 1)) - self.at_beats(self.start(*measure)));
            Pass { measure: *measure, start: here, end: start }
        };
        self.order.iter().map(pass).collect()
    }
}

/// For each place at which a fermata ends the length of its note; of several the longest.
fn holds(page: &[Written], starts: &[Beats]) -> BTreeMap<Beats, Beats> {
    let mut holds: BTreeMap<Beats, Beats> = BTreeMap::new();
    for (measure, start) in page.iter().zip(starts) {
        let held = |note: &&Note| note.decorations.contains(&Decoration::Fermata);
        for note in measure.lines.iter().flat_map(|line| line.iter()).filter(held) {
            let place = *start + note.end().clamp(Beats::ZERO, measure.frame.length.max(Beats::ZERO));
            let longest = holds.entry(place).or_default();
            *longest = note.length.max(*longest);
        }
    }
    holds
}

/// Changes of tempo and holds in order of place, as stretches of one tempo; a hold goes at the tempo before its place.
fn stretches(tempos: &[(Beats, Tempo)], holds: &BTreeMap<Beats, Beats>, longer: u8) -> Vec<Stretch> {
    let mut places: BTreeMap<Beats, (Option<Beats>, Option<Tempo>)> = holds.iter().map(|(at, held)| (*at, (Some(*held), None))).collect();
    for (at, tempo) in tempos {
        places.entry(*at).or_default().1 = Some(*tempo);
    }
    let mut all: Vec<Stretch> = Vec::with_capacity(places.len());
    for (from, (held, tempo)) in places {
        let before = all.last().copied();
        let Some(now) = tempo.or(before.map(|b| b.tempo)) else { continue };
        let came = before.map_or(Seconds::ZERO, |b| b.start + b.tempo.seconds(from - b.from));
        let hold = |b: Stretch| Seconds::from_micros(b.tempo.seconds(held.unwrap_or_default()).micros() * i64::from(longer) / 100);
        all.push(Stretch { from, start: came + before.map_or(Seconds::ZERO, hold), tempo: now });
    }
    all
}

/// On the printed page, each measure once.
impl Clock {
    /// Where a measure begins, in beats from the beginning of the page; beyond the last, the end.
    fn start(&self, measure: usize) -> Beats {
        self.starts.get(measure).copied().unwrap_or(self.end)
    }

    /// Beats from the beginning of the page.
    pub fn beats(&self, place: Place) -> Beats {
        self.starts.get(place.measure).map_or(self.end, |start| *start + place.at)
    }

    /// The place so many beats from the beginning of the page.
    pub fn place(&self, beats: Beats) -> Place {
        let measure = self.starts.partition_point(|s| *s <= beats).saturating_sub(1);
        Place { measure, at: beats - self.start(measure).min(beats) }
    }

    /// When a place comes; what lies at the end of a hold comes after it, what lies beyond the page at its end.
    pub fn at(&self, place: Place) -> Seconds {
        self.at_beats(self.beats(place))
    }

    /// The same so many beats from the beginning of the page.
    pub fn at_beats(&self, beats: Beats) -> Seconds {
        let Stretch { from, start, tempo } = self.stretch(beats);
        start + tempo.seconds(beats - from)
    }

    /// What passes between two places in beats from the beginning of the page.
    pub fn between(&self, from: Beats, to: Beats) -> Seconds {
        self.at_beats(to) - self.at_beats(from)
    }

    /// The place at a time, in beats from the beginning of the page; during a hold, the place at its end.
    pub fn beats_at(&self, time: Seconds) -> Beats {
        let next = self.stretches.partition_point(|s| s.start <= time);
        let Stretch { from, start, tempo } = self.stretches[next.saturating_sub(1)];
        let beats = from + tempo.beats(time - start);
        self.stretches.get(next).map_or(beats, |s| beats.min(s.from))
    }

    /// The tempo that holds at a place.
    pub fn tempo(&self, place: Place) -> Tempo {
        self.stretch(self.beats(place)).tempo
    }

    /// The tempo with which the page begins.
    pub fn opening(&self) -> Tempo {
        self.stretches[0].tempo
    }

    /// Whether one tempo holds from beginning to end.
    pub fn is_steady(&self) -> bool {
        self.stretches.iter().all(|s| s.tempo == self.stretches[0].tempo)
    }

    /// The tempos of a measure: the one at its start, and each later one with its place.
    pub fn tempos(&self, measure: usize) -> Vec<(Beats, Tempo)> {
        let (start, end) = (self.start(measure), self.start(measure + 1));
        let first = (Beats::ZERO, self.stretch(start).tempo);
        let later = self.within(start, end).iter().map(|s| (s.from - start, s.tempo));
        let mut all = vec![first];
        all.extend(later);
        all.dedup_by_key(|t| t.1);
        all
    }

    /// The places of a measure at which the music is held, its end among them, and how long.
    pub fn holds(&self, measure: usize) -> Vec<(Beats, Seconds)> {
        let (start, end) = (self.start(measure), self.start(measure + 1));
        let first = self.stretches.partition_point(|s| s.from <= start).max(1) - 1;
        let pairs = self.stretches[first..].windows(2).take_while(|pair| pair[1].from <= end);
        let held = pairs.map(|pair| {
            let came = pair[0].start + pair[0].tempo.seconds(pair[1].from - pair[0].from);
            (pair[1].from - start, pair[1].start - came)
        });
        held.filter(|(_, time)| *time > Seconds::ZERO).collect()
    }

    /// When the page is over, what is held at its end over too.
    pub fn end(&self) -> Seconds {
        self.at_beats(self.end)
    }

    /// The end of the page in beats.
    pub fn length(&self) -> Beats {
        self.end
    }

    /// The clock from `from` to `to`, in beats from the beginning of the page, with times counted from `origin`.
    pub fn local(&self, origin: Beats, from: Beats, to: Beats) -> LocalClock {
        let (first, zero) = (self.stretch(from), self.at_beats(origin));
        let piece = |s: &Stretch| (s.from - origin, s.start - zero, s.tempo);
        LocalClock::of(std::iter::once(&first).chain(self.within(from, to)).map(piece)).unwrap_or_else(|| LocalClock::steady(first.tempo))
    }

    fn stretch(&self, beats: Beats) -> Stretch {
        self.stretches[self.stretches.partition_point(|s| s.from <= beats).saturating_sub(1)]
    }

    /// The stretches that begin after a place and before another.
    fn within(&self, from: Beats, to: Beats) -> &[Stretch] {
        let first = self.stretches.partition_point(|s| s.from <= from);
        let last = self.stretches.partition_point(|s| s.from < to).max(first);
        &self.stretches[first..last]
    }
}

/// As it is played.
impl Clock {
    /// Indices of the measures as they are played, repeats, endings and jumps taken.
    pub fn order(&self) -> &[usize] {
        &self.order
    }

    /// The measures as they are played, in time.
    pub fn played(&self) -> &[Pass] {
        &self.passes
    }

    /// When a place of a measure comes in a pass, which is an index into [`Clock::played`]; beyond the last pass, the end.
    pub fn played_at(&self, pass: usize, at: Beats) -> Seconds {
        let Some(Pass { measure, start, .. }) = self.passes.get(pass) else { return self.played_end() };
        let beginning = self.start(*measure);
        *start + self.between(beginning, beginning + at)
    }

    /// The pass that is played at a time and the place in its measure; `None` before the beginning and after the end.
    pub fn played_place(&self, time: Seconds) -> Option<(usize, Beats)> {
        let pass = self.passes.partition_point(|p| p.start <= time).checked_sub(1)?;
        let Pass { measure, start, end } = self.passes[pass];
        let beginning = self.start(measure);
        let on_page = self.at_beats(beginning) + (time - start);
        (time < end).then(|| (pass, self.beats_at(on_page) - beginning))
    }

    /// When the last measure is over.
    pub fn played_end(&self) -> Seconds {
        self.passes.last().map_or(Seconds::ZERO, |p| p.end)
    }
}
