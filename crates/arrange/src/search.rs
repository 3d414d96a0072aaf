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
//! enters, so they are a table of exits and entries. Keeping the figure pairs only candidates of one figure; changing it starts
//! a new run, so only the least price of each exit matters (with a second one of another figure, since a change is to another figure).

use crate::candidates::Candidate;
use crate::price::{Price, Principle};
use crate::principles::{Entry, Exit, Step, chord_bits, pair, ring, travel, weight};
use crate::slots::Slot;
use harp::Player;
use std::collections::BTreeMap;
use std::ops::Range;

/// No plan; far above any price and far below overflow.
const NONE: i64 = i64::MAX / 4;

/// One slot with its candidates, as the search sees it.
pub struct Stage<'a> {
    pub slot: &'a Slot,
    pub candidates: &'a [Candidate],
    /// Further price of each candidate: wishes, "same tune, same hand".
    pub extra: &'a [Price],
}

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
    own: Vec<Vec<i64>>,
    best: Vec<Vec<i64>>,
    after: Vec<Vec<i64>>,
    joins: &'a Joins,
}

/// The pair prices along a row of stages. They do not depend on further prices, so rounds share them.
pub struct Joins(Vec<Join>);

impl Joins {
    pub fn new(stages: &[Stage], player: &Player) -> Joins {
        let (first, second) = (stages.len() / 2, stages.len().saturating_sub(1));
        let some = |range: Range<usize>| -> Vec<Join> { range.map(|i| join(&stages[i], &stages[i + 1], player)).collect() };
        Joins(std::thread::scope(|scope| {
            let later = scope.spawn(|| some(first.min(second)..second));
            let mut all = some(0..first.min(second));
            all.extend(later.join().expect("pair prices do not panic"));
            all
        }))
    }
}

impl Joins {
    /// The price of going from a candidate of a slot to one of the next.
    pub(crate) fn price(&self, slot: usize, from: usize, to: usize) -> i64 {
        self.0[slot].price(from, to)
    }
}

/// Pair prices between two neighbouring slots.
struct Join {
    exit_of: Vec<usize>,
    entry_of: Vec<usize>,
    entries: usize,
    prices: Vec<i64>,
}

impl Join {
    fn price(&self, from: usize, to: usize) -> i64 {
        self.prices[self.exit_of[from] * self.entries + self.entry_of[to]]
    }

    fn exits(&self) -> usize {
        self.prices.len() / self.entries.max(1)
    }
}

