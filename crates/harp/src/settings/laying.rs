//! Lays the layers of one lever or pedal along the page: intervals, notes, borders.
//!
//! Where a page has more ways to stand than are kept apart, the part is laid [`still`]: it stands one way from beginning to end, and the plan is not proved.

use super::alone::{Alone, Edge, Moves, Node, Turn};
use super::ground::{Ground, NEVER};
use super::passage::Part;
use super::shapes::{Shapes, TiedWay};
use super::state::State;
use super::walk::first;
use smallvec::{SmallVec, smallvec};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// The most decisions that are laid for one part: ten times what a long page of any music has.
const MOST_EDGES: usize = 400_000;
/// The most ways of notes that hold a string of one part over a jump: each may be plucked or not, and all these are kept apart.
const MOST_TIES: usize = 64;

/// For each stretch under way the place up to which a written note holds the string.
type Locks = SmallVec<[(u8, u32); 2]>;

/// A node of the layer being laid: how the part stands and which notes hold it, as indices.
type Here = (u32, u32);

/// A note and its ways on this part.
type Used = (usize, Vec<usize>);

/// A decision and where it leads.
struct Next {
    turn: Turn,
    here: Here,
    least: i64,
    moved: u32,
    opens: Option<i8>,
}

impl Next {
    fn on(here: Here) -> Next {
        Next { turn: Turn::On, here, least: 0, moved: 0, opens: None }
    }
}

struct Laying<'g, 'a> {
    ground: &'g Ground<'a>,
    shapes: Shapes<'g, 'a>,
    locks: Vec<Locks>,
    numbers: BTreeMap<Locks, u32>,
    alone: Alone,
    most_edges: usize,
    /// The last layer: what its nodes are.
    layer: Vec<(Here, u32)>,
}

/// All layers of a part.
pub(super) fn lay(ground: &Ground, part: usize) -> Alone {
    let uses: Vec<Used> = uses(ground, part);
    moving(ground, part, &uses).unwrap_or_else(|| still(ground, part, &uses))
}

/// With every move that may be made; `None` where that is too much.
fn moving(ground: &Ground, part: usize, uses: &[Used]) -> Option<Alone> {
    let wanted = &ground.wants.parts[part].1;
    let held: BTreeSet<usize> = ground.held.iter().flatten().map(|h| h.0).collect();
    let tied = uses.iter().filter(|u| held.contains(&u.0));
    let ties: Vec<TiedWay> = tied.flat_map(|(note, ways)| ways.iter().map(|way| (*note, *way))).collect();
    if ties.len() > MOST_TIES {
        return None;
    }
    let mut shapes = Shapes::new(ground, wanted, ties);
    shapes.of(&State::start(shapes.ties.len()));
    let mut laying = Laying::new(ground, part, shapes);
    laying.page(uses);
    (!laying.is_full()).then_some(Alone { moved: laying.shapes.moved, ..laying.alone })
}

/// The part stands one way from beginning to end: it is decided by the first note that is plucked on it.
fn still(ground: &Ground, part: usize, uses: &[Used]) -> Alone {
    let wanted = &ground.wants.parts[part].1;
    let mut laying = Laying::new(ground, part, Shapes::new(ground, wanted, Vec::new()));
    laying.alone.moves = Moves::None;
    laying.most_edges = usize::MAX;
    let mut at = 0;
    for place in 0..=ground.places() {
        if ground.borders.contains_key(&place) {
            laying.lay(|_, here, found| found.push(Next::on(here)));
            let layer = laying.alone.last_layer();
            laying.alone.breaks.push((place, layer));
        }
        while uses.get(at).is_some_and(|u| ground.passage.uses[u.0].place == place) {
            laying.still_note(uses[at].0, &uses[at].1);
            at += 1;
        }
    }
    laying.alone
}

fn bare(ground: &Ground, part: usize) -> Alone {
    Alone {
        part: ground.wants.parts[part].0,
        moves: Moves::All,
        nodes: vec![Node { layer: 0, edges: (0, 0) }],
        edges: Vec::new(),
        layers: vec![(0, 1)],
        signs: vec![None; ground.places()],
        notes: Vec::new(),
        layer_of: vec![None; ground.wants.ways.len()],
        breaks: Vec::new(),
        rest: Vec::new(),
        moved: Vec::new(),
    }
}

