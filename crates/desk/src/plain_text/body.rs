//! The measures of a text with their headings, in one of three orders; `read` reads them.

use super::Order;
use super::frame::{self, Before};
use super::head::from_to;
use super::notes::{Room, notes};
use super::song;
use music::{Beats, Frame, Hand, MeasureNumber, Meter, Note, Score, ScoreMeasure};
use std::collections::BTreeMap;
use std::ops::Range;

/// A hand that does what it did before is told so, if that saves reading: what it does takes at least so many letters.
const WORTH_A_REFERENCE: usize = 30;

/// What is told and how.
#[derive(Clone, Copy, Debug)]
pub struct Body<'a> {
    pub score: &'a Score,
    /// The phrase, from 0, of each measure.
    pub phrases: &'a [usize],
    pub order: Order,
}

/// "Right hand" as a heading and as a label.
pub fn hand_name(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "Right hand",
        Hand::Left => "Left hand",
    }
}

/// The label of the notes where a heading says whose they are.
pub const PLAY: &str = "Play";

/// "Measure 5", "Pickup", "Measure 2 of the ending".
pub fn heading(number: MeasureNumber) -> String {
    let words = number.at_the_start();
    words.strip_prefix("The pickup").map_or(words.clone(), |rest| format!("Pickup{rest}"))
}

impl Body<'_> {
    pub fn lines(self) -> Vec<String> {
        let runs = self.runs();
        let mut lines = Vec::new();
        let mut seen = Seen::of(self.score);
        match self.order {
            Order::Measure => {
                for run in &runs {
                    lines.extend(self.phrase_heading(run));
                    run.clone().for_each(|i| lines.extend(self.measure(i, &[Hand::Right, Hand::Left], &mut seen)));
                }
            }
            Order::Phrase => {
                for run in &runs {
                    lines.extend(self.phrase_heading(run));
                    for hand in [Hand::Right, Hand::Left] {
                        lines.extend([String::new(), hand_name(hand).to_owned()]);
                        run.clone().for_each(|i| lines.extend(self.measure(i, &[hand], &mut seen)));
                    }
                }
            }
            Order::Hand => {
                for hand in [Hand::Right, Hand::Left] {
                    lines.extend([String::new(), hand_name(hand).to_owned()]);
                    for run in &runs {
                        lines.extend(self.phrase_heading(run));
                        run.clone().for_each(|i| lines.extend(self.measure(i, &[hand], &mut seen)));
                    }
                }
            }
        }
        lines
    }

    fn phrase_of(self, measure: usize) -> Option<usize> {
        (self.phrases.len() == self.score.measures.len()).then(|| self.phrases[measure])
    }

    /// Measures in a row of one phrase.
    fn runs(self) -> Vec<Range<usize>> {
        let mut runs: Vec<Range<usize>> = Vec::new();
        for i in 0..self.score.measures.len() {
            match runs.last_mut() {
                Some(run) if self.phrase_of(i) == self.phrase_of(run.start) => run.end = i + 1,
                _ => runs.push(i..i + 1),
            }
        }
        runs
    }

    fn phrase_heading(self, run: &Range<usize>) -> Vec<String> {
        let number = |i: usize| self.score.measures[i].frame.number;
        let phrase = self.phrase_of(run.start).unwrap_or(0);
        let again = (0..run.start).any(|i| self.phrase_of(i) == Some(phrase));
        let goes_on = if again { " goes on" } else { "" };
        vec![String::new(), format!("Phrase {}{goes_on}, {}", phrase + 1, from_to(number(run.start), number(run.end - 1)))]
    }

    /// A measure with the hands that are told with it.
    fn measure<'a>(&'a self, index: usize, hands: &[Hand], seen: &mut Seen<'a>) -> Vec<String> {
        let measure = &self.score.measures[index];
        let first = &self.score.measures[0].frame;
        let before = Before::of(self.score.measures[..index].last().map_or(first, |m| &m.frame));
        let mut lines = vec![String::new(), heading(measure.frame.number)];
        lines.extend(frame::common(measure, &before));
        lines.extend(frame::chord_line(&measure.frame));
        for hand in hands {
            let label = if hands.len() > 1 { hand_name(*hand) } else { PLAY };
            lines.push(format!("{label}: {}", seen.told(measure, *hand)));
            lines.extend(song::words(measure.hand(*hand)).into_iter().map(|(verse, words)| format!("Verse {verse}: {words}")));
            lines.extend(frame::marks(measure, Some(*hand)));
        }
        lines
    }
}

/// What each hand did in which measure; only measures whose number is theirs alone can be named.
pub struct Seen<'a> {
    alone: BTreeMap<MeasureNumber, usize>,
    #[allow(clippy::type_complexity, reason = "what two measures must share for one to be told as the other")]
    told: BTreeMap<(Hand, String), Vec<(&'a Meter, Beats, MeasureNumber)>>,
}

impl<'a> Seen<'a> {
    pub fn of(score: &Score) -> Seen<'a> {
        let mut alone = BTreeMap::new();
        for measure in &score.measures {
            *alone.entry(measure.frame.number).or_default() += 1;
        }
        Seen { alone, told: BTreeMap::new() }
    }

    fn told(&mut self, measure: &'a ScoreMeasure, hand: Hand) -> String {
        let Frame { meter, length, number, .. } = &measure.frame;
        let said = notes(measure.hand(hand), Room { meter, length: *length });
        let same = self.told.entry((hand, said.clone())).or_default();
        let found = same.iter().find(|(m, l, _)| *m == meter && l == length);
        match found {
            Some((_, _, number)) if said.len() >= WORTH_A_REFERENCE => reference(*number),
            _ => {
                if self.alone.get(number) == Some(&1) {
                    same.push((meter, *length, *number));
                }
                said
            }
        }
    }
}

/// "as measure 5".
pub fn reference(number: MeasureNumber) -> String {
    format!("as {}", number.in_words())
}

/// A hand's notes without the words of the song: what a reference stands for.
pub fn without_words(notes: &[Note]) -> Vec<Note> {
    notes.iter().map(|note| Note { syllables: Vec::new(), ..note.clone() }).collect()
}
