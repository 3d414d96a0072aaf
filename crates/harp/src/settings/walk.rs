//! A plan of settings, and the walk that plays it through: every pass of every repeat, place by place.
//!
//! The walk knows nothing of the search. It is what makes a plan true: whatever it accepts can be played as printed.

use super::passage::{MoveTimes, Omission, Part, Passage, Prices};
use crate::instrument::Instrument;
use std::collections::BTreeMap;

/// A sign on the page: here this lever or pedal is set so. It is read before the notes of its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Mark {
    pub place: usize,
    pub part: Part,
    /// Alteration of the letter: -1 flat, 0 natural, 1 sharp.
    pub to: i32,
}

/// What becomes of a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Choice {
    /// Index into the spellings of the note.
    Plucked(usize),
    LeftOut,
    /// It cannot be had and must not be left out.
    Missing,
}

/// Whether the plan is known to be the cheapest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    Best,
    /// More settings were open than were followed: a plan that can be played, perhaps not the cheapest.
    NotProved,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// How every lever or pedal that the passage uses stands at the start.
    pub opening: BTreeMap<Part, i32>,
    pub marks: Vec<Mark>,
    /// One for each note of the passage.
    pub choices: Vec<Choice>,
    pub price: u64,
    pub proof: Proof,
}

impl Plan {
    /// Whether no note is missing that must not be left out.
    pub fn is_feasible(&self) -> bool {
        !self.choices.contains(&Choice::Missing)
    }
}

/// A move as made in one pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Move {
    /// Index of the stretch of the playing order.
    pub stretch: usize,
    pub place: usize,
    pub part: Part,
    pub from: i32,
    pub to: i32,
    /// The note, by its index, that needs it: the next on this part in playing order.
    pub needed_by: Option<usize>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Walked {
    pub price: u64,
    pub moves: Vec<Move>,
}

/// Why a plan cannot be played as printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The string does not stand so, or is being moved, or has no such setting.
    Note { place: usize, note: usize },
    /// The string still sounds a written note.
    Locked(Mark),
    /// No hand or foot is free for long enough.
    Busy(Mark),
}

struct Walk<'a> {
    harp: &'a Instrument,
    passage: &'a Passage,
    times: &'a MoveTimes,
    plan: &'a Plan,
    now: BTreeMap<Part, i32>,
    /// Until when each limb is busy, on the printed page of this stretch.
    busy: [i64; 2],
    ready: BTreeMap<Part, i64>,
    moves: Vec<Move>,
}

/// Plays a plan through and prices it.
pub fn walk(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, plan: &Plan) -> Result<Walked, Fault> {
    let (now, ready) = (plan.opening.clone(), BTreeMap::new());
    let mut walk = Walk { harp, passage, times, plan, now, busy: [0; 2], ready, moves: Vec::new() };
    for (stretch, range) in passage.order.iter().enumerate() {
        walk.busy = [i64::MIN; 2];
        walk.ready.clear();
        for place in range.clone() {
            walk.marks(stretch, place, passage.time(range.end))?;
            walk.notes(place)?;
        }
    }
    let moves = walk.moves;
    let moved: u64 = moves.iter().map(|m| price_of_move(passage, prices, m.place, m.from, m.to)).sum();
    let notes: u64 = passage.uses.iter().zip(&plan.choices).map(|(u, c)| price_of_choice(u, *c, prices)).sum();
    Ok(Walked { price: moved + notes + plan.marks.len() as u64 * prices.sign, moves })
}

pub(super) fn price_of_move(passage: &Passage, prices: &Prices, place: usize, from: i32, to: i32) -> u64 {
    let notches = if (from - to).abs() > 1 { prices.two_notches } else { 0 };
    prices.a_move + notches + passage.places[place].awkward
}

pub(super) fn price_of_choice(note: &super::passage::Use, choice: Choice, prices: &Prices) -> u64 {
    match (choice, note.omission) {
        (Choice::Plucked(i), _) => note.spellings[i].price,
        (Choice::LeftOut, Omission::Price(price)) => price,
        (Choice::LeftOut | Choice::Missing, _) => prices.missing,
    }
}

