//! The price of the way from one group to the next.
//!
//! What the fingers of the last pluck and of the next one are to each other asks for two plucks alone, so the search looks it up ([`Ways`]); turns and
//! noise ask for the two groups.

use super::placing::{Placing, Table, Touch};
use super::prices::{Parts, Prices};
use music::Seconds;

/// The strings of an octave.
const OCTAVE: i32 = 8;

/// What each choice of fingers costs on the way to one pluck, in points, worked out when it is first asked.
pub(crate) struct Ways([[Option<i32>; 16]; 16]);

impl Ways {
    pub fn none_yet() -> Ways {
        Ways([[None; 16]; 16])
    }
}

impl Table<'_> {
    /// The way from one group to the next.
    pub fn join(&self, before: &Placing, after: &Placing) -> Parts {
        Parts { turn: self.turn(before, after), string_again: self.noise(before, after), ..self.fingers(before, after) }
    }

    /// Its whole price; all groups `before` end with the same pluck, and all `after` begin with the next.
    pub fn join_total(&self, before: &Placing, after: &Placing, ways: &mut Ways) -> i64 {
        let way = &mut ways.0[usize::from(before.out)][usize::from(after.into)];
        let fingers = *way.get_or_insert_with(|| self.fingers(before, after).total() as i32);
        i64::from(fingers) + self.turn(before, after) + self.noise(before, after)
    }

    fn turn(&self, before: &Placing, after: &Placing) -> i64 {
        if before.way * after.way < 0 { self.prices.turn_between } else { 0 }
    }

    /// From the last pluck to the next: leaps, crossings, fingers that come again, and the time for them.
    fn fingers(&self, before: &Placing, after: &Placing) -> Parts {
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
                crossed = crossed.max(Some(self.crossing(from, to)));
            }
        }
        let whole = high - low + 1;
        let lift = self.player.fluency.shift(whole);
        let leap = self.prices.leap * i64::from(1 + (whole - 1) / 8);
        // From chord to chord the hand is lifted as a whole.
        let chords = self.strings(before.end - 1).min(self.strings(after.first)) > 1;
        let against = if chords { leap } else { leap + self.prices.against };
        let mut parts = Parts::default();
        if whole <= self.reach.block as i32 && again.stays(time, lift) {
            parts.finger_again = again.price(self.prices);
            parts.travel = crossed.map_or(0, |crossed| if time >= lift { crossed.min(against) } else { crossed });
            parts.late = self.prices.shortage(time, self.player.fluency.placed_pluck());
        } else {
            let flows = whole <= self.reach.block as i32 && !self.line.plucks()[after.first].anew && !chords;
            parts.finger_again = if time < lift {
                again.price(self.prices)
            } else if flows {
                self.hop(time, lift)
            } else {
                0
            };
            parts.travel = crossed.map_or(leap, |_| against);
            parts.late = self.prices.shortage(time, lift);
        }
        if whole >= OCTAVE {
            parts.travel += self.bass(before, after);
        }
        parts
    }

    /// Fingers that cross on the way from one string to the next.
    fn crossing(&self, from: &Touch, to: &Touch) -> i64 {
        let own = if from.finger == 1 || to.finger == 1 { self.prices.cross_thumb } else { self.prices.cross_other };
        own + self.prices.cross_wider * i64::from((from.string - to.string).abs() - 1)
    }

    /// A string alone an octave or more under the others, by another finger than the fourth.
    fn bass(&self, before: &Placing, after: &Placing) -> i64 {
        let of = |placing: &Placing, pluck: usize| placing.touches.iter().filter(|t| t.pluck == pluck).copied().collect::<Vec<Touch>>();
        let (from, to) = (of(before, before.end - 1), of(after, after.first));
        let under = |bass: &[Touch], others: &[Touch]| bass.len() == 1 && others.iter().all(|other| bass[0].string < other.string);
        let bass = if under(&from, &to) {
            from[0].finger
        } else if under(&to, &from) {
            to[0].finger
        } else {
            return 0;
        };
        self.prices.bass * i64::from(4 - bass)
    }

    /// A hop costs the less, the longer the note before it: nothing where the hand would leave the strings.
    fn hop(&self, time: Seconds, lift: Seconds) -> i64 {
        let (left, whole) = ((self.prices.wait_from - time).micros().max(0), (self.prices.wait_from - lift).micros().max(1));
        (self.prices.hop * left + whole / 2) / whole
    }

    /// The noise of strings that come back under another finger.
    fn noise(&self, before: &Placing, after: &Placing) -> i64 {
        let ends = |placing: &Placing| placing.touches.first().zip(placing.touches.last()).map(|(low, high)| (low.string, high.string));
        let apart = ends(before).zip(ends(after)).is_none_or(|(b, a)| b.1 < a.0 || a.1 < b.0);
        if apart {
            return 0;
        }
        let pairs = before.touches.iter().flat_map(|old| after.touches.iter().map(move |new| (old, new)));
        let noisy = pairs.filter(|(old, new)| old.string == new.string && old.finger != new.finger);
        let repeats = |old: &Touch, new: &Touch| old.pluck + 1 == new.pluck && self.strings(old.pluck).max(self.strings(new.pluck)) == 1;
        noisy.map(|(old, new)| if repeats(old, new) { self.prices.repeated_otherwise } else { self.prices.other_finger }).sum()
    }

    fn strings(&self, pluck: usize) -> usize {
        self.line.plucks()[pluck].strings.len()
    }

    fn at(&self, pluck: usize) -> Seconds {
        self.line.plucks()[pluck].at
    }
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
