//! One lever or pedal alone: every way it may stand along the page, as if no hand or foot were ever busy with another.
//!
//! The places fall into intervals in which nothing happens to the part; within one it is moved once at most. Nodes are ways to stand, in layers from
//! the start of the page to its end; the least price from a node to the end,
//!
//! `rest(node) = min over its edges of price(edge) + rest(where it leads)`
//!
//! is a bound for every search in which the part goes together with others.

use super::ground::{Ground, NEVER, reckoned};
use super::passage::Part;
use super::state::{Stand, State, Tie};
use super::walk::{first, price_of_move};
use std::collections::BTreeSet;

/// What an edge decides about the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turn {
    /// Nothing: no sign, the note not plucked here, a border passed.
    On,
    /// A sign; `late` where the next note on the part comes before the lever is set.
    Sign { to: i8, late: bool },
    /// The note of this layer is plucked, in its way of this index.
    Plucked { way: usize },
}

#[derive(Clone, Debug)]
pub(super) struct Edge {
    pub turn: Turn,
    pub to: u32,
    /// Of a sign: the moves and the sign, but for the awkwardness of the place.
    pub price: i64,
    /// Of a sign: the stretches in which something moves.
    pub moved: Vec<u8>,
    /// How the part stood at the very start, where this settles it.
    pub opens: Option<i8>,
    /// The least awkwardness of the places where the sign may stand, for all its moves.
    least: i64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub layer: u32,
    edges: (u32, u32),
}

pub(super) struct Alone {
    pub part: Part,
    pub nodes: Vec<Node>,
    edges: Vec<Edge>,
    /// The nodes of each layer.
    layers: Vec<(u32, u32)>,
    /// For each place where the part may be moved: the layer of the nodes that may still be.
    pub signs: Vec<Option<u32>>,
    /// The note of each layer in which one may be plucked.
    pub notes: Vec<Option<usize>>,
    /// For each note the layer, where it may be plucked on this part.
    pub layer_of: Vec<Option<u32>>,
    /// Places before whose signs the part must have come as far as this layer.
    pub breaks: Vec<(usize, u32)>,
    /// The least price from each node to the end.
    pub rest: Vec<i64>,
    /// The notes and ways that may hold the string over a jump.
    ties: Vec<(usize, usize)>,
}

/// While the layers are laid: the states of the last one, with their nodes.
struct Laying<'g, 'a> {
    ground: &'g Ground<'a>,
    wanted: &'g [i8],
    alone: Alone,
    layer: Vec<(State, u32)>,
}

/// A decision: what it is, the state after it, its price and awkwardness, the stretches moved, the opening settled.
struct Next {
    turn: Turn,
    state: State,
    price: i64,
    least: i64,
    moved: Vec<u8>,
    opens: Option<i8>,
}

impl Next {
    fn on(state: State) -> Next {
        Next { turn: Turn::On, state, price: 0, least: 0, moved: Vec::new(), opens: None }
    }
}

impl Alone {
    pub fn new(ground: &Ground, part: usize) -> Alone {
        let (name, wanted) = &ground.wants.parts[part];
        let uses: Vec<(usize, Vec<usize>)> = uses(ground, part);
        let mut ties: Vec<(usize, usize)> = Vec::new();
        for (note, ways) in &uses {
            if ground.held.iter().flatten().any(|h| h.0 == *note) {
                ties.extend(ways.iter().map(|way| (*note, *way)));
            }
        }
        let start = State::start(ties.len());
        let node = Node { layer: 0, edges: (0, 0) };
        let alone = Alone {
            part: *name,
            nodes: vec![node],
            edges: Vec::new(),
            layers: vec![(0, 1)],
            signs: vec![None; ground.places()],
            notes: Vec::new(),
            layer_of: vec![None; ground.wants.ways.len()],
            breaks: Vec::new(),
            rest: Vec::new(),
            ties,
        };
        let mut laying = Laying { ground, wanted, alone, layer: vec![(start, 0)] };
        laying.page(&uses);
        laying.alone
    }

    pub fn edges(&self, node: u32) -> &[Edge] {
        let (from, to) = self.nodes[node as usize].edges;
        &self.edges[from as usize..to as usize]
    }

    /// Where a node leads if nothing is decided, as far as a layer; and the opening this settles. `None` where the passes do not agree.
    pub fn on(&self, mut node: u32, layer: u32) -> Option<(u32, Option<i8>)> {
        let mut opens = None;
        while self.nodes[node as usize].layer < layer {
            let edge = self.edges(node).first().filter(|e| e.turn == Turn::On)?;
            opens = opens.or(edge.opens);
            node = edge.to;
        }
        Some((node, opens))
    }

