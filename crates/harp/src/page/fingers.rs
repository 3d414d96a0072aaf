//! Fingers and brackets of a page, both hands.
//!
//! Each hand's plucks in page order are one line, fingered exactly by [`crate::fingering`]. What is printed is a choice: few fingers at the joins read better
//! at the stand than one on every note (common practice).

use super::alike::like_elsewhere;
use crate::fingering::{Fingering, FingeringError, Line, Placed, Pluck, Prices, Strike, finger, price};
use crate::player::Player;
use music::{Bracket, Clock, Hand, Note, Place, Score, ScoreMeasure};
use std::collections::BTreeSet;

/// Which fingers are printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shown {
    /// None.
    None,
    /// Where each placing begins, but not one that is the placing before again; the whole of it where the hand that accompanies takes a shape for the first time.
    #[default]
    Few,
    /// One at every note.
    All,
}

/// A hand's line with its fingering: which measure and note each pluck is.
#[derive(Clone, Debug, Default)]
pub struct FingeredHand {
    /// For each pluck of the line, its measure and the index of its note there.
    pub places: Vec<(usize, usize)>,
    /// The fingers, pluck by pluck.
    pub fingering: Fingering,
    /// Notes no hand of this player can place.
    pub beyond: Vec<(usize, usize)>,
}

/// The cheapest fingering of one hand of a page.
pub fn fingered(score: &Score, hand: Hand, player: &Player) -> FingeredHand {
    let clock = Clock::of_score(score);
    let mut plucks: Vec<((usize, usize), Pluck)> = Vec::new();
    for (measure, here) in score.measures.iter().enumerate() {
        for (index, note) in here.hand(hand).iter().enumerate().filter(|(_, n)| n.is_plucked()) {
            let mut strings: Vec<i32> = note.playable().map(|p| p.position()).collect();
            strings.sort();
            strings.dedup();
            if strings.is_empty() {
                continue;
            }
            let strike = if note.rolled { Strike::Rolled } else { Strike::Together };
            let at = clock.at(Place { measure, at: note.at });
            if plucks.last().is_none_or(|(_, last)| last.at < at) {
                let wanted = note.own_fingers.iter().map(|(pitch, finger)| (pitch.position(), *finger)).collect();
                plucks.push((
                    (measure, index),
                    Pluck { at, strings, strike, anew: hand != here.melody && begins(here, note), wanted, liked: None },
                ));
            }
        }
    }
    let (mut places, mut plucks): (Vec<(usize, usize)>, Vec<Pluck>) = plucks.into_iter().unzip();
    let mut beyond = Vec::new();
    loop {
        let line = Line::new(plucks.clone()).unwrap_or_default();
        match finger(&line, hand, player, &Prices::default()) {
            Ok(first) => {
                let alike = like_elsewhere(score, (hand, player), &places, &mut plucks, &first)
                    .then(|| again(&line, plucks, hand, player))
                    .flatten();
                return FingeredHand { places, fingering: alike.unwrap_or(first), beyond };
            }
            Err(FingeringError::Pluck { pluck, .. }) if pluck < plucks.len() => {
                plucks.remove(pluck);
                beyond.push(places.remove(pluck));
            }
            Err(_) => return FingeredHand { beyond: places, ..FingeredHand::default() },
        }
    }
}

/// The fingering with equal measures taken alike; its price is that of the line alone.
fn again(line: &Line, liking: Vec<Pluck>, hand: Hand, player: &Player) -> Option<Fingering> {
    let prices = Prices::default();
    let found = finger(&Line::new(liking).ok()?, hand, player, &prices).ok()?;
    let groups = price(line, hand, player, &prices, &found.plucks).ok()?;
    Some(Fingering { groups, ..found })
}

/// Whether a measure or a chord begins with this note.
fn begins(measure: &ScoreMeasure, note: &Note) -> bool {
    note.at.is_zero() || measure.frame.chords.iter().any(|c| c.at == note.at)
}

/// Fills in the fingers and brackets of both hands; a finger of her own is printed whatever else is.
pub fn fingers(score: &mut Score, player: &Player, shown: Shown) {
    let own = |m: &ScoreMeasure| m.right.iter().chain(&m.left).any(|n| !n.own_fingers.is_empty());
    if shown == Shown::None && !score.measures.iter().any(own) {
        return;
    }
    // Neither hand's fingers ask what the other's are.
    let (right, left) = std::thread::scope(|scope| {
        let right = scope.spawn(|| fingered(score, Hand::Right, player));
        let left = fingered(score, Hand::Left, player);
        (right.join().expect("fingering does not panic"), left)
    });
    print(score, Hand::Right, &right, shown);
    print(score, Hand::Left, &left, shown);
}

fn print(score: &mut Score, hand: Hand, found: &FingeredHand, shown: Shown) {
    let mut known: BTreeSet<Shape> = BTreeSet::new();
    let mut before: Option<(i32, Shape)> = None;
    for group in &found.fingering.groups {
        let plucks = group.first..group.end;
        let places = &found.places[plucks.clone()];
        let placed = &found.fingering.plucks[plucks];
        let (low, shape) = shape(score, hand, places, placed);
        let accompanies = places.first().is_some_and(|(measure, _)| score.measures[*measure].melody != hand);
        let whole = shown == Shown::All || shown == Shown::Few && accompanies && !known.contains(&shape);
        known.insert(shape.clone());
        let here = Some((low, shape));
        let begins = shown == Shown::Few && before != here;
        before = here;
        for (i, ((measure, index), placed)) in places.iter().zip(placed).enumerate() {
            let note = note_at(score, hand, *measure, *index);
            // Two pitches on one string share its finger; the page prints fingers only where each pitch has one.
            let printed = whole || begins && i == 0 || !note.own_fingers.is_empty();
            if printed && placed.fingers.len() == note.pitches.len() {
                note.fingers = placed.fingers.clone();
            }
            if whole && places.len() > 1 {
                note.bracket = match i {
                    0 => Bracket::Begins,
                    i if i + 1 == places.len() => Bracket::Ends,
                    _ => Bracket::None,
                };
            }
        }
    }
}

