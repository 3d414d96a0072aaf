//! The document and its measures: the two hands one after the other, signs at their places among the notes.

use super::direction::Spot;
use super::grid::Sort;
use super::harp_marks::{self, Bracketed};
use super::join::{self, SlurNumbers};
use super::line::Line;
use super::note::{self, Staff, in_divisions};
use super::xml::Xml;
use super::{accidental, attributes, barline, beam, direction, header};
use music::{Beats, Frame, Hand, Mark, Score, ScoreMeasure};

/// Both hands of every measure, cut into printed pieces.
pub struct Lines {
    right: Vec<Line>,
    left: Vec<Line>,
    right_brackets: Vec<Vec<(Beats, Bracketed)>>,
    left_brackets: Vec<Vec<(Beats, Bracketed)>>,
}

impl Lines {
    fn hand(&self, hand: Hand) -> &[Line] {
        match hand {
            Hand::Right => &self.right,
            Hand::Left => &self.left,
        }
    }

    fn brackets(&self, hand: Hand) -> &[Vec<(Beats, Bracketed)>] {
        match hand {
            Hand::Right => &self.right_brackets,
            Hand::Left => &self.left_brackets,
        }
    }
}

/// Works out everything that is printed at the notes.
pub fn lines(score: &Score) -> Lines {
    let right = hand_lines(score, Hand::Right, &SlurNumbers { first: 1, last: 8 });
    let left = hand_lines(score, Hand::Left, &SlurNumbers { first: 9, last: 16 });
    Lines { right_brackets: harp_marks::brackets(&right), left_brackets: harp_marks::brackets(&left), right, left }
}

fn hand_lines(score: &Score, hand: Hand, slurs: &SlurNumbers) -> Vec<Line> {
    let shifts = shifts(score);
    let measures = score.measures.iter().zip(&shifts);
    let mut lines: Vec<Line> = measures.clone().map(|(m, shift)| Line::new(m.hand(hand), sort(m, hand), &m.frame, *shift)).collect();
    join::tie(&mut lines);
    join::slur(&mut lines, slurs);
    for ((measure, shift), line) in measures.zip(&mut lines) {
        accidental::mark(line, &measure.frame.key);
        beam::mark(line, &measure.frame, *shift);
    }
    lines
}

/// What a hand's notes are: those of the tune, but not what was added to it, are written as they were read.
fn sort(measure: &ScoreMeasure, hand: Hand) -> Sort {
    if measure.melody == hand && measure.source.is_some() { Sort::Tune } else { Sort::Note }
}

/// How far into a full measure each measure begins: a pickup, and the second half of a measure that a repeat splits, are the end of one.
fn shifts(score: &Score) -> Vec<Beats> {
    let frames: Vec<&Frame> = score.measures.iter().map(|m| &m.frame).collect();
    let mut shifts = vec![Beats::ZERO; frames.len()];
    for (i, frame) in frames.iter().enumerate().filter(|(_, f)| !f.is_full()) {
        let completes =
            i > 0 && !frames[i - 1].is_full() && shifts[i - 1].is_zero() && frames[i - 1].length + frame.length == frame.meter.length();
        if i == 0 || frame.number.count == 0 || completes {
            shifts[i] = frame.meter.length() - frame.length;
        }
    }
    shifts
}

/// The smallest number of parts of a quarter in which every length and place is whole.
fn divisions(score: &Score, lines: &Lines) -> i64 {
    let pieces = lines.right.iter().chain(&lines.left).flat_map(|l| &l.pieces).flat_map(|p| [p.at, p.length]);
    let places = score.measures.iter().flat_map(|m| {
        let frame = &m.frame;
        let signs = frame.chords.iter().map(|c| c.at).chain(frame.tempos.iter().map(|t| t.0)).chain(frame.words.iter().map(|w| w.0));
        signs.chain(m.marks.iter().map(|mark| mark.at)).chain([frame.length]).chain(m.right.iter().chain(&m.left).map(|n| n.at))
    });
    pieces.chain(places).map(|b| b.fraction().1).fold(1, least_common_multiple)
}

