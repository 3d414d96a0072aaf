//! Times worked out by hand. At a quarter = 120 a quarter lasts 500,000 µs, at 60 it lasts 1,000,000 µs.

use super::*;
use crate::measure::{Barline, Ending, Jump};
use crate::text::sheet;
use crate::{Decoration, Hand, Mark, PlacedMark};

fn quarters(n: i64) -> Tempo {
    Tempo::of(Beats::QUARTER, n).expect("in range")
}

fn q(n: i64) -> Beats {
    Beats::QUARTER * n
}

fn place(measure: usize, quarters: i64) -> Place {
    Place { measure, at: q(quarters) }
}

/// So many measures of four-four with a note on each beat.
fn tune(measures: usize) -> LeadSheet {
    sheet(&format!("4/4 C | {}", "C5:1 D5:1 E5:1 F5:1 | ".repeat(measures)))
}

fn clock(tune: &LeadSheet) -> Clock {
    Clock::of_sheet(tune, quarters(120))
}

/// When each measure of the page begins, in thousandths of a second, and when it ends.
fn starts(clock: &Clock) -> Vec<i64> {
    let measures = clock.starts.len();
    (0..measures).map(|m| clock.at(place(m, 0)).micros() / 1000).chain([clock.end().micros() / 1000]).collect()
}

fn mark(tune: &mut LeadSheet, measure: usize, at: i64, tempo: i64) {
    tune.measures[measure].frame.tempos.push((q(at), quarters(tempo)));
}

fn word(tune: &mut LeadSheet, measure: usize, at: i64, text: &str) {
    tune.measures[measure].frame.words.push((q(at), text.to_owned()));
}

/// From 120 to 60 in the middle of the second measure: 2 s, then 1 s and 2 s, then 4 s.
#[test]
fn a_mark_holds_from_its_place() {
    let mut tune = tune(3);
    mark(&mut tune, 1, 2, 60);
    let clock = clock(&tune);
    assert_eq!(starts(&clock), [0, 2_000, 5_000, 9_000]);
    assert_eq!([place(1, 1), place(1, 2), place(1, 3)].map(|p| clock.at(p).micros()), [2_500_000, 3_000_000, 4_000_000]);
    assert_eq!(clock.between(q(5), q(7)).micros(), 1_500_000);
    assert_eq!([place(1, 1), place(1, 2)].map(|p| clock.tempo(p)), [quarters(120), quarters(60)]);
    assert_eq!(clock.tempos(1), [(Beats::ZERO, quarters(120)), (q(2), quarters(60))]);
    assert_eq!(clock.place(clock.beats_at(Seconds::from_micros(3_500_000))), Place { measure: 1, at: q(2) + Beats::EIGHTH });
}

/// A mark at the first note is the opening tempo, whatever else is assumed.
#[test]
fn a_mark_at_the_first_note_opens() {
    let mut tune = tune(1);
    mark(&mut tune, 0, 0, 60);
    assert_eq!((clock(&tune).opening(), clock(&tune).end().micros()), (quarters(60), 4_000_000));
    assert!(clock(&tune).is_steady());
}

/// `|: A B :| C` with 60 from B on: A 2 s, B 4 s; the second time through A goes at 120 again, for that is what stands there; C goes at 60.
#[test]
fn after_a_repeat_the_tempo_that_stands_there_holds() {
    let mut tune = tune(3);
    tune.measures[0].frame.repeat_start = true;
    tune.measures[1].frame.repeat_end = Some(2);
    mark(&mut tune, 1, 0, 60);
    let clock = clock(&tune);
    let passes: Vec<(usize, i64)> = clock.played().iter().map(|p| (p.measure, p.start.micros() / 1000)).collect();
    assert_eq!(passes, [(0, 0), (1, 2_000), (0, 6_000), (1, 8_000), (2, 12_000)]);
    assert_eq!((clock.played_end().micros(), clock.end().micros()), (16_000_000, 10_000_000));
    assert_eq!(clock.played_at(3, q(1)).micros(), 9_000_000);
    assert_eq!(clock.played_place(Seconds::from_micros(9_000_000)), Some((3, q(1))));
    assert_eq!(clock.played_place(Seconds::from_micros(7_000_000)), Some((2, q(2))));
    assert_eq!(clock.played_place(Seconds::from_micros(16_000_000)), None);
}

