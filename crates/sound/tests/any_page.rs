//! What holds for every page, whatever stands on it.

use music::{Beats, Decoration, Grace, Hand, Mark, Note, Pitch, PlacedMark, Score, Seconds, Tempo};
use proptest::prelude::*;
use sound::{Hands, Landing, Performance, Performing, Rolls, TempoShare, perform};
use std::collections::BTreeMap;

fn pitch() -> impl Strategy<Value = Pitch> {
    (7..54, -1..=1).prop_map(|(position, alter)| Pitch::at_position(position, alter))
}

/// A note in one of the eight eighths of a measure, with anything that a note can have.
fn note() -> impl Strategy<Value = Note> {
    let signs = (any::<[bool; 5]>(), prop::collection::vec(pitch(), 0..3));
    (prop::collection::vec(pitch(), 0..5), signs).prop_map(|(pitches, ([rolled, tied, fermata, accent, loud], graces))| {
        let mut note = Note { rolled, ..Note::of(Beats::ZERO, Beats::EIGHTH, pitches) };
        note.tie.from_before = tied;
        note.grace = graces.into_iter().map(|p| Grace { pitches: vec![p], value: 8, slashed: true }).collect();
        let signs = [(fermata, Decoration::Fermata), (accent, Decoration::Accent), (loud, Decoration::Dynamic("ff".into()))];
        note.decorations = signs.into_iter().filter_map(|(there, sign)| there.then_some(sign)).collect();
        note
    })
}

fn mark() -> impl Strategy<Value = PlacedMark> {
    let mark = prop_oneof![
        Just(Mark::MuffleAll),
        prop::collection::vec(pitch(), 0..3).prop_map(Mark::Muffle),
        pitch().prop_map(Mark::Lever),
        pitch().prop_map(|p| Mark::Pedal(p.name())),
        Just(Mark::Pedals([0; 7])),
    ];
    let hand = prop_oneof![Just(None), Just(Some(Hand::Left)), Just(Some(Hand::Right))];
    (mark, hand, 0i64..8).prop_map(|(mark, hand, at)| PlacedMark::new(Beats::EIGHTH * at, hand, mark))
}

fn score() -> impl Strategy<Value = Score> {
    let line = || prop::collection::vec(note(), 8);
    let measure = (line(), line(), prop::collection::vec(mark(), 0..3), any::<[bool; 3]>());
    (prop::collection::vec(measure, 1..5), 30i64..300).prop_map(|(measures, per_minute)| {
        let mut score = music::text::page(&vec![("r:4", "r:4"); measures.len()], per_minute);
        for (measure, (right, left, marks, [opens, closes, faster])) in score.measures.iter_mut().zip(measures) {
            let place = |(i, note)| Note { at: Beats::EIGHTH * i, ..note };
            measure.right = (0..).zip(right).map(place).collect();
            measure.left = (0..).zip(left).map(place).collect();
            measure.marks = marks;
            (measure.frame.repeat_start, measure.frame.repeat_end) = (opens, closes.then_some(2));
            measure.frame.tempos = Tempo::of(Beats::EIGHTH, 301).filter(|_| faster).map(|t| (Beats::HALF, t)).into_iter().collect();
        }
        score
    })
}

fn performing() -> impl Strategy<Value = Performing> {
    let hands = prop_oneof![Just(Hands::Both), Just(Hands::Left), Just(Hands::Right), Just(Hands::Melody)];
    let landing = prop_oneof![Just(Landing::First), Just(Landing::Last)];
    (hands, landing, 25u8..=150).prop_map(|(hands, landing, percent)| Performing {
        hands,
        rolls: Rolls { landing, ..Rolls::default() },
        tempo: TempoShare::new(percent).expect("in range"),
        ..Performing::default()
    })
}

/// In order of time from zero on; a string sounds once at a time; the passes follow each other.
fn sound(performance: &Performance, performing: &Performing) {
    let mut silent: BTreeMap<i32, Seconds> = BTreeMap::new();
    for pair in performance.plucks.windows(2) {
        assert!(pair[0].at <= pair[1].at, "in order");
    }
    for pluck in &performance.plucks {
        let before = silent.insert(pluck.pitch.position(), pluck.until(&performing.ring));
        assert!(pluck.at >= before.unwrap_or(Seconds::ZERO), "{pluck:?} on a string that sounds");
        assert!(pluck.until(&performing.ring) > pluck.at && pluck.until(&performing.ring) <= performance.end);
        assert_eq!(performance.passes[pluck.pass].measure, pluck.place.measure);
    }
    for pair in performance.passes.windows(2) {
        assert_eq!(pair[0].end, pair[1].start);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_page_can_be_played(score in score(), performing in performing()) {
        let played = perform(&score, &performing);
        sound(&played, &performing);
        prop_assert_eq!(&played, &perform(&score, &performing));
    }
}
