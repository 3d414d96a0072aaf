//! The other strings that ring along: those an octave below and above, a twelfth and two octaves above, which share partials with the plucked one.
//!
//! "Sympathetic strings add a halo to every note" (harp facts 4.1; Le Carrou, Gautier and Badeau 2009). They are undamped on a harp; here they are taken to be
//! tuned like the plucked string, and stop with it.

use crate::voicing::{StringFacts, Voicing};
use music::{Interval, Pitch};
use std::f64::consts::{E, TAU};

/// What rings along: how far above the plucked string, which of its partials is heard, and how strongly against the partial that drives it. About 34 dB below
/// (ours); the octave below less, because it lengthens the ring of the fundamental.
const STRINGS: [(Interval, f64, f64); 4] = [
    (Interval { steps: -7, semitones: -12 }, 2.0, 0.01),
    (Interval { steps: 7, semitones: 12 }, 1.0, 0.02),
    (Interval { steps: 11, semitones: 19 }, 1.0, 0.02),
    (Interval { steps: 14, semitones: 24 }, 1.0, 0.02),
];

/// Adds the halo to the string's sound.
pub fn ring_along(sound: &mut [f64], pitch: Pitch, voicing: &Voicing) {
    let resonator = |(above, partial, strength)| Resonator::of(pitch.up(above), partial, strength, voicing);
    let mut halo: Vec<Resonator> = STRINGS.into_iter().filter_map(resonator).collect();
    for s in sound {
        let driving = *s;
        for r in &mut halo {
            *s += r.hear(driving);
        }
    }
}

struct Resonator {
    turn: f64,
    decay: f64,
    gain: f64,
    one: f64,
    two: f64,
}

impl Resonator {
    /// `None` where the harp has no such string.
    fn of(pitch: Pitch, partial: f64, strength: f64, voicing: &Voicing) -> Option<Resonator> {
        let facts = StringFacts::of(pitch, voicing).ok()?;
        let rate = voicing.rate.as_f64();
        let hertz = facts.hertz * partial;
        let loss = facts.loss(hertz);
        let radius = (-loss / rate).exp();
        let angle = TAU * hertz / rate;
        // Driven in tune by a partial that dies as fast as itself, the answer swells to 1/(2e·loss) of the drive.
        let gain = strength * 2.0 * E * loss / rate * angle.sin();
        Some(Resonator { turn: 2.0 * radius * angle.cos(), decay: radius * radius, gain, one: 0.0, two: 0.0 })
    }

    fn hear(&mut self, driving: f64) -> f64 {
        let now = self.gain * driving + self.turn * self.one - self.decay * self.two;
        (self.two, self.one) = (self.one, now);
        now
    }
}
