//! A few measures of a page as a small page of their own: the notes of both hands and the chords, and nothing that belongs to the whole.

use crate::one_staff::without_metronome;
use music::{Barline, Beats, Bracket, Hand, Note, Preparation, Score, ScoreMeasure, Tie, Words};
use std::ops::Range;

/// The MusicXML of some measures, with another accompaniment in each.
pub fn excerpt(score: &Score, measures: Range<usize>, accompaniment: &dyn Fn(usize) -> Vec<Note>) -> String {
    let last = measures.end.saturating_sub(1);
    let small = |(index, measure): (usize, &ScoreMeasure)| {
        let mut small = ScoreMeasure { heading: None, marks: Vec::new(), ..measure.clone() };
        match measure.melody {
            Hand::Right => small.left = accompaniment(index),
            Hand::Left => small.right = accompaniment(index),
        }
        let frame = &mut small.frame;
        (frame.left, frame.right) = (Barline::None, Barline::Plain);
        (frame.repeat_start, frame.repeat_end, frame.ending, frame.section) = (false, None, None, None);
        frame.jumps.clear();
        frame.tempos.clear();
        frame.words.clear();
        for note in small.right.iter_mut().chain(&mut small.left) {
            (note.slurs_start, note.slurs_stop, note.bracket) = (0, 0, Bracket::None);
            note.syllables.clear();
            note.fingers.clear();
        }
        // What is tied to a measure that is not shown begins or ends here.
        let tune = if measure.melody == Hand::Right { &mut small.right } else { &mut small.left };
        let first = tune.first_mut().filter(|_| index == measures.start && index <= last);
        first.into_iter().for_each(|n| n.tie = Tie { from_before: false, ..n.tie });
        let end = tune.last_mut().filter(|_| index == last);
        end.into_iter().for_each(|n| n.tie = Tie { to_next: false, ..n.tie });
        small
    };
    let shown = score.measures.iter().enumerate().skip(measures.start).take(measures.len());
    let few =
        Score { words: Words::default(), tempo: score.tempo, preparation: Preparation::default(), measures: shown.map(small).collect() };
    without_metronome(&formats::musicxml::write::write(&few))
}

/// The strings that are plucked in a measure: when, which, rolled or not.
pub fn plucked(notes: &[Note]) -> Vec<(Beats, Vec<music::Pitch>, bool)> {
    notes.iter().filter(|n| n.is_plucked()).map(|n| (n.at, n.pitches.clone(), n.rolled)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two measures out of four: no repeat, no words, no tempo; the chords and the other left hand.
    #[test]
    fn a_few_measures_have_nothing_of_the_whole() {
        let text = "X:1\nT:Four\nM:4/4\nL:1/4\nQ:1/4=90\nK:C\n|:\"C\"c4-|\"F\"c2 A2|\"G\"B4|\"C\"c4:|\nw: one two three four five\n";
        let imported = formats::read(text.as_bytes(), &formats::ReadOptions::default()).expect("a tune");
        let (figures, harp, player) = (arrange::Figures::own(), harp::Instrument::lever_34(), harp::Player::default());
        let made = arrange::arrange(&imported.sheet, &figures, &harp, &player, &arrange::Wishes::default()).expect("arranged");
        let low = |_| vec![Note::of(Beats::ZERO, Beats::QUARTER * 4, vec![music::Pitch::parse("C2").expect("a pitch")])];
        let xml = excerpt(&made.score, 1..3, &low);
        assert_eq!(xml.matches("<measure ").count(), 2);
        for gone in ["metronome", "<repeat", "<lyric", "<tie ", "<work-title>Four", "<fingering"] {
            assert!(!xml.contains(gone), "{gone} in {xml}");
        }
        assert_eq!(xml.matches("<octave>2</octave>").count(), 2, "{xml}");
        assert!(xml.contains("<root-step>F</root-step>") && xml.contains("<root-step>G</root-step>"), "{xml}");
    }
}
