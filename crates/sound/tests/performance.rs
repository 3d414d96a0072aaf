//! Pages in seconds: repeats, ties, rolls, grace notes, fermatas, tempos, hands, muffles, levers.

use music::measure::Ending;
use music::text::{notes, page};
use music::{Beats, Decoration, Grace, Hand, Mark, Note, Pitch, PlacedMark, Score, Seconds, Tempo, Tie};
use sound::{Hands, Landing, Performance, Performing, Rolls, TempoShare, perform};

fn pitch(name: &str) -> Pitch {
    Pitch::parse(name).expect("a pitch")
}

/// Measures of 4/4 at 60 quarters a minute, so that a beat is a second: right and left hand of each.
fn score(measures: &[(&str, &str)]) -> Score {
    page(measures, 60)
}

fn mark(at: Beats, hand: Option<Hand>, mark: Mark) -> PlacedMark {
    PlacedMark::new(at, hand, mark)
}

fn performed(score: &Score) -> Performance {
    perform(score, &Performing::default())
}

/// Every pluck as its pitch, its time in milliseconds, and after `-` when it is stopped.
fn said(performance: &Performance) -> String {
    let millis = |s: Seconds| s.micros() / 1000;
    let say = |p: &sound::Pluck| format!("{}@{}{}", p.pitch, millis(p.at), p.stopped.map_or(String::new(), |s| format!("-{}", millis(s))));
    performance.plucks.iter().map(say).collect::<Vec<_>>().join(" ")
}

/// Arithmetic: at 60 a minute a quarter lasts a second, and each measure four.
#[test]
fn repeats_and_endings_are_played() {
    let mut page = score(&[("C5:4", "r:4"), ("D5:4", "r:4"), ("E5:4", "r:4")]);
    page.measures[1].frame.ending = Some(Ending { passes: vec![1], starts: true, stops: true });
    page.measures[1].frame.repeat_end = Some(2);
    page.measures[2].frame.ending = Some(Ending { passes: vec![2], starts: true, stops: true });
    let played = performed(&page);
    assert_eq!(said(&played), "C5@0 D5@4000 C5@8000 E5@12000");
    assert_eq!(played.passes.iter().map(|p| p.measure).collect::<Vec<_>>(), [0, 1, 0, 2]);
    assert_eq!(played.plucks.iter().map(|p| (p.pass, p.place.measure)).collect::<Vec<_>>(), [(0, 0), (1, 1), (2, 0), (3, 2)]);
    assert_eq!(played.passes[3].beats.iter().map(|b| b.1.micros()).collect::<Vec<_>>(), [12_000_000, 13_000_000, 14_000_000, 15_000_000]);
}

/// Common practice: a tied note is not plucked again; the notes of its chord that are not tied are.
#[test]
fn ties_are_not_plucked_again() {
    let mut page = score(&[("C5:4", "C3:4"), ("[C5+E5]:2 C5:2", "C3:4")]);
    page.measures[0].right[0].tie.to_next = true;
    page.measures[1].right[0].tie = Tie { from_before: true, to_next: false };
    assert_eq!(said(&performed(&page)), "C3@0-4000 C5@0 C3@4000 E5@4000 C5@6000");
}

/// A voice that holds while another moves: the held note is written again in the next measure, tied, and still not plucked. After a jump to a place where
/// nothing holds it, it is.
#[test]
fn ties_hold_beside_another_voice() {
    let mut page = score(&[("C5:2 E4:2", "r:4"), ("C5:2 D5:2", "r:4")]);
    page.measures[1].right[0].tie.from_before = true;
    assert_eq!(said(&performed(&page)), "C5@0 E4@2000 D5@6000");
    page.measures[0].right = notes("G5:4");
    assert_eq!(said(&performed(&page)), "G5@0 C5@4000 D5@6000");
}

/// Harp facts 3.3: the top note on the beat; 70 ms a string, never more than 40 percent of the chord.
#[test]
fn rolls_land_on_the_beat() {
    let page = score(&[("r:4", "C3:1 ~[C3+G3+E4]:2 r:1")]);
    assert_eq!(said(&performed(&page)), "C3@0-860 C3@860 G3@930 E4@1000");
    let rolls = Rolls { landing: Landing::First, ..Rolls::default() };
    assert_eq!(said(&perform(&page, &Performing { rolls, ..Performing::default() })), "C3@0-1000 C3@1000 G3@1070 E4@1140");
    let short = score(&[("r:4", "C3:1 ~[C3+G3+E4]:1/4 r:11/4")]);
    assert_eq!(said(&performed(&short)), "C3@0-900 C3@900 G3@950 E4@1000");
}

/// A roll on the first beat has to begin before it: everything comes later by as much.
#[test]
fn a_roll_at_the_beginning_moves_the_page() {
    let page = score(&[("C5:4", "~[C3+G3+E4]:4")]);
    let played = performed(&page);
    assert_eq!(said(&played), "C3@0 G3@70 E4@140 C5@140");
    assert_eq!((played.passes[0].start.micros(), played.passes[0].end.micros()), (140_000, 4_140_000));
}

/// Ours: 80 ms each before the beat, in at most half the time since the note before.
#[test]
fn grace_notes_come_before_the_beat() {
    let grace = |name| Grace { pitches: vec![pitch(name)], value: 8, slashed: true };
    let mut page = score(&[("C5:1 E5:3", "r:4")]);
    page.measures[0].right[1].grace = vec![grace("D5"), grace("F5")];
    assert_eq!(said(&performed(&page)), "C5@0 D5@840 F5@920 E5@1000");
    page.tempo = Tempo::of(Beats::QUARTER, 300).expect("a tempo");
    assert_eq!(said(&performed(&page)), "C5@0 D5@100 F5@150 E5@200");
}

