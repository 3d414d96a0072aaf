//! A lesson for the ear, and what is taken home for who hears or touches: from the performance, not from the samples.

use crate::asking::{Asked, TUNE};
use arrange::{Figures, Wishes, arrange};
use axum::http::StatusCode;
use desk::lesson::course::Heard;
use desk::lesson::speech::Voice;
use desk::lesson::{SLOWLY, Spoken, lesson};
use desk::plain_text::{Order, read, told};
use formats::ReadOptions;
use harp::{Instrument, Player};
use music::{Hand, Score, Seconds};
use sound::Pluck;
use sound::lesson::{BETWEEN, Times};

/// A demo tune with two verses, the second with its melody in the left hand, and the phrase of each measure.
fn page() -> (Score, Vec<usize>) {
    let bytes = std::fs::read("../../data/tunes/lighthouse-in-mist.abc").expect("a demo tune");
    let sheet = formats::read(&bytes, &ReadOptions::default()).expect("a tune").sheet;
    let wishes = Wishes { fullness: vec![3, 4], melody_below: [1].into(), ..Wishes::default() };
    let made = arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes).expect("an arrangement");
    let phrases = made.phrases.measures.iter().map(|p| p.phrase).collect();
    (made.score, phrases)
}

fn within<'a>(spoken: &'a Spoken, times: &'a Times) -> impl Iterator<Item = &'a Pluck> {
    // A roll or a grace note at the first beat begins a little earlier.
    let from = times.plays - Seconds::from_millis(400);
    spoken.lesson.performance.plucks.iter().filter(move |p| p.at >= from && p.at < times.ends)
}

#[test]
fn the_accompanying_hand_alone_has_no_note_of_the_melody() {
    let (score, phrases) = page();
    let spoken = lesson(&score, &phrases, &Voice::none());
    let mut hands = [0, 0];
    for (step, times) in spoken.steps.iter().zip(spoken.times()) {
        let plucks: Vec<&Pluck> = within(&spoken, times).collect();
        assert!(!plucks.is_empty() || matches!(step.heard, Heard::Slowly(_) | Heard::AtTempo(_)), "{}", step.in_words());
        match step.heard {
            Heard::Slowly(hand) | Heard::AtTempo(hand) => {
                hands[usize::from(hand == Hand::Left)] += plucks.len();
                for pluck in plucks {
                    assert_eq!(pluck.hand, hand, "{}", step.in_words());
                    assert_ne!(score.measures[pluck.place.measure].melody, hand, "{}", step.in_words());
                }
            }
            Heard::Tune => {
                for pluck in plucks {
                    assert_eq!(pluck.hand, score.measures[pluck.place.measure].melody);
                }
            }
            Heard::Both => {}
        }
    }
    assert!(hands[0] > 10 && hands[1] > 10, "both hands accompany in this page: {hands:?}");
}

#[test]
fn parts_are_counted_in_and_parted_by_silence() {
    let (score, phrases) = page();
    let spoken = lesson(&score, &phrases, &Voice::none());
    assert!(spoken.steps.len() > 6);
    assert_eq!(spoken.times()[0].begins, Seconds::from_millis(500), "half a second of silence");
    for pair in spoken.times().windows(2) {
        assert_eq!(pair[1].begins - pair[0].ends, BETWEEN);
    }
    for (step, times) in spoken.steps.iter().zip(spoken.times()) {
        let clicks = spoken.lesson.clicks.iter().filter(|(_, at)| *at >= times.counts_in && *at < times.plays).count();
        assert!(clicks >= 2, "{}: {clicks} clicks", step.in_words());
    }
    let lengths: Vec<Seconds> = spoken.times().iter().map(|t| t.ends - t.plays).collect();
    // Arithmetic: at 60 percent of the tempo a phrase takes 100/60 of its time.
    let (slow, fast) = (lengths[1].as_f64(), lengths[2].as_f64());
    assert!((slow * f64::from(SLOWLY) / 100.0 - fast).abs() < 0.01, "{slow} and {fast}");
    for (i, pluck) in spoken.lesson.performance.plucks.iter().enumerate() {
        let part = spoken.times().iter().position(|t| pluck.at < t.ends).expect("within a part");
        let last = part + 1 == spoken.times().len();
        assert!(last || pluck.stopped.is_some_and(|s| s <= spoken.times()[part].ends + BETWEEN), "pluck {i} rings into the next part");
    }
}

#[test]
fn the_order_of_the_parts_is_in_words() {
    let (score, phrases) = page();
    let spoken = lesson(&score, &phrases, &Voice::none());
    let text = spoken.text("Lighthouse in Mist", &Voice::none());
    assert!(text.starts_with("Lighthouse in Mist\nAn audio lesson."), "{text}");
    assert!(text.contains("espeak-ng is not on this system"), "{text}");
    assert!(text.contains("00:00  The tune alone.\n"), "{text}");
    assert!(text.contains("Left hand alone, slowly.\n") && text.contains("Right hand alone, at tempo.\n"), "{text}");
    assert!(text.trim_end().ends_with("End"), "{text}");
}

#[tokio::test]
async fn a_tune_is_taken_home_in_words_and_in_large_print() {
    let asked = Asked::new();
    for order in Order::ALL {
        let answer = asked.get(&format!("/api/tunes/door.abc/take/text?order={order}")).await;
        assert_eq!(answer.status, StatusCode::OK);
        assert_eq!(answer.headers["content-type"], "text/plain; charset=utf-8");
        assert!(answer.headers["content-disposition"].to_str().expect("letters").contains("The Bakery Door.txt"));
        let text = String::from_utf8(answer.body).expect("a text");
        let found = read(&text).unwrap_or_else(|mistake| panic!("{mistake}\n{text}"));
        assert_eq!((found.order, found.score.measures.len()), (order, TUNE.matches('|').count()));
        assert_eq!(told(&found.score).measures, found.score.measures);
    }
    let refused = asked.get("/api/tunes/door.abc/take/text?order=backwards").await;
    assert_eq!(refused.status, StatusCode::BAD_REQUEST);
    let large = asked.get("/api/tunes/door.abc/take/large").await;
    assert!(large.headers["content-disposition"].to_str().expect("letters").contains("The Bakery Door.large print.pdf"));
    assert!(large.body.starts_with(b"%PDF"));
}

#[tokio::test]
async fn a_lesson_is_taken_home_with_its_parts() {
    let asked = Asked::new();
    let sound = asked.get("/api/tunes/door.abc/take/lesson").await;
    assert!(sound.body.starts_with(b"RIFF") && sound.headers["content-type"] == "audio/wav");
    let parts = asked.get("/api/tunes/door.abc/take/lesson-parts").await;
    let text = String::from_utf8(parts.body).expect("a text");
    assert!(text.contains("Phrase 1, measures 1 to 4. Both hands.\n"), "{text}");
}
