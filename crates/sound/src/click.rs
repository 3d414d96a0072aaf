//! The click for a count-in or to play to: a short knock, a fifth higher on the first beat of a measure.
//!
//! Its times are the beats of [`crate::Pass`]. Pitch, length and strength are ours: above most of the music, over before it disturbs.

use crate::samples::{Rate, Samples};
use std::f64::consts::TAU;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beat {
    First,
    Other,
}

/// How long the knock lasts and how soon it falls to 1/e, in seconds.
const LENGTH: f64 = 0.06;
const FALL: f64 = 0.009;

/// How long it takes to begin, in seconds: a knock, but no step.
const RISE: f64 = 0.001;

/// One knock, one channel, at most a quarter of full scale, ending in silence.
pub fn click(beat: Beat, rate: Rate) -> Samples {
    let hertz = match beat {
        Beat::First => 1_800.0,
        Beat::Other => 1_200.0,
    };
    let at = |i: usize| {
        let t = i as f64 / rate.as_f64();
        let shape = (t / RISE).min(1.0) * (-t / FALL).exp() * (1.0 - t / LENGTH);
        (0.25 * shape * (TAU * hertz * t).sin()) as f32
    };
    Samples { rate, channels: vec![(0..rate.count(LENGTH)).map(at).collect()] }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_knock_begins_and_ends_in_silence() {
        for beat in [Beat::First, Beat::Other] {
            let knock = click(beat, Rate::default());
            let sound = &knock.channels[0];
            assert!(knock.peak() > 0.15 && knock.peak() < 0.25, "peak {}", knock.peak());
            assert!(sound[0] == 0.0 && sound[sound.len() - 1].abs() < 1e-5);
        }
    }
}
