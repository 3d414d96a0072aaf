//! The tune as one line of plucks, and which cues hold at each of them.
//!
//! Lengths run from one pluck to the next, so that a rest makes the note before it longer. Places are counted from the first bar line, as
//! the measures are written.

use super::cues::Cue;
use music::{Barline, Beats, Decoration, Frame, Hyphen, Jump, LeadSheet, MeterSign, Note};
use std::collections::{BTreeMap, BTreeSet};

/// One pluck.
#[derive(Clone, Debug)]
pub struct Sung {
    /// Index of the written measure.
    pub measure: usize,
    /// Place in the measure.
    pub at: Beats,
    start: Beats,
    end: Beats,
    pitch: i32,
    meter: Beats,
    beat: Beats,
    on_strong_beat: bool,
    meter_sign: MeterSign,
    /// A slur is open after it; a fermata or breath mark stands at it.
    slurred: bool,
    marked: bool,
    /// What stands between the note before and this one: signs, and what the words say.
    between: Vec<Cue>,
    /// Where the last repeat sign or double bar before it stands.
    sign: Option<Beats>,
}

/// A tune as one line.
#[derive(Clone, Debug)]
pub struct Line {
    /// In written order.
    pub notes: Vec<Sung>,
    /// The median length; a quarter note for a tune of one note.
    typical: Beats,
    tonic: i32,
    heard: Vec<Option<Cue>>,
}

/// So many notes are compared with the opening.
const OPENING: usize = 4;
/// So many notes are compared with all before.
const HEARD: usize = 5;

impl Line {
    /// The melody of a tune.
    pub fn of(sheet: &LeadSheet) -> Line {
        let notes = notes(sheet);
        let tonic = notes.last().map_or(0, |n| n.pitch.rem_euclid(12));
        let mut line = Line { notes, typical: Beats::QUARTER, tonic, heard: Vec::new() };
        let mut lengths: Vec<Beats> = (1..line.notes.len()).map(|k| line.length(k - 1)).collect();
        lengths.sort();
        line.typical = lengths.get(lengths.len() / 2).copied().unwrap_or(Beats::QUARTER).max(Beats::SMALLEST);
        line.heard = line.heard_before();
        line
    }

    /// The measure that counts as the first of a phrase beginning at note `k`: what begins in the last half of a measure, or inside a short one, is a pickup to the next.
    pub fn first_measure(&self, k: usize, sheet: &LeadSheet) -> usize {
        let note = &self.notes[k];
        let frame = &sheet.measures[note.measure].frame;
        let is_pickup = !note.at.is_zero() && (!frame.is_full() || note.at * 2 >= frame.length);
        if is_pickup && note.measure + 1 < sheet.measures.len() { note.measure + 1 } else { note.measure }
    }

    /// Plucks a beat, in hundredths.
    pub fn pace(&self) -> i64 {
        let beats: i64 = (0..self.notes.len()).map(|k| self.length(k).thousandths_of(self.notes[k].beat)).sum();
        self.notes.len() as i64 * 100_000 / beats.max(1)
    }

    /// How many notes repeat the one before.
    pub fn repeated_notes(&self) -> usize {
        self.notes.windows(2).filter(|w| w[0].pitch == w[1].pitch).count()
    }

    /// From the beginning of a note to that of the next; the last one's own length.
    fn length(&self, k: usize) -> Beats {
        self.notes.get(k + 1).map_or(self.notes[k].end, |n| n.start) - self.notes[k].start
    }

    fn step(&self, k: usize) -> i32 {
        self.notes[k + 1].pitch - self.notes[k].pitch
    }

    /// The measure's length, none in free meter.
    fn measure(&self, k: usize) -> Option<Beats> {
        let note = &self.notes[k];
        (note.meter_sign != MeterSign::Free).then_some(note.meter)
    }

    /// Whether what begins at each note was heard before at the same place of a measure, its rhythm alone or its tune too, after something else than now: what is
    /// alike before it too does not begin here.
    fn heard_before(&self) -> Vec<Option<Cue>> {
        let mut rhythms: BTreeMap<Vec<Beats>, BTreeSet<Option<Beats>>> = BTreeMap::new();
        let mut tunes: BTreeMap<(Vec<Beats>, Vec<i32>), BTreeSet<_>> = BTreeMap::new();
        let (mut found, count) = (vec![None; self.notes.len()], self.notes.len());
        for (k, found) in found.iter_mut().enumerate().take(count.saturating_sub(HEARD)) {
            let place = self.measure(k).map_or(Beats::ZERO, |m| self.notes[k].start % m);
            let rhythm: Vec<Beats> = std::iter::once(place).chain((k..k + HEARD).map(|i| self.length(i))).collect();
            let tune: Vec<i32> = (k..k + HEARD).map(|i| self.step(i)).collect();
            let before = k.checked_sub(1).map(|i| self.length(i));
            let turn = k.checked_sub(1).map(|i| (self.length(i), self.step(i)));
            let rhythms = rhythms.entry(rhythm.clone()).or_default();
            let tunes = tunes.entry((rhythm, tune)).or_default();
            *found = match () {
                _ if tunes.iter().any(|t| *t != turn) => Some(Cue::TuneHeard),
                _ if rhythms.iter().any(|r| *r != before) => Some(Cue::RhythmHeard),
                _ => None,
            };
            rhythms.insert(before);
            tunes.insert(turn);
        }
        found
    }

