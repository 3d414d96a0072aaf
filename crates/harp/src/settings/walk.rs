//! A plan of settings, and the walk that plays it through: every pass of every repeat, place by place.
//!
//! The walk knows nothing of the search. It is what makes a plan true: whatever it accepts can be played as printed.

use super::passage::{Omission, Part, Passage, Prices, Use};
use crate::instrument::Instrument;
use crate::player::MoveTimes;
use std::collections::BTreeMap;

/// A sign on the page: here this lever or pedal is set so. It is read before the notes of its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SettingSign {
    /// Index into the passage's places.
    pub place: usize,
    /// What is moved.
    pub part: Part,
    /// Alteration of the letter: -1 flat, 0 natural, 1 sharp.
    pub to: i32,
}

/// What becomes of a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Choice {
    /// Index into the spellings of the note.
    Plucked(usize),
    /// It may be left out, and is.
    LeftOut,
    /// It cannot be had and must not be left out.
    Missing,
}

/// Whether the plan is known to be the cheapest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// No plan is cheaper.
    Best,
    /// More settings were open than were followed: a plan that can be played, perhaps not the cheapest.
    NotProved,
}

/// Settings for a passage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// How every lever or pedal that the passage uses stands at the start.
    pub opening: BTreeMap<Part, i32>,
    /// In order of their places.
    pub marks: Vec<SettingSign>,
    /// One for each note of the passage.
    pub choices: Vec<Choice>,
    /// By the prices that were given.
    pub price: u64,
    /// No plan is cheaper than this: the price, where that is proved.
    pub least: u64,
    /// Whether nothing cheaper is left.
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
    /// Index into the passage's places.
    pub place: usize,
    /// What is moved.
    pub part: Part,
    /// From this alteration …
    pub from: i32,
    /// … to this one.
    pub to: i32,
    /// The note, by its index, that needs it: the next on this part in playing order.
    pub needed_by: Option<usize>,
}

/// A plan as it is played.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Walked {
    /// By the prices that were given.
    pub price: u64,
    /// Every move in every pass, in order of playing.
    pub moves: Vec<Move>,
}

/// Why a plan cannot be played as printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The string does not stand so, or is being moved, or has no such setting.
    Note {
        /// Index into the passage's places.
        place: usize,
        /// Index into its notes.
        note: usize,
    },
    /// The string still sounds a written note.
    Locked(SettingSign),
    /// No hand or foot is free for long enough.
    Busy(SettingSign),
}

struct Walk<'a> {
    passage: &'a Passage,
    times: &'a MoveTimes,
    needs: &'a [Need],
    /// The marks in order of place.
    marks: &'a [SettingSign],
    now: BTreeMap<Part, i32>,
    /// Until when each limb is busy, on the printed page of this stretch, and with what.
    busy: [(i64, Vec<Part>); 2],
    ready: BTreeMap<Part, i64>,
    /// Until when a written note holds a string, on the printed page of this stretch.
    held: BTreeMap<Part, i64>,
    moves: Vec<Move>,
    /// For each mark that was passed whether it did something the first time.
    first: BTreeMap<usize, Passed>,
}

/// What a mark does in one pass.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Passed {
    Moves,
    Idle,
}

/// What a note asks for as it is planned.
#[derive(Clone, Copy)]
enum Need {
    /// It is not plucked, or nothing moves its string and it stands right.
    Nothing,
    /// The harp has no such string or setting.
    Never,
    Stands(Part, i32),
}

/// A fault, and the parts that are in one another's way there.
pub(super) type Blame = (Fault, Vec<Part>);

/// Plays a plan through and prices it.
pub fn walk(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, plan: &Plan) -> Result<Walked, Fault> {
    play(harp, passage, times, prices, plan).map_err(|blame| blame.0)
}

pub(super) fn play(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, plan: &Plan) -> Result<Walked, Blame> {
    let needs: Vec<Need> = passage.uses.iter().zip(&plan.choices).map(|(note, choice)| need(harp, note, *choice)).collect();
    let mut marks = plan.marks.clone();
    marks.sort_by_key(|m| m.place);
    let (busy, ready, held) = (Default::default(), BTreeMap::new(), BTreeMap::new());
    let mut walk = Walk {
        passage,
        times,
        needs: &needs,
        marks: &marks,
        now: plan.opening.clone(),
        busy,
        ready,
        held,
        moves: Vec::new(),
        first: BTreeMap::new(),
    };
    for (stretch, range) in passage.order.iter().enumerate() {
        walk.begin(stretch);
        for place in range.clone() {
            walk.signs(stretch, place, passage.time(range.end))?;
            walk.notes(place)?;
        }
    }
    let idle = walk.first.values().filter(|p| **p == Passed::Idle).count() as u64;
    let moves = walk.moves;
    let moved: u64 = moves.iter().map(|m| price_of_move(prices, passage.places[m.place].awkward, m.from, m.to)).sum();
    let notes: u64 = passage.uses.iter().zip(&plan.choices).map(|(u, c)| price_of_choice(u, *c, prices)).sum();
    Ok(Walked { price: moved + notes + plan.marks.len() as u64 * prices.sign + idle * prices.idle, moves })
}

