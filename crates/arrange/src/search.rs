//! The search: the cheapest plan of all, and for every candidate the price of the cheapest plan that uses it.
//!
//! State: a candidate of a slot and how many measures its figure has run, 1 to patience + 1, the last meaning "or more". With `own` the price of a
//! candidate, `pair` the price of going from one to the next and `run` the price of keeping or changing the figure:
//!
//! ```text
//! best(i, c, r)  = own(i, c) + min over (c', r') that lead to (c, r) of  best(i-1, c', r') + pair(c', c) + run(c', r', c)
//! after(i, c, r) =             min over (c', r') that (c, r) leads to of  pair(c, c') + run(c, r, c') + own(i+1, c') + after(i+1, c', r')
//! ```
//!
//! `best + after`, least over r, is the min-marginal of c: the price of the best whole plan that uses it. Pair prices depend only on how a candidate leaves and
//! enters: they are tables of [`crate::joins`].

use crate::joins::{Joins, NONE, Two};
use crate::price::{Price, Principle};
use crate::principles::pair;
use crate::principles::weight::weights;
use crate::slots::Slot;
use crate::stages::{Grid, Stage, own};
use harp::Player;

/// The result of one search.
#[derive(Clone, Debug)]
pub struct Found {
    /// The chosen candidate of each slot.
    pub chosen: Vec<usize>,
    pub total: i64,
    /// For each slot and candidate, the price of the best plan that uses it.
    pub min_marginals: Vec<Vec<i64>>,
}

/// The grid of the search, kept to follow other plans than the best.
pub struct Search<'a> {
    stages: &'a [Stage<'a>],
    player: &'a Player,
    runs: usize,
    grid: Grid,
    joins: &'a Joins,
}

/// A search is near another if no more than one in so many slots lie between the first and the last that differ.
const NEAR: usize = 3;