    pub fn last_layer(&self) -> u32 {
        self.layers.len() as u32 - 1
    }

    /// The nodes of a layer.
    pub fn layer(&self, layer: u32) -> std::ops::Range<u32> {
        let (from, to) = self.layers[layer as usize];
        from..to
    }

    /// The least price of an edge; `shares` has what this part pays for a way of a note.
    pub fn price(&self, edge: &Edge, note: Option<usize>, shares: &[Vec<i64>]) -> i64 {
        match (edge.turn, note) {
            (Turn::Plucked { way }, Some(note)) => shares[note][way],
            _ => edge.price + edge.least,
        }
    }

    pub fn find_rest(&mut self, shares: &[Vec<i64>]) {
        self.rest = vec![NEVER; self.nodes.len()];
        let last = self.last_layer();
        for node in self.layer(last) {
            self.rest[node as usize] = 0;
        }
        for layer in (0..last).rev() {
            let note = self.notes[layer as usize];
            for node in self.layer(layer) {
                let least = self.edges(node).iter().map(|e| self.price(e, note, shares).saturating_add(self.rest[e.to as usize])).min();
                self.rest[node as usize] = least.unwrap_or(NEVER).min(NEVER);
            }
        }
    }
}

/// The notes that may be plucked on a part, each with its ways there.
fn uses(ground: &Ground, part: usize) -> Vec<(usize, Vec<usize>)> {
    let own = |note: usize| {
        let ways = ground.wants.ways[note].iter().enumerate();
        ways.filter(|(_, w)| w.part == Some(part)).map(|(i, _)| i).collect::<Vec<usize>>()
    };
    (0..ground.wants.ways.len()).map(|note| (note, own(note))).filter(|(_, ways)| !ways.is_empty()).collect()
}

impl Laying<'_, '_> {
    fn page(&mut self, uses: &[(usize, Vec<usize>)]) {
        let passage = self.ground.passage;
        let mut stops: BTreeSet<usize> = self.ground.borders.keys().copied().collect();
        stops.extend(uses.iter().map(|u| passage.uses[u.0].until).filter(|p| *p < passage.places.len()));
        stops.extend(self.held().map(|h| h.1 as usize).filter(|p| *p < passage.places.len()));
        let sounds: BTreeSet<usize> = uses.iter().map(|u| passage.uses[u.0].place).collect();
        let places: BTreeSet<usize> = stops.union(&sounds).copied().collect();
        let (mut from, mut at) = (0, 0);
        for place in places {
            if stops.contains(&place) {
                self.interval(from..place, uses, at);
                self.stop(place);
                from = place;
            }
            if sounds.contains(&place) {
                self.interval(from..place + 1, uses, at);
                while at < uses.len() && passage.uses[uses[at].0].place == place {
                    self.note(uses[at].0, &uses[at].1, at + 1 == uses.len() || passage.uses[uses[at + 1].0].place > place);
                    at += 1;
                }
                from = place + 1;
            }
        }
    }

    fn held(&self) -> impl Iterator<Item = (usize, u32)> {
        let own = |note: usize| self.alone.ties.iter().any(|t| t.0 == note);
        self.ground.held.iter().flatten().copied().filter(move |h| own(h.0))
    }

    /// Lays the next layer: what may be decided in each state of the last.
    fn lay(&mut self, next: impl Fn(&State, &mut Vec<Next>)) {
        let (mut after, mut found): (Vec<(State, u32)>, Vec<Next>) = (Vec::new(), Vec::new());
        let alone = &mut self.alone;
        let (first, layer) = (alone.nodes.len() as u32, alone.layers.len() as u32);
        for (state, node) in &self.layer {
            let from = alone.edges.len() as u32;
            next(state, &mut found);
            for Next { turn, state, price, least, moved, opens } in found.drain(..) {
                let to = match after.iter().find(|a| a.0 == state) {
                    Some(known) => known.1,
                    None => {
                        let to = alone.nodes.len() as u32;
                        alone.nodes.push(Node { layer, edges: (0, 0) });
                        after.push((state, to));
                        to
                    }
                };
                alone.edges.push(Edge { turn, to, price, moved, opens, least });
            }
            alone.nodes[*node as usize].edges = (from, alone.edges.len() as u32);
        }
        alone.layers.push((first, alone.nodes.len() as u32));
        alone.notes.push(None);
        self.layer = after;
    }