fn need(harp: &Instrument, note: &Use, choice: Choice) -> Need {
    let Choice::Plucked(i) = choice else { return Need::Nothing };
    let pitch = note.spellings[i].pitch;
    match Part::of(harp, pitch) {
        _ if !harp.can_sound(pitch) => Need::Never,
        Some(part) => Need::Stands(part, pitch.alter),
        None => Need::Nothing,
    }
}

pub(super) fn price_of_move(prices: &Prices, awkward: u64, from: i32, to: i32) -> u64 {
    let notches = if (from - to).abs() > 1 { prices.two_notches } else { 0 };
    prices.a_move + notches + awkward
}

pub(super) fn price_of_choice(note: &Use, choice: Choice, prices: &Prices) -> u64 {
    match (choice, note.omission) {
        (Choice::Plucked(i), _) => note.spellings[i].price,
        (Choice::LeftOut, Omission::Price(price)) => price,
        (Choice::LeftOut | Choice::Missing, _) => prices.missing,
    }
}

impl Walk<'_> {
    /// Begins a stretch: hand and feet have finished, but a note that is not over still holds its string.
    fn begin(&mut self, stretch: usize) {
        self.busy = [(i64::MIN, Vec::new()), (i64::MIN, Vec::new())];
        self.ready.clear();
        let Some(before) = stretch.checked_sub(1) else { return };
        let (end, start) = (self.passage.time(self.passage.order[before].end), self.passage.time(self.passage.order[stretch].start));
        self.held.retain(|_, until| *until > end);
        for until in self.held.values_mut() {
            *until += start - end;
        }
    }

    fn signs(&mut self, stretch: usize, place: usize, end: i64) -> Result<(), Blame> {
        let at = self.passage.time(place);
        let free_until = (at + self.passage.places[place].room.micros()).min(end);
        let mut gesture: [Vec<SettingSign>; 2] = [Vec::new(), Vec::new()];
        let first = self.marks.partition_point(|m| m.place < place);
        for (index, mark) in self.marks.iter().enumerate().skip(first).take_while(|(_, m)| m.place == place) {
            let from = self.now.insert(mark.part, mark.to).unwrap_or(mark.to);
            let passed = if from == mark.to { Passed::Idle } else { Passed::Moves };
            self.first.entry(index).or_insert(passed);
            if passed == Passed::Idle {
                continue;
            }
            if self.held.get(&mark.part).is_some_and(|until| *until > at) {
                return Err((Fault::Locked(*mark), vec![mark.part]));
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
            let parts: Vec<Part> = gesture.iter().map(|m| m.part).collect();
            if self.busy[limb].0 > at || too_long {
                let before = if self.busy[limb].0 > at { &self.busy[limb].1[..] } else { &[] };
                return Err((Fault::Busy(last), [&parts[..], before].concat()));
            }
            self.ready.extend(parts.iter().filter(|p| matches!(p, Part::Lever(_))).map(|p| (*p, done)));
            self.busy[limb] = (done, parts);
        }
        Ok(())
    }

    fn notes(&mut self, place: usize) -> Result<(), Blame> {
        let at = self.passage.time(place);
        let first = self.passage.uses.partition_point(|u| u.place < place);
        for (note, own) in self.passage.uses.iter().enumerate().skip(first).take_while(|(_, u)| u.place == place) {
            match self.needs[note] {
                Need::Nothing => {}
                Need::Never => return Err((Fault::Note { place, note }, Vec::new())),
                Need::Stands(part, alter) => {
                    if self.ready.get(&part).is_some_and(|r| *r > at) {
                        return Err((Fault::Note { place, note }, [&[part], &self.busy[part.limb()].1[..]].concat()));
                    }
                    if self.now.get(&part) != Some(&alter) {
                        return Err((Fault::Note { place, note }, vec![part]));
                    }
                    let until = self.passage.time(own.until);
                    let held = self.held.entry(part).or_insert(until);
                    *held = until.max(*held);
                }
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
                .find(|n| matches!(self.needs[*n], Need::Stands(own, _) if own == part))
        };
        rest.chain(later).find_map(first)
    }
}

/// How long a limb is busy with the marks of one gesture, in microseconds; the marks in order of string.
fn duration(times: &MoveTimes, gesture: &[SettingSign]) -> i64 {
    let further = gesture.windows(2).map(|pair| further(times, pair[0].part, pair[1].part));
    first(times, gesture[0].part) + further.sum::<i64>()
}

pub(crate) fn first(times: &MoveTimes, part: Part) -> i64 {
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
