//! A lesson in samples: where it is silent, where it clicks, how loud its parts are.

use music::Seconds;
use music::text::page;
use sound::lesson::{BETWEEN, Lesson, Part, at_rate, cut, laid};
use sound::{Beat, Hands, Performing, Rate, Samples, Strings, Voicing, perform};

/// Four measures of 4/4 at 120 a minute: each takes two seconds.
fn lesson() -> (Lesson, Samples) {
    let score = page(&[("C5:2 E5:2", "C3:1 G3:1 C4:2"), ("D5:4", "G2:4"), ("E5:2 D5:2", "C3:4"), ("C5:4", "C3:1 G3:1 C4:2")], 120);
    let ring = Performing::default().ring;
    let part = |hands: Hands, passes: std::ops::Range<usize>| {
        let whole = perform(&score, &Performing { hands, ..Performing::default() });
        let beat = |i: i64| (if i == 0 { Beat::First } else { Beat::Other }, Seconds::from_millis(500 * i));
        let said = Some(at_rate(&[0.25; 2_205], 22_050, Rate::default()));
        Part { performance: cut(&whole, passes, &ring), count_in: (0..4).map(beat).collect(), counted: Seconds::from_millis(2_000), said }
    };
    let lesson = laid(vec![part(Hands::Melody, 0..4), part(Hands::Left, 1..3), part(Hands::Both, 0..4)]);
    let strings = Strings::of(&lesson.performance, &Voicing::default()).expect("strings");
    let samples = lesson.samples(&strings).expect("samples");
    (lesson, samples)
}

/// The root mean square of a stretch, full scale being 1.
fn level(samples: &Samples, from: Seconds, to: Seconds) -> f64 {
    let (from, to) = (samples.rate.index(from), samples.rate.index(to).min(samples.length()));
    let channels = samples.channels.iter().map(|c| c[from..to].to_vec()).collect();
    Samples { rate: samples.rate, channels }.mean()
}

/// Arithmetic: half a second of silence, 0.1 s of words and 0.5 s after them, four beats of half a second, four measures of two seconds.
#[test]
fn parts_lie_one_after_another() {
    let (lesson, _) = lesson();
    let millis = |s: Seconds| s.micros() / 1000;
    let times: Vec<[i64; 4]> =
        lesson.parts.iter().map(|t| [millis(t.begins), millis(t.counts_in), millis(t.plays), millis(t.ends)]).collect();
    assert_eq!(times, [[500, 1_100, 3_100, 11_100], [13_100, 13_700, 15_700, 19_700], [21_700, 22_300, 24_300, 32_300]]);
    let left = lesson.performance.plucks.iter().filter(|p| p.at >= lesson.parts[1].plays && p.at < lesson.parts[1].ends);
    assert_eq!(left.map(|p| format!("{}@{}", p.pitch, millis(p.at))).collect::<Vec<_>>(), ["G2@15700", "C3@17700"]);
}

#[test]
fn it_is_silent_where_it_should_be() {
    let (lesson, samples) = lesson();
    let late = |millis: i64| Seconds::from_millis(millis);
    assert_eq!(level(&samples, Seconds::ZERO, late(499)), 0.0, "before the beginning");
    for (pair, times) in lesson.parts.windows(2).zip(&lesson.parts) {
        assert_eq!(pair[1].begins - times.ends, BETWEEN);
        let quiet = level(&samples, times.ends + late(1_600), pair[1].begins - late(5));
        assert!(quiet < 0.001, "between two parts: {quiet}");
    }
    for times in &lesson.parts {
        let music = level(&samples, times.plays, times.ends);
        assert!((0.03..0.4).contains(&music), "the music of a part: {music}");
        // The knock lasts 60 milliseconds; it is softer than the music.
        let click = level(&samples, times.counts_in, times.counts_in + late(60));
        assert!(click > 0.005 && click < music, "a click: {click}, the music: {music}");
        assert!(level(&samples, times.begins, times.begins + late(90)) > 0.1, "what is said");
    }
    assert!(samples.peak() <= 1.0);
}

/// Arithmetic: a straight line read twice as finely is the same line.
#[test]
fn a_voice_is_brought_to_the_rate() {
    let line: Vec<f32> = (0..100).map(|i| i as f32 / 100.0).collect();
    let finer = at_rate(&line, 24_000, Rate::default());
    assert_eq!(finer.length(), 200);
    assert!(finer.channels[0][..198].iter().enumerate().all(|(i, s)| (s - i as f32 / 200.0).abs() < 1e-6));
}
