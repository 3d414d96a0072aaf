//! Search and settings in rounds, until the left hand and the levers or pedals agree.
//!
//! Plan the settings of the page exactly; charge what causes a move or stands in the way of one; search again; keep the cheapest round. Then each stretch that was
//! kept free for a lever is tried without: what proves unnecessary is played after all.

mod telling;

use crate::alike::{Marginals, search, search_alike};
use crate::charges::{self, Charges, Follow, Reserved};
use crate::hands;
use crate::joins::Joins;
use crate::measures::LaidMeasure;
use crate::moves;
use crate::plan::Plan;
use crate::price::Extra;
use crate::principles;
use crate::search::Found;
use crate::task::{Task, view};
use harp::Mechanism;
use harp::page::settings::Duty;
use harp::page::{PageSettings, SettingsWish, When};
use music::{Beats, Pitch, PitchName, Preparation, Score, Words};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Rounds of search and settings; more where the left hand still keeps the tune from a note that it could have.
const ROUNDS: usize = 4;
const MOST_ROUNDS: usize = 10;
/// The round after which the hand is kept free where the tune alone has a lever moved, and how often that is tried; the last time for every lever.
const FOLLOW: usize = 5;
const MOST_FOLLOWS: usize = 3;
/// Stretches kept free that are tried without, at most.
const MOST_RELAXED: usize = 12;

/// Altered tones for which a string is looked for, and strings tried for each.
const MOST_RESERVED: usize = 5;
const STRINGS_TRIED: usize = 3;

/// How much dearer than need be a slot is before its gap is filled, the rhythms tried in it, and all tries.
const LOST: i64 = 900;
const MOST_RHYTHMS: usize = 8;
const MOST_FILLS: usize = 60;
/// How far from a bare or late slot its lever is moved instead, and how often that is tried.
const EXCHANGED_WITHIN: usize = 5;
const MOST_EXCHANGES: usize = 20;
/// Slots with lost notes that are tried without them.
const MOST_SILENCED: usize = 12;

/// How much is followed for the settings of one round ([`SettingsWish::width`]): pages are only compared; the one that is kept is planned again.
const WIDTH: usize = 64;

/// What all rounds share, and the settings of the pages that were looked at, by what was chosen: another round often comes back to one of them.
struct Rounds<'t> {
    task: &'t Task<'t>,
    joins: &'t Joins,
    alone: &'t PageSettings,
    known: BTreeMap<Vec<usize>, Rc<PageSettings>>,
    losses: BTreeMap<Loss, i64>,
}

/// A slot, its candidate and what of it a page left out.
type Loss = (usize, usize, Vec<(Beats, Pitch)>);

/// One round: what was charged, what was found with it.
struct Round {
    price: i64,
    charges: Charges,
    extra: Vec<Vec<Extra>>,
    found: Found,
    page: Rc<PageSettings>,
}

/// What came of one more round.
struct Tried {
    better: bool,
    page: Rc<PageSettings>,
}

/// Brings a searched plan and its settings together.
pub(crate) fn settle(task: &Task, joins: &Joins, plan: &mut Plan, charges: Charges, alone: &PageSettings) {
    let mut rounds = Rounds { task, joins, alone, known: BTreeMap::new(), losses: BTreeMap::new() };
    let charges = rounds.reserve(plan, charges);
    let mut best = rounds.charged(plan, charges);
    rounds.tell(plan, &mut best);
    rounds.relax(plan, &mut best);
    rounds.fill(plan, &mut best);
    rounds.exchange(plan, &mut best);
    (plan.extra, plan.found, plan.charged) = (best.extra, best.found, best.charges);
    plan.found.min_marginals = search(task, joins, plan).min_marginals;
    let wish = SettingsWish { moves: When::Late, ..moves::wish(task.harp, task.player) };
    plan.settled.page = rounds.settings(plan, &wish);
    plan.settled.beyond = plan.total() - rounds.bound(plan);
}

