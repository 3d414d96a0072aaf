//! The cheapest settings, by an exact search along the page.
//!
//! All passes of a repeat are followed at once, so that a sign and a note are decided once and hold in every pass. From the states at a place
//! come, sign by sign and note by note, the states at the next; of two ways to one state the cheaper is kept:
//!
//! `price(state after) = min over the decisions that lead to it of price(state before) + price(decision)`
//!
//! Only contested parts are in the state: those that some note wants otherwise than another. Strings on which the written spellings agree, and
//! everything linked with them by a choice of strings, are settled before.

use super::passage::{MoveTimes, Omission, Part, Passage, Prices};
use super::state::{Stand, State, Step};
use super::walk::{Choice, Mark, Plan, Proof, first, further, price_of_choice, price_of_move};
use crate::instrument::Instrument;
use std::collections::{BTreeMap, BTreeSet};

/// States followed at once; above it the cheapest are kept and the plan is not proved. Twelve levers that stand either way are 4096.
pub const DEFAULT_WIDTH: usize = 4096;

struct Search<'a> {
    passage: &'a Passage,
    times: &'a MoveTimes,
    prices: &'a Prices,
    width: usize,
    /// The contested parts and how they may be wanted.
    parts: Vec<(Part, Vec<i8>)>,
    /// For each note the spellings that can be had: index, contested part if any, alteration.
    options: Vec<Vec<(usize, Option<usize>, i8)>>,
    steps: Vec<(usize, Step)>,
    states: BTreeMap<State, (u64, usize)>,
    cut: bool,
}

/// The cheapest plan. `width` bounds the states followed at once, see [`DEFAULT_WIDTH`]. A passage always has a plan: what cannot be had is
/// [`Choice::LeftOut`], or [`Choice::Missing`] where it must not be.
pub fn plan(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, width: usize) -> Plan {
    let (options, quiet) = options(harp, passage);
    let mut wanted: BTreeMap<Part, BTreeSet<i8>> = BTreeMap::new();
    for (_, part, alter) in options.iter().flatten() {
        wanted.entry(part.unwrap_or(NO_PART)).or_default().insert(*alter);
    }
    wanted.remove(&NO_PART);
    let alone: BTreeMap<Part, i32> = wanted.iter().map(|(p, w)| (*p, i32::from(*w.first().expect("someone wants it")))).collect();
    let contested = |p: &Part| wanted[p].len() > 1 && !quiet.contains(p);
    let parts: Vec<(Part, Vec<i8>)> = wanted.iter().filter(|(p, _)| contested(p)).map(|(p, w)| (*p, w.iter().copied().collect())).collect();
    let index = |part: Option<Part>| part.and_then(|part| parts.iter().position(|p| p.0 == part));
    let options = options.iter().map(|o| o.iter().map(|(i, part, alter)| (*i, index(*part), *alter)).collect()).collect();
    let states = BTreeMap::from([(State::start(parts.len()), (0, 0))]);
    let steps = vec![(0, Step::Start)];
    let mut search = Search { passage, times, prices, width: width.max(1), parts, options, steps, states, cut: false };
    for place in 0..passage.places.len() {
        search.boundary(place);
        search.signs(place);
        search.notes(place);
        search.narrow();
    }
    search.boundary(passage.places.len());
    if search.states.is_empty() { without_notes(passage, prices, alone) } else { search.result(alone) }
}

/// The plan that moves nothing and leaves every note out: what remains when so few states were followed that none of them came to the end.
fn without_notes(passage: &Passage, prices: &Prices, opening: BTreeMap<Part, i32>) -> Plan {
    let choice = |omission: &Omission| match omission {
        Omission::Price(price) => (Choice::LeftOut, *price),
        _ => (Choice::Missing, prices.missing),
    };
    let all: Vec<(Choice, u64)> = passage.uses.iter().map(|u| choice(&u.omission)).collect();
    let price = all.iter().map(|c| c.1).sum();
    Plan { opening, marks: Vec::new(), choices: all.into_iter().map(|c| c.0).collect(), price, proof: Proof::NotProved }
}