/// The strings of a group counted from its lowest, with the fingers on them, pluck by pluck.
type Shape = Vec<Vec<(i32, u8)>>;

/// The lowest string of a group, and its shape.
fn shape(score: &mut Score, hand: Hand, places: &[(usize, usize)], placed: &[Placed]) -> (i32, Shape) {
    let strings = |score: &mut Score, (measure, index): (usize, usize)| -> Vec<i32> {
        let mut all: Vec<i32> = note_at(score, hand, measure, index).playable().map(|p| p.position()).collect();
        all.sort();
        all.dedup();
        all
    };
    let all: Vec<Vec<i32>> = places.iter().map(|p| strings(score, *p)).collect();
    let low = all.iter().flatten().min().copied().unwrap_or(0);
    let shape =
        all.iter().zip(placed).map(|(strings, placed)| strings.iter().map(|s| s - low).zip(placed.fingers.iter().copied()).collect());
    (low, shape.collect())
}

fn note_at(score: &mut Score, hand: Hand, measure: usize, index: usize) -> &mut Note {
    let measure = &mut score.measures[measure];
    match hand {
        Hand::Right => &mut measure.right[index],
        Hand::Left => &mut measure.left[index],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(left: &[&str]) -> Score {
        let measures: Vec<(&str, &str)> = left.iter().map(|left| ("C6:4", *left)).collect();
        music::text::page(&measures, 80)
    }

    /// Harp facts 3.2: open 1-5-8 is 4 2 1; the same shape keeps its fingering and is printed once where few fingers are wanted.
    #[test]
    fn the_same_shape_is_fingered_once() {
        let broken = ["C3:1 G3:1 C4:2", "F3:1 C4:1 F4:2", "G3:1 B3:1 D4:1 G4:1"];
        let printed = |shown| {
            let mut score = page(&broken);
            fingers(&mut score, &Player::default(), shown);
            score
                .measures
                .iter()
                .map(|m| m.left.iter().map(|n| n.fingers.iter().map(u8::to_string).collect::<String>()).collect::<Vec<_>>().join(" "))
                .collect::<Vec<_>>()
        };
        assert_eq!(printed(Shown::All), ["4 2 1", "4 2 1", "4 3 2 1"]);
        assert_eq!(printed(Shown::Few), ["4 2 1", "4  ", "4 3 2 1"]);
        assert_eq!(printed(Shown::None), ["  ", "  ", "   "]);
    }

    fn printed(left: &[&str], player: &Player, shown: Shown) -> Vec<String> {
        let mut score = page(left);
        fingers(&mut score, player, shown);
        let measure =
            |m: &ScoreMeasure| m.left.iter().map(|n| n.fingers.iter().map(u8::to_string).collect::<String>()).collect::<Vec<_>>().join(" ");
        score.measures.iter().map(measure).collect()
    }

    /// Common practice: a number stands where the hand is placed anew, and a placing that is only repeated needs none.
    #[test]
    fn every_placing_begins_with_its_number() {
        let left = ["C3:1 G3:1 C4:2", "F3:1 C4:1 F4:2", "F3:1 C4:1 F4:2", "C3:1 G3:1 C4:2", "[C3+E3+G3]:4", "[C3+E3+G3]:4"];
        assert_eq!(printed(&left, &Player::default(), Shown::Few), ["4 2 1", "4  ", "  ", "4  ", "321", ""]);
    }

    /// Common practice: a passage is learned once. Between other measures its cheapest fingering would differ.
    #[test]
    fn equal_measures_are_fingered_equally() {
        let tune = [
            "E4:1/2 G4:1/2",
            "A4:1 B4:1/2 C5:1 D5:1/2",
            "E5:2 D5:1",
            "D5:1 C5:1/2 B4:1 G4:1/2",
            "A4:2 E4:1/2 G4:1/2",
            "A4:1 B4:1/2 C5:1 D5:1/2",
            "E5:1 G5:1/2 F5:1 D5:1/2",
            "E5:1 D5:1/2 B4:1 G4:1/2",
            "A4:2 E5:1/2 F5:1/2",
        ];
        let measures: Vec<(&str, &str)> = tune.iter().map(|right| (*right, "r:3")).collect();
        let mut score = music::text::page(&measures, 66);
        fingers(&mut score, &Player::default(), Shown::All);
        let of = |m: usize| score.measures[m].right.iter().map(|n| n.fingers.clone()).collect::<Vec<_>>();
        assert_eq!(of(1), of(5));
    }

    /// Common practice: a bracket spans the strings placed together.
    #[test]
    fn brackets_span_the_groups() {
        let mut score = page(&["C3:1 G3:1 C4:2"]);
        fingers(&mut score, &Player::default(), Shown::Few);
        let brackets: Vec<Bracket> = score.measures[0].left.iter().map(|n| n.bracket).collect();
        assert_eq!(brackets, [Bracket::Begins, Bracket::None, Bracket::Ends]);
    }
}
