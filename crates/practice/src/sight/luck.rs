//! Where sheets differ: numbers that follow from a level and a number alone.
//!
//! The mixing is the finaliser of SplitMix64 (Steele, Lea and Flood, Fast splittable pseudorandom number generators, 2014). Nothing here asks a machine for chance.

/// A sequence of numbers.
#[derive(Clone, Debug)]
pub struct Luck(u64);

impl Luck {
    /// The sequence of a sheet; where one leads nowhere the next attempt has another.
    pub fn of(level: u8, number: u32, attempt: u8) -> Luck {
        let mut luck = Luck(u64::from(attempt) << 48 | u64::from(level) << 32 | u64::from(number));
        luck.next();
        luck
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ mixed >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ mixed >> 31
    }

    /// From 0 to below `count`, which is at least 1.
    pub fn below(&mut self, count: usize) -> usize {
        // Small counts beside 2^64: no number is noticeably favoured.
        (self.next() % count.max(1) as u64) as usize
    }

    pub fn between(&mut self, low: u32, high: u32) -> u32 {
        low + self.below((high.max(low) - low) as usize + 1) as u32
    }

    /// True so many times in a hundred.
    pub fn percent(&mut self, percent: u32) -> bool {
        self.below(100) < percent as usize
    }

    pub fn one_of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}
