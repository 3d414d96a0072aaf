//! The price of one group by itself, and of the way from one group to the next.
//!
//! Both are asked by the search and by whoever prices a written fingering, so that the two never disagree.

use super::line::{Line, Strike};
use super::prices::{Parts, Prices};
use super::shape;
use crate::player::{Player, Reach};
use music::{Hand, Seconds};

/// One group with its fingers: plucks `first..end` of the line.
#[derive(Clone, Debug)]
pub(crate) struct Placing {
    pub first: usize,
    pub end: usize,
    /// All strings of the group, lowest first, with finger and pluck.
    pub touches: Vec<Touch>,
    pub own: Parts,
}

#[derive(Clone, Copy, Debug)]
pub(crate) struct Touch {
    pub string: i32,
    pub finger: u8,
    pub pluck: usize,
}

/// Everything prices are asked against.
pub(crate) struct Table<'a> {
    pub line: &'a Line,
    pub player: &'a Player,
    pub prices: &'a Prices,
    pub reach: Reach,
}

impl<'a> Table<'a> {
    pub fn new(line: &'a Line, hand: Hand, player: &'a Player, prices: &'a Prices) -> Table<'a> {
        let reach = match hand {
            Hand::Left => player.left,
            Hand::Right => player.right,
        };
        Table { line, player, prices, reach }
    }

    /// The strings of plucks `first..end`, lowest first, each with its pluck; `None` where they cannot be one group: too many, one string
    /// twice, or wider than the hand.
    pub fn group(&self, first: usize, end: usize) -> Option<Vec<(i32, usize)>> {
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
        let rest = self.apart_from_fingers(first, end, &bare);
        let choices = shape::choices(bare.len(), &self.player.fingers_left_out);
        let priced: Vec<(i64, Vec<u8>)> =
            choices.into_iter().filter_map(|fingers| Some((shape::price(self.prices, &bare, &fingers)?, fingers))).collect();
        let own = priced.iter().enumerate().min_by_key(|(_, p)| p.0).map(|(i, _)| i);
        let placing = |(i, (shape, fingers)): (usize, (i64, Vec<u8>))| {
            let leaves = bare.len() > 1 && own != Some(i);
            let touches = strings.iter().zip(fingers).map(|(s, finger)| Touch { string: s.0, finger, pluck: s.1 }).collect();
            let own = Parts { shape, own_shape: if leaves { self.prices.own_shape } else { 0 }, ..rest };
            Placing { first, end, touches, own }
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

    /// What the group costs whichever fingers take it.
    fn apart_from_fingers(&self, first: usize, end: usize, strings: &[i32]) -> Parts {
        let plucks = &self.line.plucks()[first..end];
        let ways: Vec<i32> = plucks.windows(2).map(|w| (w[1].middle() - w[0].middle()).signum()).filter(|d| *d != 0).collect();
        let turns = ways.windows(2).filter(|w| w[0] != w[1]).count() as i64;
        let waits = plucks.windows(2).filter(|w| w[1].at - w[0].at > self.prices.wait_from).count() as i64;
        let over = plucks.iter().skip(1).filter(|p| p.anew).count() as i64;
        let strain = if shape::strained(strings) { self.prices.strain } else { 0 };
        let stretch = if width(strings) > self.reach.block as i32 { self.prices.stretch } else { 0 };
        Parts {
            placing: self.prices.placing,
            wide: strain + stretch,
            turn: turns * self.prices.turn_inside,
            wait: waits * self.prices.wait,
            over: over * self.prices.over,
            ..Parts::default()
        }
    }

    /// The way from one group to the next.
    pub fn join(&self, before: &Placing, after: &Placing) -> Parts {
        let mut parts = Parts { turn: self.turn(before, after), string_again: self.string_again(before, after), ..Parts::default() };
        let time = self.at(after.first) - self.at(before.end - 1);
        let out = || before.touches.iter().filter(|t| t.pluck + 1 == before.end);
        let into = || after.touches.iter().filter(|t| t.pluck == after.first);
        let (mut again, mut crossed, mut low, mut high) = (Again::Other(0), None, i32::MAX, i32::MIN);
        for (from, to) in out().flat_map(|from| into().map(move |to| (from, to))) {
            (low, high) = (low.min(from.string).min(to.string), high.max(from.string).max(to.string));
            if from.string == to.string {
                continue;
            }
            if from.finger == to.finger {
                again = again.and(from.finger, to.string - from.string);
            } else if (from.string < to.string) != (from.finger > to.finger) {
                crossed =
                    crossed.max(Some(if from.finger == 1 || to.finger == 1 { self.prices.cross_thumb } else { self.prices.cross_other }));
            }
        }
        let whole = high - low + 1;
        let lift = self.player.fluency.shift(whole);
        let leap = self.prices.leap * i64::from(1 + (whole - 1) / 8);
        if whole <= self.reach.block as i32 && again.stays(time, lift) {
            parts.finger_again = again.price(self.prices);
            parts.travel = crossed.map_or(0, |crossed| if time >= lift { crossed.min(leap) } else { crossed });
            parts.late = self.prices.shortage(time, self.player.fluency.placed_pluck());
        } else {
            parts.finger_again = if time >= lift { 0 } else { again.price(self.prices) };
            parts.travel = leap;
            parts.late = self.prices.shortage(time, lift);
        }
        parts
    }

    fn at(&self, pluck: usize) -> Seconds {
        self.line.plucks()[pluck].at
    }

    /// Which way a group moves: from its first pluck to its last.
    fn way(&self, placing: &Placing) -> i32 {
        let plucks = self.line.plucks();
        (plucks[placing.end - 1].middle() - plucks[placing.first].middle()).signum()
    }

    fn turn(&self, before: &Placing, after: &Placing) -> i64 {
        if self.way(before) * self.way(after) < 0 { self.prices.turn_between } else { 0 }
    }

    fn string_again(&self, before: &Placing, after: &Placing) -> i64 {
        let mut sum = 0;
        for old in &before.touches {
            for new in after.touches.iter().filter(|t| t.string == old.string) {
                let noise = if new.finger == old.finger { 0 } else { self.prices.other_finger };
                let time = self.at(new.pluck) - self.at(old.pluck);
                sum += self.prices.string_again + noise + self.prices.shortage(time, self.player.fluency.same_string());
            }
        }
        sum
    }
}

/// Strings a set takes, both ends counted.
pub(crate) fn width(strings: &[i32]) -> i32 {
    strings.last().unwrap_or(&0) - strings.first().unwrap_or(&0) + 1
}

/// Fingers that come again on another string.
#[derive(Clone, Copy)]
enum Again {
    ThumbSlide,
    FourthSlide,
    /// So many fingers; none is a hand that stays.
    Other(i64),
}

impl Again {
    fn and(self, finger: u8, moved: i32) -> Again {
        match (self, finger, moved) {
            (Again::Other(0), 1, -1) => Again::ThumbSlide,
            (Again::Other(0), 4, 1) => Again::FourthSlide,
            (Again::Other(count), _, _) => Again::Other(count + 1),
            (Again::ThumbSlide | Again::FourthSlide, _, _) => Again::Other(2),
        }
    }

    /// The hand need not be lifted: no finger comes again, or one slides because there is no time for anything else.
    fn stays(self, time: Seconds, lift: Seconds) -> bool {
        match self {
            Again::Other(count) => count == 0,
            Again::ThumbSlide | Again::FourthSlide => time < lift,
        }
    }

    fn price(self, prices: &Prices) -> i64 {
        match self {
            Again::ThumbSlide => prices.thumb_slide,
            Again::FourthSlide => prices.fourth_slide,
            Again::Other(count) => count * prices.finger_again,
        }
    }
}
