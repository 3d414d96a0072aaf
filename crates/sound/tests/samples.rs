//! Whole pages as samples: below full scale, the same twice, no clicks, silence at the end.

mod page;

use music::{Beats, Mark, Pitch, PlacedMark, Score};
use realfft::RealFftPlanner;
use sound::{Performing, Samples, SoundError, Strings, Voicing, perform, render, string, wav};
use std::collections::BTreeSet;
use std::f64::consts::TAU;

fn rendered(score: &Score) -> Samples {
    render(&perform(score, &Performing::default()), &Voicing::default()).expect("rendered")
}

/// Eight strings rolled fast on every half beat over four octaves: the sum of all envelopes bounds the peak.
#[test]
fn the_thickest_page_stays_below_full_scale() {
    let thick = perform(&page::thick(), &Performing::default());
    let strings = Strings::of(&thick, &Voicing::default()).expect("strings of the harp");
    let samples = strings.mix(&thick).expect("mixed");
    assert!(strings.level(&thick) < 1.0, "it would be too loud if it were not lowered");
    assert!(samples.peak() < 1.0 && samples.peak() > 0.2, "peak {}", samples.peak());
}

#[test]
fn an_ordinary_page_needs_no_lowering() {
    let usual = perform(&page::three_minutes(), &Performing::default());
    let strings = Strings::of(&usual, &Voicing::default()).expect("strings of the harp");
    let samples = strings.mix(&usual).expect("mixed");
    assert_eq!(strings.level(&usual), 1.0);
    assert!(samples.peak() < 1.0 && samples.peak() > 0.2, "peak {}", samples.peak());
}

#[test]
fn the_same_page_gives_the_same_bytes() {
    let file = || wav::bytes(&rendered(&page::thick()), wav::Depth::Sixteen).expect("written");
    assert!(file() == file());
}

#[test]
fn after_the_ring_there_is_silence() {
    let short = rendered(&music::text::page(&[("C6:1 r:3", "C5:1 r:3"), ("r:4", "r:4"), ("r:4", "r:4")], 60));
    let from = 5 * 48_000;
    assert!(short.length() > from, "the page lasts twelve seconds");
    for channel in &short.channels {
        assert!(channel[..48_000].iter().any(|s| s.abs() > 0.01));
        assert!(channel[from..].iter().all(|s| *s == 0.0), "C5 rings 3.1 s in the ring model");
    }
}

/// The strongest sound above 6 kHz in the tenth of a second from a sample on: the largest bin of Hann windows of 1024 samples, as an amplitude.
fn sharpest(sound: &[f32], from: usize) -> f64 {
    let fft = RealFftPlanner::<f64>::new().plan_fft_forward(1024);
    let window = |start: usize| {
        let hann = |i: usize| 0.5 - 0.5 * (TAU * i as f64 / 1024.0).cos();
        let mut windowed: Vec<f64> = (0..1024).map(|i| f64::from(sound[start + i]) * hann(i)).collect();
        let mut bins = fft.make_output_vec();
        fft.process(&mut windowed, &mut bins).expect("lengths agree");
        bins[128..].iter().map(|b| b.norm() / 256.0).fold(0.0, f64::max)
    };
    (from - 1024..from + 4800).step_by(128).map(window).fold(0.0, f64::max)
}

/// The largest step from one sample to the next.
fn steepest(sound: &[f32]) -> f32 {
    sound.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f32::max)
}

