//! The cheapest settings, by an exact search.
//!
//! Every contested lever or pedal is looked at alone first ([`super::alone`], [`super::share`]); then each group of them that some note links by a choice
//! of strings is searched together ([`super::together`]). If the plans of all groups can be played side by side, their sum is the cheapest plan of all. If
//! the hand or a foot would have to be in two places, the groups concerned become one and are searched again (independence detection: Standley 2010).

use super::alone::{Alone, Moves};
use super::effort::{Effort, Run};
use super::ground::Ground;
use super::laying::lay;
use super::passage::{Passage, Prices};
use super::share::{Shares, out, share};
use super::together::{Solved, Task, free_choice, solve, solve_at_once};
use super::walk::{Choice, Plan, Proof, play, price_of_choice};
use super::wants::Wants;
use crate::instrument::Instrument;
use crate::player::MoveTimes;
use std::collections::BTreeSet;

/// States followed at once; where more are open, or a few times as many were made in all, the plan is not proved. Twelve levers that stand either way are 4096.
pub const DEFAULT_WIDTH: usize = 4096;

/// The most walks that raise the bound; more raise it hardly any more.
const WALKS: usize = 8;

/// After so many rounds of joining groups all become one.
const ROUNDS: usize = 24;

struct Group {
    parts: Vec<usize>,
    notes: Vec<usize>,
    /// No plan for it is cheaper.
    floor: i64,
    solved: Option<Solved>,
}

/// The cheapest plan. `width` bounds the states followed, see [`DEFAULT_WIDTH`]: work is counted and never timed, so every machine finds the same. A passage
/// always has a plan: what cannot be had is [`Choice::LeftOut`], or [`Choice::Missing`] where it must not be.
pub fn plan(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, width: usize) -> Plan {
    plan_within(harp, passage, times, prices, width, &mut { usize::MAX })
}

/// The same out of a purse for several plans: the states it makes are taken from `left`, and where little is left the plan is proved less often. Some plan is
/// found even when nothing is left, so a plan may take more than there is, but by no more than one narrow run.
pub fn plan_within(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, width: usize, left: &mut usize) -> Plan {
    let wants = Wants::of(harp, passage, prices);
    let ground = Ground::new(passage, times, prices, &wants);
    let mut solving = Solving::new(&ground, width, *left);
    let mut groups = solving.apart();
    let mut round = 0;
    loop {
        let mut plan = side_by_side(&ground, &groups);
        let blamed = match play(harp, passage, times, prices, &plan) {
            Ok(walked) => {
                plan.price = walked.price;
                plan.least = solving.least(&groups).min(plan.price);
                plan.proof = if plan.least == plan.price { Proof::Best } else { Proof::NotProved };
                *left = left.saturating_sub(solving.effort.made);
                return plan;
            }
            Err((_, blamed)) => blamed,
        };
        round += 1;
        let all = round > ROUNDS || solving.effort.is_spent(Run::Any);
        let concerned = |g: &Group| all || g.parts.iter().any(|p| blamed.contains(&wants.parts[*p].0));
        let (together, apart): (Vec<Group>, Vec<Group>) = groups.into_iter().partition(concerned);
        groups = apart;
        match together.len() {
            0 => {
                *left = left.saturating_sub(solving.effort.made);
                return without_notes(&ground);
            }
            // One group that cannot be played would be a mistake of the search; its notes are given up rather than the page.
            1 => groups.extend(together.into_iter().map(|g| Group { solved: None, ..g })),
            _ => groups.push(solving.together(&together)),
        }
    }
}

/// What is known of a page, and the work that may still be done on it.
struct Solving<'g, 'a> {
    ground: &'g Ground<'a>,
    alone: Vec<Alone>,
    shares: Shares,
    effort: Effort,
    width: usize,
}

