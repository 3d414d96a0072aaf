//! Search and settings in rounds, until the left hand and the levers or pedals agree.
//!
//! Plan the settings of the page exactly; charge what causes a move or stands in the way of one; search again; keep the cheapest round. Then each stretch that was
//! kept free for a lever is tried without: what proves unnecessary is played after all.

use crate::hands;
use crate::plan::{Marginals, Plan, Settled, Task, search, search_alike};
use crate::price::{Price, Principle};
use crate::search::{Found, Joins};
use crate::settings::{self, Charges, Follow};
use harp::page::{PageSettings, SettingsWish, When};
use music::{Preparation, Score, Words};

/// Rounds of search and settings; more where the left hand still keeps the tune from a note that it could have.
const ROUNDS: usize = 4;
const MOST_ROUNDS: usize = 10;
/// The round after which the hand is kept free where the tune alone has a lever moved, and how often that is tried; the last time for every lever.
const FOLLOW: usize = 5;
const MOST_FOLLOWS: usize = 3;
/// Stretches kept free that are tried without, at most.
const MOST_RELAXED: usize = 12;

/// One round: what was charged, what was found with it.
struct Round {
    price: i64,
    charges: Charges,
    extra: Vec<Vec<Price>>,
    found: Found,
    page: PageSettings,
}

/// Brings a searched plan and its settings together.
pub(crate) fn settle(task: &Task, joins: &Joins, plan: &mut Plan, charges: Charges, alone: &PageSettings) {
    let mut best = charged_rounds(task, joins, plan, charges, alone);
    relax(task, joins, plan, alone, &mut best);
    (plan.extra, plan.found) = (best.extra, best.found);
    let beyond = best.price - bound(task, joins, plan, alone);
    let wish = SettingsWish { moves: When::Late, ..settings::wish(task.harp, task.player) };
    let page = harp::page::settings(&page(task, plan, alone), &[], task.harp, task.player, &wish);
    plan.settled = Settled { page, beyond };
}

fn charged_rounds(task: &Task, joins: &Joins, plan: &mut Plan, mut charges: Charges, alone: &PageSettings) -> Round {
    let mut best = round(task, plan, &charges, alone);
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
        let next = tried(task, joins, plan, &charges, alone);
        lacking = next.page.clone();
        if next.price < best.price {
            best = next;
        }
    }
    best
}

/// Gives back the stretches that were kept free for nothing, those first in which most chords are bare.
fn relax(task: &Task, joins: &Joins, plan: &mut Plan, alone: &PageSettings, best: &mut Round) {
    let bare = |slot: usize| plan.slots[slot].chord.is_some() && plan.choices[slot].candidates[best.found.chosen[slot]].plucks.is_empty();
    let mut gaps = best.charges.gaps(task, &plan.slots, bare);
    gaps.sort_by_key(|(gap, bare)| (std::cmp::Reverse(*bare), gap.from));
    for (gap, _) in gaps.into_iter().take(MOST_RELAXED) {
        let charges = best.charges.without(gap);
        let next = tried(task, joins, plan, &charges, alone);
        if next.price < best.price {
            *best = next;
        }
    }
}

/// Searches with these charges and plans the settings of what was found.
fn tried(task: &Task, joins: &Joins, plan: &mut Plan, charges: &Charges, alone: &PageSettings) -> Round {
    plan.put(task, charges);
    search_alike(task, joins, plan, Marginals::Kept);
    round(task, plan, charges, alone)
}

fn round(task: &Task, plan: &Plan, charges: &Charges, alone: &PageSettings) -> Round {
    let page = harp::page::settings(&page(task, plan, alone), &[], task.harp, task.player, &settings::wish(task.harp, task.player));
    let price = plan.without_charges() + i64::try_from(page.price).unwrap_or(i64::MAX / 4);
    Round { price, charges: charges.clone(), extra: plan.extra.clone(), found: plan.found.clone(), page }
}

/// No plan with its settings can be cheaper: the cheapest plan that pays nothing for levers and pedals, and the moves of the tune alone.
fn bound(task: &Task, joins: &Joins, plan: &Plan, alone: &PageSettings) -> i64 {
    let free = plan.extra.iter().flatten().all(|p| p.part(Principle::Settings) == 0);
    let total = if free {
        plan.found.total
    } else {
        let mut plan = plan.clone();
        for price in plan.extra.iter_mut().flatten() {
            let part = price.part(Principle::Settings);
            price.add(Principle::Settings, -part);
        }
        search(task, joins, &plan).total
    };
    total + i64::try_from(alone.price).unwrap_or(i64::MAX / 4)
}

fn page(task: &Task, plan: &Plan, alone: &PageSettings) -> Score {
    let measures = hands::measures(task.tune, plan, &|pitch| settings::steady(task.harp, alone, pitch), &[]);
    Score { words: Words::default(), tempo: task.tempo, preparation: Preparation::default(), measures }
}
