//! Which hand plucks what, where the page does not say: a staff is not a hand.
//!
//! At each onset the lowest strings go to the left hand and the others to the right; the choice is how many. The cheapest way to an onset, with
//! the last strings of each hand as its state, is the least over all states before it of their way, the onset's own price and each hand's
//! move. A hand that has rested long enough to go anywhere is forgotten, which keeps the states few and loses nothing.

use super::placing::width;
use super::prices::Prices;
use super::shape;
use crate::player::{Player, Reach};
use music::{Hand, Seconds};
use std::collections::BTreeMap;

/// The lowest string of the right hand: G2 (harp facts 3.1; sources differ, so going below it has a price and is no wall).
pub const RIGHT_LOWEST: i32 = 18;

/// The string at which neither hand is preferred: middle C.
const MIDDLE: i32 = 28;

/// Everything that begins at one instant, lowest string first, each string once; with each the hand that its staff suggests.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Onset {
    /// When, from the beginning of the page.
    pub at: Seconds,
    /// Positions from the lowest up, each with the hand whose staff it stands on.
    pub strings: Vec<(i32, Option<Hand>)>,
}

/// What sharing a page between the hands costs, in points; our own starting values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandPrices {
    /// More than a hand can hold. Default 1000: only where nothing else is left.
    pub beyond: i64,
    /// A note against its staff. Default 6: the page is followed unless a leap or a strain speaks against it.
    pub other_staff: i64,
    /// The right hand below [`RIGHT_LOWEST`]. Default 40.
    pub right_low: i64,
    /// For each string the left hand is above, or the right below, middle C. Default 1.
    pub register: i64,
    /// One hand's string at or beyond the other's last one. Default 10.
    pub crossed: i64,
    /// Leaps, strain and missing time cost what they cost in a fingering.
    pub fingering: Prices,
}

impl Default for HandPrices {
    fn default() -> HandPrices {
        HandPrices { beyond: 1000, other_staff: 6, right_low: 40, register: 1, crossed: 10, fingering: Prices::default() }
    }
}

/// A page shared between the hands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shared {
    /// For each onset how many of its strings, from the lowest, are the left hand's.
    pub left: Vec<usize>,
    /// Onsets of which a hand holds more than this player can.
    pub beyond: Vec<usize>,
    /// The price in points.
    pub total: i64,
}

/// What a hand plucked last: onset, and how many strings of it were the left hand's. `None` for a hand that may be anywhere.
type Last = Option<(usize, usize)>;

/// The cheapest sharing. Onsets are in order of time; strings within one are lowest first.
pub fn share(onsets: &[Onset], player: &Player, prices: &HandPrices) -> Shared {
    let page = Page::new(onsets, player, prices);
    let mut layers: Vec<Vec<State>> = vec![vec![State { left: None, right: None, total: 0, before: 0, split: 0 }]];
    for (now, onset) in onsets.iter().enumerate() {
        let mut next: BTreeMap<(Last, Last), State> = BTreeMap::new();
        for (before, state) in layers[now].iter().enumerate() {
            for split in 0..=onset.strings.len() {
                let reached = page.step(state, before, now, split);
                let kept = next.entry((reached.left, reached.right)).or_insert_with(|| reached.clone());
                if reached.total < kept.total {
                    *kept = reached;
                }
            }
        }
        layers.push(next.into_values().collect());
    }
    page.walk_back(&layers)
}

/// The price of one given sharing, in points: `left` says for each onset how many strings the left hand takes. `None` where the counts do not fit.
pub fn price(onsets: &[Onset], player: &Player, prices: &HandPrices, left: &[usize]) -> Option<i64> {
    if left.len() != onsets.len() || onsets.iter().zip(left).any(|(o, l)| *l > o.strings.len()) {
        return None;
    }
    let page = Page::new(onsets, player, prices);
    let start = State { left: None, right: None, total: 0, before: 0, split: 0 };
    Some(left.iter().enumerate().fold(start, |state, (now, split)| page.step(&state, 0, now, *split)).total)
}

#[derive(Clone, Debug)]
struct State {
    left: Last,
    right: Last,
    total: i64,
    /// Index of the state before, and the split that led here.
    before: usize,
    split: usize,
}

struct Page<'a> {
    onsets: &'a [Onset],
    /// The strings of each onset without their staves.
    strings: Vec<Vec<i32>>,
    player: &'a Player,
    prices: &'a HandPrices,
    /// A rest after which a hand can be anywhere on this page.
    forget: Seconds,
}