impl Rounds<'_> {
    /// Reserves a string for each tone of the chords that the key does not have, where the whole comes out cheaper with it: then the accidental has its own string,
    /// the other octaves keep the natural, and no lever moves.
    fn reserve(&mut self, plan: &mut Plan, charges: Charges) -> Charges {
        let (task, alone) = (self.task, self.alone);
        let altered = altered_tones(plan);
        if altered.is_empty() || !matches!(task.harp.mechanism, Mechanism::Levers(_)) {
            return charges;
        }
        let mut best = self.round(plan, &charges);
        let mut reserved = Reserved::new();
        for name in altered.into_iter().take(MOST_RESERVED) {
            let before = reserved.clone();
            for position in charges::reservable(task, alone, name).into_iter().take(STRINGS_TRIED) {
                let mut with = before.clone();
                if with.insert(position, name.alter).is_some() {
                    continue;
                }
                let charges = Charges::foreseen(task, &plan.slots, alone, &with);
                if self.improves(plan, &charges, &mut best).better {
                    reserved = with;
                }
            }
        }
        (plan.extra, plan.found, plan.charged) = (best.extra, best.found, best.charges.clone());
        best.charges
    }

    fn charged(&mut self, plan: &mut Plan, mut charges: Charges) -> Round {
        let (task, alone) = (self.task, self.alone);
        let mut best = self.round(plan, &charges);
        let mut lacking = best.page.clone();
        let mut seen: Vec<Vec<usize>> = Vec::new();
        let mut followed = 0;
        for number in 0.. {
            let grew = charges.blame(task, &plan.slots, alone, &lacking);
            let kept_from_the_tune = best.page.missing.len() > alone.missing.len();
            if kept_from_the_tune && followed < MOST_FOLLOWS && (number >= FOLLOW || !grew) {
                followed += 1;
                let follow = if followed == MOST_FOLLOWS { Follow::All } else { Follow::Lacking };
                charges.follow(task, &plan.slots, alone, &lacking, follow);
            } else if !grew || number >= MOST_ROUNDS || !kept_from_the_tune && (number >= ROUNDS || seen.contains(&plan.found.chosen)) {
                break;
            }
            seen.push(plan.found.chosen.clone());
            lacking = self.improves(plan, &charges, &mut best).page;
        }
        best
    }

    /// Gives back the stretches that were kept free for nothing, those first in which most chords are bare.
    fn relax(&mut self, plan: &mut Plan, best: &mut Round) {
        let bare =
            |slot: usize| plan.slots[slot].chord.is_some() && plan.choices[slot].candidates[best.found.chosen[slot]].plucks.is_empty();
        let mut gaps = best.charges.gaps(self.task, &plan.slots, bare);
        gaps.sort_by_key(|(gap, bare)| (std::cmp::Reverse(*bare), gap.from));
        for (gap, _) in gaps.into_iter().take(MOST_RELAXED) {
            let charges = best.charges.without(gap);
            self.improves(plan, &charges, best);
        }
    }

    /// Fills what was kept free for longer than the lever takes: where a slot lost plucks to a gap, the ways of plucking in it are tried one after another, the
    /// cheapest first, until one leaves the lever its time. So one pluck is given up and not the measure.
    fn fill(&mut self, plan: &mut Plan, best: &mut Round) {
        for slot in silenced(plan, best) {
            let charges = best.charges.without_the_lost(self.task, &plan.slots, &best.page, slot);
            self.improves(plan, &charges, best);
        }
        let mut tries = MOST_FILLS;
        for slot in 0..plan.slots.len() {
            if !best.charges.kept_free(slot) {
                continue;
            }
            for candidate in fuller(plan, self.joins, slot, &best.found.chosen) {
                if tries == 0 {
                    return;
                }
                tries -= 1;
                if !self.leaves_time(plan, best, (slot, candidate)) {
                    continue;
                }
                let charges = best.charges.excusing(slot, candidate);
                if self.improves(plan, &charges, best).better {
                    break;
                }
            }
        }
    }

    /// A chord that is left bare, or comes late, because a lever is moved in it: the move is tried in each of the slots after it and before it instead, after their first pluck.
    fn exchange(&mut self, plan: &mut Plan, best: &mut Round) {
        let mut tries = MOST_EXCHANGES;
        let slots = plan.slots.len();
        for slot in 0..slots {
            let near = (slot + 1..=slot + EXCHANGED_WITHIN).chain((slot.saturating_sub(EXCHANGED_WITHIN)..slot).rev());
            for other in near.filter(|other| *other < slots) {
                let plucked = |slot: usize| !plan.choices[slot].candidates[best.found.chosen[slot]].plucks.is_empty();
                let first = plan.choices[slot].candidates[best.found.chosen[slot]].plucks.first();
                let robbed = plan.slots[slot].chord.is_some() && first.is_none_or(|p| !p.at.is_zero());
                if tries == 0 || !robbed || !best.charges.kept_free(slot) {
                    break;
                }
                if !plucked(other) {
                    continue;
                }
                tries -= 1;
                let charges = best.charges.moved(self.task, &plan.slots, (slot, other));
                self.improves(plan, &charges, best);
            }
        }
    }

    /// Whether the levers of the best page can still be moved with another candidate in one slot.
    fn leaves_time(&mut self, plan: &mut Plan, best: &Round, (slot, candidate): (usize, usize)) -> bool {
        plan.found = best.found.clone();
        plan.found.chosen[slot] = candidate;
        self.compared(plan).price < best.page.price + LOST as u64
    }

    /// Searches with these charges and plans the settings of what was found; what is cheaper than the best round takes its place.
    fn improves(&mut self, plan: &mut Plan, charges: &Charges, best: &mut Round) -> Tried {
        plan.put(self.task, charges);
        search_alike(self.task, self.joins, plan, Marginals::Compared);
        let (price, page) = self.weighed(plan);
        let better = price < best.price;
        if better {
            *best = Round { price, charges: charges.clone(), extra: plan.extra.clone(), found: plan.found.clone(), page: page.clone() };
        }
        Tried { better, page }
    }

    fn round(&mut self, plan: &Plan, charges: &Charges) -> Round {
        let (price, page) = self.weighed(plan);
        Round { price, charges: charges.clone(), extra: plan.extra.clone(), found: plan.found.clone(), page }
    }

    /// What the plan costs with the settings of its page.
    fn weighed(&mut self, plan: &Plan) -> (i64, Rc<PageSettings>) {
        let page = self.compared(plan);
        let wide = moves::overstretched(&page, self.task.player).len() as i64 * moves::OVERSTRETCHED;
        let price = plan.without_charges() + i64::try_from(page.price).unwrap_or(i64::MAX / 4) + wide + self.lost(plan, &page);
        (price, page)
    }

    /// What the chords lack by the notes that the page had to leave out, beyond the price that the settings know for each.
    fn lost(&mut self, plan: &Plan, page: &PageSettings) -> i64 {
        let mut by_slot: BTreeMap<usize, Vec<(Beats, Pitch)>> = BTreeMap::new();
        for used in page.left_out().filter(|u| u.duty == Duty::Accompanies) {
            let at = self.task.tune.on_page(used.measure, used.at);
            let slot = plan.slots.partition_point(|s| s.start <= at).saturating_sub(1);
            by_slot.entry(slot).or_default().push((at - plan.slots[slot].start, used.written));
        }
        let task = self.task;
        by_slot
            .into_iter()
            .map(|(slot, notes)| {
                let key = (slot, plan.found.chosen[slot], notes);
                *self.losses.entry(key.clone()).or_insert_with(|| loss(task, plan, &key))
            })
            .sum()
    }

    /// No plan with its settings can be cheaper: the cheapest plan that pays nothing for levers and pedals, and the moves of the tune alone.
    fn bound(&self, plan: &Plan) -> i64 {
        let free = plan.extra.iter().flatten().all(|p| p.settings == 0);
        let total = if free {
            plan.found.total
        } else {
            let mut plan = plan.clone();
            for price in plan.extra.iter_mut().flatten() {
                price.settings = 0;
            }
            search(self.task, self.joins, &plan).total
        };
        total + i64::try_from(self.alone.least).unwrap_or(i64::MAX / 4)
    }

    /// The settings of a page that is compared with others.
    fn compared(&mut self, plan: &Plan) -> Rc<PageSettings> {
        if let Some(known) = self.known.get(&plan.found.chosen) {
            return known.clone();
        }
        let wish = SettingsWish { width: WIDTH, ..moves::wish(self.task.harp, self.task.player) };
        let page = Rc::new(self.settings(plan, &wish));
        self.known.insert(plan.found.chosen.clone(), page.clone());
        page
    }

    fn settings(&self, plan: &Plan, wish: &SettingsWish) -> PageSettings {
        let task = self.task;
        let measures = hands::measures(task.tune, plan, &|pitch| moves::steady(task.harp, self.alone, pitch), &[]);
        let page = Score { words: Words::default(), tempo: task.tune.clock.opening(), preparation: Preparation::default(), measures };
        harp::page::settings(&page, task.harp, task.player, wish)
    }
}

