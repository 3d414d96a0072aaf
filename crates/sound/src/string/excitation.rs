//! What a plucking finger feeds into the loop: one period of the force at the bridge.
//!
//! A string drawn aside at a point and let go presses on its bridge in rectangles: up for the share of the period that the point cuts off the string, down for
//! the rest, so that partials with a knot at the point are missing (Fletcher and Rossing, The Physics of Musical Instruments, 2.8). A finger is soft: each edge
//! takes as long as it needs to let go. Nothing here is random.

use crate::samples::Rate;
use crate::voicing::StringFacts;
use std::f64::consts::PI;

/// One period and an edge, starting and ending at nothing, its samples adding up to nothing.
pub fn pluck(facts: &StringFacts, rate: Rate) -> Vec<f64> {
    let rate = rate.as_f64();
    let period = rate / facts.hertz;
    let edge = facts.release() * rate;
    let place = facts.pluck_place();
    let length = (period + edge).ceil() as usize + 1;
    let at = |from: f64, n: usize| step((n as f64 - from) / edge);
    let mut force: Vec<f64> = (0..length).map(|n| (1.0 - place) * at(0.0, n) - at(place * period, n) + place * at(period, n)).collect();
    let rest = force.iter().sum::<f64>();
    let window: Vec<f64> = (0..length).map(|n| (PI * n as f64 / (length - 1) as f64).sin().powi(2)).collect();
    let whole = window.iter().sum::<f64>();
    force.iter_mut().zip(&window).for_each(|(f, w)| *f -= rest * w / whole);
    force
}

/// From 0 to 1 along half a cosine.
fn step(x: f64) -> f64 {
    0.5 - 0.5 * (PI * x.clamp(0.0, 1.0)).cos()
}