fn least_common_multiple(a: i64, b: i64) -> i64 {
    let (mut x, mut y) = (a, b);
    while y != 0 {
        (x, y) = (y, x % y);
    }
    a / x * b
}

/// The document being written.
pub struct Writer<'a> {
    score: &'a Score,
    lines: &'a Lines,
    divisions: i64,
    xml: Xml,
}

impl<'a> Writer<'a> {
    pub fn new(score: &'a Score, lines: &'a Lines) -> Writer<'a> {
        Writer { score, lines, divisions: divisions(score, lines), xml: Xml::new() }
    }

    pub fn document(mut self) -> String {
        self.xml.open("score-partwise", &[("version", &"4.0")]);
        header::write(&mut self.xml, self.score);
        self.xml.open("part", &[("id", &header::PART)]);
        for index in 0..self.score.measures.len() {
            self.measure(index);
        }
        self.xml.close();
        self.xml.close();
        self.xml.finish()
    }

    fn measure(&mut self, index: usize) {
        let measure = &self.score.measures[index];
        // A name of a part and its number make one word.
        let (id, number) = (format!("m{index}"), measure.frame.number.to_string().replace(' ', ""));
        if self.is_counted(index) {
            self.xml.open("measure", &[("number", &number), ("id", &id)]);
        } else {
            self.xml.open("measure", &[("number", &number), ("implicit", &"yes"), ("id", &id)]);
        }
        if index > 0 && measure.heading.is_some() {
            self.xml.empty("print", &[("new-system", &"yes")]);
        }
        attributes::write(&mut self.xml, self.score, index, self.divisions);
        barline::left(&mut self.xml, &measure.frame);
        self.hand(index, Hand::Right);
        let back = self.in_divisions(self.lines.right[index].length());
        self.xml.within("backup", &[], |xml| xml.text("duration", back));
        self.hand(index, Hand::Left);
        attributes::clef_to_come(&mut self.xml, self.score, index);
        let last = index + 1 == self.score.measures.len();
        barline::right(&mut self.xml, &measure.frame, if last { barline::Standing::Last } else { barline::Standing::Inside });
        self.xml.close();
    }

    /// A pickup, the second half of a split measure and what was added to the tune do not count.
    fn is_counted(&self, index: usize) -> bool {
        let number = |i: usize| self.score.measures[i].frame.number;
        number(index).in_the_tune().is_some_and(|n| n != 0) && (index == 0 || number(index) != number(index - 1))
    }

    /// One hand: each sign stands before the note it falls on, with an offset where it falls inside one.
    fn hand(&mut self, index: usize, hand: Hand) {
        let line = &self.lines.hand(hand)[index];
        let signs = direction::signs(self.score, index, hand, &self.lines.brackets(hand)[index]);
        let let_ring = let_ring(&self.score.measures[index], hand);
        let letter = match hand {
            Hand::Right => 'r',
            Hand::Left => 'l',
        };
        let staff = Staff { hand, id: format!("m{index}-{letter}"), divisions: self.divisions, let_ring: &let_ring };
        let mut signs = signs.iter().peekable();
        let mut reached = Beats::ZERO;
        for piece in &line.pieces {
            while let Some(placed) = signs.next_if(|s| s.at < piece.at + piece.length) {
                let offset = self.in_divisions(placed.at - piece.at);
                direction::write(&mut self.xml, &placed.sign, Spot { hand, offset });
            }
            note::write(&mut self.xml, line, piece, &staff);
            reached = piece.at + piece.length;
        }
        for placed in signs {
            let offset = self.in_divisions(placed.at - reached);
            direction::write(&mut self.xml, &placed.sign, Spot { hand, offset });
        }
    }

    fn in_divisions(&self, time: Beats) -> i64 {
        in_divisions(time, self.divisions)
    }
}

/// Places at which a hand's strings ring on.
fn let_ring(measure: &ScoreMeasure, hand: Hand) -> Vec<Beats> {
    let rings = |m: &&music::PlacedMark| m.mark == Mark::LetRing && m.hand.is_none_or(|h| h == hand);
    measure.marks.iter().filter(rings).map(|m| m.at).collect()
}
