//! Some levers or pedals together, place by place along the page, with the hand and the feet that move them.
//!
//! A state is a node of each part (see [`super::alone`]) and, in each pass under way, when hand or feet are free again. Of two ways to one state the
//! cheaper is kept:
//!
//! `price(state after) = min over the decisions that lead to it of price(state before) + price(decision)`
//!
//! and a state is followed only while its price and the rest of all its parts stay below a limit: no plan through it is cheaper than that sum.
//! [`solve`] first looks for a plan as cheap as the sum at the start; where hand and feet forbid that, for one that is a little dearer, and so on. Unless
//! the first that is found is known to be the cheapest, an exact run follows everything that could be cheaper.

use super::alone::{Alone, Edge, Turn};
use super::effort::{Effort, Run};
use super::ground::{Ground, NEVER, reckoned};
use super::passage::Part;
use super::share::{Shares, out, prices_of};
use super::walk::{first, further, price_of_choice};
use super::{Choice, SettingSign};
use smallvec::{SmallVec, smallvec};
use std::cmp::Reverse;

/// States followed at once where a plan as cheap as the bound is looked for first.
const AT_ONCE: usize = 4;

/// States followed at once while some plan is looked for.
const NARROW: usize = 24;

/// How far beyond the bound a plan is looked for, in quarters of a move, before every plan will do.
const BEYOND: [u64; 3] = [4, 40, u64::MAX];

/// How often that many states may come together while the signs of one place are tried.
const AT_ONE_PLACE: usize = 4;

/// What is decided for a group of parts.
#[derive(Clone, Debug, Default)]
pub(super) struct Solved {
    pub marks: Vec<SettingSign>,
    pub choices: Vec<(usize, Choice)>,
    pub opening: Vec<(Part, i8)>,
    pub price: i64,
    pub proved: bool,
}

#[derive(Clone, Copy, Debug)]
enum Step {
    Start,
    Opening(usize, i8),
    Sign(SettingSign),
    Note(usize, Choice),
}

/// When the limbs of one pass are free.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Limbs {
    stretch: u8,
    /// The place from which each limb is free; 0 when it is.
    free: [u32; 2],
    /// The levers being moved until the hand is free again, one bit each.
    moving: u64,
}

/// For each pass in which something was moved at this place the last part moved by each limb, and when it will be done.
type Gestures = Vec<(u8, Gesture)>;
type Gesture = [Option<(u32, i64)>; 2];

#[derive(Clone, Debug)]
struct State {
    nodes: SmallVec<[u32; 8]>,
    /// The passes in which something is being moved.
    limbs: SmallVec<[Limbs; 1]>,
    gestures: Gestures,
    price: i64,
    /// The price and the rest of all parts and notes: no plan through this state is cheaper.
    least: i64,
    from: u32,
}

/// A choice for a note: its way, the part that must stand so, its price.
struct Chosen {
    way: Option<usize>,
    part: Option<usize>,
    price: i64,
    choice: Choice,
}

struct Search<'s, 'a> {
    ground: &'s Ground<'a>,
    all: &'s [Alone],
    shares: &'s Shares,
    /// The parts searched, in order.
    parts: &'s [usize],
    notes: &'s [usize],
    /// The rest of all of them from the start.
    rest: i64,
    steps: Vec<(u32, Step)>,
    states: Vec<State>,
    limit: i64,
    run: Run,
    cut: bool,
    effort: &'s mut Effort,
}

/// The parts of a group, the notes that may be plucked on them, and what is known of both.
#[derive(Clone, Copy)]
pub(super) struct Task<'s, 'a> {
    pub ground: &'s Ground<'a>,
    pub all: &'s [Alone],
    pub shares: &'s Shares,
    pub parts: &'s [usize],
    pub notes: &'s [usize],
    /// What smaller groups have shown: no plan is cheaper.
    pub floor: i64,
}

impl Task<'_, '_> {
    /// No plan is cheaper.
    pub fn bound(&self) -> i64 {
        self.floor.max(self.rest())
    }

    /// The rest of all parts and notes from the start.
    fn rest(&self) -> i64 {
        let parts = self.parts.iter().map(|p| self.all[*p].rest[0]).sum::<i64>();
        parts + self.notes.iter().map(|n| self.shares.left[*n]).sum::<i64>()
    }
}

/// A plan as cheap as the bound, if one is found at once.
pub(super) fn solve_at_once(task: Task, effort: &mut Effort) -> Option<Solved> {
    let mut search = Search::new(task, effort);
    let best = search.run(task.bound() + 1, AT_ONCE, Run::Any)?;
    Some(Solved { proved: true, ..best })
}

