//! A sheet found in a recording: key, tuning, order of measures, a time for every beat, and how sure each measure is.

use crate::close::{self, Placed};
use crate::course::{Course, Unit};
use crate::error::RecordingError;
use crate::evidence::Evidence;
use crate::hear::Heard;
use crate::rough::{self, Anchor, Found, Pace, Rough};
use music::{Beats, LeadSheet, Seconds, Tempo};

/// Semitones that a recording may sound above or below the sheet: every key, whatever octave it is in.
pub const SHIFTS: std::ops::RangeInclusive<i32> = -5..=6;
/// Keys that are walked through at all: those whose tones lie nearest to the recording's on the whole.
const LIKELY: usize = 8;
/// Keys that are looked at closely, and the share of the best one's quick score that they must have.
const CLOSELY: usize = 3;
const NEAR_KEY: f32 = 0.7;

/// A sheet's places in a recording.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// Semitones by which the recording sounds above the sheet.
    pub shift: i32,
    /// How far its tuning lies from A = 440 Hz, in cents.
    pub cents: i32,
    /// The measures as they are played.
    pub passes: Vec<Pass>,
    /// The recording ends before the tune does.
    pub broken_off: bool,
    /// How much the recording agrees with the sheet, in natural logarithms a second; about nothing for another tune.
    pub agrees: f32,
    /// By how much the key found is before the next one, likewise.
    pub key_before_next: f32,
    /// Seconds.
    pub length: f64,
}

/// A measure played once.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// Index into the measures of the page.
    pub measure: usize,
    /// The beats of the measure, from its start, and when they come.
    pub beats: Vec<(Beats, Seconds)>,
    pub end: Seconds,
    pub sure: Sure,
}

/// How sure a measure's places are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sure {
    /// Places may be wrong.
    Not,
    /// Right as far as can be told.
    Yes,
    /// She said so herself.
    Given,
}

impl Pass {
    pub fn start(&self) -> Seconds {
        self.beats.first().map_or(self.end, |b| b.1)
    }
}

/// Follows a sheet through a recording. `tempo` is what the sheet would be played at; `anchors` are places she gave.
/// Errors: nothing to listen for, too long, places that contradict each other, a recording too short for the tune.
pub fn follow(sheet: &LeadSheet, tempo: Tempo, heard: &Heard, anchors: &[Anchor]) -> Result<Followed, RecordingError> {
    let course = Course::of(sheet, tempo)?;
    let anchors = checked(sheet, heard, anchors)?;
    let walk = |shift, pace| Some((shift, rough::walk(&course, &Evidence::of(&course, heard, shift), heard.length, &anchors, pace)?));
    let sorted = |mut walks: Vec<(i32, Rough)>| {
        walks.sort_by(|a, b| b.1.score.total_cmp(&a.1.score).then(a.0.abs().cmp(&b.0.abs())));
        walks
    };
    let quick = sorted(likely(&course, heard).into_iter().filter_map(|s| walk(s, Pace::Quick)).collect());
    let [best, next] = [0, 1].map(|i| quick.get(i).map_or(0.0, |w| w.1.score));
    let close = quick.iter().filter(|w| best <= 0.0 || w.1.score >= NEAR_KEY * best).map(|w| w.0).take(CLOSELY);
    let close: Vec<i32> = if quick.is_empty() { SHIFTS.collect() } else { close.collect() };
    let walks = sorted(close.into_iter().filter_map(|s| walk(s, Pace::Careful)).collect());
    let Some((shift, walk)) = walks.into_iter().next() else { return Err(no_walk(&course, heard, &anchors)) };
    let evidence = Evidence::of(&course, heard, shift);
    let fixed = fixed(&course, &walk.path, &anchors);
    let placed = close::place(&course, &evidence, &walk.path, heard.frames(), &fixed);
    let long = placed.last().map_or(0.0, |p| p.seconds) - placed.first().map_or(0.0, |p| p.seconds);
    let a_second = |score: f32| score / long.max(1.0) as f32;
    Ok(Followed {
        shift,
        cents: heard.cents,
        passes: passes(&course, &evidence, &walk.path, &placed, &fixed),
        broken_off: walk.broken_off,
        agrees: a_second(walk.score),
        key_before_next: a_second(best - next),
        length: heard.length,
    })
}

/// The shifts under which the recording's tones together are most like the sheet's.
fn likely(course: &Course, heard: &Heard) -> Vec<i32> {
    let mut sheet = [0.0_f32; 12];
    let mut sound = [0.0_f32; 12];
    for (tones, share) in course.sounds.iter().zip(&course.shares) {
        sheet.iter_mut().zip(tones[1]).for_each(|(s, t)| *s += share * t);
    }
    heard.tones.iter().for_each(|tones| sound.iter_mut().zip(tones).for_each(|(s, t)| *s += t));
    let like = |shift: i32| (0..12).map(|i| sheet[i] * sound[(i + shift.rem_euclid(12) as usize) % 12]).sum::<f32>();
    let mut shifts: Vec<i32> = SHIFTS.collect();
    shifts.sort_by(|a, b| like(*b).total_cmp(&like(*a)).then(a.abs().cmp(&b.abs())));
    shifts.truncate(LIKELY);
    shifts
}

