//! The strings of a 47-string harp by their spectrum: pitch, decay, silence.

use harp::ring::RingModel;
use harp::strings::ConcertPitch;
use music::{Pitch, Seconds};
use realfft::RealFftPlanner;
use sound::{Rate, Samples, Voicing, string};
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

/// The frequency of the strongest partial near `expected`: a Hann window over the whole ring, zeros to at least twice its length, and a parabola through the
/// logarithms of the three highest bins (J. O. Smith, Spectral Audio Signal Processing, "Quadratic Interpolation of Spectral Peaks").
fn peak_near(samples: &Samples, expected: f64) -> f64 {
    let sound = &samples.channels[0];
    let size = (sound.len() * 2).next_power_of_two();
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
    let off = |pitch: Pitch| (cents(peak_near(&rendered(pitch), tempered(pitch)), tempered(pitch)), pitch);
    let worst = strings().map(off).max_by(|a, b| a.0.abs().total_cmp(&b.0.abs())).expect("47 strings");
    println!("furthest out of tune: {} by {:+.3} cents", worst.1, worst.0);
    assert!(worst.0.abs() < 1.0, "{} is off by {:+.3} cents", worst.1, worst.0);
}

/// Other concert pitches, other rates, levers and pedals: flats and sharps of all octaves.
#[test]
fn other_pitches_and_rates_are_in_tune_too() {
    for (hertz, rate) in [(415.0, 44_100), (442.0, 96_000)] {
        let concert = ConcertPitch::new(hertz).expect("in use");
        let voicing = Voicing { concert, rate: Rate::new(rate).expect("in range"), ..Voicing::default() };
        for name in ["Cb1", "F#2", "Bb3", "C#4", "Eb5", "G#6", "G#7"] {
            let pitch = Pitch::parse(name).expect("a pitch");
            let expected = tempered(pitch) * hertz / 440.0;
            let off = cents(peak_near(&string(pitch, &voicing).expect("a string"), expected), expected);
            assert!(off.abs() < 1.0, "{name} at {hertz} Hz, rate {rate}: off by {off:+.3} cents");
        }
    }
}

/// Level in decibels of the fundamental at each hundredth of a second: the product with a complex tone under a Hann window of six periods, 20 ms at least.
fn level(samples: &Samples, hertz: f64) -> Vec<f64> {
    let rate = samples.rate.as_f64();
    let width = ((6.0 / hertz).max(0.02) * rate) as usize;
    let tone: Vec<(f64, f64)> = (0..width)
        .map(|i| {
            let window = 0.5 - 0.5 * (TAU * i as f64 / width as f64).cos();
            let (sin, cos) = (TAU * hertz * i as f64 / rate).sin_cos();
            (window * cos, window * sin)
        })
        .collect();
    let of = |stretch: &[f32]| {
        let (re, im) = stretch.iter().zip(&tone).fold((0.0, 0.0), |(re, im), (s, t)| (re + f64::from(*s) * t.0, im + f64::from(*s) * t.1));
        20.0 * (re.hypot(im) / width as f64).max(1e-12).log10()
    };
    samples.channels[0].windows(width).step_by(480).map(of).collect()
}

/// The ring model's time is the one in which the fundamental falls by 60 dB.
#[test]
fn ring_times_follow_the_ring_model() {
    let model = Voicing::default().ring;
    let mut worst = (0.0f64, Pitch::at_position(7, 0));
    for pitch in strings() {
        let level = level(&rendered(pitch), tempered(pitch));
        let start = level[0].max(level[1]);
        let at = level.iter().rposition(|l| *l > start - 60.0).expect("loud at first");
        let heard = (at as f64 + 1.0) / 100.0;
        let expected = model.time(pitch.position()).as_f64();
        let off = heard / expected - 1.0;
        assert!(off.abs() < 0.1, "{pitch} rings {heard:.3} s, expected {expected:.3} s");
        worst = if off.abs() > worst.0.abs() { (off, pitch) } else { worst };
    }
    println!("furthest from the ring model: {} by {:+.1} percent", worst.1, worst.0 * 100.0);
}

/// Every ring model that can be had gives a sound that dies away: a minute, and next to nothing.
#[test]
fn extreme_ring_times_stay_sound() {
    for millis in [1, 50, 60_000] {
        let ring = RingModel::new(vec![(7, Seconds::from_millis(millis))]).expect("a ring model");
        let voicing = Voicing { ring, ..Voicing::default() };
        for name in ["C1", "C4", "G7"] {
            let sound = string(Pitch::parse(name).expect("a pitch"), &voicing).expect("a string").channels.swap_remove(0);
            assert!(sound.iter().all(|s| s.is_finite() && s.abs() <= 0.2), "{name} ringing {millis} ms");
            let loud = |part: &[f32]| part.iter().fold(0.0f32, |m, s| m.max(s.abs()));
            assert!(loud(&sound[sound.len() / 2..]) < loud(&sound[..sound.len() / 2]) / 4.0, "{name} ringing {millis} ms");
        }
    }
}
