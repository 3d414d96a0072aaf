//! How long each string rings, and what follows: what still sounds, what clashes, what buzzes, what to muffle.
//!
//! One model for everything that asks. No published figures in seconds were found (harp facts 4.1 and 10): the times are our own starting values,
//! adjustable, never shown as facts. What is sourced is their order: the longer the string, the longer it rings.

use crate::player::Player;
use music::{Hand, Pitch, Seconds};
use std::collections::{BTreeMap, BTreeSet};
use thiserror::Error;

/// The time each string rings after a pluck of middling strength, until nobody hears it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RingModel(Vec<(i32, Seconds)>);

/// Why points make no ring model; each names a string by its position.
#[derive(Clone, Copy, Debug, Error, PartialEq, Eq)]
pub enum RingError {
    /// There is none.
    #[error("a ring model without a point: expected at least one string with its time")]
    Empty,
    /// The time cannot be.
    #[error("the ring time at string {0} is not above nothing and at most a minute")]
    Time(i32),
    /// The strings are not in order.
    #[error("string {0} does not lie above the one before: expected points from the lowest string up")]
    Order(i32),
    /// There is no such string.
    #[error("string {0} is on no harp: expected a position from 0 (C0) to 69 (B9)")]
    Position(i32),
}

impl Default for RingModel {
    /// Seconds in the middle of each octave, C1-B1 to C7-B7 (harp facts 4.1, marked ASSUME): 12, 9, 6, 4, 2.5, 1.3, 0.6.
    fn default() -> RingModel {
        let millis = [12_000, 9_000, 6_000, 4_000, 2_500, 1_300, 600];
        RingModel((1..).zip(millis).map(|(octave, ms)| (7 * octave + 3, Seconds::from_millis(ms))).collect())
    }
}

impl RingModel {
    /// Points of (string position, time), lowest string first; between them times are interpolated, beyond them they stay.
    pub fn new(points: Vec<(i32, Seconds)>) -> Result<RingModel, RingError> {
        if points.is_empty() {
            return Err(RingError::Empty);
        }
        for (i, (string, time)) in points.iter().enumerate() {
            if !(0..70).contains(string) {
                return Err(RingError::Position(*string));
            }
            if !(1..=60_000_000).contains(&time.micros()) {
                return Err(RingError::Time(*string));
            }
            if i > 0 && points[i - 1].0 >= *string {
                return Err(RingError::Order(*string));
            }
        }
        Ok(RingModel(points))
    }

    /// How long this string rings, in whole microseconds.
    pub fn time(&self, string: i32) -> Seconds {
        let above = self.0.partition_point(|p| p.0 < string);
        let (Some(low), Some(high)) = (self.0.get(above.wrapping_sub(1)), self.0.get(above)) else {
            return self.0.get(above).or(self.0.last()).map_or(Seconds::ZERO, |p| p.1);
        };
        let (whole, part) = (i64::from(high.0 - low.0), i64::from(string - low.0));
        Seconds::from_micros(low.1.micros() + (high.1.micros() - low.1.micros()) * part / whole)
    }
}

/// A string plucked once; `stopped` where it is muffled before it has rung out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Struck {
    /// What sounds.
    pub pitch: Pitch,
    /// When it is plucked.
    pub at: Seconds,
    /// When it is muffled; `None`: it rings out.
    pub stopped: Option<Seconds>,
}

impl Struck {
    /// Plucked and left to ring.
    pub fn at(at: Seconds, pitch: Pitch) -> Struck {
        Struck { pitch, at, stopped: None }
    }

    /// When it is heard no more, if the string is left alone.
    fn end(&self, model: &RingModel) -> Seconds {
        let end = self.at + model.time(self.pitch.position());
        self.stopped.map_or(end, |s| s.min(end))
    }
}

/// A string that still rings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ringing {
    /// What sounds.
    pub pitch: Pitch,
    /// When it will be heard no more.
    pub until: Seconds,
}