impl<'a> Search<'a> {
    /// Runs both passes.
    pub fn new(stages: &'a [Stage<'a>], joins: &'a Joins, player: &'a Player, patience: u32) -> Search<'a> {
        Search { stages, player, runs: patience as usize + 1, grid: Grid::default(), joins }.made(own(stages))
    }

    /// The same, from the search of these joins that is most like it: what differs in a few slots leaves the best before them and after them as it was.
    pub(crate) fn again(stages: &'a [Stage<'a>], joins: &'a Joins, player: &'a Player, patience: u32) -> Search<'a> {
        let own = own(stages);
        let grid = joins.nearest(&own);
        Search { stages, player, runs: patience as usize + 1, grid, joins }.made(own)
    }

    /// Leaves both passes to the next search.
    pub(crate) fn leave(self) {
        self.joins.keep(self.grid);
    }

    /// The cheapest plan alone, where a search that was left differs from this one in few slots that lie near each other: the best before them and after them stay as they
    /// were, so only these slots are gone through. `None` where no search is as near.
    pub(crate) fn nearby(stages: &'a [Stage<'a>], joins: &'a Joins, player: &'a Player, patience: u32) -> Option<Found> {
        let own = own(stages);
        let grid = joins.nearest(&own);
        let mut search = Search { stages, player, runs: patience as usize + 1, grid, joins };
        let found = search.through_the_differing(own);
        if !search.grid.own.is_empty() {
            search.leave();
        }
        found
    }

    fn through_the_differing(&mut self, own: Vec<Vec<i64>>) -> Option<Found> {
        let slots = self.stages.len();
        let last = slots.checked_sub(1).filter(|_| self.grid.own.len() == slots)?;
        let differs = self.grid.differs(&own).unwrap_or(0..0);
        if differs.len() * NEAR > slots {
            return None;
        }
        let meeting = differs.end.min(last);
        let old_own: Vec<Vec<i64>> = differs.clone().map(|i| std::mem::replace(&mut self.grid.own[i], own[i].clone())).collect();
        let known = std::mem::take(&mut self.grid.best);
        let (before, rest) = known.split_at(differs.start);
        self.grid.best = self.forward_to(before.to_vec(), if differs.is_empty() { 0 } else { meeting + 1 });
        self.grid.best.extend(rest.iter().skip(self.grid.best.len() - before.len()).cloned());
        let marginals = self.min_marginals(meeting);
        let candidate = least(&marginals);
        let found = Found { total: marginals[candidate], chosen: self.plan_through(Some((meeting, candidate))), min_marginals: Vec::new() };
        self.grid.best = known;
        for (i, old) in differs.zip(old_own) {
            self.grid.own[i] = old;
        }
        Some(found)
    }

    fn made(mut self, own: Vec<Vec<i64>>) -> Search<'a> {
        let Some(differs) = self.grid.differs(&own) else { return self };
        let Grid { mut best, mut after, .. } = std::mem::take(&mut self.grid);
        best.truncate(differs.start);
        let kept = after.split_off(after.len().min(differs.end.saturating_sub(1)));
        self.grid.own = own;
        // The passes do not see each other, so they run side by side.
        let search = &self;
        let (best, after) = std::thread::scope(|scope| {
            let after = scope.spawn(|| search.backward(kept));
            (search.forward(best), after.join().expect("the backward pass does not panic"))
        });
        (self.grid.best, self.grid.after) = (best, after);
        self
    }

    fn own(&self, slot: usize, candidate: usize) -> i64 {
        self.grid.own[slot][candidate]
    }

    /// The rows of all slots, from those that are known.
    fn forward(&self, rows: Vec<Vec<i64>>) -> Vec<Vec<i64>> {
        self.forward_to(rows, self.stages.len())
    }

    fn forward_to(&self, mut rows: Vec<Vec<i64>>, end: usize) -> Vec<Vec<i64>> {
        for i in rows.len()..end {
            let mut row = vec![NONE; self.stages[i].candidates.len() * self.runs];
            if i == 0 {
                for c in 0..self.stages[0].candidates.len() {
                    row[c * self.runs] = self.own(0, c);
                }
            } else {
                self.keep_forward(i, &rows[i - 1], &mut row);
                self.change_forward(i, &rows[i - 1], &mut row);
                for (states, own) in row.chunks_exact_mut(self.runs).zip(&self.grid.own[i]) {
                    states.iter_mut().filter(|p| **p < NONE).for_each(|price| *price += own);
                }
            }
            rows.push(row);
        }
        rows
    }

    /// The run after keeping a figure into the next slot.
    fn longer(&self, run: usize, slot: usize) -> usize {
        if self.stages[slot].slot.opens_measure { (run + 1).min(self.runs - 1) } else { run }
    }

    /// For each run, the price of keeping the figure into a slot and the run it leads to.
    fn keeping(&self, i: usize) -> (Vec<i64>, Vec<usize>) {
        let here = self.stages[i].slot;
        (0..self.runs).map(|run| (keep_price(here, run + 1, self.runs), self.longer(run, i))).unzip()
    }

    fn keep_forward(&self, i: usize, last: &[i64], row: &mut [i64]) {
        let (keeps, longer) = self.keeping(i);
        let mut reached = vec![NONE; last.len()];
        for (reached, states) in reached.chunks_exact_mut(self.runs).zip(last.chunks_exact(self.runs)) {
            for ((price, keep), to) in states.iter().zip(&keeps).zip(&longer) {
                reached[*to] = reached[*to].min((price + keep).min(NONE));
            }
        }
        self.joins.between[i - 1].keep_forward(self.runs, &reached, row);
    }

    fn change_forward(&self, i: usize, last: &[i64], row: &mut [i64]) {
        let (before, here) = (&self.stages[i - 1], &self.stages[i]);
        let join = &self.joins.between[i - 1];
        let changes = self.change_prices(i);
        let mut least = vec![Two::NONE; join.exits()];
        for (from, candidate) in before.candidates.iter().enumerate() {
            let states = last[from * self.runs..].iter().zip(&changes);
            let price = states.map(|(price, change)| (price + change).min(NONE)).min().unwrap_or(NONE);
            least[join.exit_of[from]].offer(price, candidate.figure);
        }
        let into = join.at_entries(&least);
        for (c, candidate) in here.candidates.iter().enumerate() {
            let price = into[join.entry_of[c]].other_than(candidate.figure);
            if price < NONE {
                row[c * self.runs] = row[c * self.runs].min(price);
            }
        }
    }

    /// The price of another figure at a slot, for each run that ends there.
    fn change_prices(&self, i: usize) -> Vec<i64> {
        (1..=self.runs).map(|run| change_price(self.stages[i - 1].slot, self.stages[i].slot, run, self.runs)).collect()
    }

    /// The rows of all slots, from those of the last ones, which are known.
    fn backward(&self, known: Vec<Vec<i64>>) -> Vec<Vec<i64>> {
        let slots = self.stages.len();
        let unknown = slots - known.len();
        let mut rows = vec![Vec::new(); unknown];
        rows.extend(known);
        for i in (0..unknown).rev() {
            let mut row = vec![NONE; self.stages[i].candidates.len() * self.runs];
            if i + 1 == slots {
                row.fill(0);
            } else {
                self.keep_backward(i, &rows[i + 1], &mut row);
                self.change_backward(i, &rows[i + 1], &mut row);
            }
            rows[i] = row;
        }
        rows
    }

    fn keep_backward(&self, i: usize, following: &[i64], row: &mut [i64]) {
        let (keeps, longer) = self.keeping(i + 1);
        let mut reached = vec![NONE; following.len()];
        for (to, (reached, states)) in reached.chunks_exact_mut(self.runs).zip(following.chunks_exact(self.runs)).enumerate() {
            for ((price, keep), to_run) in reached.iter_mut().zip(&keeps).zip(&longer) {
                *price = (states[*to_run] + keep).min(NONE).saturating_add(self.own(i + 1, to)).min(NONE);
            }
        }
        self.joins.between[i].keep_backward(self.runs, &reached, row);
    }

    fn change_backward(&self, i: usize, following: &[i64], row: &mut [i64]) {
        let (here, next) = (&self.stages[i], &self.stages[i + 1]);
        let join = &self.joins.between[i];
        let changes = self.change_prices(i + 1);
        let mut least = vec![Two::NONE; join.entries];
        for (to, candidate) in next.candidates.iter().enumerate() {
            let after = following[to * self.runs];
            if after < NONE {
                least[join.entry_of[to]].offer(after + self.own(i + 1, to), candidate.figure);
            }
        }
        let out_of = join.out_of_exits(&least);
        for (c, candidate) in here.candidates.iter().enumerate() {
            let price = out_of[join.exit_of[c]].other_than(candidate.figure);
            for (run, change) in changes.iter().enumerate() {
                let state = c * self.runs + run;
                row[state] = row[state].min((price + change).min(NONE));
            }
        }
    }

    /// The best plan and all min-marginals.
    pub fn found(&self) -> Found {
        let min_marginals: Vec<Vec<i64>> = (0..self.stages.len()).map(|i| self.min_marginals(i)).collect();
        let total = min_marginals.first().and_then(|m| m.iter().copied().min()).unwrap_or(0);
        Found { chosen: self.plan_through(None), total, min_marginals }
    }

    fn min_marginals(&self, i: usize) -> Vec<i64> {
        let state = |s: usize| self.grid.best[i][s].saturating_add(self.grid.after[i][s]).min(NONE);
        let candidates = self.stages[i].candidates.len();
        (0..candidates).map(|c| (0..self.runs).map(|r| state(c * self.runs + r)).min().unwrap_or(NONE)).collect()
    }

    /// The best plan, or the best that uses a candidate at a slot. Ties go to the earlier candidate and the shorter run.
    pub fn plan_through(&self, fixed: Option<(usize, usize)>) -> Vec<usize> {
        let Some(last) = self.stages.len().checked_sub(1) else { return Vec::new() };
        let (slot, candidate) = fixed.unwrap_or_else(|| (last, least(&self.min_marginals(last))));
        let states: Vec<i64> = (0..self.runs)
            .map(|r| self.grid.best[slot][candidate * self.runs + r].saturating_add(self.grid.after[slot][candidate * self.runs + r]))
            .collect();
        let run = least(&states);
        let mut chosen = vec![0; self.stages.len()];
        chosen[slot] = candidate;
        let mut at = (candidate, run);
        for i in (0..slot).rev() {
            at = self.came_from(i + 1, at);
            chosen[i] = at.0;
        }
        let mut at = (candidate, run);
        for (i, place) in chosen.iter_mut().enumerate().skip(slot + 1) {
            at = self.goes_to(i, at);
            *place = at.0;
        }
        chosen
    }

    fn step(&self, i: usize, from: (usize, usize), to: (usize, usize)) -> i64 {
        let (before, here) = (&self.stages[i - 1], &self.stages[i]);
        let same = before.candidates[from.0].figure == here.candidates[to.0].figure;
        let run = match same {
            true if self.longer(from.1, i) == to.1 => keep_price(here.slot, from.1 + 1, self.runs),
            false if to.1 == 0 => change_price(before.slot, here.slot, from.1 + 1, self.runs),
            _ => return NONE,
        };
        self.joins.between[i - 1].price(from.0, to.0) + run
    }

    fn came_from(&self, i: usize, to: (usize, usize)) -> (usize, usize) {
        let wanted = self.grid.best[i][to.0 * self.runs + to.1] - self.own(i, to.0);
        let dearest = wanted - self.least_step(i);
        self.all_states(i - 1)
            .zip(&self.grid.best[i - 1])
            .find(|(from, price)| **price <= dearest && self.step(i, *from, to).saturating_add(**price) == wanted)
            .map(|(from, _)| from)
            .expect("the price of a state comes from a state before it")
    }

    fn goes_to(&self, i: usize, from: (usize, usize)) -> (usize, usize) {
        let wanted = self.grid.after[i - 1][from.0 * self.runs + from.1];
        let dearest = wanted - self.least_step(i);
        self.all_states(i)
            .zip(&self.grid.after[i])
            .map(|(to, after)| (to, after.saturating_add(self.own(i, to.0))))
            .find(|(to, price)| *price <= dearest && self.step(i, from, *to).saturating_add(*price) == wanted)
            .map(|(to, _)| to)
            .expect("the price after a state comes from a state after it")
    }

    /// No way into a slot is cheaper.
    fn least_step(&self, i: usize) -> i64 {
        let (keeps, _) = self.keeping(i);
        let figure = keeps.into_iter().chain(self.change_prices(i)).min().unwrap_or(0);
        self.joins.between[i - 1].least + figure
    }

    fn all_states(&self, i: usize) -> impl Iterator<Item = State> + '_ {
        (0..self.stages[i].candidates.len()).flat_map(|c| (0..self.runs).map(move |r| (c, r)))
    }

    /// The states of a plan: each slot's candidate and its run.
    pub fn states(&self, chosen: &[usize]) -> Vec<State> {
        let mut all: Vec<State> = Vec::with_capacity(chosen.len());
        for (i, candidate) in chosen.iter().enumerate() {
            let figure = |slot: usize, c: usize| self.stages[slot].candidates[c].figure;
            let run = match all.last() {
                Some(before) if figure(i - 1, before.0) == figure(i, *candidate) => self.longer(before.1, i),
                _ => 0,
            };
            all.push((*candidate, run));
        }
        all
    }

    /// The price of a whole plan, slot by slot: each candidate's own price, the way into it and the price of keeping or changing the figure.
    pub fn prices(&self, chosen: &[usize]) -> Vec<Price> {
        let states = self.states(chosen);
        (0..states.len()).map(|i| self.price_at(i, i.checked_sub(1).map(|b| states[b]), states[i])).collect()
    }

    fn price_at(&self, i: usize, before: Option<State>, here: State) -> Price {
        let stage = &self.stages[i];
        let candidate = &stage.candidates[here.0];
        let mut price = candidate.price + stage.extra[here.0];
        if let Some(before) = before {
            let last = &self.stages[i - 1];
            let previous = &last.candidates[before.0];
            price += pair(last.slot, &previous.exit, stage.slot, &candidate.entry, self.player);
            let run = before.1 + 1;
            let keeps = previous.figure == candidate.figure;
            let keep = if keeps { keep_price(stage.slot, run, self.runs) } else { change_price(last.slot, stage.slot, run, self.runs) };
            price.add(Principle::SteadyFigure, keep);
        }
        price
    }

    /// The best plan that uses a candidate at a slot, told only where it leaves the best plan of all.
    pub fn detour(&self, best: &[State], slot: usize, candidate: usize) -> Detour {
        let states: Vec<i64> = (0..self.runs)
            .map(|r| self.grid.best[slot][candidate * self.runs + r].saturating_add(self.grid.after[slot][candidate * self.runs + r]))
            .collect();
        let start = (candidate, least(&states));
        let mut before = Vec::new();
        let (mut at, mut from) = (start, slot);
        while from > 0 {
            at = self.came_from(from, at);
            if at == best[from - 1] {
                break;
            }
            before.push(at);
            from -= 1;
        }
        let mut states: Vec<State> = before.into_iter().rev().chain([start]).collect();
        let mut at = start;
        for (i, state) in best.iter().enumerate().skip(slot + 1) {
            at = self.goes_to(i, at);
            if at == *state {
                break;
            }
            states.push(at);
        }
        Detour { from, states }
    }

    /// For each slot whose price differs along a detour: the slot, the detour's price and the best plan's.
    pub fn differences(&self, best: &[State], detour: &Detour) -> Vec<(usize, Price, Price)> {
        let to = (detour.from + detour.states.len()).min(best.len().saturating_sub(1));
        let theirs = |i: usize| detour.state(i).unwrap_or(best[i]);
        (detour.from..=to)
            .map(|i| {
                let before = i.checked_sub(1);
                (i, self.price_at(i, before.map(theirs), theirs(i)), self.price_at(i, before.map(|b| best[b]), best[i]))
            })
            .collect()
    }
}