/// A click is sound that is not the string's: above 6 kHz a low string has nothing left after a second. 110 dB below full scale is
/// heard by nobody (ours). Cut off without a fade, the same string fails by far.
#[test]
fn muffles_do_not_click() {
    let mut score = music::text::page(&[("r:4", "[C2+G2+E3]:4")], 60);
    score.measures[0].marks = vec![PlacedMark::new(Beats::QUARTER, None, Mark::MuffleAll)];
    let muffled = &rendered(&score).channels[0];
    let stop = 48_000;
    let sharp = 20.0 * sharpest(muffled, stop).log10();
    let cut: Vec<f32> = muffled.iter().enumerate().map(|(i, s)| if i < stop { *s } else { 0.0 }).collect();
    let sharp_cut = 20.0 * sharpest(&cut, stop).log10();
    assert!(sharp < -110.0, "{sharp} dB");
    assert!(sharp_cut > -100.0, "{sharp_cut} dB");
    assert!(steepest(&muffled[stop..]) <= steepest(&muffled[stop - 4_800..stop]) * 1.01);
    assert!(muffled[stop + 24_000..].iter().all(|s| *s == 0.0), "silent half a second later");
}

/// The same at the end of a ring and where a string is plucked again: no step that the string itself does not make.
#[test]
fn endings_and_new_plucks_do_not_click() {
    let end = string(Pitch::at_position(21, 0), &Voicing::default()).expect("C3").channels.swap_remove(0);
    assert!(steepest(&end[end.len() - 9_600..]) < 1e-4 && end[end.len() - 1] == 0.0);
    let again = &rendered(&music::text::page(&[("r:4", "C3:1 C3:3")], 60)).channels[0];
    assert!(steepest(&again[40_000..60_000]) <= steepest(&again[..20_000]) * 1.05);
}

#[test]
fn a_pitch_beyond_every_harp_is_refused() {
    let high = Pitch::parse("D8").expect("a pitch");
    assert!(matches!(string(high, &Voicing::default()), Err(SoundError::Pitch(p)) if p == high));
    let page = perform(&music::text::page(&[("D8:4", "r:4")], 60), &Performing::default());
    assert!(matches!(render(&page, &Voicing::default()), Err(SoundError::Pitch(p)) if p == high));
}

#[test]
fn an_endless_page_is_refused() {
    let long: Vec<(&str, &str)> = vec![("C5:4", "C3:4"); 500];
    let page = perform(&music::text::page(&long, 60), &Performing::default());
    assert!(matches!(render(&page, &Voicing::default()), Err(SoundError::TooLong(33, 30))));
}

/// A pluck is its string's own samples: what a page that schedules single strings will play.
#[test]
fn a_page_is_the_sum_of_its_strings() {
    let performance = perform(&music::text::page(&[("r:2 A4:2", "r:4")], 60), &Performing::default());
    let page = render(&performance, &Voicing::default()).expect("rendered");
    let alone = string(performance.plucks[0].pitch, &Voicing::default()).expect("A4").channels.swap_remove(0);
    let gain = performance.plucks[0].strength.gain();
    let (left, right) = (&page.channels[0][96_000..], &page.channels[1][96_000..]);
    for i in 0..alone.len() {
        // Equal power: the squares of both sides add up to the square of the string.
        let sides = f64::from(left[i]).hypot(f64::from(right[i]));
        assert!((sides - f64::from((alone[i] * gain).abs())).abs() < 1e-6, "sample {i}");
    }
}

/// Strings that come later are the same samples as rendered all at once, and those that were there are not rendered again.
#[test]
fn strings_are_added_to_a_set() {
    let all = perform(&page::thick(), &Performing::default());
    let whole = Strings::of(&all, &Voicing::default()).expect("strings of the harp");
    let pitches = all.strings();
    let half: BTreeSet<Pitch> = pitches.iter().copied().step_by(2).collect();
    let some = Strings::own(&Voicing::default()).with(&half).expect("strings of the harp");
    assert_eq!((some.count(), some.sound(*pitches.iter().nth(1).expect("two strings"))), (half.len(), None));
    let added = some.with(&pitches).expect("strings of the harp");
    assert!(pitches.iter().all(|p| added.sound(*p) == whole.sound(*p) && added.sound(*p).is_some()));
    assert!(half.iter().all(|p| added.sound(*p).map(<[f32]>::as_ptr) == some.sound(*p).map(<[f32]>::as_ptr)), "the very same samples");
    assert!(added.mix(&all).expect("mixed") == whole.mix(&all).expect("mixed"));
}
