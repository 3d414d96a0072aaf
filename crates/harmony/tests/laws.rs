//! What holds for every tune, however odd: made-up sheets with repeats, endings, jumps, short measures, misplaced symbols and ties.

use harmony::{Pickup, Silence, Struck, cadences, kind, likeness, melody, phrases, spans};
use music::measure::Ending;
use music::{
    Barline, Beats, Chord, ChordKind, ChordSymbol, Clock, Frame, Harmony, Jump, Key, LeadSheet, Meter, Note, Pitch, PitchName, Place,
    PlacedChord, SheetMeasure, Tempo,
};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// One measure: length in eighths of eight, notes as (eighths, position or rest, tied), chords as (eighth, root), signs.
type Made = (i64, Vec<(i64, Option<i32>, bool)>, Vec<(i64, Option<i32>)>, u16);

fn eighths(n: i64) -> Beats {
    Beats::EIGHTH * n
}

fn made() -> impl Strategy<Value = Vec<Made>> {
    let note = (1_i64..9, prop::option::weighted(0.8, 28_i32..42), prop::bool::weighted(0.2));
    let chord = (-1_i64..10, prop::option::weighted(0.9, -2_i32..6));
    let measure =
        (prop_oneof![4 => Just(8_i64), 1 => 0_i64..8], prop::collection::vec(note, 1..6), prop::collection::vec(chord, 0..4), any::<u16>());
    prop::collection::vec(measure, 0..24)
}

fn sheet(made: &[Made]) -> LeadSheet {
    let measures = made.iter().enumerate().map(|(i, m)| measure(i, m)).collect();
    LeadSheet { measures, ..LeadSheet::default() }
}

fn measure(i: usize, (length, notes, chords, signs): &Made) -> SheetMeasure {
    let mut frame = Frame::plain(i as u32, Meter::simple(4, 4), Key::C_MAJOR);
    frame.length = eighths(*length);
    signs_on(&mut frame, *signs);
    frame.chords = chords.iter().map(|(at, root)| placed(*at, *root)).collect();
    let mut at = 0;
    let mut line = Vec::new();
    for (long, position, tied) in notes {
        let long = (*long).min(length - at);
        if long > 0 {
            let mut note = Note::of(eighths(at), eighths(long), position.map(|p| Pitch::at_position(p, 0)).into_iter().collect());
            note.tie.from_before = *tied;
            line.push(note);
            at += long;
        }
    }
    if at < *length {
        line.push(Note::rest(eighths(at), eighths(length - at)));
    }
    SheetMeasure { frame, notes: line }
}

/// Each sign stands in one measure of about eight.
fn signs_on(frame: &mut Frame, signs: u16) {
    let on = |k: u32| (signs >> (3 * k)) & 7 == 0;
    frame.repeat_start = on(0);
    frame.repeat_end = on(1).then_some(2);
    if on(2) {
        frame.right = Barline::Double;
    }
    if on(3) {
        frame.ending = Some(Ending { passes: vec![u32::from(signs & 1) + 1], starts: true, stops: true });
    }
    if on(4) {
        let jumps = [Jump::DaCapo, Jump::Fine, Jump::Coda, Jump::ToCoda, Jump::DalSegno, Jump::Segno];
        frame.jumps.push(jumps[usize::from(signs % 6)]);
    }
}

fn placed(at: i64, root: Option<i32>) -> PlacedChord {
    let harmony = match root {
        Some(fifths) => Harmony::Chord(Chord::new(PitchName::from_fifths(fifths), ChordKind::Major)),
        None => Harmony::NoChord,
    };
    PlacedChord::new(eighths(at), ChordSymbol { harmony, source: String::new() })
}

