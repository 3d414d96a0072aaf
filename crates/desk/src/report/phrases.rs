//! The figures of each phrase, as they are told in the report.

use arrange::Arrangement;
use arrange::figures::{Figures, Part};
use arrange::measures::LaidMeasure;
use harmony::Pickup;
use music::{Hand, MeasureNumber};
use serde::Serialize;
use std::collections::BTreeSet;

/// One phrase of one verse.
#[derive(Clone, Debug, Serialize)]
pub struct PhraseFigures {
    /// From 1.
    pub verse: usize,
    /// The printed numbers of its measures, in order; pickups left out.
    #[serde(serialize_with = "crate::number::list")]
    pub measures: Vec<MeasureNumber>,
    /// Names of the figures, in the order they come.
    pub figures: Vec<String>,
    pub end: PhraseEnd,
    /// The hand that plays them; the other has the melody.
    #[serde(skip_serializing_if = "is_left", serialize_with = "in_a_word")]
    pub hand: Hand,
}

fn is_left(hand: &Hand) -> bool {
    *hand == Hand::Left
}

fn in_a_word<S: serde::Serializer>(hand: &Hand, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(if *hand == Hand::Left { "left" } else { "right" })
}

/// How a phrase ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PhraseEnd {
    GoesOn,
    Landing,
    LastChord,
}

/// All phrases, in the order of the page.
pub fn figures_of_phrases(arrangement: &Arrangement, figures: &Figures) -> Vec<PhraseFigures> {
    let tune = &arrangement.tune;
    let phrases = arrangement.phrases.phrases.iter().enumerate();
    phrases
        .filter_map(|(index, phrase)| {
            let first = LaidMeasure::at(*phrase.measures.first()?);
            let verse = tune.origin[first].verse() + 1;
            let full = phrase.measures.iter().filter(|m| arrangement.phrases.measures[**m].pickup == Pickup::No);
            let numbers: BTreeSet<MeasureNumber> = full.map(|m| tune.sheet.measures[*m].frame.number).collect();
            let hand = tune.melody_in[first].other();
            let (figures, end) = figures_of(index, arrangement, figures);
            Some(PhraseFigures { verse, measures: numbers.into_iter().collect(), figures, end, hand })
        })
        .collect()
}

fn figures_of(phrase: usize, arrangement: &Arrangement, figures: &Figures) -> (Vec<String>, PhraseEnd) {
    let plan = &arrangement.plan;
    let all = plan.slots.iter().zip(&plan.choices).zip(&plan.found.chosen);
    let here = all.filter(|((slot, _), _)| slot.phrase == phrase && slot.chord.is_some());
    let (mut names, mut end) = (Vec::new(), PhraseEnd::GoesOn);
    for ((_, choices), chosen) in here {
        let candidate = &choices.candidates[*chosen];
        let figure = &figures.all[candidate.figure];
        match figure.part {
            Part::Landing => end = PhraseEnd::Landing,
            Part::Final => end = PhraseEnd::LastChord,
            Part::Ordinary | Part::Drone if !candidate.plucks.is_empty() && !names.contains(&figure.name) => {
                names.push(figure.name.clone())
            }
            Part::Ordinary | Part::Drone | Part::Rest => {}
        }
    }
    (names, end)
}

/// "open fifth, then broken 1-5-8; it lands".
pub fn in_words(phrase: &PhraseFigures) -> String {
    let names: Vec<String> = phrase.figures.iter().map(|name| spaced(name)).collect();
    let figures = match names.as_slice() {
        [] if phrase.end == PhraseEnd::GoesOn => {
            return if phrase.hand == Hand::Left { "the left hand rests" } else { "the right hand rests" }.into();
        }
        [] => String::new(),
        [one] => one.clone(),
        many => many.join(", "),
    };
    let end = match phrase.end {
        PhraseEnd::GoesOn => "",
        PhraseEnd::Landing => "a landing at the end",
        PhraseEnd::LastChord => "the last chord",
    };
    [figures.as_str(), end].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
}

/// A figure's name in words: hyphens between letters become spaces, those between rungs stay ("broken 1-5-8").
pub fn spaced(name: &str) -> String {
    let letters: Vec<char> = name.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|i| letters.get(i)).is_some_and(char::is_ascii_digit);
    let one = |(i, c): (usize, &char)| if *c == '-' && !(digit(i.checked_sub(1)) && digit(Some(i + 1))) { ' ' } else { *c };
    letters.iter().enumerate().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_words() {
        assert_eq!(spaced("slow-broken-1-5-8"), "slow broken 1-5-8");
        assert_eq!(spaced("rest"), "rest");
    }
}
