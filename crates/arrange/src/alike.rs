//! Searches, and searches again where the same tune returns.
//!
//! Returns belong to the whole piece: slots with equal tune and chords form a class. For learners the figure with the least sum of min-marginals is taken and departures
//! from it get a price; from a certain fullness up copies get one; and the search runs again.

use crate::hand_time::Pluck;
use crate::joins::Joins;
use crate::measures::LaidMeasure;
use crate::plan::Plan;
use crate::principles::weight::weights;
use crate::search::{Found, Search};
use crate::slots::Slot;
use crate::task::Task;
use music::Beats;
use std::collections::BTreeMap;

/// The price of answering the same tune with another figure.
const OTHER_HAND: i64 = 1_000;
/// Searches in which copies are priced, at most.
const MOST_RETURNS: usize = 2;

/// Whether the min-marginals of a search are shown to anybody, or only its plan is needed: on the way to another level, or to be compared with others.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Marginals {
    Kept,
    Passing,
    Compared,
}

/// Searches, then again with what returns of the same tune ask for: for learners the same hand, from a certain fullness up another one.
pub(crate) fn search_alike(task: &Task, joins: &Joins, plan: &mut Plan, marginals: Marginals) {
    clear_alike(plan);
    let (same, other): (Vec<_>, Vec<_>) =
        classes(&plan.slots).into_values().partition(|members| plan.slots[members[0]].fullness < task.wishes.returns_vary_from());
    let cheapest = |plan: &Plan| match marginals {
        Marginals::Compared if same.is_empty() => cheapest(task, joins, plan),
        _ => search(task, joins, plan),
    };
    plan.found = cheapest(plan);
    let alike = price_departures(plan, &same);
    if !alike.0 || alike.1 && marginals == Marginals::Kept {
        plan.found = search(task, joins, plan);
    }
    for _ in 0..MOST_RETURNS {
        let copies = price_copies(plan, &other);
        let thrice = price_third_times(plan, task.wishes.returns_vary_from());
        if !copies && !thrice {
            break;
        }
        plan.found = cheapest(plan);
    }
}

/// A price on answering the same tune with another figure; whether the plan answers alike already, and whether anything was priced.
fn price_departures(plan: &mut Plan, classes: &[Vec<usize>]) -> (bool, bool) {
    let (mut alike, mut priced) = (true, false);
    for members in classes {
        let Some(figure) = common_figure(plan, members) else { continue };
        for slot in members {
            let candidates = &plan.choices[*slot].candidates;
            alike &= candidates[plan.found.chosen[*slot]].figure == figure;
            for (candidate, price) in candidates.iter().zip(&mut plan.extra[*slot]) {
                if candidate.figure != figure {
                    price.returns += OTHER_HAND;
                    priced = true;
                }
            }
        }
    }
    (alike, priced)
}

/// A price on plucking in a return exactly what was plucked before: on the bass, a little, and on the whole. Whether the plan has such copies.
fn price_copies(plan: &mut Plan, classes: &[Vec<usize>]) -> bool {
    let mut copies = false;
    for members in classes {
        let (choices, chosen, extra) = (&plan.choices, &plan.found.chosen, &mut plan.extra);
        let mut heard: Vec<&Vec<Pluck>> = Vec::new();
        // A close is a formula: the same one again is no copy.
        for slot in members.iter().filter(|slot| !plan.slots[**slot].duty.approach).collect::<Vec<_>>() {
            let here = &choices[*slot].candidates[chosen[*slot]].plucks;
            if heard.contains(&here) && !here.is_empty() {
                copies = true;
                for (candidate, price) in choices[*slot].candidates.iter().zip(&mut extra[*slot]) {
                    if heard.contains(&&candidate.plucks) {
                        price.returns += weights().copy;
                    }
                    if heard.iter().any(|h| h.first().map(|p| p.low()) == candidate.plucks.first().map(|p| p.low())) {
                        price.returns += weights().copied_bass;
                    }
                }
            }
            heard.push(here);
        }
    }
    copies
}

/// A price on plucking in a third measure running exactly what the two before it have at that place, and in a second measure of one chord. Whether the plan does so.
fn price_third_times(plan: &mut Plan, from: u8) -> bool {
    let places: BTreeMap<(LaidMeasure, Beats), usize> = plan.slots.iter().enumerate().map(|(i, s)| ((s.measure, s.at), i)).collect();
    let (slots, choices, chosen, extra) = (&plan.slots, &plan.choices, &plan.found.chosen, &mut plan.extra);
    let of = |slot: usize| &choices[slot].candidates[chosen[slot]].plucks;
    let mut priced = false;
    for (index, slot) in slots.iter().enumerate() {
        if slot.fullness < from || slot.chord.is_none() || slot.duty.last {
            continue;
        }
        let back = |by: usize| slot.measure.back(by).and_then(|m| places.get(&(m, slot.at))).copied();
        let here = of(index);
        let same = |by: usize| back(by).is_some_and(|other| of(other) == here);
        let price = match () {
            () if here.is_empty() || !same(1) => continue,
            () if same(2) => weights().third_time,
            () if slot.lasted > 0 => weights().second_time,
            () => continue,
        };
        priced = true;
        for (_, extra) in choices[index].candidates.iter().zip(&mut extra[index]).filter(|(c, _)| c.plucks == *here) {
            extra.returns += price;
        }
    }
    priced
}

fn clear_alike(plan: &mut Plan) {
    for price in plan.extra.iter_mut().flatten() {
        price.returns = 0;
    }
}

pub(crate) fn search(task: &Task, joins: &Joins, plan: &Plan) -> Found {
    let stages = plan.stages();
    let search = Search::again(&stages, joins, task.player, task.wishes.patience());
    let found = search.found();
    search.leave();
    found
}

/// The cheapest plan, without the min-marginals where a search is near that knows the rest.
fn cheapest(task: &Task, joins: &Joins, plan: &Plan) -> Found {
    let stages = plan.stages();
    Search::nearby(&stages, joins, task.player, task.wishes.patience()).unwrap_or_else(|| search(task, joins, plan))
}

/// The slots of each class that has more than one.
fn classes(slots: &[Slot]) -> BTreeMap<usize, Vec<usize>> {
    let mut all: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, slot) in slots.iter().enumerate().filter(|(_, s)| s.chord.is_some() && !s.duty.last) {
        if let Some(class) = slot.class {
            all.entry(class).or_default().push(index);
        }
    }
    all.retain(|_, members| members.len() > 1);
    all
}

/// The figure whose min-marginals sum to the least over the members, among those that all members can play.
fn common_figure(plan: &Plan, members: &[usize]) -> Option<usize> {
    let mut sums: BTreeMap<usize, (i64, usize)> = BTreeMap::new();
    for slot in members {
        let mut least: BTreeMap<usize, i64> = BTreeMap::new();
        for (candidate, price) in plan.choices[*slot].candidates.iter().zip(&plan.found.min_marginals[*slot]) {
            let here = least.entry(candidate.figure).or_insert(*price);
            *here = (*here).min(*price);
        }
        for (figure, price) in least {
            let sum = sums.entry(figure).or_default();
            *sum = (sum.0 + price, sum.1 + 1);
        }
    }
    sums.into_iter()
        .filter(|(_, (_, seen))| *seen == members.len())
        .min_by_key(|(figure, (sum, _))| (*sum, *figure))
        .map(|(figure, _)| figure)
}
