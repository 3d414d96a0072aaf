//! The soundboard and the air below it: what is slower than the board can send out is weakened, and a dozen broad, gentle resonances between 60 and 600 Hz
//! answer in parallel with the direct sound.
//!
//! A board smaller than the wave sends out little of it, so that the lowest strings are heard by their partials (Fletcher and Rossing, The Physics of
//! Musical Instruments, 11). Frequencies, widths and strengths are ours, in the range in which harps have them (reference: Waltham and others on the harp's sound box); a filter that is
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

/// Below this many hertz the direct sound falls by 6 dB an octave.
const SMALL: f64 = 220.0;

pub fn through(sound: &mut [f64], rate: Rate) {
    let mut board = Soundboard::new(rate);
    let bend = (TAU * SMALL / rate.as_f64() / 2.0).tan();
    let (feed, decay) = (1.0 / (1.0 + bend), (1.0 - bend) / (1.0 + bend));
    let (mut before, mut direct) = (0.0, 0.0);
    for s in sound {
        direct = feed * (*s - before) + decay * direct;
        before = *s;
        *s = direct + board.pass(direct);
    }
}

/// All modes side by side: band-pass filters of the second order whose gains at their peaks are the modes' strengths (bilinear transform; Bristow-Johnson's
/// cookbook form).
struct Soundboard {
    feed: [f64; MODES.len()],
    turn: [f64; MODES.len()],
    decay: [f64; MODES.len()],
    one: [f64; MODES.len()],
    two: [f64; MODES.len()],
    in_one: f64,
    in_two: f64,
}

impl Soundboard {
    fn new(rate: Rate) -> Soundboard {
        let none = [0.0; MODES.len()];
        let mut board = Soundboard { feed: none, turn: none, decay: none, one: none, two: none, in_one: 0.0, in_two: 0.0 };
        for (i, (hertz, strength)) in MODES.into_iter().enumerate() {
            let angle = TAU * hertz / rate.as_f64();
            let alpha = angle.sin() / (2.0 * SHARPNESS);
            board.feed[i] = strength * alpha / (1.0 + alpha);
            board.turn[i] = 2.0 * angle.cos() / (1.0 + alpha);
            board.decay[i] = (1.0 - alpha) / (1.0 + alpha);
        }
        board
    }

    /// The answer of the board to one sample.
    fn pass(&mut self, direct: f64) -> f64 {
        let change = direct - self.in_two;
        (self.in_two, self.in_one) = (self.in_one, direct);
        let mut now = [0.0; MODES.len()];
        for (i, now) in now.iter_mut().enumerate() {
            *now = self.feed[i] * change + self.turn[i] * self.one[i] - self.decay[i] * self.two[i];
        }
        (self.two, self.one) = (self.one, now);
        now.iter().sum()
    }
}