/// `A 1B: 2C Dd`, 60 under the first ending, 120 from C on; the whole again after D.C.: A B A C D, A C D.
#[test]
fn endings_and_jumps_take_the_tempo_of_their_place() {
    let mut tune = tune(4);
    let ending = |pass| Some(Ending { passes: vec![pass], starts: true, stops: true });
    (tune.measures[1].frame.ending, tune.measures[2].frame.ending) = (ending(1), ending(2));
    tune.measures[1].frame.repeat_end = Some(2);
    tune.measures[3].frame.jumps.push(Jump::DaCapo);
    mark(&mut tune, 1, 0, 60);
    mark(&mut tune, 3, 0, 30);
    let clock = clock(&tune);
    let lengths: Vec<(usize, i64)> = clock.played().iter().map(|p| (p.measure, (p.end - p.start).micros() / 1000)).collect();
    assert_eq!(lengths, [(0, 2_000), (1, 4_000), (0, 2_000), (2, 4_000), (3, 8_000), (0, 2_000), (2, 4_000), (3, 8_000)]);
}

/// Ours: to three quarters, so from 120 to 90 in four steps of an eighth up to the double bar: at 112.5, 105, 97.5 and 90 an eighth lasts 266,667, 285,714,
/// 307,692 and 333,333 µs (30,000,000 divided by each, to the nearest). After the bar 120 holds again.
#[test]
fn a_ritardando_slows_down_in_half_beats() {
    let mut tune = tune(3);
    word(&mut tune, 1, 2, "rit.");
    tune.measures[1].frame.right = Barline::Double;
    let clock = clock(&tune);
    let eighths = [4, 5, 6, 7, 8].map(|e| clock.at(Place { measure: 1, at: Beats::EIGHTH * e }).micros());
    assert_eq!(eighths, [3_000_000, 3_266_667, 3_552_381, 3_860_073, 4_193_406]);
    assert_eq!(clock.tempo(place(2, 0)), quarters(120));
    assert_eq!(clock.end().micros(), 6_193_406);
}

/// A ritardando arrives at the slower mark that follows: 120 to 60 in two steps, 90 and 60, so an eighth of 333,333 and one of 500,000 µs. A faster mark is none
/// that it leads to: 105 and 90 (285,714 and 333,333 µs).
#[test]
fn a_ritardando_leads_to_the_mark_after_it() {
    for (tempo, length) in [(60, 833_333), (140, 619_047)] {
        let mut tune = tune(2);
        word(&mut tune, 0, 3, "rall.");
        mark(&mut tune, 1, 0, tempo);
        assert_eq!(clock(&tune).between(q(3), q(4)).micros(), length);
        assert_eq!(clock(&tune).tempo(place(1, 0)), quarters(tempo));
    }
}

/// What each word makes of 120 four beats later, and after the section that it stands in.
#[test]
fn tempo_words_hold_as_long_as_they_are_meant() {
    let after = |first: &str, second: &str| {
        let mut tune = tune(8);
        word(&mut tune, 0, 0, first);
        word(&mut tune, 1, 0, second);
        tune.measures[2].frame.right = Barline::Double;
        let clock = clock(&tune);
        [place(0, 3), place(1, 0), place(3, 0)].map(|p| clock.tempo(p).milli_per_minute() / 1000)
    };
    // Ritenuto goes at 80 % at once, to the double bar; "a tempo" and "Tempo I" end it.
    assert_eq!(after("riten.", "dolce"), [96, 96, 120]);
    assert_eq!(after("riten.", "a tempo"), [96, 120, 120]);
    assert_eq!(after("riten.", "Tempo I"), [96, 120, 120]);
    // Meno mosso stays: 85 % of 120 is 102; "a tempo" is what was before it.
    assert_eq!(after("meno mosso", "dolce"), [102, 102, 102]);
    assert_eq!(after("meno mosso", "a tempo"), [102, 120, 120]);
    // To 90 in eight steps: at beat 4 the seventh, 120 - 30 * 7 / 8 = 93.75; from there held back to 80 %.
    assert_eq!(after("rit.", "riten."), [93, 72, 120]);
    // To 150 over three measures of eight steps each: after six steps 120 + 30 * 7 / 24 = 128.75, after eight 120 + 30 * 9 / 24 = 131.25.
    assert_eq!(after("accel.", "dolce"), [128, 131, 120]);
}

