//! What stands fixed before any setting is chosen: where stretches begin and end, which notes a place has, what is held over a jump.

use super::passage::{Part, Passage, Prices};
use super::walk::first;
use super::wants::Wants;
use crate::player::MoveTimes;
use std::collections::BTreeMap;

/// Sums are kept far from the limits of the number.
pub(super) const NEVER: i64 = i64::MAX / 4;

/// A price as the search reckons it.
pub(super) fn reckoned(price: u64) -> i64 {
    i64::try_from(price).unwrap_or(NEVER).min(1 << 44)
}

/// The stretches that end and begin before a place.
#[derive(Clone, Debug, Default)]
pub(super) struct Border {
    pub ends: Vec<u8>,
    pub begins: Vec<u8>,
}

pub(super) struct Ground<'a> {
    pub passage: &'a Passage,
    pub times: &'a MoveTimes,
    pub prices: &'a Prices,
    pub wants: &'a Wants,
    pub borders: BTreeMap<usize, Border>,
    /// The last stretch of the playing order.
    pub last: u8,
    /// For each stretch the notes of the stretches before that still hold their string in it, and up to which place.
    pub held: Vec<Vec<(usize, u32)>>,
    /// When the last stretch under way at a place ends.
    ends: Vec<i64>,
}

impl<'a> Ground<'a> {
    pub fn new(passage: &'a Passage, times: &'a MoveTimes, prices: &'a Prices, wants: &'a Wants) -> Ground<'a> {
        let n = passage.places.len();
        let mut borders: BTreeMap<usize, Border> = BTreeMap::from([(n, Border::default())]);
        let mut ends = vec![i64::MIN; n];
        for (stretch, range) in passage.order.iter().enumerate() {
            borders.entry(range.start).or_default().begins.push(stretch as u8);
            borders.entry(range.end).or_default().ends.push(stretch as u8);
            for end in &mut ends[range.clone()] {
                *end = (*end).max(passage.time(range.end));
            }
        }
        let last = (passage.order.len() - 1) as u8;
        Ground { passage, times, prices, wants, borders, last, held: held(passage), ends }
    }

    pub fn places(&self) -> usize {
        self.passage.places.len()
    }

    /// Whether this part could be moved alone at this place.
    pub fn can_move(&self, part: Part, place: usize) -> bool {
        let (at, takes) = (self.passage.time(place), first(self.times, part));
        let room = matches!(part, Part::Pedal(_)) || takes <= self.passage.places[place].room.micros();
        room && at.saturating_add(takes) <= self.ends[place]
    }

    pub fn awkward(&self, place: usize) -> i64 {
        reckoned(self.passage.places[place].awkward)
    }
}

/// A note that is not over when the playing order jumps holds its string for the rest of its written length from where it jumps to.
fn held(passage: &Passage) -> Vec<Vec<(usize, u32)>> {
    let mut all: Vec<Vec<(usize, u32)>> = vec![Vec::new()];
    let mut over: Vec<(usize, i64)> = Vec::new();
    for pair in passage.order.windows(2) {
        let (end, start) = (passage.time(pair[0].end), passage.time(pair[1].start));
        let own = pair[0].clone().flat_map(|p| {
            let from = passage.uses.partition_point(|u| u.place < p);
            (from..passage.uses.len()).take_while(move |n| passage.uses[*n].place == p)
        });
        over.extend(own.map(|note| (note, passage.time(passage.uses[note].until))));
        over.retain(|held| held.1 > end);
        for held in &mut over {
            held.1 += start - end;
        }
        all.push(over.iter().map(|(note, until)| (*note, passage.place_from(*until) as u32)).collect());
    }
    all
}
