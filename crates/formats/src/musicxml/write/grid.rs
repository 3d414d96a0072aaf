//! Where a measure may be cut: the places of its pillars, beats and smaller parts, and which notes may sound across them.
//!
//! Common practice, kept simple. A note of one value stands as it is where it begins and ends on beats, or begins on a beat and stays within
//! its pillar, or is an ordinary syncopation (begins and ends halfway, one beat inside); in compound and grouped meters it may cross a beat only
//! from beat to beat. Rests never hide a pillar, and a beat only where they fill everything between two pillars.

use super::value::Value;
use music::{Beats, Meter, MeterSign};

/// The places of one meter, counted from the start of a full measure.
pub struct Grid {
    /// Pillars and starts of groups.
    strong: Vec<Beats>,
    beats: Vec<Beats>,
    /// The note value below the line of the meter.
    unit: Beats,
    /// Beats of three parts, or groups of unlike length.
    uneven: Uneven,
    /// Places at which beams end.
    pub beam_ends: Vec<Beats>,
    /// Places between which plain eighths share one beam.
    pub eighth_ends: Vec<Beats>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Uneven {
    Yes,
    No,
}

/// Notes may hide more of the meter than rests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    Note,
    Rest,
}

/// A stretch of a note that is written as one value, or, where no value is that short, as a bare length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    pub at: Beats,
    pub length: Beats,
    pub value: Option<Value>,
}

impl Grid {
    /// The grid of a meter, carried on to at least `length`.
    pub fn new(meter: &Meter, length: Beats) -> Grid {
        let unit = meter.unit_length();
        let groups = groups(meter);
        let uneven = if meter.is_compound() || (meter.unit >= 8 && (groups.len() > 1 || groups[0] == 3)) { Uneven::Yes } else { Uneven::No };
        let strong = if groups.len() > 1 && !meter.is_compound() { starts(&groups, unit, length) } else { pillars(meter, length) };
        let beats = match (uneven, meter.is_compound()) {
            (Uneven::Yes, false) => starts(&groups, unit, length),
            (Uneven::Yes, true) => every(unit * 3, length),
            (Uneven::No, _) => every(plain_beat(meter), length),
        };
        let quarters = every(Beats::QUARTER, length);
        let long_beats = beats.get(1).is_some_and(|b| *b > Beats::QUARTER + Beats::EIGHTH);
        let (beam_ends, eighth_ends) = match long_beats {
            true => (quarters, beats.clone()),
            false if uneven == Uneven::Yes => (beats.clone(), beats.clone()),
            false if meter.sign == MeterSign::Free || has_wide_gap(&strong, length) => (beats.clone(), beats.clone()),
            false => (beats.clone(), strong.clone()),
        };
        Grid { strong, beats, unit, uneven, beam_ends, eighth_ends }
    }

    /// Cuts a note or rest from `from` to `to` into written values, first to last.
    pub fn cut(&self, from: Beats, to: Beats, sort: Sort) -> Vec<Cut> {
        let mut cuts = Vec::new();
        self.cut_into(from, to, sort, &mut cuts);
        cuts
    }

    fn cut_into(&self, from: Beats, to: Beats, sort: Sort, cuts: &mut Vec<Cut>) {
        let value = Value::of(to - from);
        if value.is_some() && (self.stands(from, to, sort) || !on_binary_place(from)) {
            cuts.push(Cut { at: from, length: to - from, value });
        } else if let Some(at) = self.best_cut(from, to).filter(|_| on_binary_place(from) && on_binary_place(to)) {
            self.cut_into(from, at, sort, cuts);
            self.cut_into(at, to, sort, cuts);
        } else {
            cuts.extend(longest_first(from, to - from));
        }
    }

    /// The strongest place inside: the first one where the note does not begin on a place so strong, else the last.
    fn best_cut(&self, from: Beats, to: Beats) -> Option<Beats> {
        let pick = |inside: Vec<Beats>, begins: bool| if begins { inside.last().copied() } else { inside.first().copied() };
        for list in [&self.strong, &self.beats] {
            let found = pick(between(list, from, to), list.contains(&from));
            if found.is_some() {
                return found;
            }
        }
        let period = self.period_inside(from, to)?;
        let first = period * (from.div_floor(period) + 1);
        let last = if (to % period).is_zero() { to - period } else { period * to.div_floor(period) };
        Some(if (from % period).is_zero() { last } else { first })
    }

    /// The longest part of the beat, by halves from the meter's unit, of which a border lies strictly inside.
    fn period_inside(&self, from: Beats, to: Beats) -> Option<Beats> {
        let halves = (0..=10).filter_map(|i| self.unit.scaled(1, 1 << i));
        halves.into_iter().find(|period| *period * (from.div_floor(*period) + 1) < to)
    }

    fn stands(&self, from: Beats, to: Beats, sort: Sort) -> bool {
        match sort {
            Sort::Note => self.note_stands(from, to),
            Sort::Rest => self.rest_stands(from, to),
        }
    }

