//! What differs between two arrangements of one tune: which measures, and in one sentence how.

use crate::excerpt::plucked;
use crate::report::remarks::in_measures;
use crate::worktable::Worktable;
use music::{Hand, Mark, MeasureNumber, Pitch, Score, ScoreMeasure};
use serde::Serialize;
use std::ops::Range;

/// The measures of the page that are not as they were.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// Among all measures, from 0.
    pub measures: Vec<usize>,
    /// How many measures there are.
    pub of: usize,
    /// "12 of 32 measures differ; the bass goes down in measures 5-8."
    pub words: String,
    /// Lever or pedal marks that are in another place or gone, in words; nothing where all are as they were.
    pub marks: Option<String>,
}

/// Measures in a row that are told together, at most, and a line of basses that is worth a word, at least.
const TOGETHER: usize = 4;
const A_LINE: usize = 3;

/// Nothing where the two are not measure by measure the same tune: other verses, another key.
pub fn difference(before: &Worktable, after: &Worktable) -> Option<Difference> {
    let (was, is) = (&before.job.arrangement, &after.job.arrangement);
    let same_tune = was.score.measures.len() == is.score.measures.len() && was.moved == is.moved;
    same_tune.then(|| of_scores(&was.score, &is.score))
}

fn of_scores(was: &Score, is: &Score) -> Difference {
    let pairs = was.measures.iter().zip(&is.measures).enumerate();
    let measures: Vec<usize> = pairs.clone().filter(|(_, (a, b))| notes_differ(a, b)).map(|(i, _)| i).collect();
    let moved: Vec<MeasureNumber> = pairs.filter(|(_, (a, b))| marks(a) != marks(b)).map(|(_, (_, b))| b.frame.number).collect();
    let marks = (!moved.is_empty()).then(|| format!("lever or pedal marks change in {}", in_measures(&moved)));
    Difference { words: in_words(was, is, &measures, marks.as_deref()), of: is.measures.len(), measures, marks }
}

fn notes_differ(a: &ScoreMeasure, b: &ScoreMeasure) -> bool {
    plucked(&a.left) != plucked(&b.left) || plucked(&a.right) != plucked(&b.right)
}

fn marks(measure: &ScoreMeasure) -> Vec<String> {
    let setting = |m: &&music::PlacedMark| matches!(m.mark, Mark::Lever(_) | Mark::Pedal(_) | Mark::Pedals(_));
    measure.marks.iter().filter(setting).map(|m| format!("{:?} {:?}", m.at, m.mark)).collect()
}

fn in_words(was: &Score, is: &Score, measures: &[usize], marks: Option<&str>) -> String {
    let how = lines(was, is, measures).or_else(|| amounts(was, is, measures));
    let count = match measures.len() {
        0 => "The notes are the same".to_owned(),
        1 => format!("{} differs", is.measures[measures[0]].frame.number.at_the_start()),
        n => format!("{n} of {} measures differ", is.measures.len()),
    };
    format!("{}.", [Some(count), how, marks.map(ToOwned::to_owned)].into_iter().flatten().collect::<Vec<_>>().join("; "))
}

/// Stretches of measures in a row.
fn stretches(measures: &[usize]) -> Vec<Range<usize>> {
    let mut all: Vec<Range<usize>> = Vec::new();
    for measure in measures {
        match all.last_mut() {
            Some(last) if last.end == *measure => last.end += 1,
            _ => all.push(*measure..measure + 1),
        }
    }
    all
}

fn basses(score: &Score, stretch: Range<usize>) -> Vec<Pitch> {
    let first = |m: &ScoreMeasure| plucked(&m.left).first().filter(|_| m.melody == Hand::Right).map(|(_, pitches, _)| pitches[0]);
    score.measures[stretch].iter().filter_map(first).collect()
}

/// Which way a line goes all the time: down, up, or it stays; it may pause.
pub fn line(basses: &[Pitch]) -> Option<&'static str> {
    let steps = || basses.windows(2).map(|p| p[1].position() - p[0].position());
    let turns = steps().filter(|s| *s != 0).count();
    match () {
        () if basses.len() < A_LINE => None,
        () if turns == 0 => Some("stays"),
        () if turns + 1 < A_LINE => None,
        () if steps().all(|s| s <= 0) => Some("goes down"),
        () if steps().all(|s| s >= 0) => Some("goes up"),
        () => None,
    }
}