/// The cheapest plan for a group of parts and the notes that may be plucked on them. `width` bounds the states followed at once in the exact run.
/// `None` where no way was found to the end.
pub(super) fn solve(task: Task, width: usize, effort: &mut Effort) -> Option<Solved> {
    if let Some(solved) = solve_at_once(task, effort) {
        return Some(solved);
    }
    let mut search = Search::new(task, effort);
    let bound = task.bound();
    let mut some = None;
    for beyond in BEYOND {
        let limit = reckoned(prices_of_moves(task.ground, beyond)).saturating_add(bound).saturating_add(1);
        if search.effort.is_spent(Run::Any) && beyond < u64::MAX {
            continue;
        }
        let narrow = if search.effort.is_spent(Run::Any) { AT_ONCE } else { NARROW };
        some = search.run(limit, narrow.min(width), Run::Any);
        match &some {
            Some(best) if !search.cut || best.price == bound => return Some(Solved { proved: true, ..best.clone() }),
            Some(_) => break,
            None => {}
        }
    }
    let exact = search.run(some.as_ref().map_or(NEVER, |f| f.price), width, Run::Exact);
    let proved = !search.cut;
    exact.or(some).map(|best| Solved { proved, ..best })
}

/// The price of so many quarters of a move.
fn prices_of_moves(ground: &Ground, quarters: u64) -> u64 {
    (ground.prices.a_move / 4).saturating_mul(quarters)
}

impl<'s, 'a> Search<'s, 'a> {
    fn new(task: Task<'s, 'a>, effort: &'s mut Effort) -> Search<'s, 'a> {
        let Task { ground, all, shares, parts, notes, floor: _ } = task;
        let (steps, states) = (Vec::new(), Vec::new());
        Search { ground, all, shares, parts, notes, rest: task.rest(), steps, states, limit: 0, run: Run::Any, cut: false, effort }
    }

    /// The cheapest plan below a limit. Where more than `width` states are open the least are kept.
    fn run(&mut self, limit: i64, width: usize, run: Run) -> Option<Solved> {
        (self.steps, self.limit, self.run, self.cut) = (vec![(0, Step::Start)], limit, run, false);
        let nodes = smallvec![0; self.parts.len()];
        self.states = vec![State { nodes, limbs: SmallVec::new(), gestures: Vec::new(), price: 0, least: self.rest, from: 0 }];
        let (mut next, mut breaks) = (0, vec![0; self.parts.len()]);
        let places = self.ground.places();
        for place in 0..places {
            self.breaks(place, &mut breaks);
            self.signs(place, width.saturating_mul(AT_ONE_PLACE));
            let from = next;
            while next < self.notes.len() && self.ground.passage.uses[self.notes[next]].place == place {
                self.note(place, self.notes[next]);
                next += 1;
            }
            if next > from {
                self.merge(place + 1);
            }
            self.narrow(width);
            self.effort.spend(self.run, self.states.len());
            if self.states.is_empty() || self.gives_up() {
                return None;
            }
        }
        self.breaks(places, &mut breaks);
        let best = self.states.iter().min_by(|a, b| (a.price, &a.nodes).cmp(&(b.price, &b.nodes)))?;
        Some(self.solved(best.price, best.from))
    }

    /// Whether the answer would no longer be proved, and no other counts.
    fn gives_up(&mut self) -> bool {
        self.cut |= self.run == Run::Exact && self.effort.is_spent(self.run);
        self.cut && self.run == Run::Exact
    }

    fn step(&mut self, from: u32, step: Step) -> u32 {
        self.steps.push((from, step));
        self.steps.len() as u32 - 1
    }

    /// Goes on over the borders and releases of a place in every part.
    fn breaks(&mut self, place: usize, at: &mut [usize]) {
        let mut merge = false;
        let (parts, all) = (self.parts, self.all);
        for (index, part) in parts.iter().enumerate() {
            let breaks = &all[*part].breaks;
            if breaks.get(at[index]).is_some_and(|b| b.0 == place) {
                self.on(index, breaks[at[index]].1);
                at[index] += 1;
                merge = true;
            }
        }
        if merge {
            self.merge(place);
        }
    }

    /// Every state goes on to a layer of one part.
    fn on(&mut self, index: usize, layer: u32) {
        let (part, all) = (self.parts[index], self.all);
        let alone = &all[part];
        let steps = &mut self.steps;
        let limit = self.limit;
        self.states.retain_mut(|state| {
            let node = state.nodes[index];
            let Some((to, opens)) = alone.on(node, layer) else { return false };
            if let Some(stands) = opens {
                steps.push((state.from, Step::Opening(part, stands)));
                state.from = steps.len() as u32 - 1;
            }
            state.nodes[index] = to;
            state.least += alone.rest[to as usize] - alone.rest[node as usize];
            alone.rest[to as usize] < NEVER / 2 && state.least < limit
        });
    }

