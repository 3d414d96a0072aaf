//! Marks for the harp: muffles, strings that ring on, levers and pedals, words for one hand; and headings.
//!
//! `damp`, `damp-all`, `harp-pedals` and `bracket` are the standard's own elements (MusicXML 4.0, `direction-type`). A lever is printed as its
//! string ("F♯4"), a pedal as its letter ("F♯"), both with the sign written out: so no other words are taken for one.

use super::super::direction::{self, Bond, Directions, Scope};
use super::super::element::{Element, child_text, child_whole, children, decimal, rounded, text};
use super::super::measure::Walked;
use super::super::remarks::Remarks;
use super::super::write::direction::CANNOT;
use super::tones::Tone;
use music::{Beats, Bracket, Decoration, Frame, Hand, Mark, Note, Pitch, PitchName, PlacedMark, Step};
use std::collections::{BTreeMap, BTreeSet};

/// The marks and headings of a piece.
pub struct Found {
    pub marks: Vec<Vec<PlacedMark>>,
    pub headings: Vec<Option<String>>,
    pub dynamics: Vec<Vec<(Beats, Decoration)>>,
    /// Where the pedals stand, for each letter.
    pedals: BTreeMap<Step, i32>,
    /// The ends of brackets, with their hand, measure and place.
    brackets: Vec<(Hand, usize, Beats, Bracket)>,
    /// Where the sign of notes that cannot be played stands: hand, measure and place.
    crosses: BTreeSet<(Hand, usize, Beats)>,
}

impl Found {
    pub fn new(count: usize) -> Found {
        let (marks, headings, dynamics) = (vec![Vec::new(); count], vec![None; count], vec![Vec::new(); count]);
        Found { marks, headings, dynamics, pedals: BTreeMap::new(), brackets: Vec::new(), crosses: BTreeSet::new() }
    }

    /// Takes the marks of a hand's staff out of a measure's directions. What is left there holds for the whole score.
    pub fn take(&mut self, index: usize, walked: &mut Walked, hand: Hand, staff: u32, remarks: &mut Remarks) {
        let mut other = Vec::new();
        let mut own = Vec::new();
        for (at, element) in std::mem::take(&mut walked.directions) {
            let stands_at = child_whole(element, "staff").unwrap_or(1);
            let here = element.has_tag_name("direction") && stands_at == i64::from(staff);
            match here && self.mark(index, at, element, hand) {
                true => {}
                false if here => own.push((at, element)),
                false => other.push((at, element)),
            }
        }
        if hand == Hand::Left {
            walked.directions = own.clone();
            let found = direction::read(walked, Scope::Staff(staff), remarks);
            self.left(index, found);
        }
        other.extend(own);
        other.sort_by_key(|(at, _)| *at);
        walked.directions = other;
    }

    /// Words and dynamics of the lower staff are the left hand's.
    fn left(&mut self, index: usize, found: Directions) {
        let words = found.words.into_iter().filter(|w| w.bond != Bond::Tempo);
        self.marks[index].extend(words.map(|w| PlacedMark::new(w.at, Some(Hand::Left), Mark::Words(w.text))));
        self.dynamics[index].extend(found.dynamics);
    }

    /// Whether the direction is a mark or a heading, which is then kept.
    fn mark(&mut self, index: usize, at: Beats, element: Element, hand: Hand) -> bool {
        let kinds: Vec<Element> = children(element, "direction-type").flat_map(|d| d.children().filter(|c| c.is_element())).collect();
        let names: Vec<&str> = kinds.iter().map(|k| k.tag_name().name()).collect();
        let mut first_pass = 1;
        let marks = match (names.as_slice(), kinds.as_slice()) {
            (["damp-all"], _) => vec![Mark::MuffleAll],
            (["damp"], _) => vec![Mark::Muffle(Vec::new())],
            (["damp", "words"], [_, words]) => match strings_in_words(&text(*words)) {
                Some(strings) => vec![Mark::Muffle(strings)],
                None => return false,
            },
            (["harp-pedals"], [diagram]) => self.pedals(*diagram),
            (["bracket"], [bracket]) => return self.bracket((index, at, hand), *bracket),
            (["words"], [words]) if text(*words) == CANNOT => {
                self.crosses.insert((hand, index, at));
                return true;
            }
            (["words"], [words]) => match mark_in_words(&text(*words)) {
                Some((mark, pass)) => {
                    first_pass = pass;
                    vec![mark]
                }
                None => return hand == Hand::Right && self.heading(index, *words),
            },
            _ => return false,
        };
        self.marks[index].extend(marks.into_iter().map(|mark| {
            let hand = if mark == Mark::LetRing { Some(hand) } else { hand_said(element) };
            PlacedMark { first_pass, ..PlacedMark::new(at, hand, mark) }
        }));
        true
    }

