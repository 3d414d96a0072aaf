//! Pages of a few measures and what is planned for them.

use super::*;
use crate::page::replay;
use music::text::sheet;
use music::{Note, Preparation, ScoreMeasure, Tempo};

/// The tune of a sheet over a left hand of whole notes, one a measure.
fn page(tune: &str, left: &[&str]) -> Score {
    let sheet = sheet(tune);
    let pitches = |text: &str| text.split_whitespace().map(|p| Pitch::parse(p).expect("a pitch")).collect::<Vec<_>>();
    let measures = sheet.measures.into_iter().zip(left.iter().chain(std::iter::repeat(&""))).map(|(measure, left)| ScoreMeasure {
        left: vec![Note::of(Beats::ZERO, measure.frame.length, pitches(left))],
        frame: measure.frame,
        right: measure.notes,
        heading: None,
        marks: Vec::new(),
        source: Some(0),
        melody: music::Hand::Right,
    });
    Score {
        words: sheet.words,
        tempo: Tempo::of(Beats::QUARTER, 80).expect("a tempo"),
        preparation: Preparation::default(),
        measures: measures.collect(),
    }
}

fn planned(score: &mut Score, harp: &Instrument) -> PageSettings {
    let wish = SettingsWish { respelled: None, ..SettingsWish::default() };
    let found = settings(score, harp, &Player::default(), &wish);
    found.write(score);
    assert_eq!(replay(score, &found.opening, harp), []);
    found
}

fn lever(measure: usize, at: Beats, pitch: &str, first_pass: u32) -> PageMark {
    PageMark { measure, at, mark: Mark::Lever(Pitch::parse(pitch).expect("a pitch")), first_pass }
}

/// Arithmetic: F natural and F sharp of one octave in turn, with a measure's time between, are one move each; another octave's F keeps its own lever.
#[test]
fn a_lever_is_moved_between_two_notes_of_its_string() {
    let harp = Instrument::lever_34();
    let mut score = page("4/4 C | F5:2 A5:2 | F#5:4 | F4:4 |", &["", "", ""]);
    let found = planned(&mut score, &harp);
    assert_eq!(found.marks, [lever(0, Beats::HALF, "F#5", 1)]);
    assert!(found.missing.is_empty());
}

/// Common practice: a move stands near its note, on a beat; here the last one that leaves 0.6 s at 80 beats a minute.
#[test]
fn a_move_may_be_printed_near_its_note() {
    let harp = Instrument::lever_34();
    let mut score = page("4/4 C | F5:2 A5:2 | G5:4 | A5:2 F#5:2 |", &["", "", ""]);
    let wish = SettingsWish { respelled: None, moves: When::Late, ..SettingsWish::default() };
    let found = settings(&score, &harp, &Player::default(), &wish);
    found.write(&mut score);
    assert_eq!(found.marks, [lever(2, Beats::QUARTER, "F#5", 1)]);
    assert_eq!(replay(&score, &found.opening, &harp), []);
}

/// `F5 | rests | rests | F#5` over half notes of the left hand, with a tempo mark over the second measure. Arithmetic: at 160 the half notes are 0.75 s apart; the
/// hand is away 0.17 s after one and back 0.3 s before the next, and beat 2, after 0.375 s, leaves 0.075 s of the 0.4 s that a lever takes. At 60 they are
/// 2 s apart, and the half beat after 0.5 s leaves 1.2 s.
fn over_half_notes(opening: i64, then: i64) -> Score {
    let mut score = page("4/4 C | F5:4 | A5:4 | A5:4 | F#5:4 |", &["", "", "", ""]);
    let quarters = |n: i64| Tempo::of(Beats::QUARTER, n).expect("a tempo");
    score.tempo = quarters(opening);
    score.measures[1].frame.tempos.push((Beats::ZERO, quarters(then)));
    for measure in &mut score.measures {
        measure.left = music::text::notes("C3:2 G3:2");
    }
    score
}

#[test]
fn a_window_of_the_slower_second_half_is_found() {
    let harp = Instrument::lever_34();
    let found = planned(&mut over_half_notes(160, 60), &harp);
    assert_eq!(found.missing, []);
    assert!((1..3).contains(&found.marks[0].measure) && found.moves.len() == 1, "{:?}", found.marks);
    let wish = SettingsWish { respelled: None, ..SettingsWish::default() };
    let fast = settings(&over_half_notes(160, 160), &harp, &Player::default(), &wish);
    assert_eq!((fast.missing.len(), fast.moves.len()), (1, 0), "the F or the F sharp");
}

