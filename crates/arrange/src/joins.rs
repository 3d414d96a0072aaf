//! What it costs to go from a candidate of one slot to one of the next: tables that all searches of a piece share.
//!
//! Pair prices depend only on how a candidate leaves and enters. Keeping the figure pairs only candidates of one figure; changing it starts a new run, so only the
//! least price of each exit matters, with a second one of another figure, since a change is to another figure.

use crate::candidates::Candidate;
use crate::principles::{Entry, Exit, Step, groove, ring, thinner, travel};
use crate::stages::{Grid, Stage};
use harp::Player;
use rustc_hash::FxBuildHasher;
use std::collections::{BTreeMap, HashMap};
use std::hash::Hash;
use std::ops::Range;
use std::sync::Mutex;

/// No plan; far above any price and far below overflow.
pub(crate) const NONE: i64 = i64::MAX / 4;

/// The pair prices along a row of stages. They do not depend on further prices, so rounds share them.
pub struct Joins {
    pub(crate) between: Vec<Join>,
    /// What searches left to the next ones.
    lately: Mutex<Vec<Grid>>,
}

/// Searches that are kept: as many as one round makes, and one.
const KEPT: usize = 4;

impl Joins {
    pub fn new(stages: &[Stage], player: &Player) -> Joins {
        let (first, second) = (stages.len() / 2, stages.len().saturating_sub(1));
        let some = |range: Range<usize>| -> Vec<Join> { range.map(|i| join(&stages[i], &stages[i + 1], player)).collect() };
        let between = std::thread::scope(|scope| {
            let later = scope.spawn(|| some(first.min(second)..second));
            let mut all = some(0..first.min(second));
            all.extend(later.join().expect("pair prices do not panic"));
            all
        });
        Joins { between, lately: Mutex::default() }
    }

    /// Takes the search that is most like one with these own prices, if one helps.
    pub(crate) fn nearest(&self, own: &[Vec<i64>]) -> Grid {
        let mut lately = self.lately.lock().expect("a search that was left is whole");
        let near = (0..lately.len()).map(|i| (lately[i].far(own), i)).min().filter(|(far, _)| *far < own.len() * 2);
        near.map(|(_, i)| lately.remove(i)).unwrap_or_default()
    }

    pub(crate) fn keep(&self, grid: Grid) {
        let mut lately = self.lately.lock().expect("a search that was left is whole");
        lately.push(grid);
        let over = lately.len().saturating_sub(KEPT);
        lately.drain(..over);
    }
}

impl Joins {
    /// The price of going from a candidate of a slot to one of the next.
    pub(crate) fn price(&self, slot: usize, from: usize, to: usize) -> i64 {
        self.between[slot].price(from, to)
    }
}

/// Pair prices between two neighbouring slots.
pub(crate) struct Join {
    pub exit_of: Vec<usize>,
    pub entry_of: Vec<usize>,
    pub entries: usize,
    prices: Vec<i64>,
    /// No pair is cheaper.
    pub least: i64,
    kept: Vec<Kept>,
}

/// The candidates of one figure on both sides, and the price of each pair of them: for each one that is come to, all that are left.
struct Kept {
    from: Range<usize>,
    to: Range<usize>,
    prices: Vec<i64>,
}

impl Join {
    pub fn price(&self, from: usize, to: usize) -> i64 {
        self.prices[self.exit_of[from] * self.entries + self.entry_of[to]]
    }

    pub fn exits(&self) -> usize {
        self.prices.len() / self.entries.max(1)
    }

    /// The prices from an exit to each entry.
    fn row(&self, exit: usize) -> &[i64] {
        &self.prices[exit * self.entries..(exit + 1) * self.entries]
    }

    /// The least price of each state of the next slot, come to from the states before with the same figure.
    pub fn keep_forward(&self, runs: usize, before: &[i64], row: &mut [i64]) {
        // The usual number, where it is known beforehand, takes half the work.
        match runs {
            USUAL_RUNS => self.forward(USUAL_RUNS, before, row),
            _ => self.forward(runs, before, row),
        }
        row.iter_mut().filter(|p| **p > UNREACHED).for_each(|p| *p = NONE);
    }