impl<'g, 'a> Solving<'g, 'a> {
    fn new(ground: &'g Ground<'a>, width: usize, most: usize) -> Solving<'g, 'a> {
        let mut alone: Vec<Alone> = (0..ground.wants.parts.len()).map(|part| lay(ground, part)).collect();
        let shares = share(ground, &mut alone);
        Solving { ground, alone, shares, effort: Effort::new(width, ground.places(), most), width: width.max(1) }
    }

    /// Every group by itself: those first that are as cheap as their bound, while walks along the page raise it; then the others.
    fn apart(&mut self) -> Vec<Group> {
        let linked = linked(self.ground.wants).into_iter();
        let mut groups: Vec<Group> = linked.map(|(parts, notes)| Group { parts, notes, floor: 0, solved: None }).collect();
        for _ in 0..WALKS {
            let rose = self.shares.raise(self.ground, &mut self.alone);
            for group in groups.iter_mut().filter(|g| g.solved.is_none()) {
                let (task, effort) = self.task(group);
                (group.floor, group.solved) = (task.bound(), solve_at_once(task, effort));
            }
            if !rose || groups.iter().all(|g| g.solved.is_some()) {
                break;
            }
        }
        groups.into_iter().map(|g| if g.solved.is_none() { self.solved(g) } else { g }).collect()
    }

    /// Several groups as one.
    fn together(&mut self, groups: &[Group]) -> Group {
        let (parts, notes) = (sorted(groups, |g| &g.parts), sorted(groups, |g| &g.notes));
        self.solved(Group { parts, notes, floor: groups.iter().map(|g| g.floor).sum(), solved: None })
    }

    fn solved(&mut self, group: Group) -> Group {
        let width = self.width;
        let (task, effort) = self.task(&group);
        let (bound, solved) = (task.bound(), solve(task, width, effort));
        let floor = solved.as_ref().filter(|s| s.proved).map_or(bound, |s| s.price);
        Group { floor, solved, ..group }
    }

    fn task<'s>(&'s mut self, group: &'s Group) -> (Task<'s, 'a>, &'s mut Effort) {
        let Group { parts, notes, floor, .. } = group;
        (Task { ground: self.ground, all: &self.alone, shares: &self.shares, parts, notes, floor: *floor }, &mut self.effort)
    }

    /// What no plan can be cheaper than: what is known of the groups, and the notes that are in none.
    fn least(&self, groups: &[Group]) -> u64 {
        // Where a part is not moved at all its own bound holds for that only.
        if self.alone.iter().any(|a| a.moves == Moves::None) {
            return 0;
        }
        let grouped: BTreeSet<usize> = groups.iter().flat_map(|g| &g.notes).copied().collect();
        let left = &self.shares.left;
        let others = (0..left.len()).filter(|note| !grouped.contains(note)).map(|note| left[note]);
        let sum = groups.iter().map(|g| g.floor).sum::<i64>() + others.sum::<i64>();
        u64::try_from(sum).unwrap_or(0)
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
    Plan { opening: ground.wants.opening.clone(), marks: Vec::new(), choices, price, least: 0, proof: Proof::NotProved }
}

/// The plans of all groups as one.
fn side_by_side(ground: &Ground, groups: &[Group]) -> Plan {
    let (passage, wants) = (ground.passage, ground.wants);
    let mut opening = wants.opening.clone();
    let mut choices: Vec<Choice> = (0..passage.uses.len()).map(|note| free_choice(ground, note)).collect();
    let mut marks = Vec::new();
    for group in groups {
        let Some(solved) = &group.solved else {
            group.notes.iter().for_each(|n| choices[*n] = out(passage.uses[*n].omission));
            continue;
        };
        marks.extend(solved.marks.iter().copied());
        opening.extend(solved.opening.iter().map(|(part, stands)| (*part, i32::from(*stands))));
        solved.choices.iter().for_each(|(note, choice)| choices[*note] = *choice);
    }
    marks.sort();
    Plan { opening, marks, choices, price: 0, least: 0, proof: Proof::NotProved }
}