    /// The cues for a phrase beginning at note `k`, which is not the first.
    pub fn cues(&self, k: usize) -> Vec<Cue> {
        let mut found = vec![Cue::Begins];
        self.times(k, &mut found);
        self.pitches(k, &mut found);
        self.places(k, &mut found);
        self.likeness(k, &mut found);
        found.extend(&self.notes[k].between);
        found.extend(self.notes[k - 1].slurred.then_some(Cue::Slurred));
        found.extend(self.notes[k - 1].marked.then_some(Cue::Marked));
        found
    }

    fn times(&self, k: usize, found: &mut Vec<Cue>) {
        let (before, length, typical) = (&self.notes[k - 1], self.length(k - 1), self.typical);
        let rest = self.notes[k].start - before.end;
        found.extend(match rest {
            r if r >= before.beat => Some(Cue::RestOfABeat),
            r if r * 2 >= before.beat => Some(Cue::RestOfHalfABeat),
            r if r > Beats::ZERO => Some(Cue::ShortRest),
            _ => None,
        });
        found.extend(match length {
            l if l >= typical * 4 => Some(Cue::FourTimesLong),
            l if l >= typical * 3 => Some(Cue::ThreeTimesLong),
            l if l >= typical * 2 => Some(Cue::TwiceLong),
            l if l * 2 >= typical * 3 => Some(Cue::HalfAsLongAgain),
            l if l < typical => Some(Cue::Short),
            _ => None,
        });
        found.extend((length >= before.meter).then_some(Cue::AsLongAsAMeasure));
        self.neighbours(k, found);
        let sounding = |i: usize| self.notes[i].end - self.notes[i].start;
        let last = self.notes.len() - 1;
        found.extend((sounding(k - 1) == sounding(last)).then_some(Cue::LikeTheEnd));
        let cadence = k >= 3 && self.length(k - 2) == self.length(last - 1) && self.length(k - 3) == self.length(last - 2);
        found.extend(cadence.then_some(Cue::CadenceRhythm));
    }

    /// The length of the note before `k` beside those around it.
    fn neighbours(&self, k: usize, found: &mut Vec<Cue>) {
        let (length, next) = (self.length(k - 1), self.length(k));
        let before = k.checked_sub(2).map(|i| self.length(i));
        found.extend(match before {
            Some(b) if length >= b * 2 => Some(Cue::TwiceTheBefore),
            Some(b) if length > b => Some(Cue::LongerThanBefore),
            Some(b) if length < b => Some(Cue::ShorterThanBefore),
            _ => None,
        });
        found.extend(match next {
            n if length >= n * 2 => Some(Cue::TwiceTheNext),
            n if length > n => Some(Cue::LongerThanNext),
            n if length < n => Some(Cue::ShorterThanNext),
            _ => None,
        });
        found.extend((before.is_some_and(|b| length > b) && length > next).then_some(Cue::BothNeighboursShorter));
        let mut around = (k.saturating_sub(5)..self.notes.len().min(k + 4)).filter(|i| *i != k - 1);
        found.extend(around.all(|i| self.length(i) < length).then_some(Cue::LongestAround));
    }

    fn pitches(&self, k: usize, found: &mut Vec<Cue>) {
        let after = self.step(k - 1);
        found.push(match after {
            0 => Cue::Repeated,
            -2..=2 => Cue::StepAfter,
            -4..=4 => Cue::ThirdAfter,
            5.. => Cue::LeapUpAfter,
            _ => Cue::LeapDownAfter,
        });
        found.extend((after.abs() >= 7).then_some(Cue::WideLeapAfter));
        found.extend(k.checked_sub(2).map(|i| match self.step(i) {
            0 => Cue::RepeatedBefore,
            -2..=-1 => Cue::FellByStep,
            1..=2 => Cue::RoseByStep,
            _ => Cue::LeaptTo,
        }));
        let degree = |i: usize| (self.notes[i].pitch - self.tonic).rem_euclid(12);
        found.push(match degree(k - 1) {
            0 => Cue::OnTheTonic,
            1 | 2 => Cue::OnTheSecond,
            3 | 4 => Cue::OnTheThird,
            7 => Cue::OnTheFifth,
            _ => Cue::OnAnother,
        });
        found.extend(match degree(k) {
            0 => Some(Cue::FromTheTonic),
            7 => Some(Cue::FromTheFifth),
            _ => None,
        });
    }

