//! The player: how far each hand reaches, how fluent she is, which fingers she leaves out, which hand moves levers, on which shoulder the harp leans.
//!
//! The time limits are our own starting values (harp facts 3.2 marks them ASSUME): settings she can change, never shown as published facts.

use music::{Hand, Seconds};
use thiserror::Error;

/// How many strings a hand reaches, both ends counted: an octave is 8. `block` is plucked together, `rolled` one after another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reach {
    /// Strings that are plucked together.
    pub block: u32,
    /// Strings that are plucked one after another.
    pub rolled: u32,
}

/// How quickly her hand finds its strings; every time of a player comes from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fluency {
    /// She still looks for strings.
    Slow,
    /// The middle.
    Fluent,
    /// Her hands know where they go.
    Advanced,
}

/// The shoulder on which the harp leans. Nothing is planned by it; words and pictures of the strings are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shoulder {
    /// The usual one.
    Right,
    /// The other.
    Left,
}

/// A player.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Player {
    /// Default: a tenth, 12 strings rolled (harp facts 3.1: a tenth is the safe reach of a hand; rolled chords may exceed it).
    pub left: Reach,
    /// Default: as the left.
    pub right: Reach,
    /// Default: fluent, the middle of the three time scales.
    pub fluency: Fluency,
    /// Fingers (1 thumb to 4) that are not to be used. Default: none.
    pub fingers_left_out: Vec<u8>,
    /// The hand that moves levers. Default: left (harp facts 2.4: usually the left; the right can take those near the dip of the neck).
    pub lever_hand: Hand,
    /// Default: right (common practice).
    pub shoulder: Shoulder,
}

/// Why there is no such player.
#[derive(Debug, Error, PartialEq, Eq)]
pub enum PlayerError {
    /// A reach that no hand is known to have.
    #[error("a reach of {0} strings: expected 5 to 12")]
    Reach(u32),
    /// A finger that does not pluck.
    #[error("finger {0}: expected 1 (thumb) to 4")]
    Finger(u8),
    /// Too few fingers are left.
    #[error("fingers left out: a hand needs at least two of the four")]
    NoFingers,
}

impl Default for Player {
    fn default() -> Player {
        let reach = Reach { block: 10, rolled: 12 };
        Player {
            left: reach,
            right: reach,
            fluency: Fluency::Fluent,
            fingers_left_out: Vec::new(),
            lever_hand: Hand::Left,
            shoulder: Shoulder::Right,
        }
    }
}

impl Player {
    /// Whether a hand could be so. Errors: the first value that cannot be.
    ///
    /// ```
    /// use harp::{Player, PlayerError};
    ///
    /// // A hand plays with at least two of its four fingers.
    /// let player = Player { fingers_left_out: vec![4], ..Player::default() };
    /// assert_eq!(player.check().map(|player| player.fingers()), Ok(3));
    /// let player = Player { fingers_left_out: vec![2, 3, 4], ..Player::default() };
    /// assert_eq!(player.check(), Err(PlayerError::NoFingers));
    /// ```
    pub fn check(self) -> Result<Player, PlayerError> {
        for reach in [self.left.block, self.left.rolled, self.right.block, self.right.rolled] {
            if !(5..=12).contains(&reach) {
                return Err(PlayerError::Reach(reach));
            }
        }
        if let Some(bad) = self.fingers_left_out.iter().find(|f| !(1..=4).contains(*f)) {
            return Err(PlayerError::Finger(*bad));
        }
        if self.fingers() < 2 {
            return Err(PlayerError::NoFingers);
        }
        Ok(self)
    }

    /// The reach of one hand.
    pub fn reach(&self, hand: Hand) -> Reach {
        match hand {
            Hand::Left => self.left,
            Hand::Right => self.right,
        }
    }

    /// How many fingers a hand has to play with.
    pub fn fingers(&self) -> usize {
        (1..=4).filter(|f| !self.fingers_left_out.contains(f)).count()
    }
}

