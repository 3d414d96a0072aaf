//! How strings are named and how high they sound: the octave numbers harpists use, and frequencies.

use music::{Pitch, Step};

/// The frequency of A4, to which everything else is tuned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConcertPitch(f64);

impl Default for ConcertPitch {
    /// 440 Hz (ISO 16:1975).
    fn default() -> ConcertPitch {
        ConcertPitch(440.0)
    }
}

impl ConcertPitch {
    /// `None` outside 390 to 470 Hz: between the lowest and the highest pitch in use, older ones included (common practice).
    pub fn new(hertz: f64) -> Option<ConcertPitch> {
        (390.0..=470.0).contains(&hertz).then_some(ConcertPitch(hertz))
    }

    /// The frequency of a pitch in hertz, in equal temperament: twelve equal steps to an octave (harp facts 9, example 41). For sound and for
    /// showing; nothing is planned by it.
    pub fn frequency(self, pitch: Pitch) -> f64 {
        self.0 * ((f64::from(pitch.midi()) - 69.0) / 12.0).exp2()
    }
}

/// The octave of a string as harpists count: from E down to F, the first from E7 to F6; the strings above are in octave 0 (harp facts 1.1).
pub fn octave(position: i32) -> i32 {
    let e7 = Pitch::new(Step::E, 0, 7).position();
    (e7 - position).div_euclid(7) + 1
}

/// The name of a string as harpists say it: middle C is "4C".
///
/// ```
/// use music::Pitch;
///
/// // Harp facts 1.1: harpists count octaves from the top; middle C is in the fourth.
/// assert_eq!(harp::strings::name(Pitch::parse("C4").expect("a pitch").position()), "4C");
/// ```
pub fn name(position: i32) -> String {
    format!("{}{}", octave(position), Step::from_index(position).letter())
}