/// Stands for "nothing moves this string" while the wants are gathered.
const NO_PART: Part = Part::Lever(i32::MIN);

/// The price of a state and the step that led to it.
type Reached = (u64, usize);

/// For each pass under way the last part that each limb has moved at this place.
type Gesture = Vec<[Option<usize>; 2]>;

/// For each note its spellings that can be had: index, part, alteration.
type Wants = Vec<Vec<(usize, Option<Part>, i8)>>;

/// What can be had for each note; and the parts that need no thought: in their whole group the written spellings cost nothing and agree.
fn options(harp: &Instrument, passage: &Passage) -> (Wants, BTreeSet<Part>) {
    let had = |u: &super::Use| {
        let own = u.spellings.iter().enumerate().filter(|(_, s)| harp.can_sound(s.pitch));
        own.map(|(i, s)| (i, Part::of(harp, s.pitch), s.pitch.alter as i8)).collect::<Vec<_>>()
    };
    let mut wants: Wants = passage.uses.iter().map(had).collect();
    let mut group: BTreeMap<Part, usize> = BTreeMap::new();
    for (n, part) in wants.iter().flatten().filter_map(|w| w.1).enumerate() {
        group.entry(part).or_insert(n);
    }
    for _ in 0..group.len() {
        for want in &wants {
            let linked: Vec<Part> = want.iter().filter_map(|w| w.1).collect();
            let least = linked.iter().map(|p| group[p]).min();
            for part in linked {
                group.insert(part, least.expect("a linked part"));
            }
        }
    }
    let of_group = |want: &[(usize, Option<Part>, i8)]| want.iter().find_map(|w| w.1).map(|p| group[&p]);
    let mut loud: BTreeSet<usize> = BTreeSet::new();
    let mut stands: BTreeMap<Part, i8> = BTreeMap::new();
    for (want, note) in wants.iter().zip(&passage.uses) {
        let written = want.first().filter(|w| w.0 == 0 && note.spellings[0].price == 0);
        let agrees = written.is_some_and(|w| w.1.is_none_or(|p| *stands.entry(p).or_insert(w.2) == w.2));
        if let Some(g) = of_group(want).filter(|_| !agrees) {
            loud.insert(g);
        }
    }
    for want in &mut wants {
        if of_group(want).is_some_and(|g| !loud.contains(&g)) {
            want.truncate(1);
        }
    }
    let quiet = group.iter().filter(|(_, g)| !loud.contains(g)).map(|(p, _)| *p).collect();
    (wants, quiet)
}

