//! A few measures of the melody as a small piece of music: one staff, without chords and words.

use crate::one_staff::{self, without_metronome};
use music::{Barline, Bracket, Hand, LeadSheet, MeasureNumber, Preparation, Score, ScoreMeasure, Tempo, Tie, Words};

/// Whether the meter is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meter {
    Shown,
    Known,
}

/// The MusicXML of the melody of some measures that follow one another.
pub fn melody(sheet: &LeadSheet, tempo: Tempo, measures: &[usize], meter: Meter) -> String {
    let last = measures.len().saturating_sub(1);
    let small = |(place, index): (usize, &usize)| {
        let measure = &sheet.measures[*index];
        let (frame, right) = (measure.frame.clone(), measure.notes.clone());
        let mut small =
            ScoreMeasure { frame, right, left: Vec::new(), heading: None, marks: Vec::new(), source: None, melody: Hand::Right };
        let frame = &mut small.frame;
        (frame.left, frame.right) = (Barline::None, if place == last { Barline::None } else { Barline::Plain });
        // No number is printed over it.
        frame.number = MeasureNumber::from(place as u32 + 1);
        (frame.repeat_start, frame.repeat_end, frame.ending, frame.section) = (false, None, None, None);
        frame.jumps.clear();
        frame.tempos.clear();
        frame.words.clear();
        frame.chords.clear();
        for note in &mut small.right {
            (note.slurs_start, note.slurs_stop, note.bracket) = (0, 0, Bracket::None);
            note.syllables.clear();
            note.fingers.clear();
            note.decorations.clear();
        }
        if let Some(note) = small.right.first_mut().filter(|_| place == 0) {
            note.tie = Tie { from_before: false, ..note.tie };
        }
        if let Some(note) = small.right.last_mut().filter(|_| place == last) {
            note.tie = Tie { to_next: false, ..note.tie };
        }
        small
    };
    let measures = measures.iter().enumerate().map(small).collect();
    let few = Score { words: Words::default(), tempo, preparation: Preparation::default(), measures };
    let text = one_staff::upper(&without_metronome(&formats::musicxml::write::write(&few)), one_staff::Tempo::Assumed);
    if meter == Meter::Shown { text } else { one_staff::without_meter(&text) }
}
