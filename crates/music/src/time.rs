//! Exact musical time ([`Beats`]), clock time ([`Seconds`]) and the one bridge between them ([`Tempo`]).
//!
//! Musical time is a whole number of very small parts of a quarter note, so that adding never rounds: every
//! binary note value down to a 1024th of a quarter and every tuplet of up to 25 notes is exact. Clock time is in whole
//! microseconds. The two types never meet except through a tempo.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Rem, Sub, SubAssign};

/// A length of musical time, or a place in it; the unit is the quarter note.
///
/// `+`, `-` and `*` are exact as long as the result stays within [`LONGEST`], which whoever lays out a tune makes sure of; beyond it they stop
/// at the longest time that can be held and never wrap round.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Beats(i64);

/// Parts of a quarter note: 2^10 · 3^3 · 5^2 · 7 · 11 · 13 · 17 · 19 · 23.
const PARTS: i64 = 1024 * 27 * 25 * 7 * 11 * 13 * 17 * 19 * 23;

/// The longest span of time, in quarter notes. Readers refuse longer tunes; [`Beats::checked_add`] and its like stop there.
pub const LONGEST: i64 = 1_000_000;

impl Beats {
    /// No time, or the start of a measure.
    pub const ZERO: Beats = Beats(0);
    /// The shortest there is.
    pub const SMALLEST: Beats = Beats(1);
    /// A quarter note.
    pub const QUARTER: Beats = Beats(PARTS);
    /// An eighth note.
    pub const EIGHTH: Beats = Beats(PARTS / 2);
    /// A half note.
    pub const HALF: Beats = Beats(PARTS * 2);
    /// A whole note.
    pub const WHOLE: Beats = Beats(PARTS * 4);

    /// `numerator / denominator` quarter notes, or `None` where that cannot be held exactly.
    ///
    /// ```
    /// use music::Beats;
    ///
    /// // Arithmetic: three notes of a triplet fill a quarter exactly.
    /// let third = Beats::quarters(1, 3).expect("an exact length");
    /// assert_eq!(third * 3, Beats::QUARTER);
    /// assert_eq!(Beats::quarters(1, 29), None, "no tuplet of 29 is held");
    /// ```
    pub fn quarters(numerator: i64, denominator: i64) -> Option<Beats> {
        if denominator == 0 {
            return None;
        }
        let parts = i128::from(numerator) * i128::from(PARTS);
        let denominator = i128::from(denominator);
        if parts % denominator != 0 {
            return None;
        }
        i64::try_from(parts / denominator).ok().and_then(held)
    }

    /// A note value as a fraction of a whole note: `whole(3, 8)` is a dotted quarter.
    pub fn whole(numerator: i64, denominator: i64) -> Option<Beats> {
        Beats::quarters(numerator.checked_mul(4)?, denominator)
    }

    /// The nearest time that can be held to `numerator / denominator` quarter notes; for input that no grid fits.
    pub fn nearest_quarters(numerator: i64, denominator: i64) -> Beats {
        let parts = i128::from(numerator) * i128::from(PARTS) / i128::from(denominator.max(1));
        let most = i128::from(LONGEST * PARTS);
        Beats(parts.clamp(-most, most) as i64)
    }

    /// This time as a fraction of quarter notes in lowest terms: (numerator, denominator).
    pub fn fraction(self) -> (i64, i64) {
        let g = gcd(self.0.unsigned_abs(), PARTS as u64).max(1) as i64;
        (self.0 / g, PARTS / g)
    }

    /// As a floating-point number of quarter notes; for reports and files that want one, never for decisions.
    pub fn as_f64(self) -> f64 {
        self.0 as f64 / PARTS as f64
    }

    /// This length times `numerator / denominator`, or `None` where the result cannot be held exactly.
    pub fn scaled(self, numerator: i64, denominator: i64) -> Option<Beats> {
        if denominator == 0 {
            return None;
        }
        let parts = i128::from(self.0) * i128::from(numerator);
        if parts % i128::from(denominator) != 0 {
            return None;
        }
        i64::try_from(parts / i128::from(denominator)).ok().and_then(held)
    }

    /// How many whole times `other` fits, rounded down (for times of zero or more).
    pub fn div_floor(self, other: Beats) -> i64 {
        assert!(other.0 > 0, "a length to count in is longer than nothing");
        self.0.div_euclid(other.0)
    }

