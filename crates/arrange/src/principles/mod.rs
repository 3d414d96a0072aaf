//! The principles as prices of notes: each a small function of the melody here, the chord, the place in the phrase and what the left hand plucks.
//!
//! None of them sees a candidate or a figure's name, so each can be asked about any page. The weights stand in one table with a reason each
//! ([`weight`]); this file prices when the notes of one slot are plucked, [`tones`] what
//! they are, [`passing`] the way from one to the next, and [`over`] the right hand's chords over a melody in the left.

pub mod weight;
pub mod passing;
mod tones;
mod over;

pub use passing::{Entry, Exit, Groove, Line, Step, entry, exit, groove, pair, ring, thinner, travel};
pub(crate) use tones::chordal;
pub use tones::{last_chord, lowest_of};

use tones::{bass, doubling, lone, open_below, room};

use crate::chord_facts::ChordFacts;
use crate::hand_time::{Pluck, distance};
use crate::price::{Price, Principle};
use crate::slots::{Pace, Slot};
use crate::view::{Manner, View};
use harp::Fluency;
use music::{Beats, Hand};
use weight::weights;

/// The price of the notes of one slot on their own.
pub fn own(view: &View, plucks: &[Pluck]) -> Price {
    let mut price = Price::default();
    let Some(chord) = &view.chord else { return price };
    if view.slot.hand == Hand::Right {
        return over::own(view, chord, plucks);
    }
    price.add(Principle::StrongBeats, strong_beats(view, plucks));
    price.add(Principle::GiveAndTake, give_and_take(view, plucks));
    price.add(Principle::Pace, pace(view, plucks));
    price.add(Principle::PhraseEnd, breath(view, chordal(view.slot, plucks)));
    if !view.slot.duty.last {
        price.add(Principle::Curve, growth(view, plucks));
    }
    price += by_rules(view, chord, plucks, Rules::of(view.slot.fullness));
    let tones = chordal(view.slot, plucks);
    price.add(Principle::OpenBelow, open_below(view, chord, tones));
    price.add(Principle::RoomForTheTune, room(view, plucks));
    price.add(Principle::GoodDoubling, doubling(view, chord, tones));
    price.add(Principle::HandTravel, inner_travel(view, plucks));
    price
}

/// What is asked of the left hand at all: at the lowest fullness a learner plays the root and may leave it alone under a long note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rules {
    Learner,
    Player,
}

impl Rules {
    pub fn of(fullness: u8) -> Rules {
        if fullness <= 1 { Rules::Learner } else { Rules::Player }
    }
}

/// The parts of the price that the rules decide.
fn by_rules(view: &View, chord: &ChordFacts, plucks: &[Pluck], rules: Rules) -> Price {
    let mut price = Price::of(Principle::BassLine, bass(view, chord, plucks, rules));
    if rules == Rules::Player {
        price.add(Principle::StrongBeats, bare_holds(view, plucks));
        price.add(Principle::GoodDoubling, lone(view, plucks));
    }
    price
}

/// What other rules change in the price.
pub fn rules_change(view: &View, plucks: &[Pluck], from: Rules, to: Rules) -> Price {
    match &view.chord {
        Some(chord) if from != to && view.slot.hand == Hand::Left => {
            by_rules(view, chord, plucks, to) - by_rules(view, chord, plucks, from)
        }
        _ => Price::default(),
    }
}
fn strong_beats(view: &View, plucks: &[Pluck]) -> i64 {
    let plucked = |at: Beats| plucks.iter().any(|p| p.at == at);
    let mut sum = 0;
    let strong_beats = view.slot.strong_beats.iter().filter(|p| p.is_zero() || !view.slot.duty.last);
    for strong_beat in strong_beats {
        if !plucked(*strong_beat) && !view.melody_plucks_at(*strong_beat) {
            let first = (*strong_beat + view.slot.at).is_zero();
            sum += if first { weights().empty_first_beat } else { weights().empty_strong_beat };
        }
    }
    if plucks.is_empty() {
        sum += match view.slot.counts() {
            // A piece does not end on a rest.
            _ if view.slot.duty.last => weights().chord_unstated + weights().close_unstated,
            _ if view.slot.rings_on => weights().chord_rings_on,
            true if view.slot.duty.approach => weights().chord_unstated + weights().close_unstated,
            true if view.slot.new_tones.is_some_and(|new| new & view.plain != 0) => {
                weights().chord_unstated + weights().tune_against_the_last_chord
            }
            true => weights().chord_unstated,
            false => weights().chord_late,
        };
    } else if !plucked(Beats::ZERO) {
        sum += weights().chord_late;
    }
    let limps = |strong: &&Beats| {
        !strong.is_zero()
            && !plucked(**strong)
            && plucks.iter().any(|p| p.at > Beats::ZERO && p.at < **strong)
            && plucks.iter().any(|p| p.at > **strong)
    };
    if view.manner == Manner::Dance && view.slot.counts() {
        sum += weights().no_foot * view.slot.strong_beats.iter().filter(|at| footless(plucks, **at)).count() as i64;
        sum += weights().pulse_missed * view.slot.strong_beats.iter().filter(|at| !plucked(**at)).count() as i64;
    }
    let plain = view.slot.duty.peak && !plucks.is_empty() && !plucks.iter().any(|p| p.rolled);
    sum + if plain { weights().plain_peak } else { 0 } + weights().limp * view.slot.strong_beats.iter().filter(limps).count() as i64
}