/// The longest new line of basses.
fn lines(was: &Score, is: &Score, measures: &[usize]) -> Option<String> {
    let mut best: Option<(Range<usize>, &'static str)> = None;
    for stretch in stretches(measures) {
        for from in stretch.clone() {
            for to in from + A_LINE..=stretch.end {
                let now = line(&basses(is, from..to)).filter(|l| *l != "stays" && line(&basses(was, from..to)) != Some(*l));
                if let Some(now) = now.filter(|_| best.as_ref().is_none_or(|(b, _)| to - from > b.len())) {
                    best = Some((from..to, now));
                }
            }
        }
    }
    best.map(|(stretch, way)| format!("the bass {way} in {}", numbers(is, stretch)))
}

/// Where most more, or fewer, is plucked.
fn amounts(was: &Score, is: &Score, measures: &[usize]) -> Option<String> {
    let count = |score: &Score, m: usize| plucked(score.measures[m].accompaniment()).len() as i64;
    let pieces =
        stretches(measures).into_iter().flat_map(|s| s.clone().step_by(TOGETHER).map(move |from| from..(from + TOGETHER).min(s.end)));
    let change = |piece: &Range<usize>| piece.clone().map(|m| count(is, m) - count(was, m)).sum::<i64>();
    let most = pieces.max_by_key(|p| (change(p).abs(), std::cmp::Reverse(p.start)))?;
    let by = change(&most);
    let words = if by == 0 {
        "other strings"
    } else if by > 0 {
        "more plucks"
    } else {
        "fewer plucks"
    };
    Some(format!("{words} in {}", numbers(is, most)))
}

/// "measures 5-8", as they are printed.
pub fn numbers(score: &Score, stretch: Range<usize>) -> String {
    in_measures(&score.measures[stretch].iter().map(|m| m.frame.number).collect::<Vec<MeasureNumber>>())
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What changes outside a stretch, for somebody who means only that: "Measures 9-10 would change with it."
pub fn besides(difference: &Difference, after: &Score, inside: &Range<usize>) -> String {
    let outside: Vec<MeasureNumber> =
        difference.measures.iter().filter(|m| !inside.contains(m)).map(|m| after.measures[*m].frame.number).collect();
    let mut said = match outside.as_slice() {
        [] => "Nothing else changes".to_owned(),
        [one] => format!("{} changes with it", one.at_the_start()),
        many => format!("{} change with it", capital(&in_measures(many))),
    };
    difference.marks.iter().for_each(|marks| said += &format!("; {marks}"));
    format!("{said}.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::{Beats, Frame, Key, Meter, Note, Preparation, Tempo, Words};

    /// Measures of four quarters, each with what the left hand plucks in it.
    fn score(lefts: &[&str]) -> Score {
        let measure = |(index, left): (usize, &&str)| {
            let pluck =
                |(at, p): (usize, &str)| Note::of(Beats::QUARTER * at as i64, Beats::QUARTER, vec![Pitch::parse(p).expect("a pitch")]);
            ScoreMeasure {
                frame: Frame::plain(index as u32 + 1, Meter::simple(4, 4), Key::C_MAJOR),
                right: Vec::new(),
                left: left.split(' ').enumerate().map(pluck).collect(),
                heading: None,
                marks: Vec::new(),
                source: Some(index),
                melody: music::Hand::Right,
            }
        };
        let measures = lefts.iter().enumerate().map(measure).collect();
        let tempo = Tempo::of(Beats::QUARTER, 90).expect("a tempo");
        Score { words: Words::default(), tempo, preparation: Preparation::default(), measures }
    }

    fn said(was: &[&str], is: &[&str]) -> String {
        of_scores(&score(was), &score(is)).words
    }

    #[test]
    fn one_sentence_says_how_many_and_how() {
        let plain = ["C3 G3", "C3 G3", "G2 D3", "C3 G3", "C3 G3"];
        assert_eq!(said(&plain, &plain), "The notes are the same.");
        assert_eq!(said(&plain, &["C3 G3", "C3 E3", "G2 D3", "C3 G3", "C3 G3"]), "Measure 2 differs; other strings in measure 2.");
        assert_eq!(
            said(&plain, &["C3 G3", "B2 G3", "A2 D3", "G2 G3", "C3 G3"]),
            "3 of 5 measures differ; the bass goes down in measures 2-4."
        );
        assert_eq!(
            said(&plain, &["C3 G3 C4", "C3 G3 C4", "G2 D3", "C3 G3", "C3 G3"]),
            "2 of 5 measures differ; more plucks in measures 1-2."
        );
    }

    #[test]
    fn what_changes_besides_is_named() {
        let (was, is) = (score(&["C3", "C3", "C3"]), score(&["C3", "E3", "G2"]));
        let difference = of_scores(&was, &is);
        assert_eq!(besides(&difference, &is, &(1..2)), "Measure 3 changes with it.");
        assert_eq!(besides(&difference, &is, &(0..3)), "Nothing else changes.");
        assert_eq!(besides(&difference, &is, &(0..1)), "Measures 2-3 change with it.");
    }
}
