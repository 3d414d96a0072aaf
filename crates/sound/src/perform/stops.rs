//! Where strings stop: plucked again, muffled, or moved by a lever or pedal to another pitch (a player damps a ringing string first, or it slides
//! audibly: harp facts 1.3 and 2.4).
//!
//! A mark stops what was plucked at places before its own, even where a roll of its own place begins earlier than the beat.

use super::timed::Timed;
use crate::performance::Pluck;
use harp::ring::RingModel;
use music::{Beats, Hand, Mark, Pitch, PlacedMark, Score, Seconds};
use std::collections::BTreeMap;

/// Sets [`Pluck::stopped`]. Of two plucks of one string at one instant (both hands have it) the stronger stays.
pub fn stop(plucks: &mut Vec<Pluck>, score: &Score, passes: &[Timed], ring: &RingModel) {
    plucks.sort_by_key(|p| (p.pass, p.place, p.at, p.pitch.position(), std::cmp::Reverse(p.strength)));
    let mut ringing = Ringing::default();
    let mut next = 0;
    for (pass, timed) in passes.iter().enumerate() {
        let mut marks: Vec<&PlacedMark> = score.measures[timed.pass.measure].marks.iter().collect();
        marks.sort_by_key(|m| m.at);
        for mark in marks {
            next = ringing.pluck_before(plucks, next, (pass, mark.at));
            ringing.heed(mark, timed.at(mark.at), plucks);
        }
        next = ringing.pluck_before(plucks, next, (pass + 1, Beats::ZERO));
    }
    let rings_out = |p: &Pluck| p.at + ring.time(p.pitch.position());
    plucks.iter_mut().for_each(|p| p.stopped = p.stopped.filter(|stop| *stop < rings_out(p)));
    plucks.retain(|p| p.stopped.is_none_or(|stop| stop > p.at));
}

/// The latest pluck of each string, by its position.
#[derive(Default)]
struct Ringing(BTreeMap<i32, usize>);

impl Ringing {
    /// Plucks on from `next` to the first pluck at or after a place; says which that is.
    fn pluck_before(&mut self, plucks: &mut [Pluck], next: usize, end: (usize, Beats)) -> usize {
        let mut next = next;
        while next < plucks.len() && (plucks[next].pass, plucks[next].place.at) < end {
            self.pluck(plucks, next);
            next += 1;
        }
        next
    }

    fn pluck(&mut self, plucks: &mut [Pluck], new: usize) {
        let string = plucks[new].pitch.position();
        let Some(old) = self.0.insert(string, new) else { return };
        let at = plucks[new].at;
        if plucks[old].at < at {
            end(&mut plucks[old], at);
        } else {
            // At one instant, or a roll that overtook the other hand: one pluck of the two is heard.
            end(&mut plucks[new], at);
            self.0.insert(string, old);
        }
    }

    fn heed(&self, mark: &PlacedMark, at: Seconds, plucks: &mut [Pluck]) {
        for (string, pluck) in &self.0 {
            let pluck = &mut plucks[*pluck];
            if pluck.at < at && stops(&mark.mark, mark.hand, *string, pluck) {
                end(pluck, at);
            }
        }
    }
}

fn end(pluck: &mut Pluck, at: Seconds) {
    pluck.stopped = Some(pluck.stopped.map_or(at, |stop| stop.min(at)));
}

/// A muffle that names no strings stops those of its hand.
fn stops(mark: &Mark, hand: Option<Hand>, string: i32, pluck: &Pluck) -> bool {
    let Pitch { step, alter, .. } = pluck.pitch;
    match mark {
        Mark::MuffleAll => true,
        Mark::Muffle(pitches) if pitches.is_empty() => hand.is_none_or(|h| h == pluck.hand),
        Mark::Muffle(pitches) => pitches.iter().any(|p| p.position() == string),
        Mark::Lever(pitch) => pitch.position() == string && pitch.alter != alter,
        Mark::Pedal(name) => name.step == step && name.alter != alter,
        Mark::Pedals(alterations) => alterations[step as usize] != alter,
        Mark::LetRing | Mark::Words(_) => false,
    }
}
