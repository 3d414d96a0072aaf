//! Whole pages as files: a moment of silence, a mean at which nobody turns the sound up, nothing beyond full scale, and no click from the limiter.

mod page;

use music::Score;
use sound::loudness::{BEFORE, LEVEL, finished};
use sound::{Performing, Samples, Strings, Voicing, perform};

/// A slow air: one string at a time over a chord in each measure.
fn air() -> Score {
    let measures = [("A4:1 B4:1", "[A2+E3]:2"), ("D5:2", "[D3+A3]:2"), ("C5:1 B4:1", "[A2+E3]:2"), ("A4:2", "[A2+E3]:2")];
    music::text::page(&measures.repeat(4), 60)
}

fn pages() -> Vec<(&'static str, Score)> {
    vec![("a full page", page::three_minutes()), ("a quiet air", air()), ("the thickest page", page::thick())]
}

fn strings(score: &Score) -> (sound::Performance, Strings) {
    let performance = perform(score, &Performing::default());
    let strings = Strings::of(&performance, &Voicing::default()).expect("strings of the harp");
    (performance, strings)
}

fn decibels(mean: f64) -> f64 {
    20.0 * mean.log10()
}

/// What lies after the silence.
fn music(file: &Samples) -> Samples {
    let before = file.rate.index(BEFORE);
    Samples { rate: file.rate, channels: file.channels.iter().map(|c| c[before..].to_vec()).collect() }
}

/// 16 dB below full scale, within a third of a decibel: nobody hears so small a difference (a just noticeable one is about 1 dB; common practice).
#[test]
fn every_page_is_equally_loud() {
    for (which, score) in pages() {
        let (performance, strings) = strings(&score);
        let file = strings.file(&performance).expect("a file");
        let mean = decibels(music(&file).mean());
        assert!((mean - decibels(LEVEL)).abs() < 0.3 && (decibels(LEVEL) + 16.0).abs() < 1e-6, "{which}: {mean} dB");
        assert!(file.peak() <= 0.97 + 1e-6, "{which}: peak {}", file.peak());
        assert!(file == strings.file(&performance).expect("a file"), "{which}: the same twice");
    }
}

/// Half a second in which every sample is nothing, then the first pluck as the mix has it.
#[test]
fn half_a_second_of_silence_comes_first() {
    for (which, score) in pages() {
        let (performance, strings) = strings(&score);
        let (mix, file) = (strings.mix(&performance).expect("mixed"), strings.file(&performance).expect("a file"));
        assert_eq!((file.length(), file.rate.index(BEFORE)), (mix.length() + 24_000, 24_000), "{which}");
        assert!(file.channels.iter().all(|c| c[..24_000].iter().all(|s| *s == 0.0)), "{which} begins in silence");
        assert!(file.channels[0][24_000..24_480].iter().any(|s| s.abs() > 1e-3), "{which}: the first note at once after it");
    }
}

/// The limiter changes the loudness, never the shape of a wave: from one sample to the next its factor moves by less than three thousandths.
#[test]
fn peaks_are_turned_down_softly() {
    for (which, score) in pages() {
        let (performance, strings) = strings(&score);
        let mix = strings.mix(&performance).expect("mixed");
        let file = music(&finished(mix.clone()));
        let factors: Vec<f64> = (0..mix.length())
            .filter(|i| mix.channels[0][*i].abs() > 0.02)
            .map(|i| f64::from(file.channels[0][i]) / f64::from(mix.channels[0][i]))
            .collect();
        let (least, most) = factors.iter().fold((f64::MAX, 0.0f64), |(l, m), f| (l.min(*f), m.max(*f)));
        assert!(least / most > 0.25, "{which}: never down by more than 12 dB");
        let steps = (1..mix.length()).filter(|i| mix.channels[0][*i].abs().min(mix.channels[0][i - 1].abs()) > 0.02);
        let factor = |i: usize| f64::from(file.channels[0][i]) / f64::from(mix.channels[0][i]) / most;
        let steepest = steps.map(|i| (factor(i) - factor(i - 1)).abs()).fold(0.0, f64::max);
        assert!(steepest < 3e-3, "{which}: {steepest}");
    }
}

/// A page that schedules single strings is as loud as the file, within two decibels: it adds energies, the file measures them, and where eight strings at once
/// could swing together it stays a little below.
#[test]
fn the_screen_is_as_loud_as_the_file() {
    for (which, score) in pages() {
        let (performance, strings) = strings(&score);
        let mix = strings.mix(&performance).expect("mixed");
        let heard = decibels(mix.mean() / f64::from(strings.level(&performance)) * f64::from(strings.loud(&performance)));
        assert!((heard + 16.0).abs() < 2.0, "{which}: {heard} dB");
    }
}

/// A silent page stays silent instead of being raised without end.
#[test]
fn silence_stays_silence() {
    let silent = Samples { rate: Voicing::default().rate, channels: vec![vec![0.0; 1000]; 2] };
    let file = finished(silent);
    assert!(file.length() == 25_000 && file.peak() == 0.0);
}
