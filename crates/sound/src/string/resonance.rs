//! The loop that rings: a delay, a loss filter and a fraction of a sample, with the pole of the fundamental exactly where it is wanted.
//!
//! Loop: L(z) = g · (1-p)/(1-p/z) · (c+1/z)/(1+c/z) · 1/z^N. The loss filter's p gives the second of two decay times, the all-pass filter's c the fraction of the
//! delay. The fundamental is a root of L(z) = 1 at z = exp((-loss + 2πi·f)/rate): its phase fixes c, its magnitude g, so that pitch and decay have no error
//! beyond double precision.

use crate::samples::Rate;
use std::f64::consts::TAU;

pub struct Resonance {
    delay: usize,
    /// p and g·(1-p).
    pole: f64,
    gain: f64,
    all_pass: f64,
}

/// A complex number: real, imaginary.
type Complex = (f64, f64);

impl Resonance {
    /// `loss` gives the decay of a partial in nepers a second; it is met exactly at the fundamental and, in ratio, at a higher partial.
    pub fn design(hertz: f64, rate: Rate, loss: &dyn Fn(f64) -> f64) -> Resonance {
        let rate = rate.as_f64();
        let angle = TAU * hertz / rate;
        let high = (4.0 * hertz).clamp(2_000.0, 12_000.0).max(1.5 * hertz);
        let ratio = (-(loss(high) - loss(hertz)) / hertz).exp();
        let pole = loss_pole(angle, TAU * high / rate, ratio);
        // 1/z at the wanted root.
        let radius = (loss(hertz) / rate).exp();
        let inverse = (radius * angle.cos(), -radius * angle.sin());
        let loss_filter_delay = -phase_of_loss(pole, inverse) / angle;
        let wanted = rate / hertz - loss_filter_delay;
        let delay = (wanted - 0.6).floor();
        let all_pass = all_pass(wanted - delay, angle, inverse);
        let magnitude = radius.powf(delay) * size(all_pass_at(all_pass, inverse)) / size(one_minus(pole, inverse));
        Resonance { delay: delay as usize, pole, gain: 1.0 / magnitude, all_pass }
    }

    /// Feeds the loop with the excitation and lets it ring for so many samples.
    pub fn ring(&self, excitation: &[f64], length: usize) -> Vec<f64> {
        let mut sound = vec![0.0; length];
        let fed = excitation.len().min(length);
        sound[..fed].copy_from_slice(&excitation[..fed]);
        let (mut lossy, mut passed) = (0.0, 0.0);
        for n in self.delay..length {
            let before = lossy;
            lossy = self.gain * sound[n - self.delay] + self.pole * lossy;
            passed = self.all_pass * (lossy - passed) + before;
            sound[n] += passed;
        }
        sound
    }
}

/// The p of (1-p)/(1-p/z) whose gain at the higher angle is `ratio` of that at the lower: a quadratic equation in p.
fn loss_pole(low: f64, high: f64, ratio: f64) -> f64 {
    let square = (ratio * ratio).clamp(1e-6, 1.0 - 1e-12);
    let half = (low.cos() - square * high.cos()) / (1.0 - square);
    half - (half * half - 1.0).max(0.0).sqrt()
}

/// The c whose all-pass filter delays the root by so many samples: secant steps from the value for low frequencies (Thiran 1971; Jaffe and Smith 1983).
fn all_pass(delay: f64, angle: f64, inverse: Complex) -> f64 {
    let error = |c: f64| -phase(all_pass_at(c, inverse)) / angle - delay;
    let mut before = (1.0 - delay) / (1.0 + delay);
    let mut now = before + 1e-3;
    let mut error_before = error(before);
    for _ in 0..20 {
        let error_now = error(now);
        if error_now == error_before {
            break;
        }
        (before, now, error_before) = (now, now - error_now * (now - before) / (error_now - error_before), error_now);
    }
    now
}

fn all_pass_at(c: f64, inverse: Complex) -> Complex {
    let above = (c + inverse.0, inverse.1);
    let below = (1.0 + c * inverse.0, c * inverse.1);
    let square = below.0 * below.0 + below.1 * below.1;
    ((above.0 * below.0 + above.1 * below.1) / square, (above.1 * below.0 - above.0 * below.1) / square)
}

/// 1 - p/z.
fn one_minus(pole: f64, inverse: Complex) -> Complex {
    (1.0 - pole * inverse.0, -pole * inverse.1)
}

fn phase_of_loss(pole: f64, inverse: Complex) -> f64 {
    -phase(one_minus(pole, inverse))
}

fn phase(z: Complex) -> f64 {
    z.1.atan2(z.0)
}

fn size(z: Complex) -> f64 {
    z.0.hypot(z.1)
}
