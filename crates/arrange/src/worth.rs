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
    /// Of a plan that is dearer by `extra`, with the parts of the difference: it clashes where a clash is the most that is against it.
    pub fn of(extra: i64, difference: &Price) -> Worth {
        let most = Principle::ALL.into_iter().map(|p| difference.part(p)).max().unwrap_or(0);
        let clash = difference.part(Principle::Ring).max(difference.part(Principle::OpenBelow));
        match extra {
            _ if clash >= A_CLASH && clash == most && extra >= AS_GOOD => Worth::Clashes,
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clash_is_only_what_clashes_most() {
        let of = |parts: &[(Principle, i64)]| {
            let mut price = Price::default();
            parts.iter().for_each(|(principle, amount)| price.add(*principle, *amount));
            Worth::of(price.total(), &price)
        };
        assert_eq!(of(&[(Principle::Ring, 1_200)]), Worth::Clashes);
        assert_eq!(of(&[(Principle::Ring, 1_200), (Principle::BassLine, 1_500)]), Worth::ClearlyLess);
        assert_eq!(of(&[(Principle::OpenBelow, 300)]), Worth::LittleLess);
        assert_eq!(of(&[(Principle::Curve, 100), (Principle::BassLine, -50)]), Worth::AsGood);
    }
}