/// What rings at an instant from plucks before it, lowest string first. `struck` is in order of time; a later pluck replaces an earlier one of the
/// same string.
pub fn ringing(model: &RingModel, struck: &[Struck], at: Seconds) -> Vec<Ringing> {
    let before = struck.iter().take_while(|s| s.at < at);
    let latest: BTreeMap<i32, &Struck> = before.map(|s| (s.pitch.position(), s)).collect();
    latest.values().map(|s| Ringing { pitch: s.pitch, until: s.end(model) }).filter(|r| r.until > at).collect()
}

/// How a ringing string clashes with a chord it does not belong to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Clashing {
    /// No semitone from any chord tone.
    Mild,
    /// A semitone from a chord tone.
    Sharp,
}

/// A ringing string that does not belong to the new chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Clash {
    /// The string that rings on.
    pub pitch: Pitch,
    /// Whether by a half step.
    pub how: Clashing,
    /// From the chord's beginning to the end of the string's ringing, of the chord, or to the string's next pluck, whichever comes first.
    pub lasts: Seconds,
}

/// A chord that sounds from `at` to `end`, by its pitch classes (0 for C to 11).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sounding {
    /// When it begins.
    pub at: Seconds,
    /// When the next one does.
    pub end: Seconds,
    /// What belongs to it.
    pub pitch_classes: BTreeSet<i32>,
}

/// What of earlier plucks clashes with a chord, lowest string first. `struck` is in order of time. A chord of no notes clashes with nothing.
///
/// ```
/// use harp::ring::{Clashing, RingModel, Sounding, Struck, clashes};
/// use music::{Pitch, Seconds};
///
/// // Harp facts 4.1 (our own times): a low F rings for seconds, so it is still there when C major comes, a half step above its E.
/// let f = Struck::at(Seconds::ZERO, Pitch::parse("F2").expect("a pitch"));
/// let c_major = Sounding { at: Seconds::from_millis(1_000), end: Seconds::from_millis(4_000), pitch_classes: [0, 4, 7].into() };
/// let found = clashes(&RingModel::default(), &[f], &c_major);
/// assert_eq!(found.iter().map(|clash| clash.how).collect::<Vec<_>>(), [Clashing::Sharp]);
/// ```
pub fn clashes(model: &RingModel, struck: &[Struck], chord: &Sounding) -> Vec<Clash> {
    let tones = &chord.pitch_classes;
    let foreign = |r: &Ringing| !tones.is_empty() && !tones.contains(&r.pitch.pitch_class());
    let clash = |r: Ringing| {
        let next = struck.iter().find(|s| s.at >= chord.at && s.pitch.position() == r.pitch.position()).map(|s| s.at);
        let end = r.until.min(chord.end).min(next.unwrap_or(r.until));
        let near = |step: i32| tones.contains(&(r.pitch.pitch_class() + step).rem_euclid(12));
        let how = if near(1) || near(-1) { Clashing::Sharp } else { Clashing::Mild };
        Clash { pitch: r.pitch, how, lasts: end - chord.at }
    };
    ringing(model, struck, chord.at).into_iter().filter(foreign).map(clash).filter(|c| c.lasts > Seconds::ZERO).collect()
}

/// A string placed again while it rings: it buzzes unless touched quickly and firmly, most of all low down (harp facts 3.2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Buzz {
    /// Index of the pluck that stops the ringing one.
    pub pluck: usize,
    /// The string.
    pub pitch: Pitch,
    /// How long the string would have rung on.
    pub rest: Seconds,
    /// Milliseconds of ringing cut off, times the string's ring time in seconds, rounded down: longer strings weigh more.
    pub weight: i64,
}

/// Every string plucked again while it rings, in order of time.
pub fn buzzes(model: &RingModel, struck: &[Struck]) -> Vec<Buzz> {
    let mut latest: BTreeMap<i32, Seconds> = BTreeMap::new();
    let mut found = Vec::new();
    for (pluck, s) in struck.iter().enumerate() {
        let string = s.pitch.position();
        let before = latest.insert(string, s.end(model));
        if let Some(end) = before.filter(|end| *end > s.at) {
            let rest = end - s.at;
            let weight = rest.micros() / 1000 * (model.time(string).micros() / 1000) / 1000;
            found.push(Buzz { pluck, pitch: s.pitch, rest, weight });
        }
    }
    found
}