impl<'a> Page<'a> {
    fn new(onsets: &'a [Onset], player: &'a Player, prices: &'a HandPrices) -> Page<'a> {
        let strings: Vec<Vec<i32>> = onsets.iter().map(|o| o.strings.iter().map(|s| s.0).collect()).collect();
        let all = || strings.iter().flatten();
        let whole = all().max().unwrap_or(&0) - all().min().unwrap_or(&0) + 1;
        let fluency = player.fluency;
        let forget = fluency.shift(whole).max(fluency.same_string()).max(fluency.placed_pluck());
        Page { onsets, strings, player, prices, forget }
    }

    fn step(&self, state: &State, before: usize, now: usize, split: usize) -> State {
        let (left, right) = self.strings[now].split_at(split);
        let mut total = state.total + self.own(now, split);
        total += self.moved(left, state.left.map(|l| self.held(l, Hand::Left)), now);
        total += self.moved(right, state.right.map(|l| self.held(l, Hand::Right)), now);
        if right.is_empty() {
            total += self.against(left, state.right.map(|l| self.held(l, Hand::Right)), Hand::Left, now);
        }
        if left.is_empty() {
            total += self.against(right, state.left.map(|l| self.held(l, Hand::Left)), Hand::Right, now);
        }
        let next = |strings: &[i32], last: Last| {
            let last = if strings.is_empty() { last } else { Some((now, split)) };
            let later = self.onsets.get(now + 1).map(|o| o.at);
            last.filter(|l| later.is_some_and(|later| later - self.onsets[l.0].at < self.forget))
        };
        State { left: next(left, state.left), right: next(right, state.right), total, before, split }
    }

    fn held(&self, (onset, split): (usize, usize), hand: Hand) -> (&[i32], Seconds) {
        let (left, right) = self.strings[onset].split_at(split);
        (if hand == Hand::Left { left } else { right }, self.onsets[onset].at)
    }

    /// What this onset costs by itself, both hands.
    fn own(&self, now: usize, split: usize) -> i64 {
        let (left, right) = self.strings[now].split_at(split);
        let staff = |hand: Hand, notes: &[(i32, Option<Hand>)]| notes.iter().filter(|n| n.1.is_some_and(|h| h != hand)).count() as i64;
        let (left_notes, right_notes) = self.onsets[now].strings.split_at(split);
        let mut sum = self.prices.other_staff * (staff(Hand::Left, left_notes) + staff(Hand::Right, right_notes));
        sum += self.holding(left, self.player.left) + self.holding(right, self.player.right);
        sum += self.prices.register * left.iter().map(|s| i64::from((s - MIDDLE).max(0))).sum::<i64>();
        sum += self.prices.register * right.iter().map(|s| i64::from((MIDDLE - s).max(0))).sum::<i64>();
        sum + self.prices.right_low * right.iter().filter(|s| **s < RIGHT_LOWEST).count() as i64
    }

    /// What holding these strings costs a hand: each note or string too many is dearer, so that the least evil is chosen.
    fn holding(&self, strings: &[i32], reach: Reach) -> i64 {
        let notes = strings.len().saturating_sub(self.player.fingers()) as i64;
        let wide = i64::from((width(strings) - reach.rolled as i32).max(0));
        let strain = if shape::strained(strings) { self.prices.fingering.strain } else { 0 };
        let stretch = if !strings.is_empty() && width(strings) > reach.block as i32 { self.prices.fingering.stretch } else { 0 };
        self.prices.beyond * (notes + wide) + strain + stretch
    }

    /// A hand's way from its last strings to these.
    fn moved(&self, strings: &[i32], last: Option<(&[i32], Seconds)>, now: usize) -> i64 {
        let (Some((old, at)), Some(low), Some(high)) = (last, strings.first(), strings.last()) else { return 0 };
        let (prices, fluency) = (&self.prices.fingering, self.player.fluency);
        let time = self.onsets[now].at - at;
        let whole = high.max(old.last().unwrap_or(high)) - low.min(old.first().unwrap_or(low)) + 1;
        let again =
            if strings.iter().any(|s| old.contains(s)) { prices.string_again + prices.shortage(time, fluency.same_string()) } else { 0 };
        let reach = self.player.left.block.min(self.player.right.block) as i32;
        if whole <= reach {
            again + prices.shortage(time, fluency.placed_pluck())
        } else {
            again + prices.leap * i64::from(1 + (whole - 1) / 8) + prices.shortage(time, fluency.shift(whole))
        }
    }

    /// One hand's strings against where the other was last.
    fn against(&self, strings: &[i32], other: Option<(&[i32], Seconds)>, hand: Hand, now: usize) -> i64 {
        let (Some((old, at)), Some(low), Some(high)) = (other, strings.first(), strings.last()) else { return 0 };
        let beyond = match hand {
            Hand::Left => old.first().is_some_and(|o| high >= o),
            Hand::Right => old.last().is_some_and(|o| low <= o),
        };
        let prices = &self.prices.fingering;
        let time = self.onsets[now].at - at;
        let again = if strings.iter().any(|s| old.contains(s)) { prices.shortage(time, self.player.fluency.same_string()) } else { 0 };
        again + if beyond { self.prices.crossed } else { 0 }
    }

    fn walk_back(&self, layers: &[Vec<State>]) -> Shared {
        let last = layers.last().map_or(&[][..], Vec::as_slice);
        let Some(best) = (0..last.len()).min_by_key(|i| (last[*i].total, *i)) else { return Shared::default() };
        let mut shared = Shared { total: last[best].total, ..Shared::default() };
        let mut at = best;
        for layer in layers.iter().skip(1).rev() {
            shared.left.push(layer[at].split);
            at = layer[at].before;
        }
        shared.left.reverse();
        let holds = |strings: &[i32], reach: Reach| {
            strings.len() <= self.player.fingers() && (strings.is_empty() || width(strings) <= reach.rolled as i32)
        };
        let both = |now: &usize| {
            let (left, right) = self.strings[*now].split_at(shared.left[*now]);
            holds(left, self.player.left) && holds(right, self.player.right)
        };
        shared.beyond = (0..shared.left.len()).filter(|now| !both(now)).collect();
        shared
    }
}