impl<'a> Search<'a> {
    /// Runs both passes.
    pub fn new(stages: &'a [Stage<'a>], joins: &'a Joins, player: &'a Player, patience: u32) -> Search<'a> {
        let runs = patience as usize + 1;
        let own =
            stages.iter().map(|s| s.candidates.iter().zip(s.extra).map(|(c, extra)| c.price.total() + extra.total()).collect()).collect();
        let mut search = Search { stages, player, runs, own, best: Vec::new(), after: Vec::new(), joins };
        // The passes do not see each other, so they run side by side.
        let (best, after) = std::thread::scope(|scope| {
            let after = scope.spawn(|| search.backward());
            (search.forward(), after.join().expect("the backward pass does not panic"))
        });
        (search.best, search.after) = (best, after);
        search
    }

    fn own(&self, slot: usize, candidate: usize) -> i64 {
        self.own[slot][candidate]
    }

    fn forward(&self) -> Vec<Vec<i64>> {
        let mut rows: Vec<Vec<i64>> = Vec::with_capacity(self.stages.len());
        for i in 0..self.stages.len() {
            let mut row = vec![NONE; self.stages[i].candidates.len() * self.runs];
            if i == 0 {
                for c in 0..self.stages[0].candidates.len() {
                    row[c * self.runs] = self.own(0, c);
                }
            } else {
                self.keep_forward(i, &rows[i - 1], &mut row);
                self.change_forward(i, &rows[i - 1], &mut row);
                for (state, price) in row.iter_mut().enumerate().filter(|(_, p)| **p < NONE) {
                    *price += self.own(i, state / self.runs);
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
        let (before, here) = (&self.stages[i - 1], &self.stages[i]);
        let groups = by_figure(before.candidates);
        let (keeps, longer) = self.keeping(i);
        for (c, candidate) in here.candidates.iter().enumerate() {
            for from in groups.get(&candidate.figure).cloned().into_iter().flatten() {
                let pair = self.joins.0[i - 1].price(from, c) + groove(&before.candidates[from], candidate);
                let states = &last[from * self.runs..(from + 1) * self.runs];
                for ((price, keep), to) in states.iter().zip(&keeps).zip(&longer) {
                    let state = c * self.runs + to;
                    row[state] = row[state].min((price + pair + keep).min(NONE));
                }
            }
        }
    }

    fn change_forward(&self, i: usize, last: &[i64], row: &mut [i64]) {
        let (before, here) = (&self.stages[i - 1], &self.stages[i]);
        let join = &self.joins.0[i - 1];
        let changes = self.change_prices(i);
        let mut least = vec![Two::NONE; join.exits()];
        for (from, candidate) in before.candidates.iter().enumerate() {
            let states = last[from * self.runs..].iter().zip(&changes);
            let price = states.map(|(price, change)| (price + change).min(NONE)).min().unwrap_or(NONE);
            least[join.exit_of[from]].offer(price, candidate.figure);
        }
        let mut into = vec![Two::NONE; join.entries];
        for (exit, two) in least.iter().enumerate() {
            let prices = &join.prices[exit * join.entries..(exit + 1) * join.entries];
            into.iter_mut().zip(prices).for_each(|(into, pair)| into.offer_both(*two, *pair));
        }
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

    fn backward(&self) -> Vec<Vec<i64>> {
        let slots = self.stages.len();
        let mut rows = vec![Vec::new(); slots];
        for i in (0..slots).rev() {
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
        let (here, next) = (&self.stages[i], &self.stages[i + 1]);
        let groups = by_figure(next.candidates);
        let (keeps, longer) = self.keeping(i + 1);
        for (c, candidate) in here.candidates.iter().enumerate() {
            for to in groups.get(&candidate.figure).cloned().into_iter().flatten() {
                let fixed = self.joins.0[i].price(c, to) + self.own(i + 1, to) + groove(candidate, &next.candidates[to]);
                let states = &following[to * self.runs..(to + 1) * self.runs];
                let row = &mut row[c * self.runs..(c + 1) * self.runs];
                for ((state, keep), to) in row.iter_mut().zip(&keeps).zip(&longer) {
                    *state = (*state).min((states[*to] + fixed + keep).min(NONE));
                }
            }
        }
    }

    fn change_backward(&self, i: usize, following: &[i64], row: &mut [i64]) {
        let (here, next) = (&self.stages[i], &self.stages[i + 1]);
        let join = &self.joins.0[i];
        let changes = self.change_prices(i + 1);
        let mut least = vec![Two::NONE; join.entries];
        for (to, candidate) in next.candidates.iter().enumerate() {
            let after = following[to * self.runs];
            if after < NONE {
                least[join.entry_of[to]].offer(after + self.own(i + 1, to), candidate.figure);
            }
        }
        let mut out_of = vec![Two::NONE; join.exits()];
        for (exit, out) in out_of.iter_mut().enumerate() {
            let prices = &join.prices[exit * join.entries..(exit + 1) * join.entries];
            least.iter().zip(prices).for_each(|(two, pair)| out.offer_both(*two, *pair));
        }
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
        let state = |s: usize| self.best[i][s].saturating_add(self.after[i][s]).min(NONE);
        let candidates = self.stages[i].candidates.len();
        (0..candidates).map(|c| (0..self.runs).map(|r| state(c * self.runs + r)).min().unwrap_or(NONE)).collect()
    }

    /// The best plan, or the best that uses a candidate at a slot. Ties go to the earlier candidate and the shorter run.
    pub fn plan_through(&self, fixed: Option<(usize, usize)>) -> Vec<usize> {
        let Some(last) = self.stages.len().checked_sub(1) else { return Vec::new() };
        let (slot, candidate) = fixed.unwrap_or_else(|| (last, least(&self.min_marginals(last))));
        let states: Vec<i64> = (0..self.runs)
            .map(|r| self.best[slot][candidate * self.runs + r].saturating_add(self.after[slot][candidate * self.runs + r]))
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
            true if self.longer(from.1, i) == to.1 => {
                keep_price(here.slot, from.1 + 1, self.runs) + groove(&before.candidates[from.0], &here.candidates[to.0])
            }
            false if to.1 == 0 => change_price(before.slot, here.slot, from.1 + 1, self.runs),
            _ => return NONE,
        };
        self.joins.0[i - 1].price(from.0, to.0) + run
    }

    fn came_from(&self, i: usize, to: (usize, usize)) -> (usize, usize) {
        let wanted = self.best[i][to.0 * self.runs + to.1] - self.own(i, to.0);
        self.all_states(i - 1)
            .find(|from| {
                let price = self.best[i - 1][from.0 * self.runs + from.1];
                price < NONE && self.step(i, *from, to).saturating_add(price) == wanted
            })
            .expect("the price of a state comes from a state before it")
    }

    fn goes_to(&self, i: usize, from: (usize, usize)) -> (usize, usize) {
        let wanted = self.after[i - 1][from.0 * self.runs + from.1];
        self.all_states(i)
            .find(|to| {
                let after = self.after[i][to.0 * self.runs + to.1];
                after < NONE && self.step(i, from, *to).saturating_add(after).saturating_add(self.own(i, to.0)) == wanted
            })
            .expect("the price after a state comes from a state after it")
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
            let keep = if keeps {
                keep_price(stage.slot, run, self.runs) + groove(previous, candidate)
            } else {
                change_price(last.slot, stage.slot, run, self.runs)
            };
            price.add(Principle::SteadyFigure, keep);
        }
        price
    }

    /// The best plan that uses a candidate at a slot, told only where it leaves the best plan of all.
    pub fn detour(&self, best: &[State], slot: usize, candidate: usize) -> Detour {
        let states: Vec<i64> = (0..self.runs)
            .map(|r| self.best[slot][candidate * self.runs + r].saturating_add(self.after[slot][candidate * self.runs + r]))
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

/// The least two prices of two different figures.
#[derive(Clone, Copy)]
struct Two {
    first: (i64, usize),
    second: (i64, usize),
}

impl Two {
    const NONE: Two = Two { first: (NONE, usize::MAX), second: (NONE, usize::MAX) };

    fn offer(&mut self, price: i64, figure: usize) {
        if figure == self.first.1 {
            self.first.0 = self.first.0.min(price);
        } else if price < self.first.0 {
            (self.second, self.first) = (self.first, (price, figure));
        } else if price < self.second.0 || figure == self.second.1 {
            self.second = (self.second.0.min(price), figure);
        }
    }

    /// Offers both of another pair, each with a further price.
    fn offer_both(&mut self, other: Two, further: i64) {
        if other.first.0 + further >= self.second.0 {
            return;
        }
        for (price, figure) in [other.first, other.second] {
            if price < NONE {
                self.offer(price + further, figure);
            }
        }
    }

    fn other_than(self, figure: usize) -> i64 {
        if self.first.1 == figure { self.second.0 } else { self.first.0 }
    }
}

fn least(prices: &[i64]) -> usize {
    prices.iter().enumerate().min_by_key(|(i, p)| (**p, *i)).map_or(0, |(i, _)| i)
}

/// Where the candidates of each figure stand; they are in the order of the figures.
fn by_figure(candidates: &[Candidate]) -> BTreeMap<usize, Range<usize>> {
    let mut groups: BTreeMap<usize, Range<usize>> = BTreeMap::new();
    for (index, candidate) in candidates.iter().enumerate() {
        groups.entry(candidate.figure).or_insert(index..index).end = index + 1;
    }
    groups
}

/// Pair prices are sums of parts that each see little of an exit and an entry, so each part is a small table of its own.
fn join(before: &Stage, here: &Stage, player: &Player) -> Join {
    let (exit_of, exits): (Vec<usize>, Vec<&Exit>) = numbered(before.candidates.iter().map(|c| &c.exit));
    let (entry_of, entries): (Vec<usize>, Vec<&Entry>) = numbered(here.candidates.iter().map(|c| &c.entry));
    let step = Step::new(before.slot, here.slot);
    let chord = chord_bits(here.slot);
    let hands = Table::new(
        exits.iter().map(|x| (x.hand, x.before_end, &x.recent)),
        entries.iter().map(|e| (e.hand, e.after_start, e.together, &e.early)),
        |x, e| travel(exits[x], entries[e], player),
    );
    let basses = Table::new(exits.iter().map(|x| (x.line.bass, x.lead)), entries.iter().map(|e| e.line.bass), |x, e| {
        step.bass(exits[x].line.bass, exits[x].lead, entries[e].line.bass)
    });
    let shapes = Table::new(exits.iter().map(|x| (x.line, x.seventh)), entries.iter().map(|e| e.line), |x, e| {
        step.shape(exits[x].line, exits[x].seventh, entries[e].line)
    });
    let rings = Table::new(exits.iter().map(|x| (x.ringing, x.low_bass)), entries.iter().map(|e| e.line.bass), |x, e| {
        ring(exits[x], entries[e], chord)
    });
    let tables = [&hands, &basses, &shapes, &rings];
    let mut prices = vec![0; exits.len() * entries.len()];
    for (row, x) in prices.chunks_mut(entries.len().max(1)).zip(0..) {
        tables.iter().for_each(|table| table.add_row(x, row));
    }
    Join { exit_of, entry_of, entries: entries.len(), prices }
}

/// One part of the pair prices: a number for what it sees of each exit and entry, and a price for each pair of numbers.
struct Table {
    exit_of: Vec<usize>,
    entry_of: Vec<usize>,
    entries: usize,
    prices: Vec<i64>,
}

impl Table {
    fn new<X: Ord, E: Ord>(exits: impl Iterator<Item = X>, entries: impl Iterator<Item = E>, price: impl Fn(usize, usize) -> i64) -> Table {
        let (exit_of, firsts) = first_places(exits);
        let (entry_of, seconds) = first_places(entries);
        let prices = firsts.iter().flat_map(|x| seconds.iter().map(|e| price(*x, *e)).collect::<Vec<_>>()).collect();
        Table { exit_of, entry_of, entries: seconds.len(), prices }
    }

    fn add_row(&self, exit: usize, row: &mut [i64]) {
        let from = self.exit_of[exit] * self.entries;
        let prices = &self.prices[from..from + self.entries];
        row.iter_mut().zip(&self.entry_of).for_each(|(sum, e)| *sum += prices[*e]);
    }
}

/// A number for each different thing, in the order of first appearance, and where each first appears.
fn first_places<T: Ord>(all: impl Iterator<Item = T>) -> (Vec<usize>, Vec<usize>) {
    let mut numbers: BTreeMap<T, usize> = BTreeMap::new();
    let mut firsts = Vec::new();
    let of = all
        .enumerate()
        .map(|(place, thing)| {
            *numbers.entry(thing).or_insert_with(|| {
                firsts.push(place);
                firsts.len() - 1
            })
        })
        .collect();
    (of, firsts)
}

/// Gives equal things one number, in the order of their first appearance.
fn numbered<'t, T: Ord>(all: impl Iterator<Item = &'t T>) -> (Vec<usize>, Vec<&'t T>) {
    let mut numbers: BTreeMap<&T, usize> = BTreeMap::new();
    let mut distinct = Vec::new();
    let of = all
        .map(|thing| {
            *numbers.entry(thing).or_insert_with(|| {
                distinct.push(thing);
                distinct.len() - 1
            })
        })
        .collect();
    (of, distinct)
}

/// Within one figure another job brings another rhythm; the same job in another rhythm breaks the groove.
fn groove(before: &Candidate, here: &Candidate) -> i64 {
    if before.job == here.job && before.rhythm != here.rhythm { weight::RHYTHM_CHANGED } else { 0 }
}

/// Keeping a figure costs nothing until it has had its time and a phrase begins.
fn keep_price(here: &Slot, run: usize, runs: usize) -> i64 {
    if here.opens_phrase && run >= runs { weight::TOO_LONG_THE_SAME } else { 0 }
}

/// Changing it is free where a section begins, where nothing is played and at the very end; where a phrase begins it is free once the figure has had its time.
/// Inside a phrase it has a price, less where the chords change pace.
fn change_price(before: &Slot, here: &Slot, run: usize, runs: usize) -> i64 {
    if before.chord.is_none() || here.chord.is_none() || here.duty.section_first {
        0
    } else if here.opens_phrase || here.phrase != before.phrase {
        if run + 1 < runs { weight::CHANGE_EARLY } else { 0 }
    } else if here.duty.phrase_end {
        weight::LANDING
    } else if before.length != here.length {
        weight::CHANGE_WITH_THE_CHORDS
    } else {
        weight::CHANGE_INSIDE
    }
}
