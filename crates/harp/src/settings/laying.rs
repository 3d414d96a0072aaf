//! Lays the layers of one lever or pedal along the page: intervals, notes, borders.

use super::alone::{Alone, Edge, Node, Turn};
use super::ground::{Ground, NEVER};
use super::passage::Part;
use super::shapes::{Shapes, TiedWay};
use super::state::State;
use super::walk::first;
use smallvec::{SmallVec, smallvec};
use std::collections::BTreeSet;
use std::ops::Range;

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
    alone: Alone,
    /// The last layer: what its nodes are.
    layer: Vec<(Here, u32)>,
}

/// All layers of a part.
pub(super) fn lay(ground: &Ground, part: usize) -> Alone {
    let (name, wanted) = &ground.wants.parts[part];
    let uses: Vec<Used> = uses(ground, part);
    let mut ties: Vec<TiedWay> = Vec::new();
    for (note, ways) in &uses {
        if ground.held.iter().flatten().any(|h| h.0 == *note) {
            ties.extend(ways.iter().map(|way| (*note, *way)));
        }
    }
    let mut shapes = Shapes::new(ground, wanted, ties);
    shapes.of(&State::start(shapes.ties.len()));
    let alone = Alone {
        part: *name,
        nodes: vec![Node { layer: 0, edges: (0, 0) }],
        edges: Vec::new(),
        layers: vec![(0, 1)],
        signs: vec![None; ground.places()],
        notes: Vec::new(),
        layer_of: vec![None; ground.wants.ways.len()],
        breaks: Vec::new(),
        rest: Vec::new(),
        moved: Vec::new(),
    };
    let mut laying = Laying { ground, shapes, locks: vec![Locks::new()], alone, layer: vec![((0, 0), 0)] };
    laying.page(&uses);
    Alone { moved: laying.shapes.moved, ..laying.alone }
}

/// The notes that may be plucked on a part, each with its ways there.
fn uses(ground: &Ground, part: usize) -> Vec<Used> {
    let own = |note: usize| {
        let ways = ground.wants.ways[note].iter().enumerate();
        ways.filter(|(_, w)| w.part == Some(part)).map(|(i, _)| i).collect::<Vec<usize>>()
    };
    (0..ground.wants.ways.len()).map(|note| (note, own(note))).filter(|(_, ways)| !ways.is_empty()).collect()
}

impl Laying<'_, '_> {
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
        let (start, layer) = (self.alone.nodes.len() as u32, self.alone.layers.len() as u32);
        for (here, node) in std::mem::take(&mut self.layer) {
            next(self, here, &mut found);
            let alone = &mut self.alone;
            let from = alone.edges.len() as u32;
            for Next { turn, here, least, moved, opens } in found.drain(..) {
                let to = match after.iter().find(|a| a.0 == here) {
                    Some(known) => known.1,
                    None => {
                        let to = alone.nodes.len() as u32;
                        alone.nodes.push(Node { layer, edges: (0, 0) });
                        after.push((here, to));
                        to
                    }
                };
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
        let known = self.locks.iter().position(|l| *l == locks).unwrap_or_else(|| {
            self.locks.push(locks);
            self.locks.len() - 1
        });
        known as u32
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
