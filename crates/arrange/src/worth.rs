//! How good another way is beside the chosen one, in words: a harpist has no use for the number of a price.

use crate::price::{Price, Principle};
use std::fmt;

/// Beside the best: what the whole plan would be with another way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Worth {
    AsGood,
    LittleLess,
    ClearlyLess,
    Clashes,
}

/// A thousand is a fault that anybody would notice ([`crate::price`]); these are a matter of taste, and less than a fault (OURS).
const AS_GOOD: i64 = 150;
const LITTLE_LESS: i64 = 800;
/// What is struck or rings together and does not belong together is a clash from here on.
const A_CLASH: i64 = 900;

impl Worth {
    /// Of a plan that is dearer by `extra`, with the parts of the difference.
    pub fn of(extra: i64, difference: &Price) -> Worth {
        let clash = [Principle::Ring, Principle::RoomForTheTune, Principle::OpenBelow].map(|p| difference.part(p)).into_iter().max();
        match extra {
            _ if extra >= A_CLASH && clash.is_some_and(|c| c >= A_CLASH) => Worth::Clashes,
            _ if extra < AS_GOOD => Worth::AsGood,
            _ if extra < LITTLE_LESS => Worth::LittleLess,
            _ => Worth::ClearlyLess,
        }
    }
}

impl fmt::Display for Worth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Worth::AsGood => "as good",
            Worth::LittleLess => "a little less good",
            Worth::ClearlyLess => "clearly less good",
            Worth::Clashes => "would clash",
        })
    }
}