/// A strong beat between weaker ones, plucked without a string near the bass.
fn footless(plucks: &[Pluck], strong: Beats) -> bool {
    let Some(first) = plucks.first() else { return false };
    let weaker = || plucks.iter().filter(|p| p.at != strong && p.at > Beats::ZERO);
    let between = weaker().any(|p| p.at < strong) && weaker().any(|p| p.at > strong);
    between && plucks.iter().any(|p| p.at == strong && p.low() > first.low() + FOOT)
}

/// A fifth, in steps: as far above the bass a string is still heard as one.
const FOOT: i32 = 4;

/// The part of "strong beats" that is about long notes of the tune which the left hand leaves bare.
pub fn bare_holds(view: &View, plucks: &[Pluck]) -> i64 {
    let rings = view.slot.duty.peak && plucks.first().is_some_and(|p| p.rolled);
    if view.slot.duty.last || rings {
        return 0;
    }
    let price = |(on, off): &(Beats, Beats)| {
        let inside = plucks.iter().filter(|p| p.at > *on && p.at < *off).count() as i64;
        let wished = (*off - *on).thousandths_of(view.beat.min(Beats::QUARTER)) / 1_000 - 1;
        let bare = if inside == 0 { weights().bare_hold } else { 0 };
        bare + weights().still_under_a_hold * (wished.min(3) - inside).max(0)
    };
    view.holds.iter().map(price).sum()
}

fn give_and_take(view: &View, plucks: &[Pluck]) -> i64 {
    let mut sum = 0;
    for beat in &view.beats {
        let inside = plucks.iter().filter(|p| p.at >= beat.from && p.at < beat.to);
        let extra = (inside.clone().count() as i64 - 1).max(0);
        sum += match beat.plucks {
            0 | 1 => 0,
            2 => weights().both_moving * (extra - 1).max(0),
            _ => weights().both_busy * extra,
        };
        if let Some(pulse) = beat.uneven {
            let beside = |p: &&Pluck| !((p.at - beat.from) % pulse).is_zero();
            sum += weights().against_rhythm * inside.filter(beside).count() as i64;
        }
    }
    if view.player.fluency == Fluency::Slow {
        sum += weights().off_the_tune * plucks.iter().filter(|p| between_short_notes(view, p.at)).count() as i64;
    }
    sum
}

fn between_short_notes(view: &View, at: Beats) -> bool {
    view.melody.iter().any(|n| n.on < at && n.off > at && n.off - n.on < view.beat)
}

fn pace(view: &View, plucks: &[Pluck]) -> i64 {
    let beats = view.slot.length.thousandths_of(view.beat);
    let room = if beats < 2_000 { 1 } else { (beats / 1_000) * 2 };
    let many = i64::from(view.slot.chords_in_measure >= 3);
    let over = (plucks.len() as i64 - room).max(0);
    let ties = tied(plucks);
    let rolls = plucks.iter().filter(|p| p.rolled && !roll_has_time(view, p)).count() as i64;
    let arrives =
        view.slot.duty.last || view.slot.duty.arrival || view.slot.duty.section_first || view.slot.duty.peak || view.slot.duty.approach;
    let thick = plucks.iter().filter(|p| p.pitches.len() >= 3 && !arrives).count() as i64;
    let again = plucks.iter().enumerate().filter(|(i, p)| p.rolled && plucks[i + 1..].iter().any(|q| q.high() == p.high())).count() as i64;
    if view.slot.duty.last {
        return ties * weights().piano_tie;
    }
    over * weights().crowded_chord * (1 + many)
        + ties * weights().piano_tie
        + rolls * weights().roll_without_time
        + thick * weights().thick
        + again * weights().roll_top_again
}