/// How much worse a slot is without the notes that were left out.
fn loss(task: &Task, plan: &Plan, (slot, candidate, notes): &Loss) -> i64 {
    let plucks = &plan.choices[*slot].candidates[*candidate].plucks;
    let view = view(task, &plan.slots[*slot]);
    let mut left = plucks.clone();
    for (at, pitch) in notes {
        left.iter_mut().filter(|p| p.at == *at).for_each(|p| p.pitches.retain(|q| q != pitch));
    }
    left.retain(|p| !p.pitches.is_empty());
    let worse = principles::own(&view, &left).total() - principles::own(&view, plucks).total();
    (worse - moves::LEFT_OUT * notes.len() as i64).max(0)
}

/// The tones of the chords that are foreign to the key, the commonest first.
fn altered_tones(plan: &Plan) -> Vec<PitchName> {
    let mut count: BTreeMap<PitchName, usize> = BTreeMap::new();
    for slot in &plan.slots {
        let Some(chord) = &slot.chord else { continue };
        let names = chord.tones().into_iter().map(|t| chord.name_of(t));
        names.filter(|n| slot.key.alter(n.step) != n.alter).for_each(|n| *count.entry(n).or_default() += 1);
    }
    let mut all: Vec<(PitchName, usize)> = count.into_iter().collect();
    all.sort_by_key(|(name, count)| (std::cmp::Reverse(*count), *name));
    all.into_iter().map(|(name, _)| name).collect()
}