/// Four measures at most; and the words of the lower staff are read like those above.
#[test]
fn a_ritardando_that_nobody_ends_is_over_after_a_phrase() {
    let mut tune = tune(8);
    word(&mut tune, 1, 0, "rit.");
    let found = clock(&tune);
    assert_eq!([place(4, 3), place(5, 0)].map(|p| found.tempo(p).milli_per_minute()), [90_937, 120_000]);
    let mut page = crate::text::page(&[("C5:4", "C3:4")], 120);
    page.measures[0].marks.push(PlacedMark::new(q(2), Some(Hand::Left), Mark::Words("riten.".into())));
    assert_eq!(Clock::of_score(&page).end().micros(), 2_250_000);
}

/// A number at its place is what a word means there.
#[test]
fn a_number_says_more_than_a_word() {
    let mut tune = tune(2);
    word(&mut tune, 1, 0, "rit.");
    mark(&mut tune, 1, 0, 60);
    assert_eq!(starts(&clock(&tune)), [0, 2_000, 6_000]);
}

/// Ours: half as long again, at the end of the note. The last quarter of the first measure is held: 250,000 µs more. What a ritardando does ends there.
#[test]
fn a_fermata_lets_time_pass_at_the_end_of_its_note() {
    let mut tune = tune(3);
    tune.measures[0].notes[3].decorations.push(Decoration::Fermata);
    word(&mut tune, 0, 2, "riten.");
    let clock = clock(&tune);
    // From beat 3 on at 96 a quarter lasts 625,000 µs; the hold is half a quarter of that.
    assert_eq!([place(0, 3), place(0, 4), place(1, 0)].map(|p| clock.at(p).micros()), [1_625_000, 2_562_500, 2_562_500]);
    assert_eq!((clock.holds(0), clock.holds(1)), (vec![(q(4), Seconds::from_micros(312_500))], vec![]));
    assert_eq!(clock.end().micros(), 6_562_500);
    // A time within the hold is at its end.
    assert_eq!(clock.beats_at(Seconds::from_micros(2_400_000)), q(4));
    let page = crate::text::page(&[("C5:4", "C3:4")], 120);
    assert_eq!(Clock::holding(&page, 100).end().micros(), 2_000_000);
}

/// Every place comes back from its time, on the page and in every pass, and a local clock says the same as the page.
#[test]
fn times_come_back_to_their_places() {
    let mut tune = tune(5);
    tune.measures[0].frame.repeat_start = true;
    tune.measures[2].frame.repeat_end = Some(3);
    mark(&mut tune, 1, 1, 77);
    word(&mut tune, 2, 1, "molto rit.");
    mark(&mut tune, 4, 0, 133);
    tune.measures[1].notes[2].decorations.push(Decoration::Fermata);
    let clock = clock(&tune);
    for pass in 0..clock.played().len() {
        for twelfth in 0..48 {
            let at = Beats::QUARTER.scaled(twelfth, 12).expect("exact");
            let back = clock.played_place(clock.played_at(pass, at)).expect("inside");
            assert!(back.0 == pass && (back.1 - at).abs() < Beats::nearest_quarters(1, 100_000), "{pass} {at} {back:?}");
        }
    }
    let origin = q(6);
    let local = clock.local(origin, q(5), q(14));
    for twelfth in -12..96 {
        let at = Beats::QUARTER.scaled(twelfth, 12).expect("exact");
        assert_eq!(local.at(at), clock.at_beats(origin + at) - clock.at_beats(origin), "{at}");
    }
    assert_eq!((local.tempo(), local.between(q(1), q(2))), (quarters(77), clock.between(q(7), q(8))));
    let steady = clock.local(q(17), q(16), q(20));
    assert_eq!(steady, LocalClock::steady(quarters(133)));
}

/// A page without measures has no time.
#[test]
fn nothing_takes_no_time() {
    let clock = Clock::of_sheet(&LeadSheet::default(), quarters(90));
    assert_eq!((clock.end(), clock.played_end(), clock.opening()), (Seconds::ZERO, Seconds::ZERO, quarters(90)));
    assert_eq!((clock.place(Beats::ZERO), clock.at(place(3, 2))), (Place::default(), Seconds::ZERO));
}