fn clock(sheet: &LeadSheet, quarters: i64) -> Clock {
    Clock::of_sheet(sheet, Tempo::of(Beats::QUARTER, quarters).expect("between 4 and 1000"))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, rng_seed: RngSeed::Fixed(1), ..ProptestConfig::default() })]

    #[test]
    fn spans_fill_every_measure(made in made(), quarters in 20_i64..300) {
        let sheet = sheet(&made);
        let found = spans::spans(&sheet, &clock(&sheet, quarters));
        for (i, m) in sheet.measures.iter().enumerate() {
            let mut at = Beats::ZERO;
            for span in found.spans.iter().filter(|s| s.measure == i) {
                prop_assert_eq!(span.at, at);
                prop_assert!(span.length > Beats::ZERO);
                at += span.length;
            }
            prop_assert_eq!(at, m.frame.length);
        }
        prop_assert!(found.spans.is_sorted_by_key(|s| (s.measure, s.at)));
    }

    /// A symbol of a chord is struck, goes on into a struck span, says again what already holds, or is listed as left out.
    #[test]
    fn no_symbol_is_silently_lost(made in made(), quarters in 20_i64..300) {
        let sheet = sheet(&made);
        let found = spans::spans(&sheet, &clock(&sheet, quarters));
        for (i, m) in sheet.measures.iter().enumerate() {
            for placed in m.frame.chords.iter().filter(|c| c.at.max(Beats::ZERO) < m.frame.length) {
                let Some(chord) = placed.symbol.chord() else { continue };
                let at = placed.at.max(Beats::ZERO);
                let here = found.spans.iter().position(|s| s.measure == i && s.at <= at && at < s.at + s.length);
                let span = here.map(|k| &found.spans[k]);
                let says = |s: &spans::ChordSpan| s.chord.as_ref() == Some(chord);
                let sounds = |s: &spans::ChordSpan| s.struck == Struck::Yes || s.at < at || s.begin != spans::Begin::Symbol;
                let holds = span.is_some_and(|s| says(s) && sounds(s));
                let goes_on = here.and_then(|k| found.spans.get(k + 1)).is_some_and(|n| says(n) && n.struck == Struck::Yes);
                let told = found.left_out.iter().any(|l| l.measure == i && (l.at == placed.at || l.at.max(Beats::ZERO) == at));
                prop_assert!(holds || goes_on || told, "measure {} at {}", i, placed.at);
            }
        }
    }

    #[test]
    fn nothing_is_struck_in_silence_and_quick_chords_keep_their_distance(made in made(), quarters in 20_i64..300) {
        let sheet = sheet(&made);
        let clock = clock(&sheet, quarters);
        let found = spans::spans(&sheet, &clock);
        let at = |s: &spans::ChordSpan| clock.at(Place { measure: s.measure, at: s.at });
        let struck: Vec<_> = found.spans.iter().filter(|s| s.struck == Struck::Yes).collect();
        prop_assert!(struck.iter().all(|s| s.silence == Silence::No && s.chord.is_some()));
        for pair in struck.windows(2) {
            let distance = at(pair[1]) - at(pair[0]);
            let beat = |s: &spans::ChordSpan| s.length >= Beats::QUARTER || s.length == sheet.measures[s.measure].frame.length;
            prop_assert!(distance >= spans::COMFORTABLE || beat(pair[0]) && beat(pair[1]));
        }
    }

    #[test]
    fn phrases_hold_every_measure_once(made in made()) {
        let sheet = sheet(&made);
        let found = phrases::phrases(&sheet);
        prop_assert_eq!(found.measures.len(), sheet.measures.len());
        let mut held: Vec<usize> = found.phrases.iter().flat_map(|p| p.measures.clone()).collect();
        held.sort();
        prop_assert_eq!(held, (0..sheet.measures.len()).collect::<Vec<_>>());
        for (i, place) in found.measures.iter().enumerate() {
            prop_assert!(found.phrases[place.phrase].measures.contains(&i));
            prop_assert_eq!(found.phrases[place.phrase].section, place.section);
            prop_assert!(found.sections[place.section].measures.contains(&i));
            if place.pickup == Pickup::No {
                prop_assert!(place.index < place.of);
                prop_assert_eq!(place.first_of_phrase, place.index == 0);
                prop_assert_eq!(place.last_of_phrase, place.index + 1 == place.of);
            }
            prop_assert!(!place.last_of_section || place.last_of_phrase);
            prop_assert!(!place.first_of_section || place.first_of_phrase);
        }
        for (number, section) in found.sections.iter().enumerate() {
            prop_assert!(found.measures[section.measures.end - 1].last_of_section, "section {}", number);
        }
    }

    #[test]
    fn the_other_questions_have_answers(made in made()) {
        let sheet = sheet(&made);
        let spans = spans::spans(&sheet, &clock(&sheet, 90));
        let phrases = phrases::phrases(&sheet);
        for cadence in cadences::cadences(&sheet, &spans, &phrases) {
            prop_assert!(spans.spans[cadence.arrival].chord.is_some());
            prop_assert!(cadence.approach.is_none_or(|a| a < cadence.arrival));
        }
        for (i, first) in likeness::first_alike(&sheet, &spans).into_iter().enumerate() {
            prop_assert!(first <= i);
            prop_assert_eq!(sheet.measures[first].notes.len(), sheet.measures[i].notes.len());
        }
        prop_assert!(melody::plucks(&sheet).is_sorted_by_key(|p| p.start));
        prop_assert!(melody::range(&sheet).is_none_or(|r| r.lowest.midi() <= r.median.midi() && r.median.midi() <= r.highest.midi()));
        prop_assert!(!kind::guess(&sheet).because.to_string().is_empty());
    }

    /// Moving a tune by an octave moves nothing in its form.
    #[test]
    fn the_form_is_the_same_an_octave_up(made in made()) {
        let sheet = sheet(&made);
        prop_assert_eq!(phrases::phrases(&sheet), phrases::phrases(&sheet.up(music::Interval::OCTAVE)));
    }

    /// Spreading symbols leaves no two at one place.
    #[test]
    fn spread_symbols_stand_apart(made in made()) {
        let mut sheet = sheet(&made);
        harmony::spread(&mut sheet);
        for m in &sheet.measures {
            for pair in m.frame.chords.windows(2) {
                prop_assert!(pair[0].at < pair[1].at);
            }
        }
        prop_assert!(harmony::spread(&mut sheet).is_empty());
    }
}
