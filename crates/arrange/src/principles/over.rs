//! What the right hand's chords cost over a melody in the left hand: most is what it is under a melody; there is no bass, the chord may answer after the beat, and it is
//! to stay near the melody without covering it.

use super::tones::{doubling, lowest_of};
use super::weight::weights;
use super::{bare_holds, breath, give_and_take, growth, inner_travel, roll_has_time, tied};
use crate::chord_facts::ChordFacts;
use crate::hand_time::Pluck;
use crate::price::{Price, Principle};
use crate::view::View;
use music::Beats;
use std::collections::BTreeSet;

/// C6: chords above it are thin.
const HIGH_FROM: i32 = 42;

/// The price of the notes of one slot on their own.
pub(super) fn own(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> Price {
    let mut price = Price::default();
    price.add(Principle::StrongBeats, stated(view, plucks) + bare_holds(view, plucks));
    price.add(Principle::GiveAndTake, give_and_take(view, plucks));
    price.add(Principle::Pace, pace(view, plucks));
    price.add(Principle::PhraseEnd, breath(view, plucks));
    if !view.slot.duty.last {
        price.add(Principle::Curve, growth(view, plucks));
    }
    price.add(Principle::OpenBelow, thick(view, plucks));
    price.add(Principle::RoomForTheTune, room(view, plucks));
    price.add(Principle::GoodDoubling, doubling(view, chord, plucks) + on_top(view, plucks) + at_the_end(view, chord, plucks));
    price.add(Principle::HandTravel, inner_travel(view, plucks));
    price
}

/// The chord is heard, on the beat or soon after it where the melody has the beat.
fn stated(view: &View, plucks: &[Pluck]) -> i64 {
    let sounds = |at: Beats| plucks.iter().any(|p| p.at == at) || view.melody_plucks_at(at);
    let empty = view.slot.strong_beats.iter().filter(|at| at.is_zero() || !view.slot.duty.last).filter(|at| !sounds(**at));
    let silent: i64 =
        empty.map(|at| if (*at + view.slot.at).is_zero() { weights().empty_first_beat } else { weights().empty_strong_beat }).sum();
    let duty = &view.slot.duty;
    silent
        + match plucks.first() {
            None if view.slot.rings_on => weights().chord_rings_on,
            None if view.slot.counts() => weights().chord_unstated,
            None => weights().chord_late,
            Some(first) if first.at.is_zero() => 0,
            Some(first) if !view.melody_plucks_at(Beats::ZERO) || first.at > view.beat => weights().chord_late,
            Some(_) if duty.section_first || duty.arrival || duty.last => weights().after_the_beat_at_a_corner,
            Some(_) => weights().after_the_beat,
        }
}

fn pace(view: &View, plucks: &[Pluck]) -> i64 {
    let beats = view.slot.length.thousandths_of(view.beat);
    let room = if beats < 2_000 { 1 } else { (beats / 1_000) * 2 };
    let over = (plucks.len() as i64 - room).max(0);
    let ties = tied(plucks);
    let rolls = plucks.iter().filter(|p| p.rolled && !roll_has_time(view, p)).count() as i64;
    let again = plucks.windows(2).filter(|w| w[0].pitches == w[1].pitches && w[0].pitches.len() >= 3).count() as i64;
    weights().piano_tie * ties
        + if view.slot.duty.last { 0 } else { weights().crowded_chord * over + weights().roll_without_time * rolls }
        + weights().same_again / 3 * again
}

/// Intervals too close for where they lie, and strings far up.
fn thick(view: &View, plucks: &[Pluck]) -> i64 {
    let close = |w: &[music::Pitch]| lowest_of(w[1].midi() - w[0].midi()).is_some_and(|least| w[0].midi() < least);
    let seconds = |w: &[music::Pitch]| w[1].position() - w[0].position() == 1;
    let pairs = |faulty: &dyn Fn(&[music::Pitch]) -> bool| {
        plucks.iter().map(|p| p.pitches.windows(2).filter(|w| faulty(w)).count() as i64).sum::<i64>()
    };
    let highest = plucks.iter().map(Pluck::high).max().unwrap_or(0);
    let high = if view.slot.duty.last { 0 } else { i64::from((highest - HIGH_FROM).max(0)) };
    weights().mud * pairs(&close) + weights().clash_struck * pairs(&seconds) + weights().above_high * high
}

/// The hands do not touch, the melody does not come onto a string that was just plucked, and the chord is not far above it.
fn room(view: &View, plucks: &[Pluck]) -> i64 {
    let soon = view.player.fluency.same_string();
    let mut sum = 0;
    let mut nearest = i32::MAX;
    for pluck in plucks {
        let under = view.melody.iter().filter(|n| n.off > pluck.at && n.on < pluck.at + pluck.length);
        if let Some(high) = under.map(|n| n.high()).max() {
            let gap = pluck.low() - high;
            sum += match gap {
                ..=1 => weights().hands_touch,
                2 => weights().hands_close / 3,
                _ => 0,
            };
            nearest = nearest.min(gap);
        }
        let retaken =
            |n: &&crate::tune::Sung| n.on > pluck.at && view.between(pluck.at, n.on) < soon && pluck.string_bits() & n.string_bits != 0;
        sum += weights().string_retaken * view.melody.iter().filter(retaken).count() as i64;
    }
    let far = if nearest < i32::MAX { i64::from((nearest - 7).max(0)) } else { 0 };
    sum + weights().hollow / 2 * far
}

/// The note that the melody plucks at the same time, an octave or two higher on the top string.
fn on_top(view: &View, plucks: &[Pluck]) -> i64 {
    let doubles = |p: &&Pluck| {
        let sung = view.melody.iter().find(|n| n.on == p.at && n.strings.len() == 1);
        sung.is_some_and(|n| p.pitches.last().is_some_and(|top| (top.midi() - n.top_midi).rem_euclid(12) == 0))
    };
    let doubled = plucks.iter().filter(doubles).count() as i64;
    if view.slot.duty.last { 0 } else { weights().melody_doubled_on_top * doubled }
}

/// The last chord is whole and full.
fn at_the_end(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    if !view.slot.duty.last {
        return 0;
    }
    let strings: BTreeSet<i32> = plucks.iter().flat_map(|p| p.pitches.iter().map(|q| q.position())).collect();
    let has = |class: Option<i32>| class.is_none_or(|c| plucks.iter().flat_map(|p| &p.pitches).any(|q| q.pitch_class() == c));
    let lacking =
        i64::from(!has(chord.third)) + i64::from(!has(chord.fifth)) + i64::from(!has(Some(chord.root))) + i64::from(strings.len() < 4);
    weights().last_not_wide * lacking
}
