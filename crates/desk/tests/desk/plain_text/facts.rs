//! What of a page must come back from its text, taken from the page itself: every note with its pitch, place, length, hand, ties, fingers; every move of a lever or pedal.

use music::{Beats, Hand, Mark, Pitch, Score};

/// One note or rest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    measure: usize,
    hand: Hand,
    at: Beats,
    length: Beats,
    pitches: Vec<Pitch>,
    ties: (bool, bool),
    fingers: Vec<u8>,
    rolled: bool,
    group: Option<(u32, u32)>,
    grace: Vec<(Vec<Pitch>, u32)>,
}

/// A move with its measure and place.
type Move = (usize, Beats, Mark, u32);

/// Every note in order, and every move.
pub fn facts(score: &Score) -> (Vec<Fact>, Vec<Move>) {
    let mut notes = Vec::new();
    for (measure, m) in score.measures.iter().enumerate() {
        for hand in [Hand::Right, Hand::Left] {
            notes.extend(m.hand(hand).iter().map(|n| Fact {
                measure,
                hand,
                at: n.at,
                length: n.length,
                pitches: n.pitches.clone(),
                ties: (n.tie.from_before, n.tie.to_next),
                fingers: n.fingers.clone(),
                rolled: n.rolled,
                group: n.tuplet.map(|t| (t.actual, t.normal)),
                grace: n.grace.iter().map(|g| (g.pitches.clone(), g.value)).collect(),
            }));
        }
    }
    let moves = |(measure, m): (usize, &music::ScoreMeasure)| {
        let mut here: Vec<Move> = m
            .marks
            .iter()
            .filter(|m| matches!(m.mark, Mark::Lever(_) | Mark::Pedal(_) | Mark::Pedals(_)))
            .map(|m| (measure, m.at, m.mark.clone(), m.first_pass))
            .collect();
        here.sort_by_key(|m| (m.1, m.2.printed_place(), format!("{:?}", m.2), m.3));
        here
    };
    (notes, score.measures.iter().enumerate().flat_map(moves).collect())
}

/// Compares note by note, so that a difference is small to read.
pub fn same(name: &str, written: &(Vec<Fact>, Vec<Move>), read: &(Vec<Fact>, Vec<Move>)) {
    for (a, b) in written.0.iter().zip(&read.0) {
        assert_eq!(a, b, "{name}");
    }
    assert_eq!(written.0.len(), read.0.len(), "{name}");
    assert_eq!(written.1, read.1, "{name}");
}
