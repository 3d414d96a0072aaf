//! The plan: slots, their choices, and the search in rounds.
//!
//! "Same tune, same hand" belongs to the whole piece: for each class of slots with equal tune, chords and fullness the figure with the least sum of min-marginals is taken,
//! departures from it get a price, and the search runs again. Another way (variant 2, 3, …) raises the price of what the ways before chose.

use crate::candidates::{Choices, Ground, choices};
use crate::figures::Figures;
use crate::price::{Price, Principle};
use crate::search::{Found, Search, Stage};
use crate::slots::Slot;
use crate::tune::Tune;
use crate::view::{Manner, View};
use crate::wishes::Wishes;
use harmony::kind::KindOfTune;
use harp::{Instrument, Player};
use music::Tempo;
use std::collections::BTreeMap;

/// The price of answering the same tune with another figure.
const OTHER_HAND: i64 = 1_500;
/// The price of choosing again what an earlier variant chose.
const CHOSEN_BEFORE: i64 = 900;

/// Everything the planner decided, with what it decided from.
#[derive(Clone, Debug)]
pub struct Plan {
    pub slots: Vec<Slot>,
    pub choices: Vec<Choices>,
    pub extra: Vec<Vec<Price>>,
    pub found: Found,
}

/// What a plan is made for.
pub struct Task<'a> {
    pub tune: &'a Tune,
    pub figures: &'a Figures,
    pub harp: &'a Instrument,
    pub player: &'a Player,
    pub wishes: &'a Wishes,
    pub kind: KindOfTune,
    pub manner: Manner,
    pub tempo: Tempo,
}

impl Plan {
    pub fn stages(&self) -> Vec<Stage<'_>> {
        let all = self.slots.iter().zip(&self.choices).zip(&self.extra);
        all.map(|((slot, choices), extra)| Stage { slot, candidates: &choices.candidates, extra: extra.clone() }).collect()
    }

    pub fn density(&self) -> i64 {
        let chosen = self.choices.iter().zip(&self.found.chosen);
        chosen.map(|(choices, c)| crate::principles::density(&choices.candidates[*c].plucks)).sum()
    }
}

/// Plans the slots.
pub fn plan(task: &Task, slots: Vec<Slot>) -> Plan {
    let choices: Vec<Choices> = slots.iter().map(|slot| choices_of(task, slot)).collect();
    let extra = choices.iter().map(|c| vec![Price::default(); c.candidates.len()]).collect();
    let found = Found { chosen: Vec::new(), total: 0, min_marginals: Vec::new() };
    let mut plan = Plan { slots, choices, extra, found };
    for way in 1..=task.wishes.variant.max(1) {
        if way > 1 {
            raise_chosen(&mut plan);
        }
        search_alike(task, &mut plan);
    }
    plan
}

fn choices_of(task: &Task, slot: &Slot) -> Choices {
    let view = View::new(task.tune, slot, task.tempo, task.player, task.manner);
    let number = task.tune.sheet.measures[slot.measure].frame.number;
    let pin = task.wishes.pins.get(&number).and_then(|name| task.figures.find(name));
    let ground = Ground { figures: task.figures, harp: task.harp, wishes: task.wishes, kind: task.kind, pin };
    choices(&view, &ground)
}

fn raise_chosen(plan: &mut Plan) {
    for ((choices, chosen), extra) in plan.choices.iter().zip(&plan.found.chosen).zip(&mut plan.extra) {
        let figure = choices.candidates[*chosen].figure;
        for (candidate, price) in choices.candidates.iter().zip(extra) {
            if candidate.figure == figure && !candidate.plucks.is_empty() {
                price.add(Principle::Wish, CHOSEN_BEFORE);
            }
        }
    }
}

/// Searches once, then again with a price on answering the same tune with another figure.
fn search_alike(task: &Task, plan: &mut Plan) {
    clear_alike(plan);
    plan.found = search(task, plan);
    let classes = classes(&plan.slots);
    if classes.is_empty() {
        return;
    }
    for members in classes.values() {
        let Some(figure) = common_figure(plan, members) else { continue };
        for slot in members {
            for (candidate, price) in plan.choices[*slot].candidates.iter().zip(&mut plan.extra[*slot]) {
                if candidate.figure != figure {
                    price.add(Principle::SameTuneSameHand, OTHER_HAND);
                }
            }
        }
    }
    plan.found = search(task, plan);
}

fn clear_alike(plan: &mut Plan) {
    for price in plan.extra.iter_mut().flatten() {
        let part = price.part(Principle::SameTuneSameHand);
        price.add(Principle::SameTuneSameHand, -part);
    }
}

fn search(task: &Task, plan: &Plan) -> Found {
    let stages = plan.stages();
    Search::new(&stages, task.tempo, task.player, task.wishes.patience()).found()
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
    sums.into_iter().filter(|(_, (_, seen))| *seen == members.len()).min_by_key(|(figure, (sum, _))| (*sum, *figure)).map(|(figure, _)| figure)
}
