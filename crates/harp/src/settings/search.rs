//! The cheapest settings, by an exact search.
//!
//! Every contested lever or pedal is looked at alone first ([`super::alone`], [`super::share`]); then each group of them that some note links by a choice
//! of strings is searched together ([`super::together`]). If the plans of all groups can be played side by side, their sum is the cheapest plan of all. If
//! the hand or a foot would have to be in two places, the groups concerned become one and are searched again (independence detection: Standley 2010).

use super::alone::Alone;
use super::ground::Ground;
use super::passage::{Passage, Prices};
use super::share::{out, share};
use super::together::{Solved, Task, free_choice, solve, solve_at_once};
use super::walk::{Choice, Plan, Proof, play, price_of_choice};
use super::wants::Wants;
use crate::instrument::Instrument;
use crate::player::MoveTimes;
use std::collections::BTreeSet;

/// States followed at once; where more are open the plan is not proved. Twelve levers that stand either way are 4096.
pub const DEFAULT_WIDTH: usize = 4096;

/// The most walks that raise the bound; more raise it hardly any more.
const WALKS: usize = 8;

/// After so many rounds of joining groups all become one.
const ROUNDS: usize = 24;

struct Group {
    parts: Vec<usize>,
    notes: Vec<usize>,
    solved: Option<Solved>,
}

/// The cheapest plan. `width` bounds the states followed at once, see [`DEFAULT_WIDTH`]. A passage always has a plan: what cannot be had is
/// [`Choice::LeftOut`], or [`Choice::Missing`] where it must not be.
pub fn plan(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, width: usize) -> Plan {
    let wants = Wants::of(harp, passage, prices);
    let ground = Ground::new(passage, times, prices, &wants);
    let mut alone: Vec<Alone> = (0..wants.parts.len()).map(|part| Alone::new(&ground, part)).collect();
    let mut shares = share(&ground, &mut alone);
    let mut groups: Vec<Group> = linked(&wants).into_iter().map(|(parts, notes)| Group { parts, notes, solved: None }).collect();
    for _ in 0..WALKS {
        let rose = shares.raise(&ground, &mut alone);
        for group in groups.iter_mut().filter(|g| g.solved.is_none()) {
            group.solved = solve_at_once(Task { ground: &ground, all: &alone, shares: &shares, parts: &group.parts, notes: &group.notes });
        }
        if !rose || groups.iter().all(|g| g.solved.is_some()) {
            break;
        }
    }
    let width = width.max(1);
    let solved = |parts: &[usize], notes: &[usize]| solve(Task { ground: &ground, all: &alone, shares: &shares, parts, notes }, width);
    for group in groups.iter_mut().filter(|g| g.solved.is_none()) {
        group.solved = solved(&group.parts, &group.notes);
    }
    let mut round = 0;
    loop {
        let mut plan = side_by_side(&ground, &groups);
        let blamed = match play(harp, passage, times, prices, &plan) {
            Ok(walked) => {
                plan.price = walked.price;
                return plan;
            }
            Err((_, blamed)) => blamed,
        };
        round += 1;
        let concerned = |g: &Group| round > ROUNDS || g.parts.iter().any(|p| blamed.contains(&wants.parts[*p].0));
        let (together, apart): (Vec<Group>, Vec<Group>) = groups.into_iter().partition(concerned);
        groups = apart;
        match together.len() {
            0 => return without_notes(&ground),
            // One group that cannot be played would be a mistake of the search; its notes are given up rather than the page.
            1 => groups.extend(together.into_iter().map(|g| Group { solved: None, ..g })),
            _ => {
                let (parts, notes) = (sorted(&together, |g| &g.parts), sorted(&together, |g| &g.notes));
                groups.push(Group { solved: solved(&parts, &notes), parts, notes });
            }
        }
    }
}

fn sorted(groups: &[Group], pick: fn(&Group) -> &Vec<usize>) -> Vec<usize> {
    let all: BTreeSet<usize> = groups.iter().flat_map(pick).copied().collect();
    all.into_iter().collect()
}

/// The contested parts in groups linked by a choice of strings, each with its notes.
fn linked(wants: &Wants) -> Vec<(Vec<usize>, Vec<usize>)> {
    let mut group: Vec<usize> = (0..wants.parts.len()).collect();
    for ways in &wants.ways {
        let own: BTreeSet<usize> = ways.iter().filter_map(|w| w.part).map(|p| group[p]).collect();
        if let Some(least) = own.first() {
            group.iter_mut().filter(|g| own.contains(g)).for_each(|g| *g = *least);
        }
    }
    let names: BTreeSet<usize> = group.iter().copied().collect();
    let of = |name: usize| {
        let parts = (0..group.len()).filter(|p| group[*p] == name).collect();
        let own = |ways: &[super::wants::Way]| ways.iter().find_map(|w| w.part).is_some_and(|p| group[p] == name);
        let notes = (0..wants.ways.len()).filter(|n| own(&wants.ways[*n])).collect();
        (parts, notes)
    };
    names.into_iter().map(of).collect()
}

/// The plan that moves nothing and leaves every note out.
fn without_notes(ground: &Ground) -> Plan {
    let uses = &ground.passage.uses;
    let choices: Vec<Choice> = uses.iter().map(|u| out(u.omission)).collect();
    let price = uses.iter().zip(&choices).map(|(u, c)| price_of_choice(u, *c, ground.prices)).sum();
    Plan { opening: ground.wants.opening.clone(), marks: Vec::new(), choices, price, proof: Proof::NotProved }
}

/// The plans of all groups as one.
fn side_by_side(ground: &Ground, groups: &[Group]) -> Plan {
    let (passage, wants) = (ground.passage, ground.wants);
    let mut opening = wants.opening.clone();
    let mut choices: Vec<Choice> = (0..passage.uses.len()).map(|note| free_choice(ground, note)).collect();
    let (mut marks, mut proof) = (Vec::new(), Proof::Best);
    for group in groups {
        let Some(solved) = &group.solved else {
            proof = Proof::NotProved;
            group.notes.iter().for_each(|n| choices[*n] = out(passage.uses[*n].omission));
            continue;
        };
        if !solved.proved {
            proof = Proof::NotProved;
        }
        marks.extend(solved.marks.iter().copied());
        opening.extend(solved.opening.iter().map(|(part, stands)| (*part, i32::from(*stands))));
        solved.choices.iter().for_each(|(note, choice)| choices[*note] = *choice);
    }
    marks.sort();
    Plan { opening, marks, choices, price: 0, proof }
}
