//! What holds of the chords for every bare melody, however odd.

use harmony::bare::{Found, Version, chords, fill};
use harmony::phrases::{Pickup, phrases};
use music::measure::Ending;
use music::{Barline, Beats, ChordOrigin, Frame, Interval, Jump, Key, LeadSheet, Meter, Mode, Note, Pitch, SheetMeasure};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::collections::BTreeSet;

/// One measure: notes as (eighths, position or rest, alteration, tied), signs.
type Made = (Vec<(i64, Option<i32>, i32, bool)>, u16);

fn made() -> impl Strategy<Value = (Vec<Made>, usize, i32, usize)> {
    let alter = prop_oneof![8 => Just(0), 1 => Just(1), 1 => Just(-1)];
    let note = (1_i64..7, prop::option::weighted(0.9, 28_i32..42), alter, prop::bool::weighted(0.1));
    let measure = (prop::collection::vec(note, 1..8), any::<u16>());
    (prop::collection::vec(measure, 1..24), 0..METERS.len(), -3_i32..4, 0..Mode::NAMED.len())
}

const METERS: [(u32, u32); 9] = [(4, 4), (3, 4), (6, 8), (2, 4), (9, 8), (2, 2), (5, 4), (3, 2), (12, 8)];

fn sheet((measures, meter, fifths, mode): &(Vec<Made>, usize, i32, usize)) -> LeadSheet {
    let (numerator, unit) = METERS[*meter];
    let (meter, key) = (Meter::simple(numerator, unit), Key::new(*fifths, Mode::NAMED[*mode]));
    let measures = measures.iter().enumerate().map(|(i, m)| measure(i, m, &meter, &key)).collect();
    LeadSheet { measures, ..LeadSheet::default() }
}

fn measure(i: usize, (notes, signs): &Made, meter: &Meter, key: &Key) -> SheetMeasure {
    let mut frame = Frame::plain(i as u32, meter.clone(), key.clone());
    let on = |k: u32| (signs >> (3 * k)) & 7 == 0;
    frame.repeat_start = on(0);
    frame.repeat_end = on(1).then_some(2);
    if on(2) {
        frame.right = Barline::Double;
    }
    if on(3) && i > 0 {
        frame.ending = Some(Ending { passes: vec![u32::from(signs & 1) + 1], starts: true, stops: true });
    }
    if on(4) {
        frame.jumps.push([Jump::DaCapo, Jump::Fine, Jump::Coda, Jump::ToCoda][usize::from(signs % 4)]);
    }
    if i == 0 && signs % 3 == 0 {
        frame.length = meter.beat();
    }
    let (mut at, end) = (Beats::ZERO, frame.length);
    let mut line = Vec::new();
    for (long, position, alter, tied) in notes {
        let long = (Beats::EIGHTH * *long).min(end - at);
        if long > Beats::ZERO {
            let pitch = position.map(|p| {
                let pitch = Pitch::at_position(p, 0);
                Pitch { alter: key.alter(pitch.step) + alter, ..pitch }
            });
            let mut note = Note::of(at, long, pitch.into_iter().collect());
            note.tie.from_before = *tied;
            line.push(note);
            at += long;
        }
    }
    if at < end {
        line.push(Note::rest(at, end - at));
    }
    SheetMeasure { frame, notes: line }
}

const VERSIONS: [Version; 2] = [Version::ThreeChord, Version::Fuller];

