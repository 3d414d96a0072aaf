//! Where the left hand's register lies: its highest string, what counts as a small harp, and how far the figures' windows and the low-interval table are moved.
//!
//! One value everywhere in the program; the law "an octave higher, the same plan an octave higher" moves it.

/// The register of the left hand. Strings are positions, see [`music::Pitch::position`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Register {
    /// The highest string the left hand takes. Default: A4 (habit 7).
    pub highest: i32,
    /// A harp whose lowest string is this or higher has all its figures an octave up. Default: C3 (habit 8).
    pub small_harp: i32,
    /// Octaves by which the figures' windows and the low-interval table are moved. Default: none.
    pub octaves: i32,
}

impl Default for Register {
    fn default() -> Register {
        Register { highest: 33, small_harp: 21, octaves: 0 }
    }
}

impl Register {
    /// The whole register moved by octaves.
    pub fn up(self, octaves: i32) -> Register {
        Register { highest: self.highest + 7 * octaves, small_harp: self.small_harp + 7 * octaves, octaves: self.octaves + octaves }
    }

    /// Strings by which the windows of the figures are moved on a harp with this lowest string.
    pub fn lift(self, lowest: i32) -> i32 {
        7 * self.octaves + if lowest >= self.small_harp { 7 } else { 0 }
    }

    /// Semitones by which the low-interval table is moved.
    pub fn semitones(self) -> i32 {
        12 * self.octaves
    }
}