/// Ours: a fermata makes its note half as long again, for both hands.
#[test]
fn fermatas_hold_both_hands() {
    let mut page = score(&[("C5:2 D5:2", "r:4"), ("E5:4", "G3:4")]);
    page.measures[0].right[1].decorations.push(Decoration::Fermata);
    assert_eq!(said(&performed(&page)), "C5@0 D5@2000 G3@5000 E5@5000");
    page.measures[0].left = vec![Note { decorations: vec![Decoration::Fermata], ..Note::rest(Beats::ZERO, Beats::WHOLE) }];
    assert_eq!(said(&performed(&page)), "C5@0 D5@2000 G3@6000 E5@6000");
}

/// Arithmetic: at 120 a minute a quarter lasts half a second; at half the tempo everything takes twice as long.
#[test]
fn tempo_marks_and_the_share_are_followed() {
    let mut page = score(&[("C5:2 D5:1 E5:1", "r:4"), ("F5:4", "r:4")]);
    page.measures[0].frame.tempos.push((Beats::HALF, Tempo::of(Beats::QUARTER, 120).expect("a tempo")));
    assert_eq!(said(&performed(&page)), "C5@0 D5@2000 E5@2500 F5@3000");
    let half = Performing { tempo: TempoShare::new(50).expect("in range"), ..Performing::default() };
    assert_eq!(said(&perform(&page, &half)), "C5@0 D5@4000 E5@5000 F5@6000");
    assert_eq!((TempoShare::new(24), TempoShare::new(151)), (None, None));
}

#[test]
fn one_hand_or_the_melody_alone() {
    let page = score(&[("[E4+C5]:4", "[C3+G3]:4")]);
    let heard = |hands| said(&perform(&page, &Performing { hands, ..Performing::default() }));
    assert_eq!(heard(Hands::Both), "C3@0 G3@0 E4@0 C5@0");
    assert_eq!(heard(Hands::Left), "C3@0 G3@0");
    assert_eq!(heard(Hands::Right), "E4@0 C5@0");
    assert_eq!(heard(Hands::Melody), "C5@0");
}

/// Where the left hand has the melody it is that which is heard alone, and which is plucked the stronger.
#[test]
fn the_melody_in_the_left_hand() {
    let mut page = score(&[("[E5+C6]:4", "C4:4")]);
    page.measures[0].melody = music::Hand::Left;
    let played = |hands| perform(&page, &Performing { hands, ..Performing::default() });
    assert_eq!(said(&played(Hands::Melody)), "C4@0");
    let strengths: Vec<_> = played(Hands::Both).plucks.iter().map(|p| p.strength).collect();
    assert!(strengths[0] > strengths[1] && strengths[1] == strengths[2], "{strengths:?}");
}

/// The ring model's C3 rings longer than four seconds, C6 does not: only what still rings is stopped.
#[test]
fn muffles_stop_what_rings() {
    let mut page = score(&[("C6:4", "[C2+C3]:4"), ("r:4", "G2:4")]);
    page.measures[1].marks = vec![mark(Beats::ZERO, Some(Hand::Left), Mark::Muffle(vec![pitch("C2")]))];
    assert_eq!(said(&performed(&page)), "C2@0-4000 C3@0 C6@0 G2@4000");
    page.measures[1].marks = vec![mark(Beats::ZERO, None, Mark::MuffleAll)];
    assert_eq!(said(&performed(&page)), "C2@0-4000 C3@0-4000 C6@0 G2@4000");
    page.measures[1].marks = vec![mark(Beats::QUARTER, Some(Hand::Left), Mark::Muffle(Vec::new()))];
    assert_eq!(said(&performed(&page)), "C2@0-5000 C3@0-5000 C6@0 G2@4000-5000");
}

/// A roll that begins before its beat is not stopped by the muffle on that beat.
#[test]
fn a_muffle_leaves_the_chord_of_its_own_beat() {
    let mut page = score(&[("r:4", "C2:2 ~[D2+A2]:2")]);
    page.measures[0].marks = vec![mark(Beats::HALF, Some(Hand::Left), Mark::MuffleAll)];
    assert_eq!(said(&performed(&page)), "C2@0-2000 D2@1930 A2@2000");
}

/// Harp facts 1.3 and 2.4: a ringing string is damped before its pitch is changed. A lever moves one string, a pedal its letter in every octave.
#[test]
fn levers_and_pedals_stop_the_strings_they_move() {
    let mut page = score(&[("F4:2 F#4:2", "[F2+F3]:4")]);
    page.measures[0].marks = vec![mark(Beats::QUARTER, Some(Hand::Left), Mark::Lever(pitch("F#4")))];
    assert_eq!(said(&performed(&page)), "F2@0 F3@0 F4@0-1000 F#4@2000");
    page.measures[0].marks = vec![mark(Beats::QUARTER, None, Mark::Pedal(pitch("F#4").name()))];
    assert_eq!(said(&performed(&page)), "F2@0-1000 F3@0-1000 F4@0-1000 F#4@2000");
}

#[test]
fn a_string_in_both_hands_is_plucked_once_and_the_tune_is_the_strongest() {
    let played = performed(&score(&[("[E4+C5]:4", "[C3+E4]:4")]));
    assert_eq!(said(&played), "C3@0 E4@0 C5@0");
    let strengths: Vec<u16> = played.plucks.iter().map(|p| p.strength.thousandths()).collect();
    assert!(strengths[0] < strengths[1] && strengths[1] < strengths[2], "{strengths:?}");
    assert_eq!(played.plucks[1].hand, Hand::Right);
}
