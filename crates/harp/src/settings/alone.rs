//! One lever or pedal alone: every way it may stand along the page, as if no hand or foot were ever busy with another.
//!
//! The places fall into intervals in which nothing happens to the part; within one it is moved once at most. Nodes are ways to stand, in layers from
//! the start of the page to its end; the least price from a node to the end,
//!
//! `rest(node) = min over its edges of price(edge) + rest(where it leads)`
//!
//! is a bound for every search in which the part goes together with others.

use super::ground::NEVER;
use super::passage::Part;
use super::shapes::Stretches;

/// What an edge decides about the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turn {
    /// Nothing: no sign, the note not plucked here, a border passed.
    On,
    /// A sign; `late` where the next note on the part comes before the lever is set.
    Sign { to: i8, late: bool },
    /// The note of this layer is plucked, in its way of this index.
    Plucked { way: u32 },
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub turn: Turn,
    pub to: u32,
    /// Of a sign: which of [`Alone::moved`] move.
    pub moved: u32,
    /// How the part stood at the very start, where this settles it.
    pub opens: Option<i8>,
    /// The least awkwardness of the places where the sign may stand, for all its moves.
    pub(super) least: i64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub layer: u32,
    pub(super) edges: (u32, u32),
}

/// What was laid of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Moves {
    All,
    /// None: all would be too much.
    None,
}

pub(super) struct Alone {
    pub part: Part,
    pub moves: Moves,
    pub nodes: Vec<Node>,
    pub(super) edges: Vec<Edge>,
    /// The nodes of each layer.
    pub(super) layers: Vec<(u32, u32)>,
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
    /// For each kind of sign the stretches in which it moves something, and the price but for the awkwardness of the place.
    pub moved: Vec<(Stretches, i64)>,
}

impl Alone {
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
            (Turn::Plucked { way }, Some(note)) => shares[note][way as usize],
            (Turn::Sign { .. }, _) => self.moved[edge.moved as usize].1 + edge.least,
            _ => 0,
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