    #[inline(always)]
    fn forward(&self, runs: usize, before: &[i64], row: &mut [i64]) {
        for kept in &self.kept {
            let states = &before[kept.from.start * runs..kept.from.end * runs];
            let targets = row[kept.to.start * runs..kept.to.end * runs].chunks_exact_mut(runs);
            for (target, prices) in targets.zip(kept.prices.chunks_exact(kept.from.len())) {
                for (states, price) in states.chunks_exact(runs).zip(prices) {
                    lower(target, states, *price);
                }
            }
        }
    }

    /// The least price after each state, going on to the states of the next slot with the same figure.
    pub fn keep_backward(&self, runs: usize, following: &[i64], row: &mut [i64]) {
        match runs {
            USUAL_RUNS => self.backward(USUAL_RUNS, following, row),
            _ => self.backward(runs, following, row),
        }
        row.iter_mut().filter(|p| **p > UNREACHED).for_each(|p| *p = NONE);
    }

    #[inline(always)]
    fn backward(&self, runs: usize, following: &[i64], row: &mut [i64]) {
        for kept in &self.kept {
            let states = following[kept.to.start * runs..kept.to.end * runs].chunks_exact(runs);
            for (states, prices) in states.zip(kept.prices.chunks_exact(kept.from.len())) {
                let targets = row[kept.from.start * runs..kept.from.end * runs].chunks_exact_mut(runs);
                targets.zip(prices).for_each(|(target, price)| lower(target, states, *price));
            }
        }
    }

    /// From the least two prices of each exit those of each entry.
    pub fn at_entries(&self, exits: &[Two]) -> Vec<Two> {
        let mut into = vec![Two::NONE; self.entries];
        let mut order: Vec<usize> = (0..exits.len()).filter(|x| exits[*x].first.0 < NONE).collect();
        order.sort_by_key(|x| exits[*x].first.0);
        // The exits come in order of price: once even the cheapest pair is no help to any entry, nothing after it is.
        for some in order.chunks(AT_ONCE) {
            let worst = into.iter().map(|two| two.second.0).max().unwrap_or(NONE);
            if exits[some[0]].first.0 + self.least >= worst {
                break;
            }
            for exit in some {
                into.iter_mut().zip(self.row(*exit)).for_each(|(into, pair)| into.offer_both(exits[*exit], *pair));
            }
        }
        into
    }

    /// From the least two prices of each entry those of each exit.
    pub fn out_of_exits(&self, entries: &[Two]) -> Vec<Two> {
        let mut order: Vec<usize> = (0..entries.len()).filter(|e| entries[*e].first.0 < NONE).collect();
        order.sort_by_key(|e| entries[*e].first.0);
        let out = |exit: usize| {
            let (mut out, row) = (Two::NONE, self.row(exit));
            for entry in &order {
                if entries[*entry].first.0 + self.least >= out.second.0 {
                    break;
                }
                out.offer_both(entries[*entry], row[*entry]);
            }
            out
        };
        (0..self.exits()).map(out).collect()
    }
}

/// Exits that are offered before the worst entry is looked at again.
const AT_ONCE: usize = 4;

/// How long a figure's run is followed where nothing else is wished ([`crate::Wishes::patience`]), and one.
const USUAL_RUNS: usize = 5;

/// A price above this was reached from nowhere.
const UNREACHED: i64 = NONE / 2;

/// Lowers each price to the one from another state, where that is less. Sums wrap: prices stay far below the limits of the number, and a check for each would be half the work.
#[inline(always)]
fn lower(prices: &mut [i64], from: &[i64], further: i64) {
    for (price, from) in prices.iter_mut().zip(from) {
        *price = from.wrapping_add(further).min(*price);
    }
}

/// The least two prices of two different figures.
#[derive(Clone, Copy)]
pub(crate) struct Two {
    first: (i64, usize),
    second: (i64, usize),
}

impl Two {
    pub const NONE: Two = Two { first: (NONE, usize::MAX), second: (NONE, usize::MAX) };

