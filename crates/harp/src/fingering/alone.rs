//! Whether one hand can play a whole line by itself, in time: what stands in the way, and by how much the tempo would have to give.
//!
//! The line is fingered exactly ([`super::search`]); a placing for which 40 % of the wanted time are missing, plucks that go on faster than a placed group gives, and
//! strings that come back at once are troubles. The limits of time are the player's own starting values (harp facts 3.2, ASSUME), the shares are ours.

use super::line::{Line, Pluck};
use super::prices::Prices;
use super::search::{FingeringError, finger};
use crate::hand::HandLimit;
use crate::player::Player;
use music::{Hand, Seconds};
use std::collections::BTreeMap;

/// The share of the wanted time, in hundredths, that has to be missing before a placing is in the way.
const LATE: i64 = 40;
/// Plucks in a row, each sooner after the one before than the strings of one placed group.
const RUN: usize = 6;
/// Of the time that a string wants before it is plucked again, in hundredths: sooner even once, sooner three times in a row.
const AT_ONCE: i64 = 35;
const SOON: i64 = 75;
const RETURNS: u32 = 3;

/// Why a hand cannot play a pluck of a line, with the pluck counted from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// Index into the line.
    pub pluck: usize,
    /// What stands in the way.
    pub why: Why,
}

/// What stands in the way of one hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// No hand of this player holds it.
    Hand(HandLimit),
    /// The hand has to be placed anew, and there is too little time.
    Placing {
        /// What there is from the pluck before.
        time: Seconds,
        /// What a hand of this fluency wants.
        wanted: Seconds,
    },
    /// Plucks go on too fast.
    Run {
        /// From one pluck to the next, on average.
        time: Seconds,
        /// What a hand of this fluency wants.
        wanted: Seconds,
    },
    /// A string comes back too soon.
    String {
        /// Since it was plucked before.
        time: Seconds,
        /// What a string of a hand of this fluency wants.
        wanted: Seconds,
    },
}

impl Why {
    /// The share of the present tempo, in hundredths, at which this would be no trouble any more; `None` where no tempo helps.
    pub fn slower(self) -> Option<i64> {
        let share = |time: Seconds, wanted: Seconds| time.micros() * 100 / wanted.micros().max(1);
        match self {
            Why::Hand(_) => None,
            Why::Placing { time, wanted } => Some(share(time, wanted) * 100 / (100 - LATE)),
            Why::Run { time, wanted } => Some(share(time, wanted)),
            Why::String { time, wanted } => Some(share(time, wanted) * 100 / SOON),
        }
    }
}

/// Everything in a line that one hand cannot play, in its order.
pub fn troubles(mut plucks: Vec<Pluck>, hand: Hand, player: &Player) -> Vec<Trouble> {
    let mut places: Vec<usize> = (0..plucks.len()).collect();
    let mut found = Vec::new();
    let prices = Prices::default();
    let fingering = loop {
        let line = Line::new(plucks.clone()).unwrap_or_default();
        match finger(&line, hand, player, &prices) {
            Err(FingeringError::Pluck { pluck, limit }) if pluck < plucks.len() => {
                found.push(Trouble { pluck: places[pluck], why: Why::Hand(limit) });
                plucks.remove(pluck);
                places.remove(pluck);
            }
            other => break other.unwrap_or_default(),
        }
    };
    let least = prices.late + prices.late_wholly * LATE / 100;
    for group in fingering.groups.iter().filter(|g| g.first > 0 && g.parts.late >= least) {
        let time = plucks[group.first].at - plucks[group.first - 1].at;
        let missing = (group.parts.late - prices.late).min(prices.late_wholly - 1);
        let wanted = Seconds::from_micros(time.micros() * prices.late_wholly / (prices.late_wholly - missing));
        found.push(Trouble { pluck: places[group.first], why: Why::Placing { time, wanted } });
    }
    found.extend(runs(&plucks, player).into_iter().chain(returns(&plucks, player)).map(|t| Trouble { pluck: places[t.pluck], ..t }));
    found.sort_by_key(|t| t.pluck);
    found
}