fn with(sheet: &LeadSheet, found: &Found) -> LeadSheet {
    let mut sheet = sheet.clone();
    for (measure, placed) in found.symbols(&sheet) {
        assert_eq!(placed.origin, ChordOrigin::Ours);
        sheet.measures[measure].frame.chords.push(placed);
    }
    sheet
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, rng_seed: RngSeed::Fixed(1), ..ProptestConfig::default() })]

    #[test]
    fn every_measure_but_pickups_is_covered(made in made()) {
        let sheet = sheet(&made);
        let form = phrases(&sheet);
        for found in VERSIONS.map(|v| chords(&sheet, v)) {
            for (m, measure) in sheet.measures.iter().enumerate() {
                let here: Vec<_> = found.given.iter().filter(|g| g.measure == m).collect();
                let mut at = Beats::ZERO;
                for given in &here {
                    prop_assert_eq!(given.at, at);
                    prop_assert!(!given.reasons.is_empty() || measure.notes.iter().any(Note::is_rest));
                    at += given.length;
                }
                let wants = form.measures[m].pickup == Pickup::No;
                prop_assert_eq!(at, if wants { measure.frame.length } else { Beats::ZERO });
                prop_assert!(here.windows(2).all(|w| w[0].chord != w[1].chord));
            }
        }
    }

    /// What is played last is played on the tonic that was heard there.
    #[test]
    fn the_last_chord_is_the_tonic(made in made()) {
        let sheet = sheet(&made);
        let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
        let last = music::order::playing_order(&frames).measures.last().copied();
        for found in VERSIONS.map(|v| chords(&sheet, v)) {
            if let Some(given) = found.given.iter().rfind(|g| Some(g.measure) == last) {
                let key = found.keys.iter().rfind(|k| k.0 <= given.measure).map(|k| k.1.clone());
                prop_assert_eq!(Some(given.chord.root), key.map(|k| k.tonic()));
            }
        }
    }

    #[test]
    fn three_chords_are_three(made in made()) {
        let sheet = sheet(&made);
        let form = phrases(&sheet);
        let found = chords(&sheet, Version::ThreeChord);
        for section in 0..form.sections.len() {
            let here = found.given.iter().filter(|g| form.measures[g.measure].section == section);
            let names: BTreeSet<String> = here.map(|g| g.chord.to_string()).collect();
            prop_assert!(names.len() <= 3, "{:?}", names);
        }
    }

    #[test]
    fn strong_notes_belong_or_are_listed(made in made()) {
        let sheet = sheet(&made);
        for found in VERSIONS.map(|v| chords(&sheet, v)) {
            for (m, measure) in sheet.measures.iter().enumerate() {
                let strong = measure.frame.meter.strong_beats();
                for note in measure.notes.iter().filter(|n| n.is_plucked() && strong.contains(&n.at)) {
                    let Some(given) = found.given.iter().find(|g| g.measure == m && g.at <= note.at && note.at < g.at + g.length) else { continue };
                    let top = note.top().expect("a plucked note has a pitch");
                    let belongs = given.chord.tones().iter().any(|t| given.chord.name_of(*t) == top.name());
                    let listed = found.outside.iter().any(|o| o.measure == m && o.at == note.at && o.pitch == top && o.chord == given.chord);
                    prop_assert!(belongs != listed, "measure {} {}: {} under {}", m, note.at, given.chord, top);
                }
            }
        }
    }

    /// A tune moved up a second has its chords moved up a second; the same tune has the same chords.
    #[test]
    fn chords_move_with_the_tune(made in made()) {
        let sheet = sheet(&made);
        let second = Interval::new(1, 2);
        let moved = sheet.up(second);
        for version in VERSIONS {
            let found = chords(&sheet, version);
            prop_assert_eq!(&found, &chords(&sheet, version));
            let up: Vec<_> = found.given.iter().map(|g| (g.measure, g.at, g.chord.up(second))).collect();
            let of_moved: Vec<_> = chords(&moved, version).given.into_iter().map(|g| (g.measure, g.at, g.chord)).collect();
            prop_assert_eq!(up, of_moved);
        }
    }

    /// The others are other chords, and none is offered twice.
    #[test]
    fn others_are_others(made in made()) {
        for found in VERSIONS.map(|v| chords(&sheet(&made), v)) {
            for given in &found.given {
                let names: BTreeSet<String> = given.others.iter().map(|o| o.chord.to_string()).collect();
                prop_assert_eq!(names.len(), given.others.len());
                prop_assert!(!names.contains(&given.chord.to_string()));
                prop_assert!(given.others.is_sorted_by_key(|o| o.less));
            }
        }
    }

    /// With its symbols written in, the tune says in every measure what was found; nothing is left to fill.
    #[test]
    fn the_symbols_say_what_was_found(made in made()) {
        let sheet = sheet(&made);
        for found in VERSIONS.map(|v| chords(&sheet, v)) {
            let with = with(&sheet, &found);
            let clock = music::Clock::of_sheet(&with, music::Tempo::of(Beats::QUARTER, 100).expect("in range"));
            for span in harmony::spans::spans(&with, &clock).spans {
                let given = found.given.iter().rfind(|g| g.measure == span.measure && g.at <= span.at);
                if let Some(given) = given {
                    prop_assert_eq!(Some(&given.chord), span.chord.as_ref(), "measure {} at {}", span.measure, span.at);
                }
            }
        }
    }

    /// Filling a tune without chords covers it; a chord that is written stays, and nothing is put beside it.
    #[test]
    fn what_is_written_stays(made in made(), every in 2_usize..6) {
        let bare = sheet(&made);
        let whole = with(&bare, &chords(&bare, Version::Fuller));
        let mut some = whole.clone();
        for (i, m) in some.measures.iter_mut().enumerate() {
            m.frame.chords.iter_mut().for_each(|c| c.origin = ChordOrigin::Source);
            if i % every == 0 {
                m.frame.chords.clear();
            }
        }
        for given in &fill(&some).given {
            prop_assert!(some.measures[given.measure].frame.chords.is_empty());
        }
        prop_assert_eq!(fill(&bare).given.is_empty(), chords(&bare, Version::Fuller).given.is_empty());
    }
}