    fn note_stands(&self, from: Beats, to: Beats) -> bool {
        let on = |list: &[Beats], at: Beats| list.contains(&at);
        let crosses_strong = !between(&self.strong, from, to).is_empty();
        let crossed = between(&self.beats, from, to).len();
        match (self.uneven, crosses_strong) {
            (Uneven::Yes, true) => on(&self.strong, from) && self.ends_beat(to) || on(&self.beats, from) && on(&self.strong, to),
            (Uneven::Yes, false) if crossed > 0 => on(&self.beats, from) && self.ends_beat(to),
            (Uneven::No, true) => on(&self.beats, from) && self.ends_beat(to),
            (Uneven::No, false) if crossed > 0 => on(&self.beats, from) || crossed == 1 && self.is_syncopation(from, to),
            (_, false) => self.within_beat(from, to),
        }
    }

    fn ends_beat(&self, to: Beats) -> bool {
        self.beats.contains(&to) || self.beats.last().is_some_and(|last| to > *last)
    }

    /// From the middle of a beat to the middle or the end of one.
    fn is_syncopation(&self, from: Beats, to: Beats) -> bool {
        let half = self.beats.get(1).and_then(|beat| beat.scaled(1, 2));
        half.is_some_and(|half| (from % half).is_zero() && (to % half).is_zero())
    }

    fn within_beat(&self, from: Beats, to: Beats) -> bool {
        let Some(period) = self.period_inside(from, to) else { return true };
        let one_inside = period * (from.div_floor(period) + 2) >= to;
        let halfway = period.scaled(1, 2).is_some_and(|half| (from % half).is_zero() && (to % half).is_zero());
        (from % period).is_zero() || one_inside && halfway
    }

    fn rest_stands(&self, from: Beats, to: Beats) -> bool {
        if !between(&self.strong, from, to).is_empty() {
            return false;
        }
        let whole_beat = self.beats.contains(&from) && self.ends_beat(to);
        if !between(&self.beats, from, to).is_empty() {
            let fills = self.strong.contains(&from) && (self.strong.contains(&to) || self.beats.last().is_some_and(|last| to > *last));
            return fills && self.strong.len() > 1;
        }
        let beat = self.beats.iter().rev().find(|b| **b <= from).copied().unwrap_or_default();
        let undotted = Value::of(to - from).is_some_and(|v| v.dots == 0);
        whole_beat || undotted && ((from - beat) % (to - from)).is_zero()
    }
}

/// The numerator as beats are grouped. Five and seven without written groups count as 3+2 and 2+2+3 (4+3 over quarters): ours.
fn groups(meter: &Meter) -> Vec<u32> {
    match (meter.groups.as_slice(), meter.unit) {
        ([5], _) => vec![3, 2],
        ([7], unit) if unit >= 8 => vec![2, 2, 3],
        ([7], _) => vec![4, 3],
        (groups, _) => groups.to_vec(),
    }
}

/// The beat of an even meter: two units where the unit is shorter than a quarter, a quarter in cut time.
fn plain_beat(meter: &Meter) -> Beats {
    match (meter.sign, meter.unit) {
        (MeterSign::Free, _) => Beats::QUARTER,
        (_, 2) if meter.numerator() == 2 => Beats::QUARTER,
        (_, unit) if unit >= 8 && meter.numerator() % 2 == 0 => meter.unit_length() * 2,
        _ => meter.unit_length(),
    }
}

fn pillars(meter: &Meter, length: Beats) -> Vec<Beats> {
    if meter.sign == MeterSign::Free { vec![Beats::ZERO] } else { meter.pillars().into_iter().filter(|p| *p < length).collect() }
}

fn every(step: Beats, length: Beats) -> Vec<Beats> {
    (0..).map(|i| step * i).take_while(|at| *at < length).collect()
}

/// Where groups of units start, over and over.
fn starts(groups: &[u32], unit: Beats, length: Beats) -> Vec<Beats> {
    let sizes = groups.iter().cycle().map(|g| unit * i64::from(*g));
    let places = sizes.scan(Beats::ZERO, |at, size| {
        let here = *at;
        *at += size;
        Some(here)
    });
    places.take_while(|at| *at < length).collect()
}

/// Further apart than three quarters: too many eighths for one beam.
fn has_wide_gap(places: &[Beats], length: Beats) -> bool {
    let ends = places.iter().skip(1).copied().chain([length]);
    places.iter().zip(ends).any(|(from, to)| to - *from > Beats::QUARTER * 3)
}

fn between(places: &[Beats], from: Beats, to: Beats) -> Vec<Beats> {
    places.iter().copied().filter(|p| *p > from && *p < to).collect()
}

/// Halving a quarter often enough comes to this place; places inside tuplets are not.
fn on_binary_place(at: Beats) -> bool {
    at.fraction().1.count_ones() == 1
}

/// Values one after another, longest first, and what is left as a bare length: for time that no meter divides.
pub fn longest_first(mut at: Beats, mut length: Beats) -> Vec<Cut> {
    let mut cuts = Vec::new();
    while length > Beats::ZERO {
        let whole = Value::of(length).or_else(|| Value::longest_within(length));
        let part = whole.and_then(Value::length).unwrap_or(length);
        cuts.push(Cut { at, length: part, value: whole });
        at += part;
        length = length - part;
    }
    cuts
}
