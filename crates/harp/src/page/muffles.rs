//! Where ringing strings are to be stopped, as marks of a page.
//!
//! Only strings that ring long are worth a mark: upper ones die away by themselves (harp facts 4.1). A mark stands where a hand is free just after the chord
//! that clashes begins.

use super::fingers::fingered;
use crate::player::Player;
use crate::ring::{Muffle, Muffling, RingModel, Sounding, Struck, free, muffles};
use music::{Beats, Clock, Hand, Mark, Place, PlacedMark, Score, Seconds};

/// What rings shorter than this needs no mark: the strings from about C3 up. Ours.
const WORTH_A_MARK: Seconds = Seconds::from_millis(6_500);

/// The marks of a page over its chords, in order of time.
pub fn marks(score: &Score, chords: &[Sounding], model: &RingModel, player: &Player, muffling: &Muffling) -> Vec<(usize, PlacedMark)> {
    let clock = Clock::of_score(score);
    let plucks = |hand| {
        let notes = score.measures.iter().enumerate().flat_map(move |(m, here)| here.hand(hand).iter().map(move |n| (m, n)));
        notes.filter(|(_, n)| n.is_plucked())
    };
    let mut struck: Vec<Struck> = [Hand::Right, Hand::Left]
        .into_iter()
        .flat_map(plucks)
        .flat_map(|(m, n)| n.pitches.iter().map(move |p| (m, n.at, *p)))
        .map(|(measure, at, pitch)| Struck::at(clock.at(Place { measure, at }), pitch))
        .filter(|s| model.time(s.pitch.position()) >= WORTH_A_MARK)
        .collect();
    struck.sort_by_key(|s| (s.at, s.pitch.position()));
    let times: Vec<Seconds> = plucks(Hand::Left).map(|(m, n)| clock.at(Place { measure: m, at: n.at })).collect();
    let free = free(Hand::Left, &times, Seconds::ZERO, clock.end(), player);
    muffles(model, &struck, chords, &free, muffling).into_iter().map(|m| mark(&clock, m)).collect()
}

/// The mark at the nearest eighth or pluck.
fn mark(clock: &Clock, muffle: Muffle) -> (usize, PlacedMark) {
    let eighths = (clock.beats_at(muffle.at) * 2 + Beats::EIGHTH).div_floor(Beats::QUARTER);
    let Place { measure, at } = clock.place(Beats::EIGHTH * eighths);
    (measure, PlacedMark::new(at, Some(muffle.hand), Mark::Muffle(muffle.pitches)))
}

/// Strings of the left hand that are placed again while they ring, below middle C, heard as a buzz unless touched quickly (harp facts 3.2): how many.
pub fn low_replacings(score: &Score, model: &RingModel, player: &Player) -> usize {
    let clock = Clock::of_score(score);
    let found = fingered(score, Hand::Left, player);
    let notes = found.places.iter().map(|(m, i)| (*m, &score.measures[*m].left[*i]));
    let all = notes.flat_map(|(m, n)| n.pitches.iter().map(move |p| (m, n.at, *p)));
    let struck: Vec<Struck> =
        all.map(|(m, at, p)| Struck::at(clock.at(Place { measure: m, at }), p)).filter(|s| s.pitch.position() < 28).collect();
    crate::ring::buzzes(model, &struck).len()
}