    /// Every sign that may stand at a place, part by part; no more than `most` states are kept on the way.
    fn signs(&mut self, place: usize, most: usize) {
        let mut found = false;
        let (parts, all) = (self.parts, self.all);
        for (index, part) in parts.iter().enumerate() {
            let alone = &all[*part];
            let Some(layer) = alone.signs[place] else { continue };
            self.on(index, layer);
            let ready = self.ground.passage.time(place) + first(self.ground.times, alone.part);
            let is_late = matches!(alone.part, Part::Lever(_)) && ready > self.next_sound(alone, layer);
            for state in 0..self.states.len() {
                let node = self.states[state].nodes[index];
                if alone.nodes[node as usize].layer != layer {
                    continue;
                }
                for edge in alone.edges(node) {
                    if matches!(edge.turn, Turn::Sign { late, .. } if late == is_late)
                        && let Some(after) = self.sign(state, index, place, edge)
                    {
                        self.states.push(after);
                        found = true;
                    }
                }
            }
            self.narrow(most);
            if self.gives_up() {
                return;
            }
        }
        if found {
            self.states.iter_mut().for_each(|s| s.gestures.clear());
            self.merge(place);
        }
    }

    /// A state after a sign; `None` where that is too dear or some limb has no time.
    fn sign(&mut self, state: usize, index: usize, place: usize, edge: &Edge) -> Option<State> {
        let (before, part, all) = (&self.states[state], self.parts[index], self.all);
        let alone = &all[part];
        let Turn::Sign { to, .. } = edge.turn else { return None };
        let (moved, price) = &alone.moved[edge.moved as usize];
        let price = price + self.ground.awkward(place).saturating_mul(moved.len() as i64);
        let rest = alone.rest[edge.to as usize];
        let least = before.least + price + rest - alone.rest[before.nodes[index] as usize];
        if least >= self.limit || rest >= NEVER / 2 {
            return None;
        }
        let (limbs, gestures) = self.moved(before, index, place, moved)?;
        let nodes = before.nodes.clone();
        let mut after = State { nodes, limbs, gestures, price: before.price + price, least, from: before.from };
        after.nodes[index] = edge.to;
        if let Some(stands) = edge.opens {
            after.from = self.step(after.from, Step::Opening(part, stands));
        }
        self.effort.spend(self.run, 1);
        after.from = self.step(after.from, Step::Sign(SettingSign { place, part: alone.part, to: i32::from(to) }));
        Some(after)
    }

    /// When the next note that may be plucked on a part sounds, from a layer on.
    fn next_sound(&self, alone: &Alone, layer: u32) -> i64 {
        let note = alone.notes[layer as usize..].iter().flatten().next();
        note.map_or(i64::MAX, |note| self.ground.passage.time(self.ground.passage.uses[*note].place))
    }

    /// The limbs after a part is moved in these stretches; `None` where some limb has no time.
    fn moved(&self, state: &State, index: usize, place: usize, moved: &[u8]) -> Option<(SmallVec<[Limbs; 1]>, Gestures)> {
        let (ground, part) = (self.ground, self.all[self.parts[index]].part);
        let (mut limbs, mut gestures) = (state.limbs.clone(), state.gestures.clone());
        let (at, limb) = (ground.passage.time(place), part.limb());
        for stretch in moved {
            let end = ground.passage.time(ground.passage.order[usize::from(*stretch)].end);
            let own = limbs.iter().position(|l| l.stretch == *stretch).unwrap_or_else(|| {
                limbs.push(Limbs { stretch: *stretch, ..Limbs::default() });
                limbs.len() - 1
            });
            let gesture = gestures.iter().position(|g| g.0 == *stretch).unwrap_or_else(|| {
                gestures.push((*stretch, [None; 2]));
                gestures.len() - 1
            });
            let (own, gesture) = (&mut limbs[own], &mut gestures[gesture].1[limb]);
            let done = match *gesture {
                None if own.free[limb] as usize > place => return None,
                None => at + first(ground.times, part),
                Some((last, done)) => done + further(ground.times, self.all[self.parts[last as usize]].part, part),
            };
            match part {
                Part::Lever(_) if done > end.min(at + ground.passage.places[place].room.micros()) => return None,
                Part::Lever(_) if gesture.is_none() => own.moving = 1 << index,
                Part::Lever(_) => own.moving |= 1 << index,
                Part::Pedal(_) if gesture.is_some() || done > end => return None,
                Part::Pedal(_) => {}
            }
            own.free[limb] = ground.passage.place_from(done) as u32;
            *gesture = Some((index as u32, done));
        }
        Some((limbs, gestures))
    }

