//! The sound in the browser: the marker moves on the music, and every string and click is handed over at its time: hands, tempo, repeats, count-in, click.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use crate::listening::{Heard, Music, Pluck, heard, listen, music, play_through};
use fantoccini::key::Key;

/// Seconds within which two times are the same: far less than can be heard, far more than the arithmetic is off by.
const SAME: f64 = 1e-6;

/// What the program says and what was heard, as lines of "seconds from the first, string", with the seconds of the music divided by `tempo`.
fn same_music(plucks: &[Pluck], heard: &[Heard], tempo: f64) {
    assert_eq!(heard.len(), plucks.len(), "as many strings as the music has");
    let mut plucks = plucks.to_vec();
    plucks.sort_by(|a, b| a.t.total_cmp(&b.t).then_with(|| a.sample.cmp(&b.sample)));
    for (pluck, one) in plucks.iter().zip(heard) {
        let (written, played) = ((pluck.t - plucks[0].t) / tempo, one.when - heard[0].when);
        assert!((written - played).abs() < SAME, "{} at {written} was played at {played}", pluck.sample);
        assert_eq!(one.string.as_ref(), Some(&pluck.sample), "at {written}");
        assert!((one.speed - 1.0).abs() < f64::EPSILON, "{} is played at a speed of {}", pluck.sample, one.speed);
    }
}

async fn listening_to(page: &BrowserPage, tune: &str) -> Music {
    page.bring(tune).await;
    listen(page).await;
    music(page).await
}

#[test]
fn each_hand_can_be_heard_alone() {
    in_browser(|page| async move {
        let music = listening_to(&page, PIER).await;
        let heard = play_through(&page).await;
        same_music(&music.plucks, &heard, 1.0);
        // The clock stands at 1 when it begins, and half a second of silence comes first.
        assert!((heard[0].when - music.plucks[0].t - 1.5).abs() < SAME, "the first string at {}", heard[0].when);
        for hand in ["left", "right"] {
            page.choose("select[data-key=hands]", hand).await;
            let of: Vec<Pluck> = music.plucks.iter().filter(|p| p.hand == hand).cloned().collect();
            assert!(of.len() > 8, "{} strings in the {hand} hand", of.len());
            same_music(&of, &play_through(&page).await, 1.0);
        }
    });
}

/// The tune is what the text says, note for note: of two notes at once the upper one, of the hands the right one.
#[test]
fn the_tune_alone_is_the_tune_as_written() {
    in_browser(|page| async move {
        let music = listening_to(&page, &PIER.replace("\"G\"G B d |", "\"G\"[GB] [Bd] d |")).await;
        let both = music.plucks.iter().filter(|p| p.hand == "right" && p.measure == 0).count();
        assert_eq!(both, 5, "two notes at once stay in the right hand");
        page.choose("select[data-key=hands]", "tune").await;
        let names: Vec<String> = play_through(&page).await.into_iter().filter_map(|one| one.string).collect();
        let written = "B4 D5 D5 E5 D5 C5 B4 A4 F#4 A4 B4 D5 G5 E5 B4 C5 A4 F#4 G4";
        assert_eq!(names.join(" "), written);
    });
}

#[test]
fn another_tempo_changes_the_times_and_never_the_pitch() {
    in_browser(|page| async move {
        let music = listening_to(&page, PIER).await;
        for (key, words, tempo) in [(Key::Home, "25 %", 0.25), (Key::End, "150 %", 1.5)] {
            page.on("[data-key=sound-tempo]", key).await;
            page.sees(words).await;
            same_music(&music.plucks, &play_through(&page).await, tempo);
        }
    });
}

#[test]
fn measures_are_repeated_without_a_gap() {
    in_browser(|page| async move {
        let music = listening_to(&page, PIER).await;
        page.point_at("g.measure#m1").await;
        page.sees("Measure 2").await;
        page.tick("Repeat").await;
        let inside: Vec<Pluck> = music.plucks.iter().filter(|p| p.measure == 1 || p.measure == 2).cloned().collect();
        page.press("Play").await;
        let passes = 3;
        page.until("three times through", &format!("window.heard.length >= {}", passes * inside.len())).await;
        page.press("Pause").await;
        let lasts = music.passes[2].end - music.passes[1].start;
        let again = |pass: u32| inside.iter().map(move |p| Pluck { t: p.t + f64::from(pass) * lasts, ..p.clone() });
        let all: Vec<Pluck> = (0..3).flat_map(again).collect();
        same_music(&all, &heard(&page).await[..all.len()], 1.0);
    });
}