    /// Keeps one end of a bracket.
    fn bracket(&mut self, (index, at, hand): (usize, Beats, Hand), bracket: Element) -> bool {
        let end = match bracket.attribute("type") {
            Some("start") => Bracket::Begins,
            Some("stop") => Bracket::Ends,
            _ => return true,
        };
        self.brackets.push((hand, index, at, end));
        true
    }

    /// Puts a hand's brackets on the notes they begin and end at; one with only one end is left out.
    pub fn put_brackets(&mut self, hand: Hand, lines: &mut [Vec<Note>]) {
        let mut open: Option<(usize, usize)> = None;
        let (mine, others) = std::mem::take(&mut self.brackets).into_iter().partition(|b| b.0 == hand);
        self.brackets = others;
        let mut mine: Vec<(Hand, usize, Beats, Bracket)> = mine;
        mine.sort_by_key(|b| (b.1, b.2));
        for (_, measure, at, end) in mine {
            let Some(line) = lines.get(measure) else { continue };
            let place = match end {
                Bracket::Ends => line.iter().rposition(|n| n.at <= at && !n.is_rest()),
                _ => line.iter().position(|n| n.at >= at && !n.is_rest()),
            };
            match (end, open.take(), place) {
                (Bracket::Ends, Some(from), Some(to)) if from < (measure, to) => {
                    lines[from.0][from.1].bracket = Bracket::Begins;
                    lines[measure][to].bracket = Bracket::Ends;
                }
                (Bracket::Begins, _, place) => open = place.map(|p| (measure, p)),
                _ => {}
            }
        }
    }

    /// Notes in parentheses cannot be played where the sign stands with them, else the parentheses mean something else; where none of a chord is in parentheses its
    /// grace notes are meant.
    pub fn put_crosses(&self, hand: Hand, lines: &mut [Vec<Note>]) {
        let mut before: Vec<Pitch> = Vec::new();
        for (measure, line) in lines.iter_mut().enumerate() {
            for note in line {
                let crossed = self.crosses.contains(&(hand, measure, note.at));
                match (note.is_plucked(), crossed) {
                    (true, true) if note.unplayable.is_empty() => {
                        note.unplayable = note.grace.iter().flat_map(|g| g.pitches.clone()).collect()
                    }
                    (true, true) => {}
                    (true, false) => note.unplayable.clear(),
                    (false, _) => note.unplayable.retain(|p| before.contains(p)),
                }
                before.clone_from(&note.unplayable);
            }
        }
    }

    /// Bold and large words over a measure.
    fn heading(&mut self, index: usize, words: Element) -> bool {
        let large = words.attribute("font-weight") == Some("bold") && words.attribute("font-size") == Some("large");
        if large && self.headings[index].is_none() {
            self.headings[index] = Some(text(words));
        }
        large
    }

    /// A full setting where all seven are given; else the pedals that move, in a later diagram those that stand elsewhere than before.
    fn pedals(&mut self, diagram: Element) -> Vec<Mark> {
        let mut moves = Vec::new();
        let mut given = BTreeMap::new();
        for pedal in children(diagram, "pedal-tuning") {
            let step = child_text(pedal, "pedal-step").and_then(|t| t.chars().next()).and_then(Step::from_letter);
            let alter = child_text(pedal, "pedal-alter").and_then(|t| decimal(&t)).map_or(0, rounded).clamp(-1, 1) as i32;
            let Some(step) = step else { continue };
            given.insert(step, alter);
            if self.pedals.insert(step, alter) != Some(alter) {
                moves.push(Mark::Pedal(PitchName::new(step, alter)));
            }
        }
        let alters: Vec<i32> = given.into_values().collect();
        <[i32; 7]>::try_from(alters).map_or(moves, |all| vec![Mark::Pedals(all)])
    }

    /// Ties that lead nowhere on purpose (`let-ring`) let their string ring from where it is plucked.
    pub fn take_ringing(&mut self, tones: &[Tone]) {
        let rings = |e: &Element| {
            let mut tied = children(*e, "notations").flat_map(|n| n.children());
            tied.any(|t| t.has_tag_name("tied") && t.attribute("type") == Some("let-ring"))
        };
        for tone in tones.iter().filter(|t| t.elements.iter().any(rings)) {
            let mark = PlacedMark::new(tone.at, Some(tone.hand), Mark::LetRing);
            if !self.marks[tone.measure].contains(&mark) {
                self.marks[tone.measure].push(mark);
            }
        }
    }