    /// A border of stretches, or the end of a written note.
    fn stop(&mut self, place: usize) {
        let ground = self.ground;
        self.lay(|state, found| {
            let mut state = state.clone();
            let mut opens = None;
            if let Some(border) = ground.borders.get(&place) {
                for end in &border.ends {
                    match state.end(*end, ground.last) {
                        Some(settled) => opens = opens.or(settled),
                        None => return,
                    }
                }
                for begin in &border.begins {
                    state.begin(*begin);
                }
            }
            state.release(place as u32);
            found.push(Next { opens, ..Next::on(state) });
        });
        let layer = self.alone.last_layer();
        self.alone.breaks.push((place, layer));
    }

    /// Places in which nothing happens to the part; before the signs of the first all is as in the last layer.
    fn interval(&mut self, places: std::ops::Range<usize>, uses: &[(usize, Vec<usize>)], next: usize) {
        let (ground, part) = (self.ground, self.alone.part);
        let sounds = uses.get(next).map_or(i64::MAX, |u| ground.passage.time(ground.passage.uses[u.0].place));
        let late = |place: usize| matches!(part, Part::Lever(_)) && ground.passage.time(place) + first(ground.times, part) > sounds;
        let mut least = [NEVER; 2];
        let layer = self.alone.last_layer();
        for place in places.clone().filter(|p| ground.can_move(part, *p)) {
            let least = &mut least[usize::from(late(place))];
            *least = ground.awkward(place).min(*least);
            self.alone.signs[place] = Some(layer);
        }
        if least == [NEVER; 2] {
            return;
        }
        let (wanted, alone) = (self.wanted, &self.alone);
        let ties = alone.ties.clone();
        self.lay(|state, found| {
            found.push(Next::on(state.clone()));
            for (state, opens) in settled(state, wanted) {
                for to in wanted {
                    let Some((state, moved, price)) = moved(ground, &ties, &state, places.start, *to) else { continue };
                    for late in [false, true].into_iter().filter(|late| least[usize::from(*late)] < NEVER) {
                        let state = State { late, ..state.clone() };
                        let least = least[usize::from(late)].saturating_mul(moved.len() as i64);
                        found.push(Next { turn: Turn::Sign { to: *to, late }, state, price, least, moved: moved.clone(), opens });
                    }
                }
            }
        });
    }

    fn note(&mut self, note: usize, ways: &[usize], last_of_place: bool) {
        let layer = self.alone.last_layer();
        self.alone.layer_of[note] = Some(layer);
        let ground = self.ground;
        let ties = self.alone.ties.clone();
        self.lay(|state, found| {
            let still_late = state.late && !last_of_place;
            found.push(Next::on(State { late: still_late, ..state.clone() }));
            for way in ways.iter().filter(|_| !state.late) {
                let alter = ground.wants.ways[note][*way].alter;
                if let Some((state, opens)) = plucked(ground, &ties, state, (note, *way), alter) {
                    found.push(Next { turn: Turn::Plucked { way: *way }, opens, ..Next::on(state) });
                }
            }
        });
        self.alone.notes[layer as usize] = Some(note);
    }
}

/// The ways a part may have stood in the passes that do not know it yet, with the opening each settles.
fn settled(state: &State, wanted: &[i8]) -> Vec<(State, Option<i8>)> {
    let mut done = Vec::new();
    let mut open = vec![(state.clone(), None)];
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
/// moves nowhere, or a written note holds it.
fn moved(ground: &Ground, ties: &[(usize, usize)], state: &State, place: usize, to: i8) -> Option<(State, Vec<u8>, i64)> {
    let (mut state, mut moved, mut price) = (state.clone(), Vec::new(), reckoned(ground.prices.sign));
    for pass in state.passes.iter_mut().filter(|p| !p.over) {
        let Stand::Known(stands) = pass.stand else { unreachable!("every pass under way was settled") };
        if stands == to {
            continue;
        }
        if pass.lock as usize > place {
            return None;
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

fn plucked(ground: &Ground, ties: &[(usize, usize)], state: &State, tie: (usize, usize), alter: i8) -> Option<(State, Option<i8>)> {
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
    let note = &ground.passage.uses[tie.0];
    if note.until > note.place + 1 {
        for pass in state.passes.iter_mut().filter(|p| !p.over) {
            pass.lock = pass.lock.max(note.until as u32);
        }
    }
    Some((state, opens))
}
