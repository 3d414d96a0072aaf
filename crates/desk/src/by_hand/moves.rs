//! Her own place for the move of a lever or pedal: where it can go, and whether there is time for it.
//!
//! A mark may stand anywhere as long as every note of the page, in every pass, still sounds on the string on which it sounded.

use crate::job::Setup;
use crate::worktable::{Worktable, chord_name};
use arrange::Arrangement;
use arrange::moves::name;
use check::Change;
use harp::page::opening::Opening;
use harp::page::replay::{Event, Sounded, follow, moved};
use harp::player::MoveTimes;
use harp::settings::Part;
use harp::{Instrument, Mechanism};
use music::{Beats, Clock, Mark, Place, PlacedMark, Score, ScoreMeasure, Seconds};
use serde::Serialize;

/// A move of the page, for her to put elsewhere.
#[derive(Clone, Debug, Serialize)]
pub struct MoveHere {
    /// "F♯3".
    pub name: String,
    /// In quarter notes from the start of the measure.
    pub at: f64,
    /// A change each, where the move can go there.
    pub earlier: Option<String>,
    pub later: Option<String>,
    /// The hand that moves it has too little time there.
    pub hurried: Option<String>,
}

/// Puts a move elsewhere on a page that was settled; `false` where the page has no such move or a note would sound otherwise.
pub fn lay(setup: &Setup, arrangement: &mut Arrangement, place: Place, mark: &Mark) -> bool {
    let page = &arrangement.plan.settled.page;
    let Some(changed) = elsewhere(&arrangement.score, &page.opening, &setup.harp, place, mark) else { return false };
    let Some(from) = gone(&arrangement.score, &changed, mark) else { return true };
    arrangement.score = changed;
    let page = &mut arrangement.plan.settled.page;
    let parts = moved(&setup.harp, mark);
    let was = |measure: usize, at: Beats| (measure, at) == (from.measure, from.at);
    for one in page.moves.iter_mut().filter(|m| was(m.measure, m.at) && parts.contains(&(m.part, m.to))) {
        (one.measure, one.at) = (place.measure, place.at);
    }
    for one in page.marks.iter_mut().filter(|m| was(m.measure, m.at) && m.mark == *mark) {
        (one.measure, one.at) = (place.measure, place.at);
    }
    page.marks.sort_by_key(|m| (m.measure, m.at));
    true
}

/// The page with the nearest such mark here; `None` where a note would not sound as before.
fn elsewhere(score: &Score, opening: &Opening, harp: &Instrument, place: Place, mark: &Mark) -> Option<Score> {
    let changed = Change::Move { place, mark: mark.clone() }.apply(score)?;
    (heard(score, opening, harp) == heard(&changed, opening, harp)).then_some(changed)
}

fn heard(score: &Score, opening: &Opening, harp: &Instrument) -> Vec<Sounded> {
    let mut all = Vec::new();
    follow(score, opening.clone(), harp, |event| {
        if let Event::Note(note) = event {
            all.push(note);
        }
    });
    all
}

/// Where a mark stood that stands there no more.
fn gone(before: &Score, after: &Score, mark: &Mark) -> Option<Place> {
    let own = |(measure, m): (usize, &ScoreMeasure)| -> Vec<Place> {
        m.marks.iter().filter(|one| one.mark == *mark).map(|one| Place { measure, at: one.at }).collect()
    };
    let all = |score: &Score| score.measures.iter().enumerate().flat_map(own).collect::<Vec<_>>();
    let now = all(after);
    all(before).into_iter().find(|place| !now.contains(place))
}

/// The moves that are printed in a measure.
pub fn here(worktable: &Worktable, index: usize) -> Vec<MoveHere> {
    let score = &worktable.job.arrangement.score;
    let Some(measure) = score.measures.get(index) else { return Vec::new() };
    let places = instants(score, index);
    let told = |placed: &PlacedMark| {
        let (part, to) = moved(&worktable.setup.harp, &placed.mark).first().copied()?;
        let at = Place { measure: index, at: placed.at };
        let to_there = |place: Option<&Place>| line(worktable, at, *place?, &placed.mark);
        Some(MoveHere {
            name: name(part, to),
            at: placed.at.as_f64(),
            earlier: to_there(places.iter().rev().find(|p| **p < at)),
            later: to_there(places.iter().find(|p| **p > at)),
            hurried: hurried(worktable, at, part),
        })
    };
    measure.marks.iter().filter_map(told).collect()
}

/// The change that puts a move from one place to another; `None` where it cannot stand there, or another move of the same lever is nearer.
fn line(worktable: &Worktable, from: Place, to: Place, mark: &Mark) -> Option<String> {
    let arrangement = &worktable.job.arrangement;
    let changed = elsewhere(&arrangement.score, &arrangement.plan.settled.page.opening, &worktable.setup.harp, to, mark)?;
    let name = match mark {
        Mark::Pedal(name) => format!("pedal {name}"),
        Mark::Lever(pitch) => format!("lever {pitch}"),
        _ => return None,
    };
    (gone(&arrangement.score, &changed, mark) == Some(from)).then(|| format!("{} move {name}", chord_name(to.measure, to.at)))
}

/// The most moments of three measures.
const MOST: usize = 512;

/// Beats, their halves and everything plucked, from the measure before to the one after.
fn instants(score: &Score, index: usize) -> Vec<Place> {
    let mut all = Vec::new();
    for measure in index.saturating_sub(1)..(index + 2).min(score.measures.len()) {
        let m = &score.measures[measure];
        let (above, below) = m.frame.meter.beat().fraction();
        let half = Beats::quarters(above, below * 2).unwrap_or(Beats::EIGHTH);
        let halves = (0..).map(|n| half * n).take_while(|at| *at < m.frame.length).take(MOST / 4);
        all.extend(halves.map(|at| Place { measure, at }));
        all.extend(m.right.iter().chain(&m.left).filter(|n| n.is_plucked()).map(|n| Place { measure, at: n.at }));
    }
    all.sort_unstable();
    all.dedup();
    all
}

/// Said where the hand that moves levers has less time between its plucks than it wants; feet are always free.
fn hurried(worktable: &Worktable, place: Place, part: Part) -> Option<String> {
    let player = &worktable.setup.player;
    if !matches!((part, &worktable.setup.harp.mechanism), (Part::Lever(_), Mechanism::Levers(_))) {
        return None;
    }
    let score = &worktable.job.arrangement.score;
    let plucked = |measure: usize| {
        let all = score.measures.get(measure).into_iter().flat_map(|m| m.hand(player.lever_hand)).filter(|n| n.is_plucked());
        all.map(|n| Place { measure, at: n.at }).collect::<Vec<_>>()
    };
    let around: Vec<Place> = (place.measure.saturating_sub(1)..place.measure + 2).flat_map(plucked).collect();
    let before = around.iter().rev().find(|p| **p < place)?;
    let next = around.iter().find(|p| **p >= place)?;
    let (clock, times) = (Clock::of_score(score), MoveTimes::of(player.fluency));
    let (has, needs) = (clock.at(*next) - clock.at(*before), times.away + times.lever + times.back);
    let seconds = |s: Seconds| format!("{:.1}", s.as_f64());
    let hand = check::rules::the_hand(player.lever_hand);
    (has < needs).then(|| format!("{hand} has {} seconds there between two plucks and wants {}", seconds(has), seconds(needs)))
}