    /// Every choice for a note.
    fn note(&mut self, place: usize, note: usize) {
        let (parts, all) = (self.parts, self.all);
        let layers = parts.iter().enumerate().filter_map(|(index, part)| all[*part].layer_of[note].map(|layer| (index, layer)));
        let own: Vec<(usize, u32)> = layers.collect();
        for (index, layer) in &own {
            self.on(*index, *layer);
        }
        let (prices, price_out) = prices_of(self.ground, note);
        let left_out = Chosen { way: None, part: None, price: price_out, choice: out(self.ground.passage.uses[note].omission) };
        let ways = self.ground.wants.ways[note].iter().zip(prices).enumerate();
        let plucked = ways.map(|(i, (way, price))| Chosen { way: Some(i), part: way.part, price, choice: Choice::Plucked(way.spelling) });
        let choices: Vec<Chosen> = plucked.chain([left_out]).collect();
        let mut after = Vec::with_capacity(self.states.len());
        for before in std::mem::take(&mut self.states) {
            after.extend(choices.iter().filter_map(|chosen| self.chosen(&before, place, note, &own, chosen)));
        }
        self.states = after;
    }

    /// A state after a choice for a note; `None` where that is too dear or a part does not stand so. `own` has the parts on which it may be plucked.
    fn chosen(&mut self, before: &State, place: usize, note: usize, own: &[(usize, u32)], chosen: &Chosen) -> Option<State> {
        let all = self.all;
        let mut least = before.least - self.shares.left[note] + chosen.price;
        let mut edges: SmallVec<[(usize, &Edge); 3]> = SmallVec::new();
        for (index, _) in own {
            let (part, node) = (self.parts[*index], before.nodes[*index]);
            let turn = match chosen.way {
                Some(way) if chosen.part == Some(part) => Turn::Plucked { way: way as u32 },
                _ => Turn::On,
            };
            let moving = || before.limbs.iter().any(|l| l.moving >> index & 1 == 1 && l.free[0] as usize > place);
            let edge = all[part].edges(node).iter().find(|e| e.turn == turn)?;
            if all[part].rest[edge.to as usize] >= NEVER / 2 || turn != Turn::On && moving() {
                return None;
            }
            least += all[part].rest[edge.to as usize] - all[part].rest[node as usize];
            edges.push((*index, edge));
        }
        if least >= self.limit {
            return None;
        }
        let mut after = State { price: before.price + chosen.price, least, ..before.clone() };
        for (index, edge) in edges {
            after.nodes[index] = edge.to;
            if let Some(stands) = edge.opens {
                after.from = self.step(after.from, Step::Opening(self.parts[index], stands));
            }
        }
        after.from = self.step(after.from, Step::Note(note, chosen.choice));
        Some(after)
    }

    /// Forgets what is past, and keeps the cheaper of two ways to one state.
    fn merge(&mut self, place: usize) {
        for state in &mut self.states {
            for limbs in &mut state.limbs {
                for free in limbs.free.iter_mut().filter(|f| **f as usize <= place) {
                    *free = 0;
                }
                if limbs.free[0] == 0 {
                    limbs.moving = 0;
                }
            }
            state.limbs.retain(|l| l.free != [0; 2]);
            state.limbs.sort();
        }
        if self.states.len() > 1 {
            self.states.sort_unstable_by(|a, b| (&a.nodes, &a.limbs, a.price, a.from).cmp(&(&b.nodes, &b.limbs, b.price, b.from)));
            self.states.dedup_by(|b, a| a.nodes == b.nodes && a.limbs == b.limbs);
        }
    }

    /// Keeps the least states where more than `width` are open.
    fn narrow(&mut self, width: usize) {
        if self.states.len() > width {
            self.cut = true;
            let order = |s: &State| (s.least, Reverse(s.price));
            let by = |a: &State, b: &State| {
                order(a).cmp(&order(b)).then_with(|| (&a.nodes, &a.limbs, a.from).cmp(&(&b.nodes, &b.limbs, b.from)))
            };
            self.states.select_nth_unstable_by(width, by);
            self.states.truncate(width);
        }
    }

    fn solved(&self, price: i64, mut at: u32) -> Solved {
        let mut solved = Solved { price, ..Solved::default() };
        while at > 0 {
            let (before, step) = self.steps[at as usize];
            match step {
                Step::Start => {}
                Step::Opening(part, stands) => solved.opening.push((self.all[part].part, stands)),
                Step::Sign(mark) => solved.marks.push(mark),
                Step::Note(note, choice) => solved.choices.push((note, choice)),
            }
            at = before;
        }
        solved
    }
}

/// The cheapest choice for a note for which nothing in question need stand one way or the other.
pub(super) fn free_choice(ground: &Ground, note: usize) -> Choice {
    let own = &ground.passage.uses[note];
    let plucked = ground.wants.ways[note].iter().map(|w| Choice::Plucked(w.spelling));
    let price = |choice: &Choice| reckoned(price_of_choice(own, *choice, ground.prices));
    plucked.chain([out(own.omission)]).min_by_key(price).expect("a note can be left out")
}