/// The notes that no one note, dotted or not, holds: a chord of four is four ties.
fn tied(plucks: &[Pluck]) -> i64 {
    plucks.iter().filter(|p| !is_one_note(p.length)).map(|p| p.pitches.len() as i64).sum()
}

/// Whether one note, dotted or not, holds this length; otherwise the page needs a tie.
fn is_one_note(length: Beats) -> bool {
    let (n, d) = length.fraction();
    d.count_ones() == 1 && (n.count_ones() == 1 || n == 3 || n == 6 || n == 12)
}

/// A roll wants 1.2 seconds (habit 18).
fn roll_has_time(view: &View, pluck: &Pluck) -> bool {
    view.between(pluck.at, pluck.at + pluck.length).micros() >= 1_200_000
}

fn breath(view: &View, plucks: &[Pluck]) -> i64 {
    let slot = view.slot;
    if !slot.duty.phrase_end || slot.duty.last {
        return 0;
    }
    let end = slot.phrase_ends.unwrap_or(view.measure_length - slot.at);
    let last_beat = end - view.beat;
    let mut sum = 0;
    for pluck in plucks.iter().filter(|p| p.at > Beats::ZERO && p.at < end) {
        let held = view.melody.iter().any(|n| n.on <= pluck.at && n.off > pluck.at && n.off - n.on >= view.beat * 2);
        if !held {
            sum += weights().no_breath;
        }
        if pluck.at >= last_beat && last_beat > Beats::ZERO {
            sum += weights().no_breath_last_beat;
        }
    }
    sum
}

/// How much a slot's notes count: plucks, and half of every further string struck with them; in thousandths.
pub fn density(plucks: &[Pluck]) -> i64 {
    plucks.iter().map(|p| 1_000 + 500 * (p.pitches.len() as i64 - 1)).sum()
}

/// The same, but a string that is rolled counts most of a pluck: it is heard as one.
fn heard(plucks: &[Pluck]) -> i64 {
    let rolled = plucks.iter().filter(|p| p.rolled);
    density(plucks) + rolled.map(|p| 300 * (p.pitches.len() as i64 - 1)).sum::<i64>()
}

/// Wished notes a measure at each fullness, in thousandths: long measures, then short ones (habits, "Fullness"; OURS).
const TARGETS: [(i64, i64); 7] = [(0, 0), (1_000, 1_000), (2_500, 1_900), (3_500, 3_100), (5_000, 3_900), (6_500, 4_800), (7_500, 5_500)];

pub fn target(fullness: u8, pace: Pace) -> i64 {
    let (broad, brisk) = TARGETS[usize::from(fullness.min(6))];
    if pace == Pace::Broad { broad } else { brisk }
}

/// λ · length · (notes/length − target − offset)², with the first note of a short chord counted as if the chord were half a measure long: every chord may have
/// one. Only the product of target and notes depends on the level, and it is kept exact, so that an optimal plan's notes cannot fall when
/// the level rises.
fn growth(view: &View, plucks: &[Pluck]) -> i64 {
    let (slot, notes) = (view.slot, heard(plucks));
    let first = notes.min(1_000);
    let squared = first * first / slot.measures.max(500) + (notes * notes - first * first) / slot.measures;
    let own = weights().fullness * (squared * 1_000 - 2 * notes * slot.offset) / 1_000_000;
    own + growth_by_level(slot, slot.fullness, notes)
}

/// The part of it that depends on the level.
fn growth_by_level(slot: &Slot, fullness: u8, notes: i64) -> i64 {
    let wished = target(fullness, slot.pace);
    let by_notes = 2 * weights().fullness * notes * wished / 1_000_000;
    let whole = wished + slot.offset;
    weights().fullness * (whole * whole / 1_000 * slot.measures) / 1_000_000 - by_notes
}

/// What another level of fullness changes in the price: the term linear in the notes, and the constant.
pub fn growth_change(slot: &Slot, from: u8, to: u8, plucks: &[Pluck]) -> i64 {
    let notes = heard(plucks);
    growth_by_level(slot, to, notes) - growth_by_level(slot, from, notes)
}

fn inner_travel(view: &View, plucks: &[Pluck]) -> i64 {
    let reach = view.player.reach(view.slot.hand).block as i32;
    let way = |pair: &[Pluck]| distance((pair[0].low(), pair[0].high()), (pair[1].low(), pair[1].high()));
    let wide = |pair: &&[Pluck]| pair[0].low().min(pair[1].low()) + reach <= pair[0].high().max(pair[1].high());
    plucks.windows(2).filter(wide).map(|pair| 60 + weights().travel * i64::from(way(pair))).sum()
}