    /// The ratio to `other` in thousandths, rounded down; the planner's prices count in these.
    pub fn thousandths_of(self, other: Beats) -> i64 {
        assert!(other.0 != 0, "a length to compare with is longer than nothing");
        if let Some(parts) = self.0.checked_mul(1000) {
            return parts / other.0;
        }
        (i128::from(self.0) * 1000 / i128::from(other.0)) as i64
    }

    /// Whether it is no time.
    pub fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// Without its sign.
    pub fn abs(self) -> Beats {
        Beats(self.0.saturating_abs())
    }

    /// The sum, or `None` where it is longer than [`LONGEST`]: for sums whose length a tune decides.
    pub fn checked_add(self, other: Beats) -> Option<Beats> {
        self.0.checked_add(other.0).and_then(held)
    }

    /// This length so many times, or `None` where that is longer than [`LONGEST`].
    pub fn checked_mul(self, times: i64) -> Option<Beats> {
        self.0.checked_mul(times).and_then(held)
    }

    /// The sum of all, or `None` as soon as it is longer than [`LONGEST`].
    pub fn checked_sum(all: impl IntoIterator<Item = Beats>) -> Option<Beats> {
        all.into_iter().try_fold(Beats::ZERO, Beats::checked_add)
    }
}

fn held(parts: i64) -> Option<Beats> {
    const MOST: i64 = LONGEST * PARTS;
    (-MOST..=MOST).contains(&parts).then_some(Beats(parts))
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl fmt::Display for Beats {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (n, d) = self.fraction();
        if d == 1 { write!(f, "{n}") } else { write!(f, "{n}/{d}") }
    }
}

impl fmt::Debug for Beats {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}q")
    }
}

