//! Random numbers for the comparisons with brute force.

/// A small generator of its own (xorshift, Marsaglia 2003), so that the same cases come on every machine.
pub struct Dice(pub u64);

impl Dice {
    /// A number from 0 to `sides` less one.
    pub fn throw(&mut self, sides: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % sides
    }
}
