//! The arranger's own pages: nothing that cannot be played, and at most one thing in twenty measures that is hard.

mod pages;

use arrange::form::{Ending, Form, Length, WaysOut};
use arrange::{Figures, Wishes, arrange};
use check::Gravity;
use harp::{Instrument, Player};
use pages::report;

const TUNES: [(&str, &str); 4] = [
    ("bakery before six", include_str!("../../../data/tunes/bakery-before-six.abc")),
    ("ferry reel", include_str!("../../../data/tunes/ferry-reel.abc")),
    ("lighthouse in mist", include_str!("../../../data/tunes/lighthouse-in-mist.abc")),
    ("regatta morning", include_str!("../../../data/tunes/regatta-morning.abc")),
];

#[test]
fn every_demo_tune_at_every_fullness() {
    let (harp, player, figures) = (Instrument::lever_34(), Player::default(), Figures::own());
    for (name, text) in TUNES {
        let sheet = formats::read(text.as_bytes(), &formats::ReadOptions::default()).expect("a demo tune").sheet;
        for fullness in 1..=6 {
            let wishes = Wishes { fullness: vec![fullness], ..Wishes::default() };
            let score = arrange(&sheet, &figures, &harp, &player, &wishes).expect("an arrangement").score;
            let report = report(&score, &harp);
            let count = |gravity: Gravity| report.findings.iter().filter(|f| f.gravity == gravity).count();
            assert_eq!(count(Gravity::Cannot), 0, "{name} at {fullness}: {:?}", report.findings);
            assert!(count(Gravity::Hard) * 20 <= score.measures.len(), "{name} at {fullness}: {:?}", report.findings);
            assert!(count(Gravity::Look) <= 6, "{name} at {fullness}: {:?}", report.findings);
        }
    }
}

/// With a beginning and an end of every kind, two verses and an interlude.
#[test]
fn every_demo_tune_with_a_beginning_and_an_end() {
    let (harp, player, figures) = (Instrument::lever_34(), Player::default(), Figures::own());
    for (name, text) in TUNES {
        let sheet = formats::read(text.as_bytes(), &formats::ReadOptions::default()).expect("a demo tune").sheet;
        for (length, ending) in [(Length::Two, Ending::Short), (Length::Four, Ending::Usual), (Length::Four, Ending::Fading)] {
            let [introduction, vamp, interlude] = [Some(length); 3];
            let form = Form { introduction, vamp, interlude, ending: Some(ending), ways_out: WaysOut::Printed, ..Form::default() };
            let wishes = Wishes { fullness: vec![2, 4], form, high: [1].into(), ..Wishes::default() };
            let score = arrange(&sheet, &figures, &harp, &player, &wishes).expect("an arrangement").score;
            let report = report(&score, &harp);
            let count = |gravity: Gravity| report.findings.iter().filter(|f| f.gravity == gravity).count();
            assert_eq!(count(Gravity::Cannot), 0, "{name}, {ending:?}: {:?}", report.findings);
            assert!(count(Gravity::Hard) * 20 <= score.measures.len(), "{name}, {ending:?}: {:?}", report.findings);
        }
    }
}

/// The melody in the left hand of the second verse: written, read back and checked, by a hand that can play it.
#[test]
fn every_demo_tune_with_its_melody_in_the_left_hand() {
    let (harp, figures) = (Instrument::lever_34(), Figures::own());
    let player = Player { fluency: harp::Fluency::Advanced, ..Player::default() };
    for (name, text) in TUNES {
        let sheet = formats::read(text.as_bytes(), &formats::ReadOptions::default()).expect("a demo tune").sheet;
        for fullness in 1..=6 {
            let wishes = Wishes { fullness: vec![3, fullness], melody_below: [1].into(), ..Wishes::default() };
            let score = arrange(&sheet, &figures, &harp, &player, &wishes).expect("an arrangement").score;
            let written = formats::musicxml::write::write(&score);
            let read = formats::musicxml::read_score(written.as_bytes(), &Default::default()).expect("our own page").score;
            let melody = |score: &music::Score| score.measures.iter().map(|m| m.melody).collect::<Vec<_>>();
            assert_eq!(melody(&read), melody(&score), "{name}");
            assert!(melody(&score).contains(&music::Hand::Left), "{name} stays in the right hand");
            let report = check::check_on(&read, &harp, check::Because::Asked, &player);
            let count = |gravity: Gravity| report.findings.iter().filter(|f| f.gravity == gravity).count();
            assert_eq!(count(Gravity::Cannot), 0, "{name} at {fullness}: {:?}", report.findings);
            assert!(count(Gravity::Hard) * 20 <= score.measures.len(), "{name} at {fullness}: {:?}", report.findings);
            assert!(count(Gravity::Look) <= 8, "{name} at {fullness}: {:?}", report.findings);
        }
    }
}