/// The notes that may be plucked on a part, each with its ways there.
fn uses(ground: &Ground, part: usize) -> Vec<Used> {
    let own = |note: usize| {
        let ways = ground.wants.ways[note].iter().enumerate();
        ways.filter(|(_, w)| w.part == Some(part)).map(|(i, _)| i).collect::<Vec<usize>>()
    };
    (0..ground.wants.ways.len()).map(|note| (note, own(note))).filter(|(_, ways)| !ways.is_empty()).collect()
}

impl<'g, 'a> Laying<'g, 'a> {
    fn new(ground: &'g Ground<'a>, part: usize, shapes: Shapes<'g, 'a>) -> Laying<'g, 'a> {
        let numbers = BTreeMap::from([(Locks::new(), 0)]);
        let (locks, alone, layer) = (vec![Locks::new()], bare(ground, part), vec![((0, 0), 0)]);
        Laying { ground, shapes, locks, numbers, alone, most_edges: MOST_EDGES, layer }
    }

    fn is_full(&self) -> bool {
        self.shapes.full || self.alone.edges.len() > self.most_edges
    }

    fn page(&mut self, uses: &[Used]) {
        let passage = self.ground.passage;
        let end = passage.places.len();
        let own = |note: usize| self.shapes.ties.iter().any(|t| t.0 == note);
        let held = self.ground.held.iter().flatten().filter(|h| own(h.0)).map(|h| h.1 as usize);
        let long = uses.iter().map(|u| &passage.uses[u.0]).filter(|u| u.until > u.place + 1).map(|u| u.until);
        let mut stops: BTreeSet<usize> = held.chain(long).filter(|p| *p < end).collect();
        stops.extend(self.ground.borders.keys());
        let sounds: BTreeSet<usize> = uses.iter().map(|u| passage.uses[u.0].place).collect();
        let (mut from, mut at) = (0, 0);
        for place in stops.union(&sounds).copied() {
            if self.is_full() {
                return;
            }
            if stops.contains(&place) {
                self.interval(from..place, uses.get(at));
                if self.ground.borders.contains_key(&place) {
                    self.border(place);
                }
                from = place;
            }
            if sounds.contains(&place) {
                self.interval(from..place + 1, uses.get(at));
                while at < uses.len() && passage.uses[uses[at].0].place == place {
                    let last = uses.get(at + 1).is_none_or(|u| passage.uses[u.0].place > place);
                    self.note(uses[at].0, &uses[at].1, last);
                    at += 1;
                }
                from = place + 1;
            }
        }
    }

    /// Lays the next layer: what may be decided at each node of the last.
    fn lay(&mut self, next: impl Fn(&mut Laying, Here, &mut Vec<Next>)) {
        let (mut after, mut found): (Vec<(Here, u32)>, Vec<Next>) = (Vec::new(), Vec::new());
        let mut numbers: BTreeMap<Here, u32> = BTreeMap::new();
        let (start, layer) = (self.alone.nodes.len() as u32, self.alone.layers.len() as u32);
        for (here, node) in std::mem::take(&mut self.layer) {
            if self.is_full() {
                break;
            }
            next(self, here, &mut found);
            let alone = &mut self.alone;
            let from = alone.edges.len() as u32;
            for Next { turn, here, least, moved, opens } in found.drain(..) {
                let to = *numbers.entry(here).or_insert_with(|| {
                    let to = alone.nodes.len() as u32;
                    alone.nodes.push(Node { layer, edges: (0, 0) });
                    after.push((here, to));
                    to
                });
                alone.edges.push(Edge { turn, to, moved, opens, least });
            }
            alone.nodes[node as usize].edges = (from, alone.edges.len() as u32);
        }
        self.alone.layers.push((start, self.alone.nodes.len() as u32));
        self.alone.notes.push(None);
        self.layer = after;
    }

    /// Stretches end and begin.
    fn border(&mut self, place: usize) {
        self.lay(|laying, (shape, locks), found| {
            let ground = laying.ground;
            let border = &ground.borders[&place];
            let (mut state, mut opens) = (laying.shapes.states[shape as usize].clone(), None);
            for end in &border.ends {
                let Some(settled) = state.end(*end, ground.last) else { return };
                opens = opens.or(settled);
            }
            border.begins.iter().for_each(|b| state.begin(*b));
            let mut locks = laying.locks[locks as usize].clone();
            locks.retain(|l| !border.ends.contains(&l.0) && l.1 as usize > place);
            let here = (laying.shapes.of(&state), laying.locks(locks));
            found.push(Next { opens, ..Next::on(here) });
        });
        let layer = self.alone.last_layer();
        self.alone.breaks.push((place, layer));
    }

