//! The price of one group by itself: what its strings ask for, whichever fingers take them, and what each choice of fingers costs.
//!
//! This and [`super::join`] are asked by the search and by whoever prices a written fingering, so that the two never disagree.

use super::line::{Line, Pluck};
use super::prices::{Parts, Prices};
use super::shape;
use crate::hand::Strike;
use crate::player::{Player, Reach};
use music::{Hand, Seconds};
use std::collections::BTreeMap;

/// Plucks within which a string comes back: as many as one group holds.
const NEAR: usize = 4;

/// One group with its fingers: plucks `first..end` of the line.
#[derive(Clone, Debug)]
pub(crate) struct Placing {
    pub first: usize,
    pub end: usize,
    /// All strings of the group, lowest first, with finger and pluck.
    pub touches: Vec<Touch>,
    pub own: Parts,
    /// The fingers of the first pluck and of the last: bit 0 is the thumb.
    pub into: u8,
    pub out: u8,
    /// Upward, downward or neither, from the first pluck to the last.
    pub way: i32,
}

#[derive(Clone, Copy, Debug)]
pub(crate) struct Touch {
    pub string: i32,
    pub finger: u8,
    pub pluck: usize,
}

impl Placing {
    fn of(first: usize, end: usize, touches: Vec<Touch>, own: Parts, way: i32) -> Placing {
        let of = |pluck: usize| touches.iter().filter(|t| t.pluck == pluck).fold(0, |set, t| set | 1 << (t.finger - 1));
        let (into, out) = (of(first), of(end - 1));
        Placing { first, end, touches, own, into, out, way }
    }
}

/// Everything prices are asked against.
pub(crate) struct Table<'a> {
    pub line: &'a Line,
    pub player: &'a Player,
    pub prices: &'a Prices,
    pub reach: Reach,
    /// See [`again`].
    again: Vec<i64>,
    /// All choices of fingers for one to four strings.
    choices: [Vec<Vec<u8>>; 4],
}