/// Three-four: three beats of count-in, the first of them stronger, the music on the fourth.
#[test]
fn one_measure_is_counted_before_the_music() {
    in_browser(|page| async move {
        let music = listening_to(&page, PIER).await;
        page.tick("Count-in").await;
        let heard = play_through(&page).await;
        let clicks: Vec<&Heard> = heard.iter().filter(|one| one.string.is_none()).collect();
        let (first, beat) = (&heard[3], music.beats[1].t - music.beats[0].t);
        assert_eq!(clicks.len(), 3);
        assert!((beat - 0.6).abs() < SAME, "a hundred beats a minute: {beat}");
        for (number, click) in (0..3).zip(&clicks) {
            let before = first.when - music.plucks[0].t - f64::from(3 - number) * beat;
            assert!((click.when - before).abs() < SAME, "click {number} at {} and not at {before}", click.when);
        }
        assert!(clicks[0].gain > clicks[1].gain && (clicks[1].gain - clicks[2].gain).abs() < SAME, "{clicks:?}");
    });
}

/// A pickup of one beat in three-four: a measure and two beats are counted, so that the tune's first bar line falls where it is counted.
#[test]
fn before_a_pickup_the_missing_beats_are_counted_too() {
    in_browser(|page| async move {
        let music = listening_to(&page, &PIER.replace("\"G\"G B d | \"C\"", "D | \"G\"G B d | \"C\"")).await;
        page.tick("Count-in").await;
        page.press("From start").await;
        page.until("the first string", "window.heard.some((one) => one.string !== null)").await;
        page.press("Pause").await;
        let heard = heard(&page).await;
        let clicks: Vec<&Heard> = heard.iter().filter(|one| one.string.is_none()).collect();
        assert_eq!(clicks.len(), 3 + 2);
        for (beat, click) in (0..5).zip(&clicks) {
            let before = heard[5].when - music.plucks[0].t - f64::from(5 - beat) * 0.6;
            assert!((click.when - before).abs() < SAME, "click {beat} at {} and not at {before}", click.when);
            assert_eq!(click.gain < clicks[0].gain, beat % 3 > 0, "click {beat}");
        }
    });
}

#[test]
fn every_beat_clicks_and_the_first_of_a_measure_is_stronger() {
    in_browser(|page| async move {
        let music = listening_to(&page, PIER).await;
        page.tick("Click").await;
        let heard = play_through(&page).await;
        let begins = heard.iter().find(|one| one.string.is_some()).expect("a string").when - music.plucks[0].t;
        let clicks: Vec<&Heard> = heard.iter().filter(|one| one.string.is_none()).collect();
        assert_eq!(clicks.len(), 8 * 3, "eight measures of three beats");
        let strong = clicks[0].gain;
        for (index, (click, beat)) in clicks.iter().zip(&music.beats).enumerate() {
            assert!((click.when - begins - beat.t).abs() < SAME, "beat {index} of measure {} at {}", beat.measure, click.when);
            assert_eq!(click.gain < strong, index % 3 > 0, "beat {index}: {}", click.gain);
        }
    });
}

#[test]
fn the_marker_moves_on_the_music_and_goes_back_with_a_repeat() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.on("[data-key=sound-tempo]", Key::End).await;
        page.point_at("g.measure#m1").await;
        page.sees("Measure 2").await;
        page.tick("Repeat").await;
        page.press("Play").await;
        page.until("the marker stands in measure 2", "document.querySelector('g.measure#m1 .marker')").await;
        page.until("and in measure 3", "document.querySelector('g.measure#m2 .marker')").await;
        page.until("and again in measure 2", "document.querySelector('g.measure#m1 .marker')").await;
        page.press("Pause").await;
    });
}
