//! Small invented pages for the tests, in the short text form.

use check::{Because, Gravity, Report, Rule, check_on};
use harp::{Instrument, Mechanism, Player, Tuning};
use music::{Beats, Frame, Key, Meter, Pitch, PitchName, PlacedChord, Preparation, Score, ScoreMeasure, Step, Tempo, Words, text};

#[allow(dead_code)]
/// Two hands in 4/4, a measure for each pair of lines (upper staff, lower staff).
pub fn page(quarters_a_minute: i64, measures: &[(&str, &str)]) -> Score {
    let measure = |(index, (right, left)): (usize, &(&str, &str))| {
        let (right, left) = (text::notes(right), text::notes(left));
        let mut frame = Frame::plain(index as u32 + 1, Meter::simple(4, 4), Key::C_MAJOR);
        frame.length = right.last().map_or(frame.length, music::Note::end);
        ScoreMeasure { frame, right, left, heading: None, marks: Vec::new(), source: Some(index), melody: music::Hand::Right }
    };
    Score {
        words: Words::default(),
        tempo: Tempo::of(Beats::QUARTER, quarters_a_minute).expect("a tempo in range"),
        preparation: Preparation::default(),
        measures: measures.iter().enumerate().map(measure).collect(),
    }
}

/// With chord symbols at the starts of the measures.
#[allow(dead_code)]
pub fn with_chords(mut score: Score, symbols: &[&str]) -> Score {
    for (measure, symbol) in score.measures.iter_mut().zip(symbols) {
        let sheet = text::sheet(&format!("4/4 C | \"{symbol}\"C4:4 |"));
        let chord = sheet.measures[0].frame.chords[0].clone();
        measure.frame.chords = vec![PlacedChord { at: Beats::ZERO, ..chord }];
    }
    score
}

/// The concert harp: 47 strings from C1, C1 and D1 without discs (harp facts 1.1).
#[allow(dead_code)]
pub fn pedal_47() -> Instrument {
    let low = Pitch::parse("C1").expect("a pitch");
    let fixed = vec![low.position(), low.position() + 1];
    let tuning = Tuning::of_major(PitchName::new(Step::C, -1));
    Instrument::new("pedal-47".into(), low, 47, tuning, Mechanism::Pedals { fixed }).expect("a harp")
}

#[allow(dead_code)]
pub fn report(score: &Score, harp: &Instrument) -> Report {
    check_on(score, harp, Because::Asked, &Player::default())
}

/// Everything that is said, in order of place.
#[allow(dead_code)]
pub fn said(score: &Score, harp: &Instrument) -> Vec<(Gravity, Rule)> {
    report(score, harp).findings.iter().map(|f| (f.gravity, f.rule)).collect()
}

/// How grave what a rule says is; `None` where it says nothing.
#[allow(dead_code)]
pub fn gravity(score: &Score, harp: &Instrument, rule: Rule) -> Option<Gravity> {
    said(score, harp).into_iter().filter(|s| s.1 == rule).map(|s| s.0).min()
}
