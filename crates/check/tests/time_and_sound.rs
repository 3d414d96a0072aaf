//! Leaps, speed, repeated strings, ringing and the principles: where each rule speaks and where it must not.

mod pages;

use check::{Gravity, Rule};
use harp::Instrument;
use pages::{gravity, page, pedal_47, report, with_chords};

/// The Harp Legacy Project: leaps without a gap for placing are unsafe; the time is our own (0.4 s and more beyond an octave).
#[test]
fn leaps_want_time() {
    let bass_and_chord = |tempo: i64| page(tempo, &[("C6:1 E6:1 G6:1 E6:1", "C2:1/2 [C4+E4+G4]:1/2 C2:1/2 [C4+E4+G4]:1/2 r:2")]);
    assert_eq!(gravity(&bass_and_chord(160), &pedal_47(), Rule::Leap), Some(Gravity::Hard));
    assert_eq!(gravity(&bass_and_chord(44), &pedal_47(), Rule::Leap), None);
}

/// Our own: a group of four goes quickly, a line that goes on at twelve a second does not.
#[test]
fn a_fast_line() {
    let line = "C5:1/8 D5:1/8 E5:1/8 F5:1/8 G5:1/8 A5:1/8 B5:1/8 C6:1/8 D6:1/8 E6:1/8 F6:1/8 G6:1/8 A6:2.5";
    let held = "C3:1/8 C3:1/8 D3:1/8 E3:1/8 F3:1/8 G3:1/8 A3:1/8 B3:1/8 C4:1/8 D4:1/8 E4:1/8 F4:1/8 G4:2.5";
    assert_eq!(gravity(&page(90, &[(line, held)]), &pedal_47(), Rule::Speed), Some(Gravity::Hard));
    assert_eq!(gravity(&page(30, &[(line, held)]), &pedal_47(), Rule::Speed), None);
}

/// Philharmonia, Harp: repeated notes are weak, repeated chords worse.
#[test]
fn repeated_chords_and_notes() {
    let chord = "[G4+B4+D5]:1/2";
    let chords = page(120, &[([chord; 8].join(" ").as_str(), "G2:4")]);
    let found = report(&chords, &pedal_47());
    let repeated = found.findings.iter().find(|f| f.rule == Rule::RepeatedString).expect("a finding");
    assert_eq!(repeated.gravity, Gravity::Hard);
    assert!(!repeated.repairs.is_empty());
    assert_eq!(gravity(&page(40, &[([chord; 8].join(" ").as_str(), "G2:4")]), &pedal_47(), Rule::RepeatedString), None);
    let once = page(110, &[("G5:1/2 G5:1/2 A5:1 B5:2", "G2:4")]);
    assert_eq!(gravity(&once, &pedal_47(), Rule::RepeatedString), Some(Gravity::Look));
}

/// Ballard, Ditch the buzz: worst on low strings.
#[test]
fn low_strings_buzz() {
    let bass = |octave: u8| page(120, &[("G5:4", &format!("C{octave}:1 C{octave}:1 C{octave}:2"))]);
    assert_eq!(gravity(&bass(2), &pedal_47(), Rule::Buzz), Some(Gravity::Look));
    assert_eq!(gravity(&bass(4), &pedal_47(), Rule::Buzz), None);
}

/// Rimsky-Korsakov: middle and low notes ring on and blur when the harmony changes; a muffle mends it.
#[test]
fn ringing_into_a_new_chord() {
    let score = with_chords(page(60, &[("D5:4", "[G2+B2]:4"), ("C5:4", "[C2+E3]:4"), ("C5:4", "[C2+E3]:4")]), &["G", "C", "C"]);
    let found = report(&score, &Instrument::lever_34());
    let ring = found.findings.iter().find(|f| f.rule == Rule::Ring).expect("a finding");
    assert!(ring.repairs.iter().any(|r| r.text == "muffle B2 as the chord changes"), "{:?}", ring.repairs);
}

