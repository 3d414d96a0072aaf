//! From slots to a plan: all candidates, the levels of fullness one after another, other ways of the whole, and at last the rounds with levers or pedals.
//!
//! Another way (variant 2, 3, …) raises the price of what the ways before chose. Levers and pedals belong to the whole piece: see [`crate::rounds`].

use crate::alike::{Marginals, search, search_alike};
use crate::apart::{Heard, WHOLE};
use crate::candidates::Candidates;
use crate::charges::{Charges, Reserved};
use crate::filling::{Ground, fill};
use crate::joins::Joins;
use crate::kept::Kept;
use crate::plan::{Plan, Settled};
use crate::price::{Extra, Price, Principle};
use crate::principles::{self, Rules};
use crate::rounds;
use crate::search::Found;
use crate::slots::Slot;
use crate::stages::prices_of;
use crate::task::{Task, view};
use harp::page::PageSettings;

/// The price of plucking again what an earlier way did, by how like it is, and of its figure.
const CHOSEN_BEFORE: i64 = 700;
const FIGURE_BEFORE: i64 = 300;
/// The reward on a pluck or note when a plan has no more of them than one level of fullness down, and how often it is raised.
const REWARD: i64 = 120;
const MOST_RAISES: usize = 5;
const RAISES_FOR_MORE: usize = 1;

/// Plans the slots.
pub fn plan(task: &Task, slots: Vec<Slot>, alone: &PageSettings) -> Plan {
    let choices = all_choices(task, &slots);
    let extra = choices.iter().map(|c| vec![Extra::default(); c.candidates.len()]).collect();
    let found = Found { chosen: Vec::new(), total: 0, min_marginals: Vec::new() };
    let prices = choices.iter().map(|c| prices_of(&c.candidates)).collect();
    let settled = Settled { page: alone.clone(), beyond: 0 };
    let mut plan = Plan { slots, choices, prices, extra, charged: Charges::default(), found, settled };
    let joins = Joins::new(&plan.stages(), task.player);
    let charges = Charges::foreseen(task, &plan.slots, alone, &Reserved::new());
    plan.put(task, &charges);
    climb(task, &joins, &mut plan);
    ways(task, &joins, &mut plan);
    rounds::settle(task, &joins, &mut plan, charges, alone);
    plan
}

/// Left-hand plucks and notes of a plan.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Amount {
    plucks: i64,
    notes: i64,
}

fn amount(plan: &Plan) -> Amount {
    let chosen = plan.choices.iter().zip(&plan.found.chosen).map(|(choices, c)| &choices.candidates[*c].plucks);
    chosen.fold(Amount { plucks: 0, notes: 0 }, |sum, plucks| Amount {
        plucks: sum.plucks + plucks.len() as i64,
        notes: sum.notes + plucks.iter().map(|p| p.pitches.len() as i64).sum::<i64>(),
    })
}

/// Plans the levels of fullness one after another up to the wished one, each with at least as many plucks and notes as the one below. The theorem at
/// [`principles::growth_change`] is about plucks and notes added up; "same tune, same hand" and the trade of one against the other could still make one
/// of them fall, and a player who asks for more wants neither to.
fn climb(task: &Task, joins: &Joins, plan: &mut Plan) {
    let lowest = plan.slots.iter().map(|s| s.fullness).min().unwrap_or(0);
    let steps = lowest.saturating_sub(1);
    let wished: Vec<(u8, Vec<Price>)> =
        plan.slots.iter().zip(&plan.choices).map(|(s, c)| (s.fullness, c.candidates.iter().map(|c| c.price).collect())).collect();
    lower_by(task, plan, &wished, steps);
    search_alike(task, joins, plan, if steps == 0 { Marginals::Kept } else { Marginals::Passing });
    for step in 1..=steps {
        let floor = amount(plan);
        lower_by(task, plan, &wished, steps - step);
        search_alike(task, joins, plan, if step == steps { Marginals::Kept } else { Marginals::Passing });
        raise_to(task, joins, plan, floor);
    }
}

/// Every slot so many levels below the wished one.
fn lower_by(task: &Task, plan: &mut Plan, wished: &[(u8, Vec<Price>)], steps: u8) {
    for ((slot, choices), (fullness, prices)) in plan.slots.iter_mut().zip(&mut plan.choices).zip(wished) {
        slot.fullness = *fullness;
        choices.candidates.iter_mut().zip(prices).for_each(|(candidate, price)| candidate.price = *price);
        let level = fullness - steps;
        if level == *fullness {
            continue;
        }
        let (from, to) = (Rules::of(*fullness), Rules::of(level));
        if from != to && slot.chord.is_some() {
            let view = view(task, slot);
            for candidate in &mut choices.candidates {
                candidate.price += principles::rules_change(&view, &candidate.plucks, from, to);
            }
        }
        if !slot.duty.last && slot.chord.is_some() {
            for candidate in &mut choices.candidates {
                let change = principles::growth_change(slot, *fullness, level, &candidate.plucks);
                candidate.price.add(Principle::Curve, change);
            }
        }
        slot.fullness = level;
    }
    plan.prices = plan.choices.iter().map(|c| prices_of(&c.candidates)).collect();
}

