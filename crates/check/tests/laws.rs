//! Laws on invented pages: nothing panics, the same page gives the same report, and a repair that is offered mends its place and brings nothing new.

mod pages;

use check::rules::{self, Scene};
use check::{Gravity, Rule, choose_harp};
use harp::{Instrument, Player};
use music::{Beats, Note, Pitch, Score};
use pages::{page, pedal_47, report};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// A line of a measure: notes of a quarter or shorter with one to five strings, or rests.
fn line(low: i32) -> impl Strategy<Value = Vec<Note>> {
    let sound = (proptest::collection::vec((0..22i32, -1..=1i32), 0..5), any::<bool>());
    proptest::collection::vec((sound, prop::sample::select(vec![1i64, 2, 4])), 2..9).prop_map(move |words| {
        let mut at = Beats::ZERO;
        let mut notes = Vec::new();
        for ((sounds, rolled), quarter_parts) in words {
            let length = Beats::quarters(quarter_parts, 4).expect("exact");
            let mut pitches: Vec<Pitch> = sounds.iter().map(|(up, alter)| Pitch::at_position(low + up, *alter)).collect();
            pitches.sort_by_key(|p| (p.midi(), p.position()));
            pitches.dedup_by_key(|p| p.position());
            notes.push(Note { rolled: rolled && pitches.len() > 1, ..Note::of(at, length, pitches) });
            at += length;
        }
        notes
    })
}

fn filled(mut notes: Vec<Note>) -> Vec<Note> {
    notes.retain(|n| n.at < Beats::WHOLE);
    if let Some(last) = notes.last_mut() {
        last.length = Beats::WHOLE - last.at;
    }
    notes
}

fn pages() -> impl Strategy<Value = Score> {
    let measure = (line(28), line(12));
    (proptest::collection::vec(measure, 1..4), 30..180i64, any::<bool>()).prop_map(|(measures, tempo, chords)| {
        let mut score = page(tempo, &vec![("C5:4", "C3:4"); measures.len()]);
        for (measure, (right, left)) in score.measures.iter_mut().zip(measures) {
            (measure.right, measure.left) = (filled(right), filled(left));
        }
        let symbols = ["C", "G7", "Am"];
        if chords { pages::with_chords(score, &symbols) } else { score }
    })
}

fn said(score: &Score, harp: &Instrument) -> BTreeSet<(music::Place, Rule, Gravity)> {
    let player = Player::default();
    rules::all(&Scene::new(score, harp, &player)).into_iter().map(|f| (f.place, f.rule, f.gravity)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn an_offered_repair_brings_nothing_new(score in pages(), pedals in any::<bool>()) {
        let harp = if pedals { pedal_47() } else { Instrument::lever_34() };
        let before = said(&score, &harp);
        for finding in report(&score, &harp).findings {
            for repair in &finding.repairs {
                let changed = repair.change.apply(&score).expect("an offered repair can be made");
                let after = said(&changed, &harp);
                let new: Vec<_> = after.difference(&before).collect();
                prop_assert!(new.is_empty(), "{}: {new:?}", repair.text);
                prop_assert!(!after.iter().any(|(p, r, _)| (*p, *r) == (finding.place, finding.rule)), "{} mends nothing", repair.text);
            }
        }
    }

    /// Every finding is about a place of the page, and what counts say is what there is.
    #[test]
    fn findings_are_on_the_page(score in pages()) {
        let report = report(&score, &Instrument::lever_34());
        let places: usize = report.findings.iter().map(|f| 1 + f.also.len()).sum();
        prop_assert_eq!(places, report.counts.values().sum::<usize>());
        for finding in &report.findings {
            let measure = &score.measures[finding.place.measure];
            prop_assert!(finding.place.at >= Beats::ZERO && finding.place.at < measure.frame.length);
        }
    }

    /// Five notes in one hand and strings off the harp apart, levers and pedals: a page that one harp can have does not get worse on the harp chosen.
    #[test]
    fn the_chosen_harp_lacks_no_more_than_the_usual(score in pages()) {
        let (usual, large, player) = (Instrument::lever_34(), pedal_47(), Player::default());
        let lacks = |harp: &Instrument| {
            let mut found = Vec::new();
            rules::instrument::look(&Scene::new(&score, harp, &player), &mut found);
            found.iter().filter(|f| f.gravity != Gravity::Look).count()
        };
        let (chosen, _) = choose_harp(&score, &usual, &large, &player);
        prop_assert!(lacks(chosen) <= lacks(&usual));
    }
}

// A pedal harp has many repairs to try for a random page: fewer pages than above are enough.
proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    #[test]
    fn the_same_page_gives_the_same_report(score in pages()) {
        let (one, two) = (report(&score, &pedal_47()), report(&score, &pedal_47()));
        prop_assert_eq!(format!("{one:?}"), format!("{two:?}"));
    }
}