    fn places(&self, k: usize, found: &mut Vec<Cue>) {
        let Some(measure) = self.measure(k) else { return };
        let (before, after) = (&self.notes[k - 1], &self.notes[k]);
        found.push(match before {
            b if b.at.is_zero() => Cue::LastOnDownbeat,
            b if b.on_strong_beat => Cue::LastOnStrongBeat,
            b if (b.at % b.beat).is_zero() => Cue::LastOnBeat,
            _ => Cue::LastOffBeat,
        });
        found.push(match after.at {
            at if at.is_zero() => Cue::NextOnDownbeat,
            at if (at % after.beat).is_zero() => Cue::NextOnBeat,
            _ => Cue::NextOffBeat,
        });
        let from = after.start - self.notes[0].start;
        let whole = |length: Beats, measures: i64| (length % (measure * measures)).is_zero();
        found.push(match () {
            _ if whole(from, 1) => Cue::PlaceOfTheFirst,
            _ if whole(from * 2, 1) => Cue::PlaceInTheHalf,
            _ => Cue::OtherPlace,
        });
        let multiples = [(2, Cue::TwoMeasures), (4, Cue::FourMeasures), (8, Cue::EightMeasures)];
        found.extend(multiples.into_iter().filter(|(n, _)| whole(from, *n)).map(|(_, cue)| cue));
        let since = after.sign.map(|sign| from - sign).filter(|since| *since > Beats::ZERO);
        let multiples = [(2, Cue::TwoSinceASign), (4, Cue::FourSinceASign)];
        found.extend(multiples.into_iter().filter(|(n, _)| since.is_some_and(|s| whole(s, *n))).map(|(_, cue)| cue));
    }

    fn likeness(&self, k: usize, found: &mut Vec<Cue>) {
        let alike = |same: &dyn Fn(usize) -> bool| k + OPENING < self.notes.len() && (0..OPENING).all(same);
        if alike(&|i| self.length(i) == self.length(k + i)) {
            let tune = alike(&|i| self.step(i) == self.step(k + i));
            found.push(if tune { Cue::OpeningTune } else { Cue::OpeningRhythm });
        }
        found.extend(self.heard[k]);
    }

    /// The cues for the length of a phrase from note `from` up to note `to`, or to the end of the tune.
    pub fn length_cues(&self, from: usize, to: usize) -> impl Iterator<Item = Cue> {
        let next = self.notes.get(to).map(|n| n.start - self.notes[from].start);
        let metric = next.zip(self.measure(from));
        let by_measure = metric.map(|(length, measure)| in_measures(length, measure));
        let by_beat = metric.map(|(length, _)| in_beats(length, self.notes[from].beat));
        std::iter::once(in_notes(to - from)).chain(by_measure).chain(by_beat)
    }
}

fn in_notes(count: usize) -> Cue {
    match count {
        ..=2 => Cue::Notes2,
        3 => Cue::Notes3,
        4 => Cue::Notes4,
        5 => Cue::Notes5,
        6 => Cue::Notes6,
        7 => Cue::Notes7,
        8 => Cue::Notes8,
        9 => Cue::Notes9,
        10 => Cue::Notes10,
        11..=12 => Cue::Notes12,
        13..=14 => Cue::Notes14,
        15..=16 => Cue::Notes16,
        17..=20 => Cue::Notes20,
        21..=24 => Cue::Notes24,
        25..=32 => Cue::Notes32,
        33..=48 => Cue::Notes48,
        _ => Cue::MoreNotes,
    }
}

fn in_measures(length: Beats, measure: Beats) -> Cue {
    let halves = (length * 2).div_floor(measure);
    match (halves, (length * 2 % measure).is_zero()) {
        (1, true) => Cue::HalfMeasure,
        (2, true) => Cue::OneMeasure,
        (3, true) => Cue::OneAndAHalf,
        (4, true) => Cue::Two,
        (5, true) => Cue::TwoAndAHalf,
        (6, true) => Cue::Three,
        (8, true) => Cue::Four,
        (10, true) => Cue::Five,
        (12, true) => Cue::Six,
        (14, true) => Cue::Seven,
        (16, true) => Cue::Eight,
        (n, true) if n % 2 == 0 => Cue::MoreMeasures,
        (_, true) => Cue::Halves,
        (..2, false) => Cue::OddUnderOne,
        (..4, false) => Cue::OddUnderTwo,
        (..8, false) => Cue::OddUnderFour,
        _ => Cue::OddMore,
    }
}

