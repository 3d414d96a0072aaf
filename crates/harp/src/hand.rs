//! What one hand can hold at once: what is impossible, what strains, and what the planner allows itself.
//!
//! Impossible: more strings than fingers, or further apart than the hand reaches ([`impossible`]). A strain: a wide gap anywhere but beside the thumb, or a
//! note beside the thumb inside a wide chord ([`strain`], harp facts 3.1). The planner is stricter than both with the hand that accompanies ([`block`], [`rolled`]).
//! Strings are positions, see [`music::Pitch::position`].

use crate::player::Player;
use music::Hand;
use std::fmt;

/// How the strings of one pluck sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Strike {
    /// All at once: a block.
    Together,
    /// One after another from the lowest up.
    Rolled,
}

/// Why a hand does not hold a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HandLimit {
    /// More notes than fingers.
    TooManyNotes {
        /// How many strings are wanted.
        notes: usize,
        /// How many fingers the player uses.
        fingers: usize,
    },
    /// Wider than the hand.
    Reach {
        /// From the lowest to the highest, both counted.
        strings: u32,
        /// The player's own reach.
        most: u32,
    },
    /// The gaps between neighbouring fingers are not those of a closed hand: never impossible, at most a [`strain`].
    ClosedHand,
}

/// What strains a hand that can hold the chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Strain {
    /// More than a fifth between two fingers that are not thumb and second, which should stay close (harp facts 3.1; a fifth by habit 5).
    WideGap {
        /// How wide, both strings counted.
        strings: u32,
    },
    /// A note on the string next to the thumb's inside a chord of nine strings or more: inner notes should lie toward the fourth finger
    /// (harp facts 3.1 for a tenth; from nine strings on by habit 5).
    BesideThumb,
}

impl fmt::Display for Strain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Strain::WideGap { strings } => write!(f, "a gap of {strings} strings that is not beside the thumb"),
            Strain::BesideThumb => f.write_str("a note beside the thumb inside a wide chord"),
        }
    }
}

/// Why no hand of this player can hold these strings: too many of them, or too far apart. `strings` is sorted, lowest first, each once.
pub fn impossible(player: &Player, hand: Hand, strike: Strike, strings: &[i32]) -> Option<HandLimit> {
    let own = player.reach(hand);
    let most = if strike == Strike::Together { own.block } else { own.rolled };
    reach(player, strings, most).err()
}

/// What strains a hand with these strings under it. `strings` is sorted, lowest first, each once; the thumb has the highest.
pub fn strain(strings: &[i32]) -> Option<Strain> {
    let [low, .., before_last, last] = strings else { return None };
    let others = strings[..strings.len() - 1].windows(2).map(|w| w[1] - w[0] + 1);
    match others.max() {
        Some(wide) if wide >= 6 => Some(Strain::WideGap { strings: wide as u32 }),
        _ if last - low + 1 >= 9 && last - before_last < 2 => Some(Strain::BesideThumb),
        _ => None,
    }
}

impl fmt::Display for HandLimit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            HandLimit::TooManyNotes { notes, fingers } => write!(f, "{notes} notes for {fingers} fingers"),
            HandLimit::Reach { strings, most } => write!(f, "{strings} strings wide, the hand reaches {most}"),
            HandLimit::ClosedHand => f.write_str("a note beside the thumb inside a wide chord strains the hand"),
        }
    }
}

/// Whether a hand can pluck these strings together. `strings` is sorted, lowest first, each once.
///
/// ```
/// use harp::{HandLimit, Player, hand};
/// use music::Hand;
///
/// // Harp facts 9: root, fifth and octave lie well; eleven strings are more than a tenth.
/// let player = Player::default();
/// assert_eq!(hand::block(&player, Hand::Left, &[14, 18, 21]), Ok(()));
/// assert_eq!(hand::block(&player, Hand::Left, &[14, 24]), Err(HandLimit::Reach { strings: 11, most: 10 }));
/// ```
pub fn block(player: &Player, hand: Hand, strings: &[i32]) -> Result<(), HandLimit> {
    reach(player, strings, player.reach(hand).block)?;
    closed(strings)
}

/// Whether a hand can roll these strings.
pub fn rolled(player: &Player, hand: Hand, strings: &[i32]) -> Result<(), HandLimit> {
    reach(player, strings, player.reach(hand).rolled)?;
    closed(strings)
}

fn reach(player: &Player, strings: &[i32], most: u32) -> Result<(), HandLimit> {
    let (notes, fingers) = (strings.len(), player.fingers());
    if notes > fingers {
        return Err(HandLimit::TooManyNotes { notes, fingers });
    }
    match (strings.first(), strings.last()) {
        (Some(low), Some(high)) if (high - low + 1) as u32 > most => Err(HandLimit::Reach { strings: (high - low + 1) as u32, most }),
        _ => Ok(()),
    }
}

/// The closed hand (habit 5): a gap not beside the thumb at most 5 strings; beside the thumb at least 3 when the whole is 9 or more. Gaps
/// count both strings. The thumb has the highest string of the left hand as of the right.
fn closed(strings: &[i32]) -> Result<(), HandLimit> {
    let [inner @ .., before_last, last] = strings else { return Ok(()) };
    if inner.is_empty() {
        return Ok(());
    }
    let thumb = last - before_last + 1;
    let whole = last - strings[0] + 1;
    let others_close = strings[..strings.len() - 1].windows(2).all(|w| w[1] - w[0] < 5);
    if others_close && thumb <= 7 && (whole < 9 || thumb >= 3) { Ok(()) } else { Err(HandLimit::ClosedHand) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn holds(rungs: &[i32]) -> Result<(), HandLimit> {
        block(&Player::default(), Hand::Left, rungs)
    }

    /// Harp facts 9, examples 43, 44, 49 to 51, and habit 5.
    #[test]
    fn shapes_of_the_trade() {
        for good in [&[1, 5, 8][..], &[1, 5, 10], &[1, 3, 5, 8], &[1, 5, 8, 10], &[1, 3, 5], &[1, 8], &[1, 10]] {
            assert_eq!(holds(good), Ok(()), "{good:?}");
        }
        assert_eq!(holds(&[1, 2, 3, 4, 5]), Err(HandLimit::TooManyNotes { notes: 5, fingers: 4 }));
        assert_eq!(holds(&[1, 11]), Err(HandLimit::Reach { strings: 11, most: 10 }));
        assert_eq!(rolled(&Player::default(), Hand::Left, &[1, 5, 11]), Ok(()));
        for strained in [&[1, 8, 10][..], &[1, 8, 9, 10]] {
            assert_eq!(holds(strained), Err(HandLimit::ClosedHand), "{strained:?}");
        }
    }
}
