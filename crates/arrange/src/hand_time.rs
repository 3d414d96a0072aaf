//! Whether a hand has the time: within one candidate, and from one slot to the next.
//!
//! Speeds and joins are habits 2, 4 and 6; the numbers come with the player's fluency ([`harp::Fluency`]).

use harp::Player;
use music::{Beats, Hand, LocalClock, Pitch, Seconds};
use smallvec::SmallVec;

/// One pluck of the hand that accompanies; `at` counts from the start of its slot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pluck {
    pub at: Beats,
    pub length: Beats,
    /// Lowest first.
    pub pitches: Strings,
    pub rolled: bool,
}

/// What is plucked at once; four strings need no room of their own on the heap.
pub type Strings = SmallVec<[Pitch; 4]>;

/// A string's bit in a set of strings; C0 has the lowest, and no harp has more than sixty-four above it.
pub fn string_bit(position: i32) -> u64 {
    1 << position.clamp(0, 63)
}

impl Pluck {
    pub fn low(&self) -> i32 {
        self.pitches[0].position()
    }

    /// Its strings, a bit each ([`string_bit`]).
    pub fn string_bits(&self) -> u64 {
        self.pitches.iter().fold(0, |bits, p| bits | string_bit(p.position()))
    }

    pub fn high(&self) -> i32 {
        self.pitches[self.pitches.len() - 1].position()
    }
}

/// Why there is no time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TooFast {
    Plucks,
    Blocks,
    SameString,
    Leap,
}

/// Whether the player can pluck these one after another; the clock counts from the start of their slot.
pub fn playable(plucks: &[Pluck], hand: Hand, slot_length: Beats, clock: &LocalClock, player: &Player) -> Result<(), TooFast> {
    let fluency = player.fluency;
    let times: SmallVec<[Seconds; 8]> = plucks.iter().map(|p| clock.at(p.at)).collect();
    for (i, pair) in plucks.windows(2).enumerate() {
        let gap = times[i + 1] - times[i];
        if gap < fluency.placed_pluck() {
            return Err(TooFast::Plucks);
        }
        if pair.iter().all(|p| p.pitches.len() >= 3) && gap < fluency.block() {
            return Err(TooFast::Blocks);
        }
        leap(&pair[0], &pair[1], gap, (player, hand))?;
    }
    let bits: SmallVec<[u64; 8]> = plucks.iter().map(Pluck::string_bits).collect();
    for i in 0..plucks.len() {
        for j in i + 1..plucks.len() {
            if bits[i] & bits[j] != 0 && times[j] - times[i] < fluency.same_string() {
                return Err(TooFast::SameString);
            }
        }
    }
    steady(plucks, slot_length, clock, player)
}

/// Plucks that go on without a stop: more than one group's worth, or a slot filled to its end.
fn steady(plucks: &[Pluck], slot_length: Beats, clock: &LocalClock, player: &Player) -> Result<(), TooFast> {
    let count = plucks.len() as i64;
    if count < 2 {
        return Ok(());
    }
    let whole = clock.at(slot_length).micros();
    if whole < player.fluency.steady_pluck().micros() * count { Err(TooFast::Plucks) } else { Ok(()) }
}

/// Strings between two plucks that even a placed hand does not take quicker than [`FAR_TIME`].
pub const FAR: i32 = 9;
/// See [`FAR`]. Ours.
pub const FAR_TIME: Seconds = Seconds::from_millis(250);

/// From one pluck to the next: within the hand's reach nothing is asked, beyond it the time of a shift.
pub fn leap(from: &Pluck, to: &Pluck, gap: Seconds, (player, hand): (&Player, Hand)) -> Result<(), TooFast> {
    let low = from.low().min(to.low());
    let high = from.high().max(to.high());
    let reach = player.reach(hand).block as i32;
    let way = distance((from.low(), from.high()), (to.low(), to.high()));
    if way >= FAR && gap < FAR_TIME {
        return Err(TooFast::Leap);
    }
    if high - low < reach {
        return Ok(());
    }
    if gap < player.fluency.shift(way) { Err(TooFast::Leap) } else { Ok(()) }
}

/// Strings between two stretches; 0 where they touch or overlap.
pub fn distance(a: (i32, i32), b: (i32, i32)) -> i32 {
    (b.0 - a.1).max(a.0 - b.1).max(0)
}