    pub fn offer(&mut self, price: i64, figure: usize) {
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

    pub fn other_than(self, figure: usize) -> i64 {
        if self.first.1 == figure { self.second.0 } else { self.first.0 }
    }
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
/// Where another hand goes on, nothing passes from one to the other.
fn join(before: &Stage, here: &Stage, player: &Player) -> Join {
    let (exit_of, exits): (Vec<usize>, Vec<&Exit>) = numbered(before.candidates.iter().map(|c| &c.exit));
    let (entry_of, entries): (Vec<usize>, Vec<&Entry>) = numbered(here.candidates.iter().map(|c| &c.entry));
    let step = Step::new(before.slot, here.slot);
    let chord = here.slot.chord_bits();
    let hands = Table::new(
        exits.iter().map(|x| (x.hand, x.before_end, &x.recent)),
        entries.iter().map(|e| (e.hand, e.after_start, e.together, &e.early)),
        |x, e| travel(exits[x], entries[e], (player, here.slot.hand)),
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
    let grooves = Table::new(exits.iter().map(|x| (x.groove, x.rate)), entries.iter().map(|e| (e.groove, e.rate)), |x, e| {
        groove(exits[x].groove, entries[e].groove) + thinner(exits[x].rate, entries[e].rate)
    });
    let tables = [&hands, &basses, &shapes, &rings, &grooves];
    let passes = before.slot.hand == here.slot.hand;
    let mut prices = vec![0; exits.len() * entries.len()];
    for (row, x) in prices.chunks_mut(entries.len().max(1)).zip(0..).filter(|_| passes) {
        let parts = tables.map(|table| (table.row(x), &table.entry_of[..row.len()]));
        for (e, sum) in row.iter_mut().enumerate() {
            *sum = parts.iter().map(|(prices, entry_of)| prices[entry_of[e]]).sum();
        }
    }
    let least = prices.iter().copied().min().unwrap_or(0);
    let mut join = Join { exit_of, entry_of, entries: entries.len(), prices, least, kept: Vec::new() };
    join.kept = kept(&join, before.candidates, here.candidates);
    join
}

/// The pairs of each figure that both slots have.
fn kept(join: &Join, before: &[Candidate], here: &[Candidate]) -> Vec<Kept> {
    let (left, entered) = (by_figure(before), by_figure(here));
    let both = left.into_iter().filter_map(|(figure, from)| Some((from, entered.get(&figure)?.clone())));
    let priced = |(from, to): (Range<usize>, Range<usize>)| {
        let prices = to.clone().flat_map(|t| from.clone().map(move |f| (f, t))).map(|(f, t)| join.price(f, t)).collect();
        Kept { from, to, prices }
    };
    both.map(priced).collect()
}

/// One part of the pair prices: a number for what it sees of each exit and entry, and a price for each pair of numbers.
struct Table {
    exit_of: Vec<usize>,
    entry_of: Vec<usize>,
    entries: usize,
    prices: Vec<i64>,
}

impl Table {
    fn new<X: Hash + Eq, E: Hash + Eq>(
        exits: impl Iterator<Item = X>,
        entries: impl Iterator<Item = E>,
        price: impl Fn(usize, usize) -> i64,
    ) -> Table {
        let (exit_of, firsts) = first_places(exits);
        let (entry_of, seconds) = first_places(entries);
        let mut prices = Vec::with_capacity(firsts.len() * seconds.len());
        for x in firsts {
            prices.extend(seconds.iter().map(|e| price(x, *e)));
        }
        Table { exit_of, entry_of, entries: seconds.len(), prices }
    }

    fn row(&self, exit: usize) -> &[i64] {
        let from = self.exit_of[exit] * self.entries;
        &self.prices[from..from + self.entries]
    }
}

/// A number for each different thing, in the order of first appearance, and where each first appears.
fn first_places<T: Hash + Eq>(all: impl Iterator<Item = T>) -> (Vec<usize>, Vec<usize>) {
    let mut numbers: HashMap<T, usize, FxBuildHasher> = HashMap::default();
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
fn numbered<'t, T: Hash + Eq>(all: impl Iterator<Item = &'t T>) -> (Vec<usize>, Vec<&'t T>) {
    let mut numbers: HashMap<&T, usize, FxBuildHasher> = HashMap::default();
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
