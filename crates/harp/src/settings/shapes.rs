//! The ways one part may stand, each kept once, and what each becomes by a sign or a note: along a page the same few come again and again.

use super::ground::{Ground, reckoned};
use super::state::{Stand, State, Tie};
use super::walk::price_of_move;
use smallvec::{SmallVec, smallvec};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// The most ways one part may stand that are kept apart: a page of any music has a few dozen. Passes that do not know each other multiply them.
const MOST: usize = 4_096;

/// Some stretches of the playing order.
pub(super) type Stretches = SmallVec<[u8; 4]>;

/// A note and a way of it that may hold the string over a jump.
pub(super) type TiedWay = (usize, usize);

/// A sign made in one state.
#[derive(Clone, Copy, Debug)]
pub(super) struct Signed {
    pub to: i8,
    /// The state after it, where the lever is set in time for the next note, and where it is not.
    pub after: [u32; 2],
    /// Index into [`Shapes::moved`].
    pub moved: u32,
    pub opens: Option<i8>,
}

/// The state after a note is plucked and the opening it settles; `None` where the part cannot stand so.
type Plucked = Option<(u32, Option<i8>)>;

pub(super) struct Shapes<'g, 'a> {
    ground: &'g Ground<'a>,
    wanted: &'g [i8],
    /// The notes and ways that may hold the string over a jump.
    pub ties: Vec<TiedWay>,
    pub states: Vec<State>,
    numbers: BTreeMap<State, u32>,
    /// There are more ways than are kept apart: what is known here is no longer all.
    pub full: bool,
    /// For each kind of sign the stretches in which it moves something, and the price but for the awkwardness of the place.
    pub moved: Vec<(Stretches, i64)>,
    /// Known already: the signs of a state, and what it becomes by a note flat, natural or sharp. Not where ties must be looked at each time.
    signs: Vec<Option<Rc<[Signed]>>>,
    plucked: Vec<[Option<Plucked>; 3]>,
}

impl<'g, 'a> Shapes<'g, 'a> {
    pub fn new(ground: &'g Ground<'a>, wanted: &'g [i8], ties: Vec<TiedWay>) -> Shapes<'g, 'a> {
        Shapes {
            ground,
            wanted,
            ties,
            states: Vec::new(),
            numbers: BTreeMap::new(),
            full: false,
            moved: Vec::new(),
            signs: Vec::new(),
            plucked: Vec::new(),
        }
    }

    /// The number of a state.
    pub fn of(&mut self, state: &State) -> u32 {
        if let Some(known) = self.numbers.get(state) {
            return *known;
        }
        let number = self.states.len() as u32;
        self.full |= self.states.len() >= MOST;
        self.numbers.insert(state.clone(), number);
        self.states.push(state.clone());
        self.signs.push(None);
        self.plucked.push([None; 3]);
        number
    }

    /// The signs that may be made in a state at a place, as far as no note of this pass holds the string.
    pub fn signs(&mut self, shape: u32, place: usize) -> Rc<[Signed]> {
        if let Some(known) = self.signs[shape as usize].as_ref().filter(|_| self.ties.is_empty()) {
            return known.clone();
        }
        let mut found = Vec::new();
        if self.open_ways(shape) > MOST {
            self.full = true;
            return found.into();
        }
        for (state, opens) in settled(&self.states[shape as usize], self.wanted) {
            for to in self.wanted {
                if let Some((state, moved, price)) = moved(self.ground, &self.ties, &state, place, *to) {
                    let after = [false, true].map(|late| self.of(&State { late, ..state.clone() }));
                    let moved = self.kind((moved, price));
                    found.push(Signed { to: *to, after, moved, opens });
                }
            }
        }
        let found: Rc<[Signed]> = found.into();
        self.signs[shape as usize] = Some(found.clone());
        found
    }

    /// In how many ways the passes under way that do not know it yet may have begun.
    fn open_ways(&self, shape: u32) -> usize {
        let unknown = self.states[shape as usize].under_way().filter_map(|p| match p.stand {
            Stand::AsBegan(stretch) => Some(stretch),
            Stand::Known(_) => None,
        });
        let passes = unknown.collect::<BTreeSet<u8>>().len() as u32;
        self.wanted.len().saturating_pow(passes)
    }