/// How long moves of levers and pedals take, and the time before and after them. No published figures for levers: our own starting values (harp facts 2.4,
/// ASSUME); feet at about two moves a second each (harp facts 1.3).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MoveTimes {
    /// A single lever.
    pub lever: Seconds,
    /// Each further lever of one gesture, on the neighbouring string.
    pub neighbour: Seconds,
    /// Each further lever of one gesture, elsewhere.
    pub distant: Seconds,
    /// From one pedal to the next of the same foot.
    pub foot: Seconds,
    /// From a pluck of the hand that moves levers to where it can begin to.
    pub away: Seconds,
    /// The hand is back from the levers this long before its next pluck.
    pub back: Seconds,
}

impl MoveTimes {
    /// A string that has sounded this long may be stopped and moved although it is written longer. Ours.
    pub const SOUNDED: Seconds = Seconds::from_millis(300);

    /// The times of a player.
    pub fn of(fluency: Fluency) -> MoveTimes {
        let [lever, neighbour, distant, foot, back] = [fluency.pick(700, 400, 400), 150, 400, 500, 300].map(Seconds::from_millis);
        MoveTimes { lever, neighbour, distant, foot, away: fluency.placed_pluck(), back }
    }
}

impl Fluency {
    fn pick<T>(self, slow: T, fluent: T, advanced: T) -> T {
        match self {
            Fluency::Slow => slow,
            Fluency::Fluent => fluent,
            Fluency::Advanced => advanced,
        }
    }

    /// The shortest time before one hand plucks the same string again (harp facts 3.2, ASSUME).
    pub fn same_string(self) -> Seconds {
        Seconds::from_millis(self.pick(700, 400, 250))
    }

    /// The shortest time from the last string of a group to the first of one out of reach: over an octave, and 0.1 s more for each
    /// further octave (harp facts 3.2, ASSUME); over less, up to three tenths less (OURS).
    pub fn shift(self, strings: i32) -> Seconds {
        let octave: i64 = self.pick(800, 400, 250);
        let further = i64::from((strings - 8).max(0) + 6) / 7;
        let near = i64::from(strings.clamp(0, 8));
        Seconds::from_millis(octave * (56 + 3 * near) / 80 + 100 * further)
    }

    /// The shortest time between plucks that go on without a stop: at most 2, 4 or 6 a second (habit 2; OURS).
    pub fn steady_pluck(self) -> Seconds {
        Seconds::from_micros(self.pick(500_000, 250_000, 166_667))
    }

    /// The shortest time between plucks inside one placed group: 3, 6 or 9 a second (harp facts 3.2, ASSUME).
    pub fn placed_pluck(self) -> Seconds {
        Seconds::from_micros(self.pick(333_333, 166_667, 111_111))
    }

    /// The shortest time between blocks of three strings or more: 1, 2 or 3 a second (harp facts 3.2, ASSUME).
    pub fn block(self) -> Seconds {
        Seconds::from_micros(self.pick(1_000_000, 500_000, 333_333))
    }

    /// The time for a chord before the next one, so that the hand plays it, lets it ring and finds the other: a little less than two blocks. Ours.
    pub fn chord(self) -> Seconds {
        Seconds::from_millis(self.pick(1_800, 900, 600))
    }

    /// The word for it in small letters.
    pub fn name(self) -> &'static str {
        self.pick("slow", "fluent", "advanced")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Harp facts 3.2 (ASSUME): an octave in 0.4 s for an intermediate player, 0.1 s more for each further octave; less for less is ours.
    #[test]
    fn a_shift_takes_as_long_as_it_is_wide() {
        let took = [0, 4, 8, 9, 15, 16].map(|strings| Fluency::Fluent.shift(strings));
        assert_eq!(took, [280, 340, 400, 500, 500, 600].map(Seconds::from_millis));
    }
}