#[test]
fn a_window_that_is_too_short_in_the_faster_second_half_is_not_taken() {
    let harp = Instrument::lever_34();
    let wish = SettingsWish { respelled: None, ..SettingsWish::default() };
    let found = settings(&over_half_notes(60, 160), &harp, &Player::default(), &wish);
    assert_eq!((found.missing.len(), found.moves.len()), (1, 0), "the F or the F sharp");
    assert_eq!(planned(&mut over_half_notes(60, 60), &harp).missing, []);
}

/// The same music, the slow half heard again after the fast one: in the second pass the times of the page hold, not those of what came before.
#[test]
fn a_repeat_takes_the_tempo_of_its_place() {
    let harp = Instrument::lever_34();
    let mut score = over_half_notes(160, 60);
    score.measures[0].frame.repeat_start = true;
    score.measures[3].frame.repeat_end = Some(2);
    score.measures[3].right = music::text::notes("F#5:2 A5:2");
    let found = planned(&mut score, &harp);
    assert_eq!(found.missing, []);
    assert!(found.moves.iter().all(|m| m.measure > 0), "no move in the fast measure: {:?}", found.moves);
}

/// Arithmetic: in a repeat the string has to go back before the repeat begins again, and a printed move is made in every pass.
#[test]
fn a_repeat_is_true_in_both_passes() {
    let harp = Instrument::lever_34();
    let mut score = page("4/4 C |: F5:2 A5:2 | F#5:2 A5:2 :|", &["", ""]);
    let found = planned(&mut score, &harp);
    assert_eq!(found.moves.len(), 4);
    assert!(found.missing.is_empty());
}

/// Common practice: a mark is printed where it is needed the first time too, if there is such a place; else it says when it is.
#[test]
fn a_mark_does_something_the_first_time_or_says_when() {
    let harp = Instrument::lever_34();
    let mut in_time = page("4/4 C |: F5:2 A5:2 | F#5:2 A5:2 :|", &["", ""]);
    assert!(planned(&mut in_time, &harp).marks.iter().all(|m| m.first_pass == 1));
    let mut only_then = page("4/4 C |: r:2 F5:1 A5:1 | A5:2 F#5:2 :|", &["", ""]);
    let found = planned(&mut only_then, &harp);
    assert_eq!(found.marks.iter().map(|m| m.first_pass).collect::<Vec<_>>(), [2, 1]);
    assert_eq!(found.moves.len(), 3);
    assert_eq!(only_then.measures[0].marks[0].first_pass, 2);
}

/// Arithmetic: what the left hand's lever cannot give the written note has no time for is said, with its measure.
#[test]
fn what_cannot_be_had_is_named() {
    let harp = Instrument::lever_34();
    let mut score = page("4/4 C | F5:1/4 F#5:1/4 G5:3 A5:1/2 |", &[""]);
    let wish = SettingsWish { respelled: None, ..SettingsWish::default() };
    let found = settings(&score, &harp, &Player::default(), &wish);
    let said: Vec<String> = found.missing.iter().map(|m| format!("{} {m}", m.measure)).collect();
    assert_eq!(said, ["0 there is no free moment to move the lever for F5"]);
    found.write(&mut score);
    assert_eq!(score.measures[0].right[0].unplayable, score.measures[0].right[0].pitches);
}

/// Harp facts 2.3: on E-flat tuning D-flat is had as C-sharp only; the page prints the string that is plucked, through its ties.
#[test]
fn the_plucked_string_is_printed() {
    let harp = Instrument::lever_34();
    let mut score = page("4/4 Ab | Db5:4 | Db5:4 |", &["", ""]);
    score.measures[0].right[0].tie.to_next = true;
    score.measures[1].right[0].tie.from_before = true;
    let found = settings(&score, &harp, &Player::default(), &SettingsWish::default());
    found.write(&mut score);
    let tops: Vec<String> = score.measures.iter().flat_map(|m| &m.right).filter_map(|n| n.top()).map(|p| p.to_string()).collect();
    assert_eq!(tops, ["C#5", "C#5"]);
    assert_eq!(replay(&score, &found.opening, &harp), []);
}
