//! How the price of a note is shared among the strings that could give it, so that each lever or pedal can be looked at alone.
//!
//! Each part pays its share for each note plucked on it and, with that, goes its own cheapest way; what remains of a note's price is the least that
//! any choice for it leaves open. Whatever the shares, the sum of all this is no more than the price of any plan:
//!
//! `bound = sum of rest(start of part) + sum over notes of min over its ways of (price(way) - share(way))`
//!
//! A walk along the page raises the bound: at each note every part says what plucking it there costs more than not, the note compares these, and each
//! part is left the difference between its own way and the best other one, divided by the number of ways (the method of sequential reweighted messages
//! for sums of chains: Kolmogorov 2006).

use super::alone::{Alone, Turn};
use super::ground::{Ground, NEVER, reckoned};
use super::walk::price_of_choice;
use super::{Choice, Omission};

pub(super) struct Shares {
    /// What the part of a way pays for it, by note and way; 0 where no part is in question.
    pub shares: Vec<Vec<i64>>,
    /// For each note what remains.
    pub left: Vec<i64>,
    /// Whether any note has a choice of strings.
    choice: bool,
}

/// What a note costs in each of its ways, and left out.
pub(super) fn prices_of(ground: &Ground, note: usize) -> (Vec<i64>, i64) {
    let own = &ground.passage.uses[note];
    let price = |choice| reckoned(price_of_choice(own, choice, ground.prices));
    (ground.wants.ways[note].iter().map(|w| price(Choice::Plucked(w.spelling))).collect(), price(out(own.omission)))
}

/// What becomes of a note that is not plucked.
pub(super) fn out(omission: Omission) -> Choice {
    match omission {
        Omission::Price(_) => Choice::LeftOut,
        Omission::Never => Choice::Missing,
    }
}

/// Shares the prices of all notes, and finds the rest of every part with them.
pub(super) fn share(ground: &Ground, parts: &mut [Alone]) -> Shares {
    let notes = ground.wants.ways.len();
    let mut made = Shares { shares: ground.wants.ways.iter().map(|w| vec![0; w.len()]).collect(), left: vec![0; notes], choice: false };
    let mut choice = false;
    for note in 0..notes {
        let (ways, out) = prices_of(ground, note);
        let contested = ground.wants.ways[note].iter().filter(|w| w.part.is_some()).count();
        choice |= contested > 0 && ways.len() > 1;
        if let ([price], 1) = (&ways[..], contested) {
            made.shares[note][0] = price - out;
        }
    }
    made.find_left(ground);
    made.choice = choice;
    parts.iter_mut().for_each(|p| p.find_rest(&made.shares));
    made
}

impl Shares {
    /// Walks along the page once. Whether that raised the bound.
    pub fn raise(&mut self, ground: &Ground, parts: &mut [Alone]) -> bool {
        if !self.choice {
            return false;
        }
        let bound = |shares: &Shares, parts: &[Alone]| parts.iter().map(|p| p.rest[0]).sum::<i64>() + shares.left.iter().sum::<i64>();
        let before = bound(self, parts);
        Walk::new(ground, parts).page(self);
        self.find_left(ground);
        parts.iter_mut().for_each(|p| p.find_rest(&self.shares));
        bound(self, parts) > before
    }

    fn find_left(&mut self, ground: &Ground) {
        for note in 0..self.left.len() {
            let (ways, out) = prices_of(ground, note);
            let least = ways.iter().zip(&self.shares[note]).map(|(price, share)| price - share).min();
            self.left[note] = least.map_or(out, |l| l.min(out));
        }
    }
}

/// The least price from the start to each node, found layer by layer.
struct Walk<'w, 'a> {
    ground: &'w Ground<'a>,
    parts: &'w [Alone],
    reached: Vec<Vec<i64>>,
    /// The first layer of each part that has not been left yet.
    layer: Vec<u32>,
}

impl<'w, 'a> Walk<'w, 'a> {
    fn new(ground: &'w Ground<'a>, parts: &'w [Alone]) -> Walk<'w, 'a> {
        let reached = parts.iter().map(|p| {
            let mut reached = vec![NEVER; p.nodes.len()];
            reached[0] = 0;
            reached
        });
        Walk { ground, parts, reached: reached.collect(), layer: vec![0; parts.len()] }
    }

    fn page(&mut self, made: &mut Shares) {
        for note in 0..made.left.len() {
            let ways = &self.ground.wants.ways[note];
            if ways.iter().all(|w| w.part.is_none()) {
                continue;
            }
            for part in ways.iter().filter_map(|w| w.part) {
                self.go(part, self.layer_of(part, note), made);
            }
            self.compare(note, made);
        }
    }

    fn layer_of(&self, part: usize, note: usize) -> u32 {
        self.parts[part].layer_of[note].expect("a note has a layer on every part that could give it")
    }

    /// Goes on to a layer of a part.
    fn go(&mut self, part: usize, layer: u32, made: &Shares) {
        let alone = &self.parts[part];
        let reached = &mut self.reached[part];
        for from in self.layer[part]..layer {
            let note = alone.notes[from as usize];
            for node in alone.layer(from) {
                for edge in alone.edges(node) {
                    let price = reached[node as usize].saturating_add(alone.price(edge, note, &made.shares));
                    let to = &mut reached[edge.to as usize];
                    *to = price.min(*to);
                }
            }
        }
        self.layer[part] = self.layer[part].max(layer);
    }

    fn compare(&self, note: usize, made: &mut Shares) {
        let (prices, out) = prices_of(self.ground, note);
        let ways = &self.ground.wants.ways[note];
        let whole: Vec<i64> = (0..ways.len())
            .map(|way| match ways[way].part {
                Some(part) => {
                    let share = made.shares[note][way];
                    let (with, without) = self.least(part, note, way, share);
                    (prices[way] - share).saturating_add(with.saturating_sub(without)).min(NEVER)
                }
                None => prices[way],
            })
            .collect();
        let chains = ways.iter().filter(|w| w.part.is_some()).count() as i64;
        for way in (0..ways.len()).filter(|w| ways[*w].part.is_some() && whole[*w] < NEVER / 2) {
            let other = (0..ways.len()).filter(|w| *w != way).map(|w| whole[w]).chain([out]).min().unwrap_or(out);
            let keeps = (whole[way] - other) / chains;
            // What plucking it here costs the part beyond its share.
            let share = &mut made.shares[note][way];
            *share += keeps - (whole[way] - (prices[way] - *share));
        }
    }

    /// The least price of a part over the page with the note plucked in this way, and with the note not plucked on it.
    fn least(&self, part: usize, note: usize, way: usize, share: i64) -> (i64, i64) {
        let (alone, reached) = (&self.parts[part], &self.reached[part]);
        let (mut with, mut without) = (NEVER, NEVER);
        for node in alone.layer(self.layer_of(part, note)) {
            for edge in alone.edges(node) {
                let through = reached[node as usize].saturating_add(alone.rest[edge.to as usize]);
                match edge.turn {
                    Turn::Plucked { way: own } if own as usize == way => with = with.min(through.saturating_add(share)),
                    Turn::On => without = without.min(through),
                    _ => {}
                }
            }
        }
        (with, without)
    }
}
