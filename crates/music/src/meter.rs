//! Meters: length of a measure, beats, strong beats.

use crate::time::Beats;
use std::fmt;

/// How the meter is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MeterSign {
    /// Two numbers, one above the other.
    Numbers,
    /// 𝄴, which stands for 4/4.
    Common,
    /// 𝄵, which stands for 2/2.
    Cut,
    /// No sign is printed; measures may be of any length.
    Free,
}

/// A time signature. `groups` is the numerator as written: `[6]`, or `[2, 3]` for 2+3/8.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Meter {
    /// The numerator as written; never empty, no group is 0.
    pub groups: Vec<u32>,
    /// The note value below the line: 4 for quarters, 8 for eighths.
    pub unit: u32,
    /// How it is printed.
    pub sign: MeterSign,
}

impl Meter {
    /// `None` for a numerator of 0 or above 64, or a unit that is no power of two up to 64.
    pub fn new(groups: Vec<u32>, unit: u32, sign: MeterSign) -> Option<Meter> {
        let sum: u32 = groups.iter().try_fold(0u32, |a, b| a.checked_add(*b))?;
        let good = (1..=64).contains(&sum) && groups.iter().all(|g| *g > 0) && unit.is_power_of_two() && unit <= 64;
        good.then_some(Meter { groups, unit, sign })
    }

    /// A meter of two numbers, for text in a program: `Meter::simple(6, 8)`. Panics where [`Meter::new`] gives `None`.
    pub fn simple(numerator: u32, unit: u32) -> Meter {
        Meter::new(vec![numerator], unit, MeterSign::Numbers).expect("a meter written in the source is in range")
    }

    /// The units of a measure: 5 for 2+3/8.
    pub fn numerator(&self) -> u32 {
        self.groups.iter().sum()
    }

    /// The full length of a measure. In free meter this is four quarters, a measure to count in only.
    pub fn length(&self) -> Beats {
        self.unit_length() * i64::from(self.numerator())
    }

    /// The note value below the line.
    pub fn unit_length(&self) -> Beats {
        Beats::whole(1, i64::from(self.unit)).expect("a unit is a power of two up to 64")
    }

    /// Compound: beats of three units (6/8, 9/8, 12/8, 6/4). 3/8 counts as one beat of three.
    pub fn is_compound(&self) -> bool {
        self.groups.len() == 1
            && self.numerator() > 3
            && self.numerator().is_multiple_of(3)
            && self.unit >= 4
            && !(self.unit == 4 && self.numerator() != 6)
    }

    /// The beat that is counted: a dotted quarter in 6/8, a half note in 2/2, a quarter in 3/4.
    pub fn beat(&self) -> Beats {
        if self.is_compound() { self.unit_length() * 3 } else { self.unit_length() }
    }

    /// Beats on which the listener leans, as places in the measure: beat 1 everywhere, the middle of four-four, cut time and
    /// compound duple (two such measures in 12/8). Common practice.
    ///
    /// ```
    /// use music::{Beats, Meter};
    ///
    /// // Common practice: a jig leans on its two dotted quarters, a waltz on one beat.
    /// let dotted_quarter = Beats::EIGHTH * 3;
    /// assert_eq!(Meter::simple(6, 8).strong_beats(), [Beats::ZERO, dotted_quarter]);
    /// assert_eq!(Meter::simple(3, 4).strong_beats(), [Beats::ZERO]);
    /// ```
    pub fn strong_beats(&self) -> Vec<Beats> {
        let half = self.length().scaled(1, 2);
        match (self.numerator(), self.unit) {
            (4, 4) | (2, 2) | (6, 8) | (6, 4) | (12, 8) | (4, 8) | (4, 2) | (8, 8) => {
                vec![Beats::ZERO, half.expect("an even number of units halves")]
            }
            _ => vec![Beats::ZERO],
        }
    }

    /// All beats of the measure, as places in it.
    pub fn beats(&self) -> Vec<Beats> {
        let (beat, length) = (self.beat(), self.length());
        (0..).map(|i| beat * i).take_while(|at| *at < length).collect()
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let groups: Vec<String> = self.groups.iter().map(u32::to_string).collect();
        match self.sign {
            MeterSign::Free => f.write_str("free meter"),
            _ => write!(f, "{}/{}", groups.join("+"), self.unit),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice.
    #[test]
    fn beats_and_strong_beats() {
        let seen = |n, u| {
            let m = Meter::simple(n, u);
            let places = |v: Vec<Beats>| v.iter().map(Beats::to_string).collect::<Vec<_>>().join(" ");
            format!("{} beats {} strong beats {}", m, places(m.beats()), places(m.strong_beats()))
        };
        assert_eq!(seen(4, 4), "4/4 beats 0 1 2 3 strong beats 0 2");
        assert_eq!(seen(6, 8), "6/8 beats 0 3/2 strong beats 0 3/2");
        assert_eq!(seen(9, 8), "9/8 beats 0 3/2 3 strong beats 0");
        assert_eq!(seen(3, 4), "3/4 beats 0 1 2 strong beats 0");
        assert_eq!(seen(2, 2), "2/2 beats 0 2 strong beats 0 2");
        assert_eq!(seen(3, 8), "3/8 beats 0 1/2 1 strong beats 0");
    }
}