    /// The locks without those of notes that have ended.
    fn released(&mut self, locks: u32, place: usize) -> u32 {
        if self.locks[locks as usize].iter().all(|l| l.1 as usize > place) {
            return locks;
        }
        let mut left = self.locks[locks as usize].clone();
        left.retain(|l| l.1 as usize > place);
        self.locks(left)
    }

    fn locks(&mut self, locks: Locks) -> u32 {
        *self.numbers.entry(locks).or_insert_with_key(|locks| {
            self.locks.push(locks.clone());
            self.locks.len() as u32 - 1
        })
    }

    /// Places in which nothing happens to the part; before the signs of the first all is as in the last layer.
    fn interval(&mut self, places: Range<usize>, next: Option<&Used>) {
        let (ground, part) = (self.ground, self.alone.part);
        let sounds = next.map_or(i64::MAX, |u| ground.passage.time(ground.passage.uses[u.0].place));
        let late = |place: usize| matches!(part, Part::Lever(_)) && ground.passage.time(place) + first(ground.times, part) > sounds;
        if places.is_empty() {
            return;
        }
        let mut awkward = [NEVER; 2];
        let layer = self.alone.last_layer();
        for place in places.clone().filter(|p| ground.can_move(part, *p)) {
            let least = &mut awkward[usize::from(late(place))];
            *least = ground.awkward(place).min(*least);
            self.alone.signs[place] = Some(layer);
        }
        if awkward == [NEVER; 2] {
            return;
        }
        self.lay(|laying, (shape, locks), found| {
            let locks = laying.released(locks, places.start);
            found.push(Next::on((shape, locks)));
            for sign in laying.shapes.signs(shape, places.start).iter() {
                let moved = &laying.shapes.moved[sign.moved as usize].0;
                if laying.locks[locks as usize].iter().any(|l| moved.contains(&l.0)) {
                    continue;
                }
                for late in [false, true].into_iter().filter(|late| awkward[usize::from(*late)] < NEVER) {
                    let least = awkward[usize::from(late)].saturating_mul(moved.len() as i64);
                    let (turn, here) = (Turn::Sign { to: sign.to, late }, (sign.after[usize::from(late)], locks));
                    found.push(Next { turn, here, least, moved: sign.moved, opens: sign.opens });
                }
            }
        });
    }

    fn note(&mut self, note: usize, ways: &[usize], last_of_place: bool) {
        let layer = self.alone.last_layer();
        self.alone.layer_of[note] = Some(layer);
        self.lay(|laying, (shape, locks), found| {
            let ground = laying.ground;
            let locks = laying.released(locks, ground.passage.uses[note].place);
            let set = if last_of_place { laying.shapes.set(shape) } else { shape };
            found.push(Next::on((set, locks)));
            if laying.shapes.states[shape as usize].late {
                return;
            }
            for way in ways {
                let alter = ground.wants.ways[note][*way].alter;
                let Some((after, opens)) = laying.shapes.plucked(shape, (note, *way), alter) else { continue };
                let locks = laying.held(after, locks, note);
                found.push(Next { turn: Turn::Plucked { way: *way as u32 }, opens, ..Next::on((after, locks)) });
            }
        });
        self.alone.notes[layer as usize] = Some(note);
    }

    /// A note on a part that is not moved: node 0 is open, each other stands as the way it was decided by.
    fn still_note(&mut self, note: usize, ways: &[usize]) {
        let layer = self.alone.last_layer();
        self.alone.layer_of[note] = Some(layer);
        self.lay(|laying, (stands, _), found| {
            found.push(Next::on((stands, 0)));
            for way in ways {
                let alter = laying.ground.wants.ways[note][*way].alter;
                let as_it_stands = (alter + 2) as u32;
                if stands == 0 || stands == as_it_stands {
                    let opens = (stands == 0).then_some(alter);
                    found.push(Next { turn: Turn::Plucked { way: *way as u32 }, opens, ..Next::on((as_it_stands, 0)) });
                }
            }
        });
        self.alone.notes[layer as usize] = Some(note);
    }

    /// A plucked note holds the string in every pass under way.
    fn held(&mut self, shape: u32, locks: u32, note: usize) -> u32 {
        let note = &self.ground.passage.uses[note];
        if note.until <= note.place + 1 {
            return locks;
        }
        let before = self.locks[locks as usize].clone();
        let mut after: Locks = smallvec![];
        for pass in self.shapes.states[shape as usize].under_way() {
            let until = before.iter().find(|l| l.0 == pass.stretch).map_or(0, |l| l.1);
            after.push((pass.stretch, until.max(note.until as u32)));
        }
        self.locks(after)
    }
}
