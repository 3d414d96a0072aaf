//! The strings of a 47-string harp by their spectrum: pitch, decay, silence.

use music::Pitch;
use realfft::RealFftPlanner;
use sound::{Samples, Voicing, string};
use std::f64::consts::TAU;

/// C1 to G7, as on a 47-string harp (harp facts 9, example 38).
fn strings() -> impl Iterator<Item = Pitch> {
    (7..=53).map(|position| Pitch::at_position(position, 0))
}

/// ISO 16: A4 = 440 Hz; equal temperament.
fn tempered(pitch: Pitch) -> f64 {
    440.0 * ((f64::from(pitch.midi()) - 69.0) / 12.0).exp2()
}

fn rendered(pitch: Pitch) -> Samples {
    string(pitch, &Voicing::default()).expect("a string of the harp")
}

/// The frequency of the strongest partial near `expected`: a Hann window over the whole ring, zeros to sixteen times its length, and a parabola through the
/// logarithms of the three highest bins (J. O. Smith, Spectral Audio Signal Processing, "Quadratic Interpolation of Spectral Peaks").
fn peak_near(samples: &Samples, expected: f64) -> f64 {
    let sound = &samples.channels[0];
    let size = (sound.len() * 16).next_power_of_two();
    let mut padded = vec![0.0f64; size];
    for (i, s) in sound.iter().enumerate() {
        padded[i] = f64::from(*s) * (0.5 - 0.5 * (TAU * i as f64 / sound.len() as f64).cos());
    }
    let fft = RealFftPlanner::<f64>::new().plan_fft_forward(size);
    let mut spectrum = fft.make_output_vec();
    fft.process(&mut padded, &mut spectrum).expect("lengths agree");
    let bin = samples.rate.as_f64() / size as f64;
    let (low, high) = ((expected * 0.97 / bin) as usize, (expected * 1.03 / bin) as usize);
    let size_of = |k: usize| spectrum[k].norm().ln();
    let top = (low..=high).max_by(|a, b| size_of(*a).total_cmp(&size_of(*b))).expect("bins near the pitch");
    let (below, at, above) = (size_of(top - 1), size_of(top), size_of(top + 1));
    (top as f64 + 0.5 * (below - above) / (below - 2.0 * at + above)) * bin
}

fn cents(heard: f64, expected: f64) -> f64 {
    1200.0 * (heard / expected).log2()
}

#[test]
fn every_string_is_in_tune_within_a_cent() {
    let mut worst = (0.0f64, Pitch::at_position(7, 0));
    for pitch in strings() {
        let off = cents(peak_near(&rendered(pitch), tempered(pitch)), tempered(pitch));
        if std::env::var("SHOW").is_ok() { println!("{pitch} {off:+.4}"); }
        if off.abs() > worst.0.abs() { worst = (off, pitch); }
    }
    println!("worst: {} by {:.4} cents", worst.1, worst.0);
    assert!(worst.0.abs() < 1.0, "{} is off by {:.3} cents", worst.1, worst.0);
}

/// Level in decibels of the fundamental at each hundredth of a second: one-pole-filtered product with a complex tone, two periods or 20 ms wide.
fn level(samples: &Samples, hertz: f64) -> Vec<f64> {
    let rate = samples.rate.as_f64();
    let width = ((6.0 / hertz).max(0.02) * rate) as usize;
    let sound = &samples.channels[0];
    (0..sound.len() - width)
        .step_by(480)
        .map(|from| {
            let (mut re, mut im) = (0.0, 0.0);
            for i in 0..width {
                let window = 0.5 - 0.5 * (TAU * i as f64 / width as f64).cos();
                let (sin, cos) = (TAU * hertz * (from + i) as f64 / rate).sin_cos();
                re += f64::from(sound[from + i]) * window * cos;
                im += f64::from(sound[from + i]) * window * sin;
            }
            20.0 * (re.hypot(im) / width as f64).max(1e-12).log10()
        })
        .collect()
}

#[test]
fn ring_times_follow_the_ring_model() {
    let model = Voicing::default().ring;
    for pitch in strings() {
        let level = level(&rendered(pitch), tempered(pitch));
        let start = level[0].max(level[1]);
        let at = level.iter().rposition(|l| *l > start - 60.0).expect("loud at first");
        let heard = (at as f64 + 1.0) / 100.0;
        let expected = model.time(pitch.position()).as_f64();
        if std::env::var("SHOW").is_ok() { println!("{pitch} {heard:.3} {expected:.3} {:+.1}%", (heard / expected - 1.0) * 100.0); }
        assert!((heard / expected - 1.0).abs() < 0.1, "{pitch} rings {heard:.3} s, expected {expected:.3} s");
    }
}
