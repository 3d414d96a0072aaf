//! The notes of the melody as a chord hears them: how long, on what beat, and what each is if it does not belong.

use crate::melody::{Pluck, plucks};
use crate::voices::Figuration;
use music::{Beats, LeadSheet, Pitch};

/// One note, or the part of it that falls in one place for a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Heard {
    /// Index of the written measure, and the place in it where this part begins.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// How long this part is.
    pub length: Beats,
    /// As it is written.
    pub pitch: Pitch,
    /// Where it sounds within the place.
    pub accent: Accent,
    /// What it is if the chord does not have it.
    pub figuration: Figuration,
    /// On a strong beat, or of two beats or more.
    pub is_strong: bool,
}

/// Where a note sounds within the place for a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Accent {
    /// It begins with the place.
    Head,
    /// On a beat, or held over from before.
    Beat,
    /// Between the beats.
    Off,
}

impl Accent {
    /// From the strongest to the weakest.
    pub const ALL: [Accent; 3] = [Accent::Head, Accent::Beat, Accent::Off];

    /// Its name in the table.
    pub fn name(self) -> &'static str {
        match self {
            Accent::Head => "head",
            Accent::Beat => "beat",
            Accent::Off => "off",
        }
    }
}

/// The melody in order; the lower notes of double stops are left aside.
pub struct Line {
    plucks: Vec<Pluck>,
    figurations: Vec<Figuration>,
}

impl Line {
    /// The melody of a tune.
    pub fn of(sheet: &LeadSheet) -> Line {
        let plucks = plucks(sheet);
        let figurations = (0..plucks.len()).map(|i| figuration(&plucks, i)).collect();
        Line { plucks, figurations }
    }

    /// Its notes, ties joined.
    pub fn plucks(&self) -> &[Pluck] {
        &self.plucks
    }

    /// What sounds from `from` up to `to`, counted from the start of the tune; the measure begins at `start`.
    pub fn heard(&self, sheet: &LeadSheet, measure: usize, start: Beats, from: Beats, to: Beats) -> Vec<Heard> {
        let meter = &sheet.measures[measure].frame.meter;
        let strong = meter.strong_beats();
        let first = self.plucks.partition_point(|p| p.end() <= from);
        let sounding = self.plucks[first..].iter().zip(&self.figurations[first..]).take_while(|(p, _)| p.start < to);
        sounding
            .map(|(pluck, figuration)| {
                let begins = pluck.start.max(from);
                let at = begins - start;
                let accent = match pluck.start {
                    s if s == from => Accent::Head,
                    s if s < from || (at % meter.beat()).is_zero() => Accent::Beat,
                    _ => Accent::Off,
                };
                let on_strong = pluck.start >= from && strong.contains(&at);
                let is_strong = on_strong || pluck.length >= meter.beat() * 2;
                let length = pluck.end().min(to) - begins;
                Heard { measure, at, length, pitch: pluck.top, accent, figuration: *figuration, is_strong }
            })
            .collect()
    }
}

/// What a note is to its neighbours, by how it is come to and left; a rest parts notes.
fn figuration(plucks: &[Pluck], i: usize) -> Figuration {
    let here = &plucks[i];
    let before = i.checked_sub(1).map(|j| &plucks[j]).filter(|b| b.end() == here.start);
    let after = plucks.get(i + 1).filter(|a| a.start == here.end());
    let moved = |a: &Pluck, b: &Pluck| b.top.midi() - a.top.midi();
    let is_step = |d: i32| (1..=2).contains(&d.abs());
    match (before.map(|b| moved(b, here)), after.map(|a| moved(here, a))) {
        (Some(come), Some(0)) if is_step(come) => Figuration::Anticipation,
        (Some(0), Some(left)) if is_step(left) && left < 0 => Figuration::Suspension,
        (Some(come), Some(left)) if is_step(come) && is_step(left) => {
            if come.signum() == left.signum() {
                Figuration::Passing
            } else {
                Figuration::Neighbour
            }
        }
        (_, Some(left)) if is_step(left) => Figuration::Appoggiatura,
        (Some(come), _) if is_step(come) => Figuration::Escape,
        _ => Figuration::None,
    }
}