fn in_beats(length: Beats, beat: Beats) -> Cue {
    match (length.div_floor(beat), (length % beat).is_zero()) {
        (3, true) => Cue::Beats3,
        (4, true) => Cue::Beats4,
        (5, true) => Cue::Beats5,
        (6, true) => Cue::Beats6,
        (7, true) => Cue::Beats7,
        (8, true) => Cue::Beats8,
        (10, true) => Cue::Beats10,
        (12, true) => Cue::Beats12,
        (16, true) => Cue::Beats16,
        (24, true) => Cue::Beats24,
        (32, true) => Cue::Beats32,
        (64, true) => Cue::Beats64,
        (..4, _) => Cue::Under4Beats,
        (..8, _) => Cue::Under8Beats,
        (..16, _) => Cue::Under16Beats,
        (..32, _) => Cue::Under32Beats,
        _ => Cue::MoreBeats,
    }
}

fn notes(sheet: &LeadSheet) -> Vec<Sung> {
    let mut found: Vec<Sung> = Vec::new();
    let mut before: Option<&Note> = None;
    let (mut slurs, mut sign, mut waiting) = (0, None, Vec::new());
    let mut at: Beats = -sheet.measures.iter().take_while(|m| !m.frame.is_full()).map(|m| m.frame.length).sum::<Beats>();
    for (measure, m) in sheet.measures.iter().enumerate() {
        if let Some(last) = measure.checked_sub(1) {
            let signs = signs(&sheet.measures[last].frame, &m.frame);
            sign = if signs.iter().any(|c| matches!(c, Cue::RepeatSign | Cue::DoubleBar)) { Some(at) } else { sign };
            waiting.extend(signs);
        }
        for note in &m.notes {
            let Some(top) = note.top() else { continue };
            slurs = (slurs + i64::from(note.slurs_start) - i64::from(note.slurs_stop)).max(0);
            let start = at + note.at;
            let marked = note.decorations.iter().any(|d| matches!(d, Decoration::Breath | Decoration::Fermata));
            match found.last_mut() {
                Some(last) if note.tie.from_before && last.end == start => {
                    last.end = start + note.length;
                    last.slurred = slurs > 0;
                    last.marked |= marked;
                }
                _ => {
                    let mut between = std::mem::take(&mut waiting);
                    between.extend(before.iter().flat_map(|b| words(b, note)));
                    found.push(Sung {
                        measure,
                        at: note.at,
                        start,
                        end: start + note.length,
                        pitch: top.midi(),
                        meter: m.frame.meter.length(),
                        beat: m.frame.meter.beat(),
                        on_strong_beat: m.frame.meter.strong_beats().contains(&note.at),
                        meter_sign: m.frame.meter.sign,
                        slurred: slurs > 0,
                        marked,
                        between,
                        sign,
                    });
                    before = Some(note);
                }
            }
        }
        at += m.frame.length;
    }
    found
}

/// The signs between two neighbouring measures.
fn signs(before: &Frame, after: &Frame) -> Vec<Cue> {
    let heavy = |line| matches!(line, Barline::Double | Barline::Final);
    let leaves = |jump: &Jump| matches!(jump, Jump::Fine | Jump::DaCapo | Jump::DalSegno);
    let parted = heavy(before.right) || heavy(after.left) || after.section.is_some();
    let sign = match () {
        _ if before.repeat_end.is_some() || after.repeat_start => Some(Cue::RepeatSign),
        _ if parted || before.jumps.iter().any(leaves) || after.jumps.contains(&Jump::Coda) => Some(Cue::DoubleBar),
        _ => None,
    };
    let key = (before.key != after.key).then_some(Cue::NewKey);
    let meter = (before.meter != after.meter).then_some(Cue::NewMeter);
    sign.into_iter().chain(key).chain(meter).collect()
}

/// What the words of the first verse that has some at both notes say between them.
fn words(before: &Note, after: &Note) -> Vec<Cue> {
    let both = before.syllables.iter().find_map(|s| Some((s, after.syllables.iter().find(|t| t.verse == s.verse)?)));
    let Some((last, next)) = both else { return Vec::new() };
    let stop = match (last.hyphen, last.text.trim_end_matches(['"', '\'', '”', '’', ')']).chars().last()) {
        (Hyphen::Begin | Hyphen::Middle, _) => return vec![Cue::InsideAWord],
        (_, Some('.' | '!' | '?' | ';' | ':')) => Some(Cue::FullStop),
        (_, Some(',' | '–' | '—')) => Some(Cue::Comma),
        _ => None,
    };
    let capital = next.text.chars().find(|c| c.is_alphabetic()).is_some_and(char::is_uppercase);
    stop.into_iter().chain(capital.then_some(Cue::NewLine)).collect()
}
