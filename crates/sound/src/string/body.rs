//! The soundboard and the air below it: a dozen broad, gentle resonances between 60 and 600 Hz, in parallel with the direct sound.
//!
//! Frequencies, widths and strengths are ours, in the range in which harps have them (reference: Waltham and others on the harp's sound box); a filter that is
//! linear and still, so that it changes neither pitch nor decay.

use crate::samples::Rate;
use std::f64::consts::TAU;

/// Hertz and strength at the peak against the direct sound.
const MODES: [(f64, f64); 12] = [
    (72.0, 0.22),
    (98.0, -0.15),
    (134.0, 0.30),
    (167.0, 0.24),
    (203.0, -0.18),
    (251.0, 0.28),
    (296.0, 0.16),
    (347.0, -0.16),
    (402.0, 0.20),
    (463.0, 0.14),
    (531.0, -0.12),
    (602.0, 0.12),
];

/// Frequency over width.
const SHARPNESS: f64 = 9.0;

pub fn through(sound: &mut [f64], rate: Rate) {
    let mut modes = MODES.map(|(hertz, strength)| Mode::new(hertz, strength, rate));
    for s in sound {
        let direct = *s;
        for mode in &mut modes {
            *s += mode.pass(direct);
        }
    }
}

/// A band-pass filter of the second order whose gain at its peak is the mode's strength (bilinear transform; Bristow-Johnson's cookbook form).
struct Mode {
    feed: f64,
    turn: f64,
    decay: f64,
    in_two: f64,
    in_one: f64,
    one: f64,
    two: f64,
}

impl Mode {
    fn new(hertz: f64, strength: f64, rate: Rate) -> Mode {
        let angle = TAU * hertz / rate.as_f64();
        let alpha = angle.sin() / (2.0 * SHARPNESS);
        let (feed, turn) = (strength * alpha / (1.0 + alpha), 2.0 * angle.cos() / (1.0 + alpha));
        Mode { feed, turn, decay: (1.0 - alpha) / (1.0 + alpha), in_two: 0.0, in_one: 0.0, one: 0.0, two: 0.0 }
    }

    fn pass(&mut self, direct: f64) -> f64 {
        let now = self.feed * (direct - self.in_two) + self.turn * self.one - self.decay * self.two;
        (self.in_two, self.in_one) = (self.in_one, direct);
        (self.two, self.one) = (self.one, now);
        now
    }
}