    /// Marks stand within their measures, in order.
    pub fn settle(&mut self, frames: &[Frame]) {
        for (marks, frame) in self.marks.iter_mut().zip(frames) {
            marks.iter_mut().for_each(|m| m.at = m.at.clamp(Beats::ZERO, frame.length));
            marks.sort_by_key(|m| (m.at, m.hand));
        }
    }
}

/// The hand a direction's voice belongs to: the usual numbers on two staves are four for each (common practice).
fn hand_said(direction: Element) -> Option<Hand> {
    match child_whole(direction, "voice") {
        Some(1..=4) => Some(Hand::Right),
        Some(5..=8) => Some(Hand::Left),
        _ => None,
    }
}

/// "F♯4" is a lever, "F♯" a pedal, "l.v." lets ring; "F♯4 (2nd time)" is a lever that the first time does not need. With it the pass that needs it.
fn mark_in_words(words: &str) -> Option<(Mark, u32)> {
    if matches!(words.to_lowercase().as_str(), "l.v." | "lv" | "laisser vibrer" | "let ring") {
        return Some((Mark::LetRing, 1));
    }
    let (words, pass) = match words.split_once(" (") {
        Some((words, time)) => (words, pass_in_words(time)?),
        None => (words, 1),
    };
    let (step, alter, octave) = named(words)?;
    let name = PitchName::new(step, alter?);
    Some((octave.map_or(Mark::Pedal(name), |octave| Mark::Lever(name.at_octave(octave))), pass))
}

/// "2nd time)".
fn pass_in_words(words: &str) -> Option<u32> {
    let number = words.strip_suffix(" time)")?.trim_end_matches(['s', 't', 'n', 'd', 'r', 'h']);
    number.parse().ok().filter(|pass| *pass > 0)
}

/// "C3 B♭2": strings to muffle.
fn strings_in_words(words: &str) -> Option<Vec<Pitch>> {
    let string = |word: &str| named(word).and_then(|(step, alter, octave)| Some(Pitch::new(step, alter.unwrap_or(0), octave?)));
    words.split_whitespace().map(string).collect()
}

/// A letter, what its sign says if it has one, and an octave of one figure if it has that.
fn named(words: &str) -> Option<(Step, Option<i32>, Option<i32>)> {
    let mut letters = words.chars();
    let step = letters.next().filter(char::is_ascii_uppercase).and_then(Step::from_letter)?;
    let signs = letters.as_str().trim_end_matches(|c: char| c.is_ascii_digit());
    let octave = &letters.as_str()[signs.len()..];
    let alter = match signs {
        "" => None,
        "♮" => Some(0),
        "♭" => Some(-1),
        "♯" => Some(1),
        "♭♭" => Some(-2),
        "♯♯" => Some(2),
        _ => return None,
    };
    match octave {
        "" => Some((step, alter, None)),
        one if one.len() == 1 => Some((step, alter, Some(one.parse().ok()?))),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: string and sign for a lever, letter and sign for a pedal; "G7" is a chord symbol.
    #[test]
    fn words_for_levers_and_pedals() {
        assert_eq!(mark_in_words("F♯4"), Some((Mark::Lever(Pitch::new(Step::F, 1, 4)), 1)));
        assert_eq!(mark_in_words("B♭"), Some((Mark::Pedal(PitchName::new(Step::B, -1)), 1)));
        assert_eq!(mark_in_words("E♮ (2nd time)"), Some((Mark::Pedal(PitchName::new(Step::E, 0)), 2)));
        assert_eq!(mark_in_words("l.v."), Some((Mark::LetRing, 1)));
        assert_eq!((mark_in_words("F♯4 (slow)"), mark_in_words("F♯4 (0th time)")), (None, None));
        assert_eq!(strings_in_words("C3 B♭2"), Some(vec![Pitch::new(Step::C, 0, 3), Pitch::new(Step::B, -1, 2)]));
        assert_eq!((strings_in_words("C3 softly"), strings_in_words("C")), (None, None));
        assert_eq!((mark_in_words("G7"), mark_in_words("dolce"), mark_in_words("F♯42"), mark_in_words("")), (None, None, None, None));
    }
}