/// Common practice: one of the hands sounds on every strong beat, and the chord is struck.
#[test]
fn an_empty_strong_beat() {
    let bare =
        with_chords(page(90, &[("C5:1 D5:1 E5:1 F5:1", "[C3+G3]:4"), ("r:1 G5:1 A5:2", "r:4"), ("C5:4", "[C3+E3]:4")]), &["C", "Am", "C"]);
    let found = report(&bare, &Instrument::lever_34());
    let strong_beat = found.findings.iter().find(|f| f.rule == Rule::StrongBeats).expect("a finding");
    assert_eq!((strong_beat.gravity, strong_beat.measure(&bare)), (Gravity::Look, 2.into()));
    assert!(strong_beat.repairs.len() >= 2, "{:?}", strong_beat.repairs);
}

/// Common practice: a busy tune wants a spare left hand.
#[test]
fn both_hands_busy() {
    let busy = "C5:1/2 D5:1/4 E5:1/4 F5:1/2 G5:1/4 A5:1/4 B5:1/2 A5:1/4 G5:1/4 F5:1/2 E5:1/4 D5:1/4";
    let both = with_chords(
        page(
            80,
            &[
                (busy, "C3:1/4 E3:1/4 G3:1/4 C4:1/4 G3:1/4 E3:1/4 C3:1/4 E3:1/4 G3:1/4 C4:1/4 G3:1/4 E3:1/4 C3:1/4 E3:1/4 G3:1/4 C4:1/4"),
                ("C5:4", "C3:4"),
            ],
        ),
        &["C", "C"],
    );
    assert_eq!(gravity(&both, &Instrument::lever_34(), Rule::GiveAndTake), Some(Gravity::Look));
    let spare = with_chords(page(80, &[(busy, "[C3+G3]:2 [E3+C4]:2"), ("C5:4", "C3:4")]), &["C", "C"]);
    assert_eq!(gravity(&spare, &Instrument::lever_34(), Rule::GiveAndTake), None);
}

/// Schoenberg, Fundamentals (from memory): a figure is kept, and varied.
#[test]
fn a_figure_beyond_patience() {
    let measures = vec![("C5:2 E5:2", "C3:1 G3:1 C4:1 G3:1"); 20];
    assert_eq!(gravity(&page(90, &measures), &pedal_47(), Rule::SteadyFigure), Some(Gravity::Look));
    assert_eq!(gravity(&page(90, &measures[..12]), &pedal_47(), Rule::SteadyFigure), None);
}

/// Beats are counted from 1 as the meter counts; a pickup ends with the last beat.
#[test]
fn places_as_printed() {
    let mut score = page(60, &[("C7:1", "r:1"), ("E5:1 C7:3", "r:4")]);
    score.measures[0].frame.number = 0.into();
    score.measures[1].frame.number = 1.into();
    let found = report(&score, &Instrument::lever_34()).findings;
    let places: Vec<(u32, f64)> = found.iter().map(|f| (f.measure(&score).count, f.beat(&score))).collect();
    assert_eq!(places, [(0, 4.0), (1, 2.0)]);
}

/// Common practice on the harp: an arpeggio through both hands, a scale with a held chord, a prelude figure and moving chords are played at a quarter note = 100.
#[test]
fn harp_writing_is_left_alone() {
    let sixteenths = |names: &str| names.split(' ').map(|n| format!("{n}:1/4")).collect::<Vec<_>>().join(" ");
    let arpeggio = sixteenths("C3 E3 G3 C4 E4 G4 C5 E5 G5 E5 C5 G4 E4 C4 G3 E3");
    let scale = sixteenths("C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 A5 B5 C6 D6");
    let prelude = sixteenths("r G4 C5 E5 r G4 C5 E5 r A4 C5 F5 r A4 C5 F5");
    let chords = "[E4+G4+C5]:1 [F4+A4+C5+F5]:1 [G4+B4+D5]:1 [E4+G4+C5+E5]:1";
    let under = "[C2+C3]:1 [F2+C3+F3]:1 [G2+G3]:1 [C2+G2+C3]:1";
    for (upper, lower) in [(arpeggio.as_str(), "r:4"), (&scale, "[C3+G3]:4"), (&prelude, "C3:1 C3:1 F3:1 F3:1"), (chords, under)] {
        let found = report(&page(100, &[(upper, lower), (upper, lower)]), &pedal_47());
        assert!(found.findings.iter().all(|f| f.gravity == Gravity::Look), "{upper}: {:?}", found.findings);
    }
}

