//! From the page to plucks in seconds: every sign of the page that is a matter of time.
//!
//! Measures come in playing order with their tempos and holds ([`music::Clock`], `timed`); each hand's notes become plucks, ties, rolls and grace notes taken
//! (`hand`); then strings are stopped where they are plucked again, muffled or moved (`stops`). A sound that would come before the beginning (a roll or
//! a grace note at the first beat) moves everything later by as much. Rests stop nothing: strings ring on until they are stopped.

mod timed;
mod hand;
mod strength;
mod stops;

use crate::performance::{Pass, Performance, Pluck};
use crate::performing::{Hands, Performing};
use music::{Hand, Score, Seconds};

/// Plays a page. The same page and choices give the same performance.
pub fn perform(score: &Score, performing: &Performing) -> Performance {
    let played = timed::Played::new(score, performing);
    let timed = played.passes(score);
    let strengths = strength::Strengths::new(score, &timed);
    let hands: &[Hand] = match performing.hands {
        Hands::Both | Hands::Melody => &[Hand::Left, Hand::Right],
        Hands::Left => &[Hand::Left],
        Hands::Right => &[Hand::Right],
    };
    let mut plucks: Vec<Pluck> = hands.iter().flat_map(|hand| hand::plucks(score, &timed, performing, &strengths, *hand)).collect();
    stops::stop(&mut plucks, score, &timed, &performing.ring);
    plucks.sort_by_key(|p| (p.at, p.pitch.position(), p.pitch.alter));
    let passes = timed.into_iter().map(|t| t.pass).collect();
    from_zero(Performance { plucks, passes, end: Seconds::ZERO }, performing)
}

/// Moves everything so that the first sound comes at zero or later, and says when all is over.
fn from_zero(mut performance: Performance, performing: &Performing) -> Performance {
    let first = performance.plucks.first().map_or(Seconds::ZERO, |p| p.at.min(Seconds::ZERO));
    let later = |time: &mut Seconds| *time = *time - first;
    for Pass { start, end, beats, .. } in &mut performance.passes {
        later(start);
        later(end);
        beats.iter_mut().for_each(|b| later(&mut b.1));
    }
    for pluck in &mut performance.plucks {
        later(&mut pluck.at);
        pluck.stopped.iter_mut().for_each(later);
    }
    let rung = performance.plucks.iter().map(|p| p.until(&performing.ring)).max();
    performance.end = performance.passes.last().map(|p| p.end).max(rung).unwrap_or(Seconds::ZERO);
    performance
}