    fn kind(&mut self, moved: (Stretches, i64)) -> u32 {
        let known = self.moved.iter().position(|m| *m == moved).unwrap_or_else(|| {
            self.moved.push(moved);
            self.moved.len() - 1
        });
        known as u32
    }

    /// The state after a note in one of its ways.
    pub fn plucked(&mut self, shape: u32, tie: TiedWay, alter: i8) -> Plucked {
        let slot = (alter + 1).clamp(0, 2) as usize;
        if let Some(known) = self.plucked[shape as usize][slot].filter(|_| self.ties.is_empty()) {
            return known;
        }
        let found = plucked(&self.ties, &self.states[shape as usize], tie, alter).map(|(state, opens)| (self.of(&state), opens));
        self.plucked[shape as usize][slot] = Some(found);
        found
    }

    /// The state when a lever that was late is set.
    pub fn set(&mut self, shape: u32) -> u32 {
        if !self.states[shape as usize].late {
            return shape;
        }
        let state = State { late: false, ..self.states[shape as usize].clone() };
        self.of(&state)
    }
}

/// The ways a part may have stood in the passes that do not know it yet, with the opening each settles.
fn settled(state: &State, wanted: &[i8]) -> SmallVec<[(State, Option<i8>); 1]> {
    let mut done = SmallVec::new();
    let mut open: SmallVec<[(State, Option<i8>); 1]> = smallvec![(state.clone(), None)];
    while let Some((state, opens)) = open.pop() {
        let unknown = state.under_way().find_map(|p| match p.stand {
            Stand::AsBegan(stretch) => Some(stretch),
            Stand::Known(_) => None,
        });
        let Some(stretch) = unknown else {
            done.push((state, opens));
            continue;
        };
        for stands in wanted.iter().rev() {
            let mut next = state.clone();
            let settles = next.settle(stretch, *stands);
            open.push((next, opens.or(settles)));
        }
    }
    done
}

/// The part moved in every pass under way in which it stands otherwise: the state, the stretches, the price without awkwardness. `None` where it
/// moves nowhere, or a note that is not over when the playing order jumped holds it.
fn moved(ground: &Ground, ties: &[TiedWay], state: &State, place: usize, to: i8) -> Option<(State, Stretches, i64)> {
    let (mut state, mut moved, mut price) = (state.clone(), Stretches::new(), reckoned(ground.prices.sign));
    if state.under_way().next().is_some_and(|first| first.stand == Stand::Known(to)) {
        price += reckoned(ground.prices.idle);
    }
    for pass in state.passes.iter_mut().filter(|p| !p.over) {
        let Stand::Known(stands) = pass.stand else { unreachable!("every pass under way was settled") };
        if stands == to {
            continue;
        }
        for (note, _) in ground.held[usize::from(pass.stretch)].iter().filter(|h| h.1 as usize > place) {
            for tie in (0..ties.len()).filter(|t| ties[*t].0 == *note) {
                match state.ties[tie] {
                    Tie::Plucked => return None,
                    _ if ground.passage.uses[*note].place >= place => state.ties[tie] = Tie::Forbidden,
                    _ => {}
                }
            }
        }
        pass.stand = Stand::Known(to);
        moved.push(pass.stretch);
        price += reckoned(price_of_move(ground.prices, 0, i32::from(stands), i32::from(to)));
    }
    (!moved.is_empty()).then_some((state, moved, price))
}

fn plucked(ties: &[TiedWay], state: &State, tie: TiedWay, alter: i8) -> Option<(State, Option<i8>)> {
    let mut state = state.clone();
    let mut opens = None;
    loop {
        let other = state.under_way().map(|p| p.stand).find(|stand| *stand != Stand::Known(alter));
        let Some(stand) = other else { break };
        let Stand::AsBegan(stretch) = stand else { return None };
        opens = opens.or(state.settle(stretch, alter));
    }
    if let Some(tie) = ties.iter().position(|t| *t == tie) {
        if state.ties[tie] == Tie::Forbidden {
            return None;
        }
        state.ties[tie] = Tie::Plucked;
    }
    Some((state, opens))
}
