//! What a search goes through, slot by slot, and what it leaves to the next one.

use crate::candidates::Candidate;
use crate::price::Extra;
use crate::slots::Slot;
use std::borrow::Cow;
use std::ops::Range;

/// One slot with its candidates, as the search sees it.
pub struct Stage<'a> {
    pub slot: &'a Slot,
    pub candidates: &'a [Candidate],
    /// What each costs on its own ([`prices_of`]): kept apart, since every search adds them up and the candidates themselves are large.
    pub prices: Cow<'a, [i64]>,
    /// Further price of each candidate: wishes, "same tune, same hand".
    pub extra: &'a [Extra],
}

impl<'a> Stage<'a> {
    pub fn new(slot: &'a Slot, candidates: &'a [Candidate], extra: &'a [Extra]) -> Stage<'a> {
        Stage { slot, candidates, prices: prices_of(candidates).into(), extra }
    }
}

/// The own prices of candidates.
pub fn prices_of(candidates: &[Candidate]) -> Vec<i64> {
    candidates.iter().map(|c| c.price.total()).collect()
}

/// What each candidate costs by itself, with what it is charged besides.
pub(crate) fn own(stages: &[Stage]) -> Vec<Vec<i64>> {
    let prices = |s: &Stage| s.prices.iter().zip(s.extra).map(|(price, extra)| price + extra.total()).collect();
    stages.iter().map(prices).collect()
}

/// Both passes: for each slot the own prices of its candidates, and the best before and after each state.
#[derive(Default)]
pub(crate) struct Grid {
    pub own: Vec<Vec<i64>>,
    pub best: Vec<Vec<i64>>,
    pub after: Vec<Vec<i64>>,
}

impl Grid {
    /// The slots whose own prices differ: the first, and the one after the last. `None` where none does.
    pub fn differs(&self, own: &[Vec<i64>]) -> Option<Range<usize>> {
        if self.own.len() != own.len() {
            return Some(0..own.len());
        }
        let differs = |i: &usize| self.own[*i] != own[*i];
        let first = (0..own.len()).find(differs)?;
        Some(first..(0..own.len()).rfind(differs)? + 1)
    }

    /// How many rows would have to be made anew for other own prices.
    pub fn far(&self, own: &[Vec<i64>]) -> usize {
        self.differs(own).map_or(0, |slots| own.len() - slots.start + slots.end)
    }
}
