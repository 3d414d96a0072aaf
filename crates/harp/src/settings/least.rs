//! What no plan of a passage is cheaper than, read off its notes without a search: what can be said of a key before it is planned.
//!
//! Three things are sure of every plan. A note for which the harp has no string is missing. Of two notes that want one string, or one pedal, otherwise, with no
//! moment between them in which it can be moved, one is missing. And where notes that have one string only want it now so and now otherwise, it is moved each
//! time.

use super::passage::{Omission, Part, Passage, Prices, Use};
use super::walk::first;
use crate::instrument::Instrument;
use crate::player::MoveTimes;
use smallvec::SmallVec;
use std::collections::BTreeMap;

/// Notes before one that are looked at for one that stands in its way; looking further back can only find more.
const LOOK_BACK: usize = 12;

/// What holds of every plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct AtLeast {
    /// Notes that are missing and must not be left out.
    pub missing: usize,
    /// What is moved, spelled otherwise and missing, by the passage's prices.
    pub price: u64,
}

/// A string on which a note can be had: what sets it, if anything does, and how it must stand.
type Way = (Option<Part>, i32);
/// The ways of one note; `None` where it may be left out.
type Ways = Option<SmallVec<[Way; 3]>>;

/// What no plan ([`super::plan`]) has fewer of and is not cheaper than. The work is a few steps for each note as it is played.
pub fn at_least(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices) -> AtLeast {
    let ways: Vec<Ways> = passage.uses.iter().map(|note| ways(harp, note)).collect();
    let missing = missing(passage, times, &ways);
    let price = match missing {
        // A plan could give up a note instead of moving for it, at the price of one that is missing.
        0 => spelled(harp, passage).saturating_add(moved(passage, &ways, prices)).min(prices.missing),
        some => prices.missing.saturating_mul(some as u64),
    };
    AtLeast { missing, price }
}

fn ways(harp: &Instrument, note: &Use) -> Ways {
    let had = note.spellings.iter().map(|s| s.pitch).filter(|p| harp.can_sound(*p));
    (note.omission == Omission::Never).then(|| had.map(|p| (Part::of(harp, p), p.alter)).collect())
}

/// The least that the notes cost whatever is moved.
fn spelled(harp: &Instrument, passage: &Passage) -> u64 {
    let least = |note: &Use| {
        let out = if let Omission::Price(price) = note.omission { Some(price) } else { None };
        note.spellings.iter().filter(|s| harp.can_sound(s.pitch)).map(|s| s.price).chain(out).min().unwrap_or(0)
    };
    passage.uses.iter().map(least).sum()
}

/// Notes without a string, and of each pair that stands in each other's way one; no note is counted twice.
fn missing(passage: &Passage, times: &MoveTimes, ways: &[Ways]) -> usize {
    let mut counted: Vec<bool> = ways.iter().map(|w| w.as_ref().is_some_and(|w| w.is_empty())).collect();
    let mut missing = counted.iter().filter(|c| **c).count();
    for stretch in &passage.order {
        let note = |place: usize| passage.uses.partition_point(|u| u.place < place);
        let notes = note(stretch.start)..note(stretch.end);
        for later in notes.clone() {
            let before = (notes.start.max(later.saturating_sub(LOOK_BACK))..later).rev();
            let stands_in_the_way = |earlier: &usize| !counted[*earlier] && excluded(passage, times, ways, (*earlier, later));
            if let Some(earlier) = before.filter(|_| !counted[later]).find(stands_in_the_way) {
                (counted[earlier], counted[later]) = (true, true);
                missing += 1;
            }
        }
    }
    missing
}

/// Whether two notes of one stretch, in order, cannot both be had in any of their ways.
fn excluded(passage: &Passage, times: &MoveTimes, ways: &[Ways], (earlier, later): (usize, usize)) -> bool {
    let (Some(a), Some(b)) = (&ways[earlier], &ways[later]) else { return false };
    let (earlier, later) = (&passage.uses[earlier], &passage.uses[later]);
    let apart = |(one, other): (&Way, &Way)| match one.0 {
        Some(part) if one.0 == other.0 && one.1 != other.1 => !has_moment(passage, times, part, (earlier, later)),
        _ => false,
    };
    a.iter().all(|one| b.iter().all(|other| apart((one, other))))
}

/// Whether there is a place at which a part may be moved after one note and before another: when the first is over, early enough for the second, and for a lever
/// with a free hand. A pedal may be moved at the very moment of the note.
fn has_moment(passage: &Passage, times: &MoveTimes, part: Part, (earlier, later): (&Use, &Use)) -> bool {
    let takes = if matches!(part, Part::Lever(_)) { first(times, part) } else { 0 };
    let from = earlier.until.max(earlier.place + 1);
    let free = |place: usize| !matches!(part, Part::Lever(_)) || passage.places[place].room.micros() >= takes;
    (from..=later.place).any(|place| passage.time(place) + takes <= passage.time(later.place) && free(place))
}

/// What the moves cost that notes with one way only ask for, pass by pass.
fn moved(passage: &Passage, ways: &[Ways], prices: &Prices) -> u64 {
    let further = prices.two_notches.min(prices.a_move);
    let mut stands: BTreeMap<Part, i32> = BTreeMap::new();
    let mut price: u64 = 0;
    for stretch in &passage.order {
        let note = |place: usize| passage.uses.partition_point(|u| u.place < place);
        for ways in ways[note(stretch.start)..note(stretch.end)].iter().flatten() {
            let [(Some(part), alter)] = ways.as_slice() else { continue };
            let notches = stands.insert(*part, *alter).map_or(0, |before| (before - alter).unsigned_abs());
            let more = if notches > 1 { further } else { 0 };
            price = price.saturating_add(if notches > 0 { prices.a_move + more } else { 0 });
        }
    }
    price
}