/// Slots with a left-hand note that the page had to leave out.
fn silenced(plan: &Plan, best: &Round) -> Vec<usize> {
    let measure_of = |slot: &usize| plan.slots[*slot].measure;
    let lost = |slot: &usize| best.page.left_out().any(|used| LaidMeasure::at(used.measure) == measure_of(slot));
    (0..plan.slots.len()).filter(lost).take(MOST_SILENCED).collect()
}

/// The cheapest candidate of each rhythm that would be cheaper between its neighbours than the chosen one if no lever had to be moved, cheapest first.
fn fuller(plan: &Plan, joins: &Joins, slot: usize, chosen: &[usize]) -> Vec<usize> {
    let candidates = &plan.choices[slot].candidates;
    let price = |c: usize| {
        let before = slot.checked_sub(1).map_or(0, |b| joins.price(b, chosen[b], c));
        let after = chosen.get(slot + 1).map_or(0, |next| joins.price(slot, c, *next));
        candidates[c].price.total() + before + after
    };
    let most = price(chosen[slot]) - LOST;
    let mut order: Vec<(i64, usize)> = (0..candidates.len()).map(|c| (price(c), c)).filter(|(p, _)| *p < most).collect();
    order.sort();
    let rhythm = |c: usize| candidates[c].plucks.iter().map(|p| p.at).collect::<Vec<_>>();
    let mut rhythms = vec![rhythm(chosen[slot])];
    let mut kept = Vec::new();
    for (_, candidate) in order {
        let this = rhythm(candidate);
        if kept.len() < MOST_RHYTHMS && !rhythms.contains(&this) {
            rhythms.push(this);
            kept.push(candidate);
        }
    }
    kept
}
