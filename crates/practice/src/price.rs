//! The price of a page for the left hand: what its fingering costs, and what each pluck, string and new shape asks besides.
//!
//! The fingering is the one that the check asks for leaps and placings ([`harp::fingering`]), so a step of the ladder is dear for the same reasons for which
//! a page is hard. The three prices besides are our own starting values, never shown as facts: they rank two pages of one tune.

use harp::Player;
use harp::page::fingers::{FingeredHand, fingered};
use music::{Hand, Score};

/// An instant at which the hand plucks. Less than a placing (12): a pluck inside a placed group asks little.
const PLUCK: i64 = 3;
/// Each string that is plucked.
const STRING: i64 = 2;
/// A group whose strings lie otherwise under the hand than in the group before: as much as half a placing.
const NEW_SHAPE: i64 = 6;

/// The parts of the price, in the points of the fingering.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct HandPrice {
    pub fingering: i64,
    pub plucks: i64,
    pub strings: i64,
    pub shapes: i64,
}

impl HandPrice {
    pub fn total(self) -> i64 {
        self.fingering + self.plucks + self.strings + self.shapes
    }
}

/// What the left hand of a page costs this player.
pub fn hand_price(score: &Score, player: &Player) -> HandPrice {
    of_line(score, &fingered(score, Hand::Left, player))
}

fn of_line(score: &Score, hand: &FingeredHand) -> HandPrice {
    let strings = |(measure, note): &(usize, usize)| -> Vec<i32> {
        let mut all: Vec<i32> = score.measures[*measure].left[*note].playable().map(|p| p.position()).collect();
        all.sort_unstable();
        all.dedup();
        all
    };
    let plucked: Vec<Vec<i32>> = hand.places.iter().map(strings).collect();
    let shape = |from: usize, end: usize| -> Vec<i32> {
        let mut all: Vec<i32> = plucked[from..end].iter().flatten().copied().collect();
        all.sort_unstable();
        let low = all.first().copied().unwrap_or_default();
        all.iter().map(|s| s - low).collect()
    };
    let shapes: Vec<Vec<i32>> = hand.fingering.groups.iter().map(|g| shape(g.first, g.end)).collect();
    HandPrice {
        fingering: hand.fingering.total(),
        plucks: PLUCK * plucked.len() as i64,
        strings: STRING * plucked.iter().map(|p| p.len() as i64).sum::<i64>(),
        shapes: NEW_SHAPE * shapes.windows(2).filter(|pair| pair[0] != pair[1]).count() as i64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn price(left: &[&str]) -> i64 {
        let measures: Vec<(&str, &str)> = left.iter().map(|left| ("C6:4", *left)).collect();
        hand_price(&music::text::page(&measures, 80), &Player::default()).total()
    }

    /// Common practice in teaching: a string, two together, three together, the same three one after another, and then wider.
    #[test]
    fn the_ladder_of_shapes_climbs() {
        let root = price(&["C3:4", "F3:4", "G3:4", "C3:4"]);
        let fifth = price(&["[C3+G3]:4", "[F3+C4]:4", "[G3+D4]:4", "[C3+G3]:4"]);
        let block = price(&["[C3+E3+G3]:4", "[F3+A3+C4]:4", "[G3+B3+D4]:4", "[C3+E3+G3]:4"]);
        let near = price(&["[C3+E3+G3]:4", "[C3+F3+A3]:4", "[B2+D3+G3]:4", "[C3+E3+G3]:4"]);
        let broken = price(&["C3:1 E3:1 G3:1 E3:1", "C3:1 F3:1 A3:1 F3:1", "B2:1 D3:1 G3:1 D3:1", "C3:1 E3:1 G3:1 E3:1"]);
        assert!(root < fifth && fifth < block && block < near && near < broken, "{root} {fifth} {block} {near} {broken}");
    }
}
