//! What the player keeps: the exact plucks of a way she took for a measure, and basses that are written.
//!
//! A way that was taken is played as it was, whichever figure gives it: where none of them gives it any more it is made from its plucks. What no hand can play is
//! left to the planner, and the arrangement says so.

use crate::candidates::Draft;
use crate::hand_time::Pluck;
use crate::measures::LaidMeasure;
use crate::slots::Slot;
use crate::tune::Tune;
use crate::wishes::{HeldPluck, Wishes, WrittenBass};
use music::{Beats, Chord};

/// What is kept at one slot.
#[derive(Clone, Debug, Default)]
pub struct Kept {
    /// The plucks of a held way, from the start of the slot.
    pub plucks: Option<Vec<HeldPluck>>,
    /// A written bass that is always kept.
    bass: Option<i32>,
}

impl Kept {
    /// What her wishes keep at a slot.
    pub fn of(wishes: &Wishes, tune: &Tune, slot: &Slot) -> Kept {
        let number = tune.frame(slot.measure).number;
        let written = slot.chord.as_ref().filter(|c| c.bass.is_some() && wishes.bass == WrittenBass::Kept);
        Kept {
            plucks: wishes.ways.get(&number).map(|way| of_slot(way, before(tune, slot.measure) + slot.at, slot.length)),
            bass: written.map(|chord: &Chord| chord.bass_name().pitch_class()),
        }
    }

    /// Leaves only what she keeps, where it can be played. `made_of` makes a draft of a figure and plucks, if a hand can play them.
    pub(crate) fn keep(&self, made: &mut Vec<Draft>, length: Beats, made_of: impl Fn(&Draft, Vec<Pluck>) -> Option<Draft>) {
        if let Some(way) = &self.plucks {
            if made.iter().any(|c| is(way, &c.plucks)) {
                made.retain(|c| is(way, &c.plucks));
            } else if let Some(draft) = nearest(way, made).and_then(|c| made_of(c, plucks(way, length))) {
                *made = vec![draft];
            }
            return;
        }
        let low = |c: &Draft| c.plucks.first().map(|p| p.pitches[0].pitch_class());
        if self.bass.is_some() && made.iter().any(|c| low(c) == self.bass) {
            made.retain(|c| c.plucks.is_empty() || low(c) == self.bass);
        }
    }
}

/// How much of the printed measure lies before a measure of the page: a repeat inside it makes two of one.
pub fn before(tune: &Tune, measure: LaidMeasure) -> Beats {
    let earlier = std::iter::successors(measure.back(1), |m| m.back(1));
    let parts = earlier.take_while(|m| tune.frame(*m).number == tune.frame(measure).number);
    parts.fold(Beats::ZERO, |sum, m| sum + tune.frame(m).length)
}

fn of_slot(way: &[HeldPluck], from: Beats, length: Beats) -> Vec<HeldPluck> {
    let inside = way.iter().filter(|p| p.at >= from && p.at < from + length);
    inside.map(|p| HeldPluck { at: p.at - from, ..p.clone() }).collect()
}

/// Whether plucks are those of a way.
pub fn is(way: &[HeldPluck], plucks: &[Pluck]) -> bool {
    let same =
        |(held, pluck): (&HeldPluck, &Pluck)| (held.at, held.rolled) == (pluck.at, pluck.rolled) && held.pitches[..] == pluck.pitches[..];
    way.len() == plucks.len() && way.iter().zip(plucks).all(same)
}

fn plucks(way: &[HeldPluck], length: Beats) -> Vec<Pluck> {
    let ends = way.iter().skip(1).map(|p| p.at).chain([length]);
    let pluck = |(held, end): (&HeldPluck, Beats)| Pluck {
        at: held.at,
        length: end - held.at,
        pitches: held.pitches.as_slice().into(),
        rolled: held.rolled,
    };
    way.iter().zip(ends).map(pluck).collect()
}

/// The candidate that shares most plucks with a way: its figure lends the name.
fn nearest<'c>(way: &[HeldPluck], made: &'c [Draft]) -> Option<&'c Draft> {
    let shared = |c: &Draft| {
        let in_way = |p: &&Pluck| way.iter().any(|held| held.at == p.at && held.pitches.iter().any(|pitch| p.pitches.contains(pitch)));
        c.plucks.iter().filter(in_way).count() as i64 * 2 - c.plucks.len() as i64
    };
    // The first of several equal ones.
    made.iter().rev().max_by_key(|c| shared(c))
}
