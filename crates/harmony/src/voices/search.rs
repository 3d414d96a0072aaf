//! The dearest way to cut the score into chords.
//!
//! best(j, y) = the largest over i < j of: enter(i, y) + value of the moments i to j as chord y − the price of a change at moment i
//! enter(i, y) = the largest over x of: best(i, x) − how unusual y is after x
//! Stretches are at most a number of moments and of quarters long; a longer chord is the same one again. Ties go to the first.

use super::keys::LocalKey;
use super::labels::{FAMILIES, LABELS, Label};
use super::moments::Moment;
use super::score::Sums;
use super::weights::{self as w, Weights};

/// The most moments of one stretch.
const MOST_MOMENTS: usize = 16;
/// The longest stretch in thousandths of a quarter; a single moment may be longer.
const LONGEST: i64 = 8_000;
const STATES: usize = 12 * FAMILIES;
const NEVER: i64 = i64::MIN / 4;

/// A chord over the moments from `from` up to `to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Found {
    pub from: usize,
    pub to: usize,
    pub label: Label,
}

impl Found {
    /// The same where so many moments stand before.
    pub fn after(self, moments: usize) -> Found {
        Found { from: self.from + moments, to: self.to + moments, ..self }
    }
}

#[derive(Clone, Copy)]
struct Step {
    value: i64,
    from: u32,
    before: u16,
}

/// The chords of all moments, in order.
pub(super) fn search(moments: &[Moment], keys: &[LocalKey], weights: &Weights) -> Vec<Found> {
    let count = moments.len();
    let sums = Sums::of(moments, weights);
    let none = Step { value: NEVER, from: 0, before: 0 };
    let mut best = vec![[none; LABELS]; count + 1];
    for i in 0..count {
        let enter = entries(i, &best[i], moments, weights);
        for j in ends(i, count, |j| sums.length(i, j)) {
            let stretch = sums.stretch(moments, i, j, keys[(i + j) / 2]);
            let short = weights.of(w::SHORT_CHORD) * (1000 - sums.length(i, j)).max(0) / 1000;
            for (y, (entered, before)) in enter.iter().enumerate() {
                let label = Label::at(y);
                if !stretch.may_be(label) {
                    continue;
                }
                let value = entered + stretch.value(label, weights) - short;
                if value > best[j][y].value {
                    best[j][y] = Step { value, from: i as u32, before: *before };
                }
            }
        }
    }
    back(&best)
}

/// Where a stretch from `i` may end.
fn ends(i: usize, count: usize, length: impl Fn(usize) -> i64) -> impl Iterator<Item = usize> {
    (i + 1..=count.min(i + MOST_MOMENTS)).take_while(move |j| *j == i + 1 || length(*j) <= LONGEST)
}

/// How many stretches are weighed: the work of a search, counted.
#[cfg(test)]
pub(super) fn stretches(moments: &[Moment]) -> usize {
    let length = |i: usize, j: usize| moments[i..j].iter().map(|m| m.length).sum();
    (0..moments.len()).map(|i| ends(i, moments.len(), |j| length(i, j)).count()).sum()
}

/// For each label the best way to come to it at moment `i`, with the label before.
fn entries(i: usize, best: &[Step; LABELS], moments: &[Moment], weights: &Weights) -> Vec<(i64, u16)> {
    if i == 0 {
        return vec![(0, u16::MAX); LABELS];
    }
    let mut states = [(NEVER, 0u16); STATES];
    for (x, step) in best.iter().enumerate() {
        let state = &mut states[Label::at(x).state()];
        if step.value > state.0 {
            *state = (step.value, x as u16);
        }
    }
    let level = moments[i].level;
    let silent = moments[i].notes.iter().filter(|n| n.begins).count() < 2;
    let change = weights.of(w::CHANGE + level) + if silent { weights.of(w::QUIET_CHANGE) } else { 0 };
    // What a state of the next chord costs after the best state before; the label itself again is cheaper.
    let mut entered = [(NEVER, 0u16); STATES];
    for (to, entry) in entered.iter_mut().enumerate() {
        let (root, family) = (to / FAMILIES, to % FAMILIES);
        for (from, (value, x)) in states.iter().enumerate() {
            let up = (root + 12 - from / FAMILIES) % 12;
            let price = weights.follows[from % FAMILIES][up][family] * weights.of(w::FOLLOW) / 100;
            if value - price > entry.0 {
                *entry = (value - price, *x);
            }
        }
    }
    let again = weights.of(w::SAME_AGAIN);
    (0..LABELS)
        .map(|y| {
            let (value, x) = entered[Label::at(y).state()];
            let stay = best[y].value - again;
            if stay > value - change { (stay, y as u16) } else { (value - change, x) }
        })
        .collect()
}

fn back(best: &[[Step; LABELS]]) -> Vec<Found> {
    let mut to = best.len() - 1;
    let mut found = Vec::new();
    let mut label = (0..LABELS).rev().max_by_key(|y| best[to][*y].value).unwrap_or(0);
    while to > 0 {
        let step = best[to][label];
        found.push(Found { from: step.from as usize, to, label: Label::at(label) });
        (to, label) = (step.from as usize, usize::from(step.before));
    }
    found.reverse();
    found
}