impl<'a> Table<'a> {
    pub fn new(line: &'a Line, hand: Hand, player: &'a Player, prices: &'a Prices) -> Table<'a> {
        let reach = player.reach(hand);
        let choices = [1, 2, 3, 4].map(|strings| shape::choices(strings, &player.fingers_left_out));
        Table { line, player, prices, reach, again: again(line, player, prices), choices }
    }

    /// The strings of plucks `first..end`, lowest first, each with its pluck; `None` where they cannot be one group: too many, one string
    /// twice, or wider than the hand.
    fn group(&self, first: usize, end: usize) -> Option<Vec<(i32, usize)>> {
        let plucks = &self.line.plucks()[first..end];
        let notes: usize = plucks.iter().map(|p| p.strings.len()).sum();
        if notes > self.player.fingers() {
            return None;
        }
        let mut strings: Vec<(i32, usize)> =
            plucks.iter().enumerate().flat_map(|(i, p)| p.strings.iter().map(move |s| (*s, first + i))).collect();
        strings.sort_unstable();
        let distinct = strings.windows(2).all(|w| w[0].0 < w[1].0);
        let whole = strings.last()?.0 - strings.first()?.0 + 1;
        let block = plucks.iter().all(|p| p.strike == Strike::Rolled || width(&p.strings) <= self.reach.block as i32);
        (distinct && block && whole <= self.reach.rolled as i32).then_some(strings)
    }

    /// The group with each choice of fingers that heeds the player's own; of one pluck alone any, where hers cannot be placed.
    pub fn placings(&self, first: usize, end: usize) -> Vec<Placing> {
        let Some(strings) = self.group(first, end) else { return Vec::new() };
        let bare: Vec<i32> = strings.iter().map(|s| s.0).collect();
        let (rest, way) = (self.apart_from_fingers(first, end, &bare), self.way(first, end));
        let priced: Vec<(i64, &Vec<u8>)> =
            self.choices[bare.len() - 1].iter().filter_map(|fingers| Some((shape::price(self.prices, &bare, fingers)?, fingers))).collect();
        let own = priced.iter().enumerate().min_by_key(|(_, p)| p.0).map(|(i, _)| i);
        let placing = |(i, (shape, fingers)): (usize, (i64, &Vec<u8>))| {
            let leaves = bare.len() > 1 && own != Some(i);
            let touches: Vec<Touch> =
                strings.iter().zip(fingers).map(|(s, finger)| Touch { string: s.0, finger: *finger, pluck: s.1 }).collect();
            let own_shape = if leaves { self.prices.leaving(&bare) } else { 0 };
            let unlike = rest.unlike + touches.iter().filter(|t| !self.likes(t)).count() as i64 * self.prices.unlike;
            Placing::of(first, end, touches, Parts { shape, own_shape, unlike, ..rest }, way)
        };
        let all: Vec<Placing> = priced.into_iter().enumerate().map(placing).collect();
        if self.line.plucks()[first..end].iter().all(|p| p.wanted.is_empty()) {
            return all;
        }
        let heeded: Vec<Placing> = all.iter().filter(|p| p.touches.iter().all(|t| self.heeds(t))).cloned().collect();
        if heeded.is_empty() && end == first + 1 { all } else { heeded }
    }

    fn heeds(&self, touch: &Touch) -> bool {
        self.line.plucks()[touch.pluck].wanted.iter().all(|(string, finger)| *string != touch.string || *finger == touch.finger)
    }

    fn likes(&self, touch: &Touch) -> bool {
        let liked = self.line.plucks()[touch.pluck].liked.as_ref();
        liked.is_none_or(|l| l.fingers.iter().all(|(string, finger)| *string != touch.string || *finger == touch.finger))
    }

    /// Which way a group moves: from its first pluck to its last.
    fn way(&self, first: usize, end: usize) -> i32 {
        let plucks = self.line.plucks();
        (plucks[end - 1].middle() - plucks[first].middle()).signum()
    }

    /// What the group costs whichever fingers take it.
    fn apart_from_fingers(&self, first: usize, end: usize, strings: &[i32]) -> Parts {
        let plucks = &self.line.plucks()[first..end];
        let ways: Vec<i32> = plucks.windows(2).map(|w| (w[1].middle() - w[0].middle()).signum()).filter(|d| *d != 0).collect();
        let turns = ways.windows(2).filter(|w| w[0] != w[1]).count() as i64;
        let waits = plucks.windows(2).filter(|w| w[1].at - w[0].at > self.prices.wait_from).count() as i64;
        let over = plucks.iter().skip(1).filter(|p| p.anew).count() as i64;
        let cut_otherwise =
            plucks.iter().enumerate().filter(|(i, p)| p.liked.as_ref().is_some_and(|l| l.begins != (*i == 0))).count() as i64;
        let strain = if shape::strained(strings) { self.prices.strain } else { 0 };
        let stretch = if width(strings) > self.reach.block as i32 { self.prices.stretch } else { 0 };
        Parts {
            placing: self.prices.placing,
            wide: strain + stretch,
            turn: turns * self.prices.turn_inside,
            wait: waits * self.prices.wait,
            over: over * self.prices.over,
            string_again: self.again[first..end].iter().sum(),
            unlike: cut_otherwise * self.prices.cut_unlike,
            ..Parts::default()
        }
    }
}

/// For each pluck what its strings cost that were plucked a little before: the same for every fingering, so that no group more hides it.
fn again(line: &Line, player: &Player, prices: &Prices) -> Vec<i64> {
    let mut last: BTreeMap<i32, (usize, Seconds)> = BTreeMap::new();
    let mut price = |(index, pluck): (usize, &Pluck)| {
        let befores: Vec<(usize, Seconds)> = pluck.strings.iter().filter_map(|string| last.insert(*string, (index, pluck.at))).collect();
        let near = befores.iter().filter(|(before, _)| index - before <= NEAR).count() as i64;
        let short: i64 = befores.iter().map(|(_, at)| prices.shortage(pluck.at - *at, player.fluency.same_string())).sum();
        near * prices.string_again + short
    };
    line.plucks().iter().enumerate().map(&mut price).collect()
}

/// Strings a set takes, both ends counted.
pub(crate) fn width(strings: &[i32]) -> i32 {
    strings.last().unwrap_or(&0) - strings.first().unwrap_or(&0) + 1
}
