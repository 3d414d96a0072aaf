//! The plan: slots, their choices, and the search in rounds.
//!
//! Returns belong to the whole piece: slots with equal tune and chords form a class. For learners the figure with the least sum of min-marginals is taken and departures
//! from it get a price; from a certain fullness up copies get one; and the search runs again. Another way (variant 2, 3, …) raises the price of what the ways before chose. Levers and pedals belong
//! to the whole piece too: see [`crate::settings`].

use crate::apart::{Heard, WHOLE};
use crate::candidates::{Candidate, Choices, Ground, choices};
use crate::figures::Figures;
use crate::joins::Joins;
use crate::kept::Kept;
use crate::price::{Extra, Price, Principle};
use crate::principles::weight::weights;
use crate::principles::{self, Rules};
use crate::register::Register;
use crate::rounds;
use crate::search::{Found, Search, Stage, prices_of};
use crate::settings::{Charges, Reserved};
use crate::slots::Slot;
use crate::tune::Tune;
use crate::view::{Manner, View};
use crate::wishes::Wishes;
use harmony::kind::KindOfTune;
use harp::page::PageSettings;
use harp::{Instrument, Player};
use std::collections::BTreeMap;

/// The price of answering the same tune with another figure.
const OTHER_HAND: i64 = 1_000;
/// The price of plucking again what an earlier way did, by how like it is, and of its figure.
const CHOSEN_BEFORE: i64 = 700;
const FIGURE_BEFORE: i64 = 300;

/// The reward on a pluck or note when a plan has no more of them than one level of fullness down, and how often it is raised.
const REWARD: i64 = 120;
const MOST_RAISES: usize = 5;

const RAISES_FOR_MORE: usize = 1;

/// Everything the planner decided, with what it decided from.
#[derive(Clone, Debug)]
pub struct Plan {
    pub slots: Vec<Slot>,
    pub choices: Vec<Choices>,
    /// What each candidate costs on its own.
    pub prices: Vec<Vec<i64>>,
    pub extra: Vec<Vec<Extra>>,
    /// What `extra` is charged for levers and pedals.
    pub charged: Charges,
    pub found: Found,
    pub settled: Settled,
}

/// The levers or pedals of the planned page.
#[derive(Clone, Debug)]
pub struct Settled {
    pub page: PageSettings,
    /// How far plan and settings together may be above the cheapest that is possible; 0 is proved best.
    pub beyond: i64,
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
    pub register: Register,
}

impl Plan {
    pub fn stages(&self) -> Vec<Stage<'_>> {
        let all = self.slots.iter().zip(&self.choices).zip(&self.prices).zip(&self.extra);
        all.map(|(((slot, choices), prices), extra)| Stage { slot, candidates: &choices.candidates, prices: prices.into(), extra })
            .collect()
    }

    pub(crate) fn put(&mut self, task: &Task, charges: &Charges) {
        let candidates: Vec<&[Candidate]> = self.choices.iter().map(|c| c.candidates.as_slice()).collect();
        charges.put(task, &self.slots, &candidates, &self.charged, &mut self.extra);
        self.charged = charges.clone();
    }

    /// The price of the plan without what it is charged for levers and pedals.
    pub(crate) fn without_charges(&self) -> i64 {
        let charged = self.extra.iter().zip(&self.found.chosen).map(|(extra, c)| extra[*c].settings);
        self.found.total - charged.sum::<i64>()
    }

    /// The price of the plan with the settings of its page.
    pub fn total(&self) -> i64 {
        self.without_charges() + i64::try_from(self.settled.page.price).unwrap_or(i64::MAX / 4)
    }

    pub fn density(&self) -> i64 {
        let chosen = self.choices.iter().zip(&self.found.chosen);
        chosen.map(|(choices, c)| principles::density(&choices.candidates[*c].plucks)).sum()
    }
}

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

/// Whether the min-marginals of a search are shown to anybody, or only its plan is needed: on the way to another level, or to be compared with others.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Marginals {
    Kept,
    Passing,
    Compared,
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

pub(crate) fn view<'a>(task: &'a Task, slot: &'a Slot) -> View<'a> {
    let high =
        task.wishes.high.contains(&task.tune.origin[slot.measure].verse()) && task.tune.origin[slot.measure].part() == music::Part::Tune;
    let register = if high { task.register.up(1) } else { task.register };
    View::new(task.tune, slot, task.player, task.manner, register)
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
pub(crate) fn all_choices(task: &Task, slots: &[Slot]) -> Vec<Choices> {
    let some = |slots: &[Slot]| -> Vec<Choices> { slots.iter().map(|slot| choices_of(task, slot)).collect() };
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

fn choices_of(task: &Task, slot: &Slot) -> Choices {
    choices(&view(task, slot), &ground(task, slot))
}

pub(crate) fn ground<'a>(task: &Task<'a>, slot: &Slot) -> Ground<'a> {
    let number = task.tune.sheet.measures[slot.measure].frame.number;
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

/// Searches in which copies are priced, at most.
const MOST_RETURNS: usize = 2;

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
        let mut heard: Vec<&Vec<crate::hand_time::Pluck>> = Vec::new();
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
    let places: BTreeMap<(usize, music::Beats), usize> = plan.slots.iter().enumerate().map(|(i, s)| ((s.measure, s.at), i)).collect();
    let (slots, choices, chosen, extra) = (&plan.slots, &plan.choices, &plan.found.chosen, &mut plan.extra);
    let of = |slot: usize| &choices[slot].candidates[chosen[slot]].plucks;
    let mut priced = false;
    for (index, slot) in slots.iter().enumerate() {
        if slot.fullness < from || slot.chord.is_none() || slot.duty.last {
            continue;
        }
        let back = |by: usize| slot.measure.checked_sub(by).and_then(|m| places.get(&(m, slot.at))).copied();
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