/// Common practice for each: what the arranger's principles would charge is said, and the plain version is not.
#[test]
fn principles_speak_and_are_silent() {
    let tune = [("C5:2 E5:2", ""), ("D5:2 F5:2", ""), ("D5:2 B4:2", ""), ("C5:4", "")];
    let ending = |second: &str, last: &str| {
        let lefts = ["[C3+G3]:4", second, "[G2+D3]:4", last];
        let measures: Vec<(&str, &str)> = tune.iter().zip(lefts).map(|(t, left)| (t.0, left)).collect();
        with_chords(page(80, &measures), &["C", "Dm", "G", "C"])
    };
    let said = |second: &str, rule: Rule| gravity(&ending(second, "[C3+E3+G3]:4"), &Instrument::lever_34(), rule);
    for rule in [Rule::BassLine, Rule::ClearTune, Rule::Doubling, Rule::Pace, Rule::PhraseEnd, Rule::StrongBeats, Rule::HandsClose] {
        assert_eq!(said("[D3+A3]:4", rule), None, "{rule:?}");
    }
    assert_eq!(said("[E3+B3]:4", Rule::BassLine), Some(Gravity::Look));
    // A thin last chord stands on its root all the same.
    assert_eq!(gravity(&ending("[D3+A3]:4", "C4:4"), &Instrument::lever_34(), Rule::BassLine), None);
    assert_eq!(said("[A4+C5]:1 [A4+C5]:1 [A4+E5]:1 [A4+E5]:1", Rule::ClearTune), Some(Gravity::Look));
    let busy = "D3:1/4 A3:1/4 D4:1/4 F4:1/4 D3:1/4 A3:1/4 D4:1/4 F4:1/4 D3:1/4 A3:1/4 D4:1/4 F4:1/4 D3:1/4 A3:1/4 D4:1/4 F4:1/4";
    assert_eq!(said(busy, Rule::Pace), Some(Gravity::Look));
}

/// Common practice: a phrase end breathes.
#[test]
fn a_phrase_end_without_breath() {
    let tune = ["C5:1 D5:1 E5:1 F5:1", "G5:1 F5:1 E5:1 D5:1", "E5:1 D5:1 C5:1 B4:1", "C5:2 r:2"];
    let score = |last: &str| {
        let lefts = ["[C3+G3]:4", "[C3+G3]:4", "[G2+D3]:4", last];
        let measures: Vec<(&str, &str)> = tune.iter().copied().zip(lefts).chain(tune.iter().copied().zip(lefts)).collect();
        with_chords(page(80, &measures), &["C", "C", "G", "C", "C", "C", "G", "C"])
    };
    let running = "C3:1/2 G3:1/2 C4:1/2 G3:1/2 C3:1/2 G3:1/2 C4:1/2 G3:1/2";
    assert_eq!(gravity(&score(running), &Instrument::lever_34(), Rule::PhraseEnd), Some(Gravity::Look));
    assert_eq!(gravity(&score("[C3+G3]:4"), &Instrument::lever_34(), Rule::PhraseEnd), None);
}

/// Common practice: later verses are fuller, or at least not thinner.
#[test]
fn verses_that_grow_thinner() {
    let score = |first: &str, last: &str| {
        let mut score = page(80, &[("C5:2 E5:2", first), ("C5:2 E5:2", last)]);
        score.measures[0].heading = Some("Verse 1".into());
        score.measures[1].heading = Some("Verse 2".into());
        score
    };
    let (full, plain) = ("C3:1 G3:1 C4:1 G3:1", "C3:4");
    assert_eq!(gravity(&score(full, plain), &Instrument::lever_34(), Rule::Curve), Some(Gravity::Look));
    assert_eq!(gravity(&score(plain, full), &Instrument::lever_34(), Rule::Curve), None);
}

/// A harp teaching blog: about two empty strings between the hands; full hands side by side are worth a look.
#[test]
fn hands_side_by_side() {
    let close = page(60, &[("[D4+F4+A4]:4", "[G3+B3+C4]:4")]);
    assert_eq!(gravity(&close, &pedal_47(), Rule::HandsClose), Some(Gravity::Look));
    let apart = page(60, &[("[F4+A4+C5]:4", "[G3+B3+C4]:4")]);
    assert_eq!(gravity(&apart, &pedal_47(), Rule::HandsClose), None);
}