impl Search<'_> {
    fn keep(&mut self, states: &mut BTreeMap<State, (u64, usize)>, state: State, price: u64, from: usize, step: Option<Step>) {
        let old = states.get(&state);
        if old.is_some_and(|o| o.0 <= price) {
            return;
        }
        let from = match step {
            Some(step) => self.step(from, step),
            None => from,
        };
        states.insert(state, (price, from));
    }

    fn step(&mut self, from: usize, step: Step) -> usize {
        self.steps.push((from, step));
        self.steps.len() - 1
    }

    fn settle(&mut self, state: &mut State, part: usize, stretch: u8, stands: i8, from: usize) -> usize {
        if state.settle(part, stretch, stands) {
            let part = self.parts[part].0;
            return self.step(from, Step::Opening { part, stands });
        }
        from
    }

    /// Ends and begins the stretches whose border is before this place.
    fn boundary(&mut self, place: usize) {
        let last = (self.passage.order.len() - 1) as u8;
        let border = |pick: fn(&std::ops::Range<usize>) -> usize| {
            let all = self.passage.order.iter().enumerate();
            all.filter(move |(_, r)| pick(r) == place).map(|(i, _)| i as u8).collect::<Vec<_>>()
        };
        let (ends, begins) = (border(|r| r.end), border(|r| r.start));
        let mut after = BTreeMap::new();
        for (mut state, (price, mut from)) in std::mem::take(&mut self.states) {
            let settled: Option<Vec<(usize, i8)>> =
                ends.iter().map(|e| state.end(*e, last)).collect::<Option<Vec<_>>>().map(|all| all.concat());
            let Some(settled) = settled else { continue };
            for (part, stands) in settled {
                from = self.step(from, Step::Opening { part: self.parts[part].0, stands });
            }
            for begin in &begins {
                state.begin(*begin, self.parts.len());
            }
            state.tidy(self.passage.time(place), place);
            self.keep(&mut after, state, price, from, None);
        }
        self.states = after;
    }

    fn signs(&mut self, place: usize) {
        let mut gestures: BTreeMap<(State, Gesture), Reached> = BTreeMap::new();
        for (state, (price, from)) in std::mem::take(&mut self.states) {
            let idle = vec![[None; 2]; state.passes.len()];
            gestures.insert((state, idle), (price, from));
        }
        for part in 0..self.parts.len() {
            let before: Vec<_> = gestures.iter().map(|(k, v)| (k.clone(), *v)).collect();
            for ((state, gesture), (price, from)) in before {
                if state.locks[part] > place {
                    continue;
                }
                for to in self.parts[part].1.clone() {
                    for (state, from) in self.settled(&state, part, from) {
                        let Some((state, gesture, more)) = self.moved(&state, &gesture, place, part, to) else { continue };
                        let (price, key) = (price + more + self.prices.sign, (state, gesture));
                        if gestures.get(&key).is_none_or(|old| old.0 > price) {
                            let sign = Mark { place, part: self.parts[part].0, to: i32::from(to) };
                            let from = self.step(from, Step::Sign(sign));
                            gestures.insert(key, (price, from));
                        }
                    }
                }
            }
        }
        let mut after = BTreeMap::new();
        for ((state, _), (price, from)) in gestures {
            self.keep(&mut after, state, price, from, None);
        }
        self.states = after;
    }

    /// The ways a part may have stood in the passes that do not know it yet.
    fn settled(&mut self, state: &State, part: usize, from: usize) -> Vec<(State, usize)> {
        let mut done = Vec::new();
        let mut open = vec![(state.clone(), from)];
        while let Some((state, from)) = open.pop() {
            let unknown = state.passes.iter().filter(|p| p.busy[0] >= 0).find_map(|p| match p.stands[part] {
                Stand::AsBegan(stretch) => Some(stretch),
                Stand::Known(_) => None,
            });
            let Some(stretch) = unknown else {
                done.push((state, from));
                continue;
            };
            for stands in self.parts[part].1.clone() {
                let mut next = state.clone();
                let from = self.settle(&mut next, part, stretch, stands, from);
                open.push((next, from));
            }
        }
        done
    }

    /// The part moved in every pass under way in which it stands otherwise: the state, the gestures, the price. `None` where it moves nowhere
    /// or some limb has no time.
    fn moved(&self, state: &State, gesture: &[[Option<usize>; 2]], place: usize, part: usize, to: i8) -> Option<(State, Gesture, u64)> {
        let (mut state, mut gesture, mut price, mut moves) = (state.clone(), gesture.to_vec(), 0, 0);
        let (moved, at) = (self.parts[part].0, self.passage.time(place));
        let limb = moved.limb();
        for (pass, gesture) in state.passes.iter_mut().zip(&mut gesture).filter(|(p, _)| p.busy[0] >= 0) {
            let Stand::Known(stands) = pass.stands[part] else { unreachable!("every pass under way was settled") };
            if stands == to {
                continue;
            }
            let done = match gesture[limb] {
                None if pass.busy[limb] > at => return None,
                None => at + first(self.times, moved),
                Some(last) => pass.busy[limb] + further(self.times, self.parts[last].0, moved),
            };
            let end = self.passage.time(self.passage.order[usize::from(pass.stretch)].end);
            match moved {
                Part::Lever(_) if done > end.min(at + self.passage.places[place].room.micros()) => return None,
                Part::Lever(_) => pass.moving |= 1 << part.min(63),
                Part::Pedal(_) if gesture[limb].is_some() || done > end => return None,
                Part::Pedal(_) => {}
            }
            pass.busy[limb] = done;
            gesture[limb] = Some(part);
            pass.stands[part] = Stand::Known(to);
            price += price_of_move(self.passage, self.prices, place, i32::from(stands), i32::from(to));
            moves += 1;
        }
        (moves > 0).then_some((state, gesture, price))
    }

    fn notes(&mut self, place: usize) {
        for note in (0..self.passage.uses.len()).filter(|n| self.passage.uses[*n].place == place) {
            let out = match self.passage.uses[note].omission {
                Omission::Price(_) => Choice::LeftOut,
                Omission::Never => Choice::Missing,
            };
            let mut after = BTreeMap::new();
            for (state, (price, from)) in std::mem::take(&mut self.states) {
                for (spelling, part, alter) in self.options[note].clone() {
                    let Some((state, from)) = self.plucked(&state, place, note, part, alter, from) else { continue };
                    let choice = Choice::Plucked(spelling);
                    let price = price + price_of_choice(&self.passage.uses[note], choice, self.prices);
                    self.keep(&mut after, state, price, from, Some(Step::Note(note, choice)));
                }
                let price = price + price_of_choice(&self.passage.uses[note], out, self.prices);
                self.keep(&mut after, state, price, from, Some(Step::Note(note, out)));
            }
            self.states = after;
        }
    }

    fn plucked(&mut self, state: &State, place: usize, note: usize, part: Option<usize>, alter: i8, from: usize) -> Option<(State, usize)> {
        let (mut state, mut from) = (state.clone(), from);
        let Some(part) = part else { return Some((state, from)) };
        let at = self.passage.time(place);
        for pass in 0..state.passes.len() {
            if state.passes[pass].busy[0] < 0 {
                continue;
            }
            match state.passes[pass].stands[part] {
                Stand::Known(stands) if stands != alter => return None,
                Stand::Known(_) => {}
                Stand::AsBegan(stretch) => from = self.settle(&mut state, part, stretch, alter, from),
            }
            let pass = &state.passes[pass];
            if pass.moving >> part.min(63) & 1 == 1 && pass.busy[0] > at {
                return None;
            }
        }
        state.locks[part] = state.locks[part].max(self.passage.uses[note].until);
        Some((state, from))
    }

    fn narrow(&mut self) {
        if self.states.len() <= self.width {
            return;
        }
        self.cut = true;
        let mut kept: Vec<_> = std::mem::take(&mut self.states).into_iter().collect();
        kept.sort_by(|a, b| a.1.0.cmp(&b.1.0).then_with(|| a.0.cmp(&b.0)));
        kept.truncate(self.width);
        self.states = kept.into_iter().collect();
    }

    fn result(self, mut opening: BTreeMap<Part, i32>) -> Plan {
        let (price, mut at) = *self.states.values().min().expect("an empty search has no result");
        let mut choices = vec![Choice::LeftOut; self.passage.uses.len()];
        let mut marks = Vec::new();
        while at > 0 {
            let (before, step) = self.steps[at];
            match step {
                Step::Start => {}
                Step::Opening { part, stands } => drop(opening.insert(part, i32::from(stands))),
                Step::Sign(mark) => marks.push(mark),
                Step::Note(note, choice) => choices[note] = choice,
            }
            at = before;
        }
        marks.reverse();
        let proof = if self.cut { Proof::NotProved } else { Proof::Best };
        Plan { opening, marks, choices, price, proof }
    }
}
