//! Which parts a lesson has, in which order, and what they are called.

use crate::plain_text::measures_called;
use music::{Clock, Hand, MeasureNumber, Score};
use std::collections::BTreeSet;
use std::ops::Range;

/// What is heard in a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heard {
    Tune,
    /// The hand that accompanies, slower than the page says.
    Slowly(Hand),
    AtTempo(Hand),
    Both,
}

/// One part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    pub heard: Heard,
    /// Indices into the passes of the page as it is played.
    pub passes: Range<usize>,
    /// The phrase, from 1; none for the whole.
    pub phrase: Option<usize>,
    /// As they are played.
    measures: Vec<MeasureNumber>,
}

/// All parts in order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Course {
    pub steps: Vec<Step>,
}

impl Course {
    /// The tune alone, each phrase three times, all of it. A phrase that comes again is practised again only where it has a measure that was not heard yet, as another ending.
    pub fn of(score: &Score, phrases: &[usize]) -> Course {
        let order = Clock::of_score(score).order().to_vec();
        let numbers = |passes: Range<usize>| order[passes].iter().map(|m| score.measures[*m].frame.number).collect();
        let whole = |heard: Heard| Step { heard, passes: 0..order.len(), phrase: None, measures: numbers(0..order.len()) };
        if order.is_empty() {
            return Course { steps: Vec::new() };
        }
        let mut steps = vec![whole(Heard::Tune)];
        for passes in new_phrases(&order, phrases) {
            let first = &score.measures[order[passes.start]];
            let hand = first.melody.other();
            let step = |heard: Heard| Step {
                heard,
                passes: passes.clone(),
                phrase: Some(phrases.get(order[passes.start]).map_or(1, |p| p + 1)),
                measures: numbers(passes.clone()),
            };
            steps.extend([Heard::Slowly(hand), Heard::AtTempo(hand), Heard::Both].map(step));
        }
        steps.push(whole(Heard::Both));
        Course { steps }
    }
}

/// Stretches of the playing order that are one phrase and have a measure that was in none before.
fn new_phrases(order: &[usize], phrases: &[usize]) -> Vec<Range<usize>> {
    let phrase = |i: usize| phrases.get(order[i]).copied().unwrap_or(0);
    let (mut runs, mut seen, mut from) = (Vec::new(), BTreeSet::new(), 0);
    for to in 1..=order.len() {
        // A phrase that is played twice in a row begins anew where the order turns back.
        let ends = to == order.len() || phrase(to) != phrase(from) || order[to] <= order[to - 1];
        if ends {
            if order[from..to].iter().filter(|m| seen.insert(**m)).count() > 0 {
                runs.push(from..to);
            }
            from = to;
        }
    }
    runs
}

impl Step {
    /// "Phrase 2, measures 5 to 8. Left hand alone, slowly."
    pub fn in_words(&self) -> String {
        let hand = |hand: Hand| match hand {
            Hand::Right => "Right hand alone",
            Hand::Left => "Left hand alone",
        };
        let heard = match (self.heard, self.phrase) {
            (Heard::Tune, _) => "The tune alone".to_owned(),
            (Heard::Slowly(which), _) => format!("{}, slowly", hand(which)),
            (Heard::AtTempo(which), _) => format!("{}, at tempo", hand(which)),
            (Heard::Both, None) => "All of it, both hands".to_owned(),
            (Heard::Both, Some(_)) => "Both hands".to_owned(),
        };
        match self.phrase {
            Some(phrase) => {
                // Another ending leaves out the measures of the first.
                let runs = self.measures.chunk_by(|a, b| b.follows(*a));
                let called: Vec<String> = runs.map(|run| measures_called(run[0], run[run.len() - 1])).collect();
                format!("Phrase {phrase}, {}. {heard}.", called.join(" and "))
            }
            None => format!("{heard}."),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::measure::Ending;
    use music::text::page;

    /// Common practice: A with two endings is A 1 A 2.
    #[test]
    fn a_phrase_comes_again_only_with_something_new() {
        let mut score = page(&[("C5:4", "C3:4"), ("D5:4", "D3:4"), ("E5:4", "E3:4"), ("F5:4", "F3:4")], 60);
        let ending = |pass: u32| Some(Ending { passes: vec![pass], starts: true, stops: true });
        score.measures[1].frame.ending = ending(1);
        score.measures[1].frame.repeat_end = Some(2);
        score.measures[2].frame.ending = ending(2);
        score.measures[3].melody = Hand::Left;
        let course = Course::of(&score, &[0, 0, 0, 1]);
        let said: Vec<String> = course.steps.iter().map(Step::in_words).collect();
        assert_eq!(
            said,
            [
                "The tune alone.",
                "Phrase 1, measures 1 to 2. Left hand alone, slowly.",
                "Phrase 1, measures 1 to 2. Left hand alone, at tempo.",
                "Phrase 1, measures 1 to 2. Both hands.",
                "Phrase 1, measure 1 and measure 3. Left hand alone, slowly.",
                "Phrase 1, measure 1 and measure 3. Left hand alone, at tempo.",
                "Phrase 1, measure 1 and measure 3. Both hands.",
                "Phrase 2, measure 4. Right hand alone, slowly.",
                "Phrase 2, measure 4. Right hand alone, at tempo.",
                "Phrase 2, measure 4. Both hands.",
                "All of it, both hands.",
            ]
        );
        assert_eq!(course.steps[4].passes, 2..4);
    }
}