impl Add for Beats {
    type Output = Beats;
    fn add(self, other: Beats) -> Beats {
        Beats(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Beats {
    fn add_assign(&mut self, other: Beats) {
        *self = *self + other;
    }
}

impl Sub for Beats {
    type Output = Beats;
    fn sub(self, other: Beats) -> Beats {
        Beats(self.0.saturating_sub(other.0))
    }
}

impl SubAssign for Beats {
    fn sub_assign(&mut self, other: Beats) {
        *self = *self - other;
    }
}

impl Neg for Beats {
    type Output = Beats;
    fn neg(self) -> Beats {
        Beats(self.0.saturating_neg())
    }
}

impl Mul<i64> for Beats {
    type Output = Beats;
    fn mul(self, times: i64) -> Beats {
        Beats(self.0.saturating_mul(times))
    }
}

impl Rem for Beats {
    type Output = Beats;
    fn rem(self, other: Beats) -> Beats {
        Beats(self.0.rem_euclid(other.0))
    }
}

impl Sum for Beats {
    fn sum<I: Iterator<Item = Beats>>(all: I) -> Beats {
        all.fold(Beats::ZERO, Add::add)
    }
}

/// Clock time in whole microseconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Seconds(i64);

impl Seconds {
    /// No time.
    pub const ZERO: Seconds = Seconds(0);

    /// So many millionths of a second.
    pub fn from_micros(micros: i64) -> Seconds {
        Seconds(micros)
    }

    /// So many thousandths of a second.
    pub const fn from_millis(millis: i64) -> Seconds {
        Seconds(millis * 1000)
    }

    /// In millionths of a second.
    pub fn micros(self) -> i64 {
        self.0
    }

    /// In seconds, for what draws or sounds; nothing is counted with it.
    pub fn as_f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// The sum, or the latest time there is.
    pub fn saturating_add(self, other: Seconds) -> Seconds {
        Seconds(self.0.saturating_add(other.0))
    }
}

impl Add for Seconds {
    type Output = Seconds;
    fn add(self, other: Seconds) -> Seconds {
        Seconds(self.0.saturating_add(other.0))
    }
}

impl Sub for Seconds {
    type Output = Seconds;
    fn sub(self, other: Seconds) -> Seconds {
        Seconds(self.0.saturating_sub(other.0))
    }
}

/// How many of a note value pass in a minute.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tempo {
    unit: Beats,
    milli_per_minute: i64,
}

impl Tempo {
    /// `unit` is the note value counted (a dotted quarter in a jig), `milli_per_minute` how many pass in a minute, in
    /// thousandths. `None` outside 4 to 1000 units a minute, or for a unit shorter than a 64th note or longer than four whole notes.
    pub fn new(unit: Beats, milli_per_minute: i64) -> Option<Tempo> {
        let shortest = Beats::quarters(1, 16)?;
        let good = (SLOWEST..=FASTEST).contains(&milli_per_minute) && unit >= shortest && unit <= Beats::WHOLE * 4;
        good.then_some(Tempo { unit, milli_per_minute })
    }

    /// A whole number a minute: `Tempo::of(Beats::QUARTER, 88)`.
    pub fn of(unit: Beats, per_minute: i64) -> Option<Tempo> {
        Tempo::new(unit, per_minute.checked_mul(1000)?)
    }

    /// The note value that is counted.
    pub fn unit(self) -> Beats {
        self.unit
    }

    /// Units a minute, in thousandths.
    pub fn milli_per_minute(self) -> i64 {
        self.milli_per_minute
    }

    /// Quarter notes a minute, in thousandths, rounded to the nearest.
    pub fn milli_quarters_per_minute(self) -> i64 {
        let parts = i128::from(self.unit.0) * i128::from(self.milli_per_minute);
        ((parts + i128::from(PARTS / 2)) / i128::from(PARTS)) as i64
    }

    /// The clock time that `length` takes, rounded to the nearest microsecond, halves away from zero. One multiplication in double precision says it; where that
    /// lies too near a half to be sure of the rounding, whole numbers decide.
    ///
    /// ```
    /// use music::{Beats, Tempo};
    ///
    /// // Arithmetic: at 90 quarters a minute, four of them take 2 2/3 seconds.
    /// let tempo = Tempo::of(Beats::QUARTER, 90).expect("a tempo in range");
    /// assert_eq!(tempo.seconds(Beats::WHOLE).micros(), 2_666_667);
    /// ```
    pub fn seconds(self, length: Beats) -> Seconds {
        let micros_per_part = 60e9 / (self.unit.0 as f64 * self.milli_per_minute as f64);
        let near = length.0 as f64 * micros_per_part;
        let from_half = (near - near.floor() - 0.5).abs();
        if from_half > 1e-3 && near.abs() < SURE {
            return Seconds(near.round() as i64);
        }
        Seconds(nearest(i128::from(length.0) * MICROS_A_MINUTE * 1000, self.parts_a_minute()))
    }

    /// The length that passes in a clock time, to the nearest that can be held.
    pub fn beats(self, time: Seconds) -> Beats {
        Beats(nearest(i128::from(time.0) * self.parts_a_minute(), MICROS_A_MINUTE * 1000))
    }

    /// The same tempo told in another note value, to the nearest thousandth a minute; `None` where that is out of range.
    pub fn counted_in(self, unit: Beats) -> Option<Tempo> {
        Tempo::new(unit, nearest(self.parts_a_minute(), i128::from(unit.0.max(1))))
    }

    /// `numerator / denominator` as fast (both above zero), to the nearest thousandth a minute; where that is out of range, the nearest tempo there is.
    pub fn times(self, numerator: i64, denominator: i64) -> Tempo {
        let milli = nearest(i128::from(self.milli_per_minute) * i128::from(numerator), i128::from(denominator));
        Tempo { milli_per_minute: milli.clamp(SLOWEST, FASTEST), ..self }
    }

    /// This tempo where a tune whose opening tempo is `from` is played at `to`: the same proportion, to the nearest whole number a minute, as a metronome
    /// mark is read. The opening tempo itself becomes `to`.
    pub fn in_proportion(self, from: Tempo, to: Tempo) -> Tempo {
        if self == from {
            return to;
        }
        let milli = i128::from(self.milli_per_minute) * to.parts_a_minute();
        let whole = nearest(milli, from.parts_a_minute() * 1000).saturating_mul(1000);
        Tempo { milli_per_minute: whole.clamp(SLOWEST, FASTEST), ..self }
    }

    /// Whether the music goes slower than at another tempo, whatever the note values they are told in.
    pub fn is_slower_than(self, other: Tempo) -> bool {
        self.parts_a_minute() < other.parts_a_minute()
    }

    /// Thousandths of parts of a quarter note a minute.
    fn parts_a_minute(self) -> i128 {
        i128::from(self.unit.0) * i128::from(self.milli_per_minute)
    }
}

const MICROS_A_MINUTE: i128 = 60_000_000;
/// The slowest and the fastest tempo, in thousandths of a unit a minute.
const SLOWEST: i64 = 4_000;
const FASTEST: i64 = 1_000_000;
/// Microseconds up to which double precision is surely within a thousandth of one.
const SURE: f64 = (1u64 << 40) as f64;

/// `above / below` (which is more than zero) to the nearest whole number, halves away from zero.
fn nearest(above: i128, below: i128) -> i64 {
    let magnitude = (2 * above.abs() + below) / (2 * below);
    i64::try_from(magnitude).unwrap_or(i64::MAX) * above.signum() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tuplets_add_up_exactly() {
        for n in (1..=25).filter(|n| *n != 16 && *n != 18) {
            let part = Beats::quarters(1, n).expect("a tuplet of up to 25");
            assert_eq!(part * n, Beats::QUARTER);
        }
        assert_eq!(Beats::quarters(1, 29), None);
    }

    /// Arithmetic: the longest time twice over is past the longest time.
    #[test]
    fn sums_stop_at_the_longest_time() {
        let most = Beats::QUARTER * LONGEST;
        assert_eq!(most.checked_add(Beats::ZERO), Some(most));
        assert_eq!((most.checked_add(Beats::QUARTER), most.checked_mul(2), most.checked_mul(i64::MAX)), (None, None, None));
        assert_eq!((most.checked_mul(i64::MIN), Beats::quarters(i64::MIN, 1)), (None, None));
        assert_eq!((-most).checked_add(-Beats::QUARTER), None);
        assert_eq!(Beats::checked_sum([most, Beats::ZERO - Beats::QUARTER, Beats::QUARTER]), Some(most));
        assert_eq!(Beats::checked_sum([most, Beats::QUARTER, Beats::ZERO - Beats::QUARTER]), None);
        let beyond = most * i64::MAX;
        assert!(beyond > most && beyond + beyond == beyond && -beyond - beyond < -most && (-beyond - beyond).abs() > most);
    }

    #[test]
    fn fractions_are_in_lowest_terms() {
        assert_eq!(Beats::quarters(6, 4).map(Beats::fraction), Some((3, 2)));
        assert_eq!(Beats::whole(3, 8).map(|b| b.to_string()), Some("3/2".to_owned()));
    }

    /// Arithmetic: at quarter = 60 a quarter note lasts one second; at dotted quarter = 100 a 6/8 measure lasts 1.2 s.
    #[test]
    fn a_tempo_turns_beats_into_seconds() {
        let slow = Tempo::of(Beats::QUARTER, 60).expect("in range");
        assert_eq!(slow.seconds(Beats::QUARTER).micros(), 1_000_000);
        let jig = Tempo::of(Beats::quarters(3, 2).expect("exact"), 100).expect("in range");
        assert_eq!(jig.seconds(Beats::quarters(3, 1).expect("exact")).micros(), 1_200_000);
        assert_eq!(jig.milli_quarters_per_minute(), 150_000);
    }

    /// Arithmetic: at 100 a minute a quarter note lasts 600,000 µs, so the nearest to a seventh of it is 85,714 µs (85,714.29) and a 64th of a quarter is 9,375 µs
    /// exactly; a 128th of it is 4,687.5 µs, a half, which is rounded away from zero. And back: 300,000 µs are an eighth.
    #[test]
    fn halves_are_rounded_alike_and_times_come_back() {
        let tempo = Tempo::of(Beats::QUARTER, 100).expect("in range");
        let part = |d: i64| Beats::quarters(1, d).expect("exact");
        assert_eq!([7, 64, 128].map(|d| tempo.seconds(part(d)).micros()), [85_714, 9_375, 4_688]);
        assert_eq!(tempo.seconds(-part(128)).micros(), -4_688);
        assert_eq!(tempo.beats(Seconds::from_micros(300_000)), Beats::EIGHTH);
    }

    /// Arithmetic: from 132 to 100, a mark of 88 becomes 66 2/3, so 67; half notes at 66 are quarters at 132.
    #[test]
    fn tempos_keep_their_proportion() {
        let quarters = |n: i64| Tempo::of(Beats::QUARTER, n).expect("in range");
        assert_eq!(quarters(88).in_proportion(quarters(132), quarters(100)), quarters(67));
        assert_eq!(quarters(132).in_proportion(quarters(132), quarters(101)), quarters(101));
        assert_eq!(quarters(900).in_proportion(quarters(90), quarters(200)).milli_per_minute(), 1_000_000);
        assert_eq!(Tempo::of(Beats::HALF, 66).and_then(|t| t.counted_in(Beats::QUARTER)), Some(quarters(132)));
        assert_eq!(quarters(100).times(3, 4), quarters(75));
        assert!(quarters(100).is_slower_than(Tempo::of(Beats::HALF, 51).expect("in range")));
    }
}