fn checked(sheet: &LeadSheet, heard: &Heard, anchors: &[Anchor]) -> Result<Vec<Anchor>, RecordingError> {
    let mut anchors = anchors.to_vec();
    anchors.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    for anchor in &anchors {
        if anchor.measure >= sheet.measures.len() {
            return Err(RecordingError::NoMeasure(anchor.measure + 1, sheet.measures.len()));
        }
        if !(0.0..=heard.length).contains(&anchor.seconds) {
            return Err(RecordingError::Anchors(format!(
                "one lies at {:.1} s, the recording ends at {:.1} s",
                anchor.seconds, heard.length
            )));
        }
    }
    let number = |a: &Anchor| sheet.measures[a.measure].frame.number.in_words();
    for pair in anchors.windows(2) {
        if pair[1].seconds - pair[0].seconds < 0.15 {
            return Err(RecordingError::Anchors(format!(
                "{} and {} are given at the same moment ({:.1} s); take one away",
                number(&pair[0]),
                number(&pair[1]),
                pair[0].seconds
            )));
        }
    }
    Ok(anchors)
}

fn no_walk(course: &Course, heard: &Heard, anchors: &[Anchor]) -> RecordingError {
    if anchors.is_empty() {
        let tune = course.units.iter().map(|u| u.seconds).sum::<f32>();
        return RecordingError::NoRoom { recording: heard.length as u64, tune: tune as u64 };
    }
    RecordingError::Anchors(
        "at no tempo does the sheet come to these measures at these times; take away the one you are least sure of".into(),
    )
}

/// For each boundary of the path the time she gave for it.
fn fixed(course: &Course, path: &[Found], anchors: &[Anchor]) -> Vec<Option<f64>> {
    let given = |f: &Found| {
        let pass = course.units[f.unit].pass;
        let begins = course.firsts[pass] == f.unit;
        let here = |a: &&Anchor| a.measure == course.order[pass] && (a.seconds - f64::from(f.from)).abs() < 0.1;
        if begins { anchors.iter().find(here).map(|a| a.seconds) } else { None }
    };
    path.iter().map(given).chain([None]).collect()
}

/// Below this a measure's tones do not agree with the sheet, in natural logarithms a second.
const FITS: f32 = -0.5;
/// Below this a place may as well lie elsewhere.
const NEAR: f32 = 0.6;

fn passes(course: &Course, evidence: &Evidence, path: &[Found], placed: &[Placed], fixed: &[Option<f64>]) -> Vec<Pass> {
    let mut passes: Vec<Pass> = Vec::new();
    let mut from = 0;
    while from < path.len() {
        let pass = course.units[path[from].unit].pass;
        let same = |i: &usize| path.get(*i).is_some_and(|f| course.units[f.unit].pass == pass && f.unit == path[from].unit + (i - from));
        let to = (from + 1..=path.len()).find(|i| !same(i)).unwrap_or(path.len());
        let units: Vec<&Unit> = path[from..to].iter().map(|f| &course.units[f.unit]).collect();
        let times: Vec<f64> = placed[from..=to].iter().map(|p| p.seconds).collect();
        let fit: f32 = units.iter().zip(times.windows(2)).map(|(u, t)| evidence.tones(u, t[0] as f32, t[1] as f32)).sum();
        let long = (times[times.len() - 1] - times[0]).max(0.05) as f32;
        let near = placed[from..to].iter().map(|p| p.sure).fold(1.0, f32::min);
        let given = fixed[from].is_some();
        let sure = if given {
            Sure::Given
        } else if near < NEAR || fit / long < FITS {
            Sure::Not
        } else {
            Sure::Yes
        };
        let end = seconds(times[times.len() - 1]);
        passes.push(Pass { measure: course.order[pass], beats: beats(&units, &times, fixed[from]), end, sure });
        from = to;
    }
    passes
}

fn seconds(at: f64) -> Seconds {
    Seconds::from_millis((at * 1000.0).round() as i64)
}

/// The beats of a measure: units that begin on none are left out, and beats inside a unit lie evenly.
fn beats(units: &[&Unit], times: &[f64], given: Option<f64>) -> Vec<(Beats, Seconds)> {
    let mut beats = Vec::new();
    for (i, unit) in units.iter().enumerate() {
        let count = unit.beats.round().max(1.0) as i64;
        let whole = i == 0 || unit.beats >= 0.99 || (units[..i].iter().map(|u| u.beats).sum::<f32>().fract() + 0.01).fract() < 0.02;
        for beat in 0..count {
            let part = unit.length.scaled(beat, count).unwrap_or(Beats::ZERO);
            let at = times[i] + (times[i + 1] - times[i]) * beat as f64 / count as f64;
            if whole {
                beats.push((unit.at + part, seconds(at)));
            }
        }
    }
    if let (Some(first), Some(at)) = (beats.first_mut(), given) {
        first.1 = seconds(at);
    }
    beats
}