/// A reward on notes (and on plucks, where those are short), twice as much each time, until there are more of both than one level down. A small reward is tried for
/// "more", a large one only for "not fewer"; where nothing helps, the first plan stays that has no fewer of either.
fn raise_to(task: &Task, joins: &Joins, plan: &mut Plan, floor: Amount) {
    let mut kept = None;
    let mut reward = REWARD;
    for raise in 0..=MOST_RAISES {
        let now = amount(plan);
        let (plucks, notes) = (now.plucks > floor.plucks, now.notes > floor.notes);
        if plucks && notes {
            return;
        }
        if kept.is_none() && now.plucks >= floor.plucks && now.notes >= floor.notes {
            kept = Some((plan.extra.clone(), plan.found.clone()));
        }
        if raise >= RAISES_FOR_MORE && kept.is_some() {
            break;
        }
        add_reward(plan, if plucks { 0 } else { reward }, reward);
        plan.found = search(task, joins, plan);
        reward *= 2;
    }
    if let Some((extra, found)) = kept {
        (plan.extra, plan.found) = (extra, found);
    }
}

fn add_reward(plan: &mut Plan, for_pluck: i64, for_note: i64) {
    for (choices, extra) in plan.choices.iter().zip(&mut plan.extra) {
        for (candidate, price) in choices.candidates.iter().zip(extra) {
            let notes: i64 = candidate.plucks.iter().map(|p| p.pitches.len() as i64).sum();
            price.curve -= for_pluck * candidate.plucks.len() as i64 + for_note * notes;
        }
    }
}

fn ways(task: &Task, joins: &Joins, plan: &mut Plan) {
    let wished = amount(plan);
    for _ in 1..task.wishes.variant.max(1) {
        raise_chosen(plan);
        search_alike(task, joins, plan, Marginals::Kept);
        keep_amount(task, joins, plan, wished);
    }
}

/// Another way has as many plucks as the first, within a twentieth: her fullness is hers. A small price or reward on plucks grows until it has.
fn keep_amount(task: &Task, joins: &Joins, plan: &mut Plan, wished: Amount) {
    for _ in 0..MOST_RAISES {
        let over = amount(plan).plucks - wished.plucks;
        if over.abs() * 20 <= wished.plucks {
            return;
        }
        add_reward(plan, -over.signum() * A_PLUCK, 0);
        plan.found = search(task, joins, plan);
    }
}

/// A step of the price or reward on plucks of another way.
const A_PLUCK: i64 = 45;

/// The choices of all slots, on two threads where there are enough; each slot's are its own, so the order of work does not matter.
pub(crate) fn all_choices(task: &Task, slots: &[Slot]) -> Vec<Candidates> {
    let some = |slots: &[Slot]| -> Vec<Candidates> { slots.iter().map(|slot| choices_of(task, slot)).collect() };
    if slots.len() < 16 {
        return some(slots);
    }
    let (first, second) = slots.split_at(slots.len() / 2);
    std::thread::scope(|scope| {
        let second = scope.spawn(|| some(second));
        let mut all = some(first);
        all.extend(second.join().expect("making choices does not panic"));
        all
    })
}

fn choices_of(task: &Task, slot: &Slot) -> Candidates {
    fill(&view(task, slot), &ground(task, slot))
}

pub(crate) fn ground<'a>(task: &Task<'a>, slot: &Slot) -> Ground<'a> {
    let number = task.tune.frame(slot.measure).number;
    let hold = task.wishes.holds.get(&number).and_then(|name| task.figures.find(name));
    let kept = Kept::of(task.wishes, task.tune, slot);
    Ground { figures: task.figures, harp: task.harp, wishes: task.wishes, kind: task.kind, hold, kept }
}

fn raise_chosen(plan: &mut Plan) {
    for ((choices, chosen), extra) in plan.choices.iter().zip(&plan.found.chosen).zip(&mut plan.extra) {
        let before = &choices.candidates[*chosen];
        let heard = Heard::of(&before.plucks);
        for (candidate, price) in choices.candidates.iter().zip(extra).filter(|(c, _)| !c.plucks.is_empty()) {
            let likeness = WHOLE - heard.apart(&Heard::of(&candidate.plucks));
            price.wish += CHOSEN_BEFORE * likeness / WHOLE + if candidate.figure == before.figure { FIGURE_BEFORE } else { 0 };
        }
    }
}