/// A stretch of time in which a hand has nothing to pluck or to place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Free {
    /// The hand that is free.
    pub hand: Hand,
    /// From here …
    pub from: Seconds,
    /// … to here.
    pub to: Seconds,
}

/// The free stretches of a hand between its plucks, which are in order of time: it leaves the last strings after `away` and is back on the next ones
/// `back` before they sound. Before the first pluck and after the last it is free from `start` and until `end`.
pub fn free(hand: Hand, plucks: &[Seconds], start: Seconds, end: Seconds, player: &Player) -> Vec<Free> {
    let away = player.fluency.placed_pluck();
    let back = player.fluency.placed_pluck();
    let from = std::iter::once(start).chain(plucks.iter().map(|p| *p + away));
    let to = plucks.iter().map(|p| *p - back).chain(std::iter::once(end));
    from.zip(to).filter(|(from, to)| from < to).map(|(from, to)| Free { hand, from, to }).collect()
}

/// When muffling is worth its mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Muffling {
    /// A clash at least this long is worth a mark. Default 3 s, our own; half of it for a semitone: a page full of muffles is played by nobody.
    pub heard: Seconds,
    /// How long a hand needs to stop strings. Default 0.3 s, our own.
    pub takes: Seconds,
    /// The hand may come this much after the chord. Default 0.5 s, our own: a later muffle is heard as a stop.
    pub latest: Seconds,
}

impl Default for Muffling {
    fn default() -> Muffling {
        Muffling { heard: Seconds::from_millis(3_000), takes: Seconds::from_millis(300), latest: Seconds::from_millis(500) }
    }
}

/// A muffle mark: this hand stops these strings at this instant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Muffle {
    /// When it is done.
    pub at: Seconds,
    /// The hand that does it.
    pub hand: Hand,
    /// Lowest string first.
    pub pitches: Vec<Pitch>,
    /// The longest of the clashes it ends.
    pub lasts: Seconds,
}

/// Where strings are to be muffled, chord by chord in order of time. Nothing is suggested where no hand is free: that stays a clash. What one muffle stops does not
/// clash with the next chord.
pub fn muffles(model: &RingModel, struck: &[Struck], chords: &[Sounding], free: &[Free], muffling: &Muffling) -> Vec<Muffle> {
    let mut struck = struck.to_vec();
    let mut found = Vec::new();
    for chord in chords {
        let needed =
            |c: &Clash| c.lasts.micros() >= if c.how == Clashing::Sharp { muffling.heard.micros() / 2 } else { muffling.heard.micros() };
        let heard: Vec<Clash> = clashes(model, &struck, chord).into_iter().filter(needed).collect();
        let (Some(lasts), Some((at, hand))) = (heard.iter().map(|c| c.lasts).max(), instant(free, chord, muffling)) else { continue };
        let pitches: Vec<Pitch> = heard.iter().filter(|c| chord.at + c.lasts > at).map(|c| c.pitch).collect();
        if pitches.is_empty() {
            continue;
        }
        for s in struck.iter_mut().filter(|s| s.at < chord.at && pitches.contains(&s.pitch)) {
            s.stopped = Some(s.stopped.map_or(at, |old| old.min(at)));
        }
        found.push(Muffle { at, hand, pitches, lasts });
    }
    found
}

/// The earliest instant at or soon after the chord at which a hand is free for long enough; the left hand of two.
fn instant(free: &[Free], chord: &Sounding, muffling: &Muffling) -> Option<(Seconds, Hand)> {
    let fits = |f: &Free| {
        let at = f.from.max(chord.at);
        (at + muffling.takes <= f.to && at - chord.at <= muffling.latest && at < chord.end).then_some((at, f.hand))
    };
    free.iter().filter_map(fits).min_by_key(|(at, hand)| (*at, *hand == Hand::Right))
}
