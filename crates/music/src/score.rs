//! Two hands on paper: what the arranger makes, the writers print and the check reads.

use crate::measure::Frame;
use crate::note::Note;
use crate::pitch::{Pitch, PitchName, Step};
use crate::preparation::Preparation;
use crate::sheet::Words;
use crate::time::{Beats, Tempo};

/// A piece for two hands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Score {
    /// Title, names, verses.
    pub words: Words,
    /// The tempo at the start; it is printed as a metronome mark.
    pub tempo: Tempo,
    /// For the top left of the page: strings needed, tuning, how levers or pedals stand before the first note.
    pub preparation: Preparation,
    /// In printed order.
    pub measures: Vec<ScoreMeasure>,
}

/// One of the player's hands, and the staff it reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hand {
    /// The upper staff.
    Right,
    /// The lower staff.
    Left,
}

/// One measure of both hands. Each hand's notes are in order and fill the measure without gaps or overlaps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScoreMeasure {
    /// Number, meter, key, bar lines, chords.
    pub frame: Frame,
    /// Of the upper staff.
    pub right: Vec<Note>,
    /// Of the lower staff.
    pub left: Vec<Note>,
    /// Printed above the measure: "Verse 2".
    pub heading: Option<String>,
    /// Levers, pedals, muffles and words, at their places.
    pub marks: Vec<PlacedMark>,
    /// The measure of the source this comes from, counted from 0; none where it was added to the tune.
    pub source: Option<usize>,
    /// The hand that has the melody; the other accompanies it.
    pub melody: Hand,
}

/// The words over a stretch in which the left hand has the melody, in a heading: they are printed, and read back.
pub const MELODY_IN_THE_LEFT_HAND: &str = "melody in the left hand";

impl Hand {
    /// Left for right, right for left.
    pub fn other(self) -> Hand {
        match self {
            Hand::Right => Hand::Left,
            Hand::Left => Hand::Right,
        }
    }
}

impl ScoreMeasure {
    /// The notes of a hand.
    pub fn hand(&self, hand: Hand) -> &[Note] {
        match hand {
            Hand::Right => &self.right,
            Hand::Left => &self.left,
        }
    }

    /// The notes of the hand that has the melody.
    pub fn tune(&self) -> &[Note] {
        self.hand(self.melody)
    }

    /// The notes of the other hand.
    pub fn accompaniment(&self) -> &[Note] {
        self.hand(self.melody.other())
    }
}

/// A neutral mark at a place in the measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedMark {
    /// Where in the measure.
    pub at: Beats,
    /// The hand that does it; `None` where the page leaves it open.
    pub hand: Option<Hand>,
    /// What is to be done.
    pub mark: Mark,
    /// The time through at which a lever or pedal mark first does anything, counted from 1. One that only a repeat needs says "2nd time".
    pub first_pass: u32,
}

impl PlacedMark {
    /// One that holds from the first time on.
    pub fn new(at: Beats, hand: Option<Hand>, mark: Mark) -> PlacedMark {
        PlacedMark { at, hand, mark, first_pass: 1 }
    }

    /// "2nd time" for a mark that does nothing the first.
    pub fn time(first_pass: u32) -> Option<String> {
        let ending = match first_pass {
            0 | 1 => return None,
            2 => "nd",
            3 => "rd",
            _ => "th",
        };
        Some(format!("{first_pass}{ending} time"))
    }
}

impl Mark {
    /// By this the levers and pedals that are moved at one place stand in one order wherever they are named: levers from the highest string down, then pedals
    /// of the right foot and of the left as they lie from left to right (common practice). What moves nothing comes first.
    pub fn printed_place(&self) -> (u8, i32) {
        const PEDALS: [Step; 7] = [Step::E, Step::F, Step::G, Step::A, Step::D, Step::C, Step::B];
        match self {
            Mark::Lever(pitch) => (1, -pitch.position()),
            Mark::Pedal(name) => (2, PEDALS.iter().position(|step| *step == name.step).unwrap_or_default() as i32),
            Mark::Pedals(_) => (3, 0),
            Mark::MuffleAll | Mark::Muffle(_) | Mark::LetRing | Mark::Words(_) => (0, 0),
        }
    }
}

/// What a harpist reads between or under the staves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Stop all ringing strings.
    MuffleAll,
    /// Stop these strings.
    Muffle(Vec<Pitch>),
    /// The strings go on ringing.
    LetRing,
    /// This string's lever goes to the position that gives this pitch.
    Lever(Pitch),
    /// This letter's pedal goes to this position.
    Pedal(PitchName),
    /// All pedals stand like this: alterations from C to B, -1 to 1. How they stand at the start is [`Score::preparation`].
    Pedals([i32; 7]),
    /// Anything else that is to be read there.
    Words(String),
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ordered(mut marks: Vec<Mark>) -> Vec<Mark> {
        marks.sort_by_key(Mark::printed_place);
        marks
    }

    /// Harp facts 1.5: the pedals from left to right are D C B | E F G A, and the right foot's are printed above the left's.
    #[test]
    fn moves_of_one_place_have_one_order() {
        let lever = |step, octave| Mark::Lever(Pitch::new(step, 1, octave));
        assert_eq!(
            ordered(vec![lever(Step::F, 3), lever(Step::C, 5), lever(Step::F, 4)]),
            [lever(Step::C, 5), lever(Step::F, 4), lever(Step::F, 3)]
        );
        let pedal = |step| Mark::Pedal(PitchName::new(step, 0));
        assert_eq!(
            ordered(vec![pedal(Step::B), pedal(Step::C), pedal(Step::A), pedal(Step::D), pedal(Step::E)]),
            [pedal(Step::E), pedal(Step::A), pedal(Step::D), pedal(Step::C), pedal(Step::B)]
        );
    }
}