fn runs(plucks: &[Pluck], player: &Player) -> Vec<Trouble> {
    let wanted = player.fluency.placed_pluck();
    let fast = |i: usize| plucks[i].at - plucks[i - 1].at < wanted;
    let mut found = Vec::new();
    let mut at = 1;
    while at < plucks.len() {
        let length = (at..plucks.len()).take_while(|i| fast(*i)).count();
        if length >= RUN {
            let whole = (plucks[at + length - 1].at - plucks[at - 1].at).micros();
            found.push(Trouble { pluck: at - 1, why: Why::Run { time: Seconds::from_micros(whole / length as i64), wanted } });
        }
        at += length.max(1);
    }
    found
}

fn returns(plucks: &[Pluck], player: &Player) -> Vec<Trouble> {
    let wanted = player.fluency.same_string();
    let mut last: BTreeMap<i32, (Seconds, u32)> = BTreeMap::new();
    let mut found = Vec::new();
    for (index, pluck) in plucks.iter().enumerate() {
        for string in &pluck.strings {
            let before = last.get(string).copied().map(|(at, returns)| (pluck.at - at, returns));
            let soon = before.filter(|(time, _)| time.micros() * 100 < wanted.micros() * SOON);
            let returns = soon.map_or(0, |(_, returns)| returns + 1);
            if let Some((time, _)) = soon.filter(|(time, _)| time.micros() * 100 < wanted.micros() * AT_ONCE || returns > RETURNS) {
                found.push(Trouble { pluck: index, why: Why::String { time, wanted } });
            }
            last.insert(*string, (pluck.at, returns));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(strings: &[i32], millis: i64) -> Vec<Pluck> {
        strings.iter().enumerate().map(|(i, s)| Pluck::of(Seconds::from_millis(i as i64 * millis), &[*s])).collect()
    }

    fn why(strings: &[i32], millis: i64) -> Vec<Why> {
        troubles(line(strings, millis), Hand::Left, &Player::default()).into_iter().map(|t| t.why).collect()
    }

    /// Harp facts 3.2 (ASSUME): a fluent hand plucks six strings a second inside a placed group, and one string again after 0.4 s. A scale of eight strings at four a second is
    /// played; at ten a second it is a run, and would not be one at six tenths of the tempo.
    #[test]
    fn a_scale_has_its_tempo() {
        assert_eq!(why(&[20, 21, 22, 23, 24, 25, 26, 27], 250), []);
        let fast = why(&[20, 21, 22, 23, 24, 25, 26, 27], 100);
        assert!(fast.iter().any(|w| matches!(w, Why::Run { .. }) && w.slower() == Some(59)), "{fast:?}");
    }

    /// Arithmetic on the same times: thirteen strings to and fro want 0.5 s each way, and have 0.2; at half the tempo they have 0.4, which is more than three
    /// fifths.
    #[test]
    fn leaps_and_strings_that_come_back() {
        let leaps = why(&[14, 26, 14, 26], 200);
        assert!(leaps.iter().any(|w| matches!(w, Why::Placing { .. })), "{leaps:?}");
        let share = leaps.iter().filter_map(|w| w.slower()).min().expect("a tempo helps");
        assert!((50..100).contains(&share), "{leaps:?}");
        let slower = why(&[14, 26, 14, 26], 200 * 100 / share + 1);
        assert_eq!(slower, []);
        assert!(matches!(why(&[20, 20], 100)[..], [Why::String { .. }, ..] | [_, Why::String { .. }]), "{:?}", why(&[20, 20], 100));
    }

    /// Harp facts 3.1: four fingers, a tenth.
    #[test]
    fn what_no_hand_holds() {
        let plucks = vec![Pluck::of(Seconds::ZERO, &[10, 12, 14, 16, 18]), Pluck::of(Seconds::from_millis(900), &[10, 12])];
        let found = troubles(plucks, Hand::Left, &Player::default());
        assert!(matches!(found[..], [Trouble { pluck: 0, why: Why::Hand(_) }]), "{found:?}");
    }
}