/// A candidate and how many measures its figure has run, less one.
pub type State = (usize, usize);

/// A stretch of another plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Detour {
    /// The first slot that differs.
    pub from: usize,
    pub states: Vec<State>,
}

impl Detour {
    /// The detour's state at a slot, where it differs from the best plan.
    pub fn state(&self, slot: usize) -> Option<State> {
        self.states.get(slot.checked_sub(self.from)?).copied()
    }
}

fn least(prices: &[i64]) -> usize {
    prices.iter().enumerate().min_by_key(|(i, p)| (**p, *i)).map_or(0, |(i, _)| i)
}

/// Keeping a figure costs nothing until it has had its time and a phrase begins.
fn keep_price(here: &Slot, run: usize, runs: usize) -> i64 {
    if here.opens_phrase && run >= runs { weights().too_long_the_same } else { 0 }
}

/// Changing it is free where a section begins, where nothing is played and at the very end; where a phrase begins it is free once the figure has had its time.
/// Inside a phrase it has a price, less where the chords change pace.
fn change_price(before: &Slot, here: &Slot, run: usize, runs: usize) -> i64 {
    if before.chord.is_none() || here.chord.is_none() || here.duty.section_first {
        0
    } else if here.opens_phrase || here.phrase != before.phrase {
        if run + 1 < runs { weights().change_early } else { 0 }
    } else if here.duty.peak || before.duty.peak {
        weights().to_a_peak
    } else if here.duty.phrase_end {
        weights().landing
    } else if before.length != here.length {
        weights().change_with_the_chords
    } else {
        weights().change_inside
    }
}