impl Walk<'_> {
    /// The part a note needs and how, where the plan has it plucked.
    fn need(&self, note: usize) -> Option<(Option<Part>, i32)> {
        let Choice::Plucked(i) = self.plan.choices[note] else { return None };
        let pitch = self.passage.uses[note].spellings[i].pitch;
        Some((Part::of(self.harp, pitch), pitch.alter))
    }

    fn marks(&mut self, stretch: usize, place: usize, end: i64) -> Result<(), Fault> {
        let at = self.passage.time(place);
        let free_until = (at + self.passage.places[place].room.micros()).min(end);
        let mut gesture: [Vec<Mark>; 2] = [Vec::new(), Vec::new()];
        for mark in self.plan.marks.iter().filter(|m| m.place == place) {
            let from = self.now.insert(mark.part, mark.to).unwrap_or(mark.to);
            if from == mark.to {
                continue;
            }
            let sounding = (0..self.passage.uses.len()).any(|n| {
                let note = &self.passage.uses[n];
                note.place < place && place < note.until && self.need(n).is_some_and(|need| need.0 == Some(mark.part))
            });
            if sounding {
                return Err(Fault::Locked(*mark));
            }
            gesture[mark.part.limb()].push(*mark);
            let needed_by = self.next_need(stretch, place, mark.part);
            self.moves.push(Move { stretch, place, part: mark.part, from, to: mark.to, needed_by });
        }
        for (limb, gesture) in gesture.iter_mut().enumerate() {
            gesture.sort_by_key(|m| m.part);
            let Some(last) = gesture.last().copied() else { continue };
            let done = at + duration(self.times, gesture);
            let too_long = match last.part {
                Part::Lever(_) => done > free_until,
                Part::Pedal(_) => gesture.len() > 1 || done > end,
            };
            if self.busy[limb] > at || too_long {
                return Err(Fault::Busy(last));
            }
            self.busy[limb] = done;
            for mark in gesture.iter().filter(|m| matches!(m.part, Part::Lever(_))) {
                self.ready.insert(mark.part, done);
            }
        }
        Ok(())
    }

    fn notes(&self, place: usize) -> Result<(), Fault> {
        for note in (0..self.passage.uses.len()).filter(|n| self.passage.uses[*n].place == place) {
            let Choice::Plucked(i) = self.plan.choices[note] else { continue };
            let pitch = self.passage.uses[note].spellings[i].pitch;
            let stands = match Part::of(self.harp, pitch) {
                Some(part) => {
                    let still = self.ready.get(&part).is_none_or(|r| *r <= self.passage.time(place));
                    self.harp.can_sound(pitch) && still && self.now.get(&part) == Some(&pitch.alter)
                }
                None => self.harp.can_sound(pitch),
            };
            if !stands {
                return Err(Fault::Note { place, note });
            }
        }
        Ok(())
    }

    fn next_need(&self, stretch: usize, place: usize, part: Part) -> Option<usize> {
        let rest = self.passage.order[stretch].clone().skip_while(|p| *p < place);
        let later = self.passage.order[stretch + 1..].iter().cloned().flatten();
        let first = |p: usize| {
            let from = self.passage.uses.partition_point(|u| u.place < p);
            (from..self.passage.uses.len())
                .take_while(|n| self.passage.uses[*n].place == p)
                .find(|n| self.need(*n).is_some_and(|need| need.0 == Some(part)))
        };
        rest.chain(later).find_map(first)
    }
}

/// How long a limb is busy with the marks of one gesture, in microseconds; the marks in order of string.
fn duration(times: &MoveTimes, gesture: &[Mark]) -> i64 {
    let further = gesture.windows(2).map(|pair| further(times, pair[0].part, pair[1].part));
    first(times, gesture[0].part) + further.sum::<i64>()
}

pub(super) fn first(times: &MoveTimes, part: Part) -> i64 {
    match part {
        Part::Lever(_) => times.lever.micros(),
        Part::Pedal(_) => times.foot.micros(),
    }
}

pub(super) fn further(times: &MoveTimes, low: Part, high: Part) -> i64 {
    match (low, high) {
        (Part::Lever(a), Part::Lever(b)) if b - a == 1 => times.neighbour.micros(),
        (Part::Lever(_), _) => times.distant.micros(),
        _ => 0,
    }
}
