//! The principles as prices of notes: each a small function of the melody here, the chord, the place in the phrase and what the left hand plucks.
//!
//! None of them sees a candidate or a figure's name, so each can be asked about any page. The weights stand in one table with a reason each
//! ([`weight`]); this file prices the notes of one slot, [`passing`] the way from one to the next.

pub mod weight;
pub mod passing;

pub use passing::{Entry, Exit, Line, Step, chord_bits, entry, exit, pair, ring, travel};

use crate::hand_time::{Pluck, distance};
use crate::price::{Price, Principle};
use crate::slots::{Pace, Slot, counted_measure};
use crate::view::{ChordFacts, View};
use harp::Fluency;
use music::Beats;

/// The price of the notes of one slot on their own.
pub fn own(view: &View, plucks: &[Pluck]) -> Price {
    let mut price = Price::default();
    let Some(chord) = &view.chord else { return price };
    price.add(Principle::StrongBeats, strong_beats(view, plucks));
    price.add(Principle::GiveAndTake, give_and_take(view, plucks));
    price.add(Principle::Pace, pace(view, plucks));
    price.add(Principle::PhraseEnd, breath(view, plucks));
    if !view.slot.duty.last {
        price.add(Principle::Curve, growth(view, plucks));
    }
    price += by_rules(view, chord, plucks, Rules::of(view.slot.fullness));
    price.add(Principle::OpenBelow, open_below(view, chord, plucks));
    price.add(Principle::RoomForTheTune, room(view, plucks));
    price.add(Principle::GoodDoubling, doubling(view, chord, plucks));
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
        Some(chord) if from != to => by_rules(view, chord, plucks, to) - by_rules(view, chord, plucks, from),
        _ => Price::default(),
    }
}

/// One tone alone, in one octave or two.
fn lone(view: &View, plucks: &[Pluck]) -> i64 {
    if !view.slot.counts() || plucks.is_empty() {
        return 0;
    }
    let tones = plucks.iter().flat_map(|p| &p.pitches).fold(0u16, |bits, p| bits | 1 << p.pitch_class());
    match tones.count_ones() {
        1 if view.slot.duty.cadence => weight::LONE_BASS_AT_A_CLOSE,
        1 => weight::LONE_BASS,
        _ => 0,
    }
}

fn strong_beats(view: &View, plucks: &[Pluck]) -> i64 {
    let plucked = |at: Beats| plucks.iter().any(|p| p.at == at);
    let mut sum = 0;
    let strong_beats = view.slot.strong_beats.iter().filter(|p| p.is_zero() || !view.slot.duty.last);
    for strong_beat in strong_beats {
        if !plucked(*strong_beat) && !view.melody_plucks_at(*strong_beat) {
            let first = (*strong_beat + view.slot.at).is_zero();
            sum += if first { weight::EMPTY_FIRST_BEAT } else { weight::EMPTY_STRONG_BEAT };
        }
    }
    if plucks.is_empty() {
        sum += if view.slot.counts() { weight::CHORD_UNSTATED } else { weight::CHORD_LATE };
    } else if !plucked(Beats::ZERO) {
        sum += weight::CHORD_LATE;
    }
    sum
}

/// The part of "strong beats" that is about long notes of the tune which the left hand leaves bare.
pub fn bare_holds(view: &View, plucks: &[Pluck]) -> i64 {
    if view.slot.duty.last {
        return 0;
    }
    let price = |(on, off): &(Beats, Beats)| {
        let inside = plucks.iter().filter(|p| p.at > *on && p.at < *off).count() as i64;
        let wished = (*off - *on).thousandths_of(view.beat.min(Beats::QUARTER)) / 1_000 - 1;
        let bare = if inside == 0 { weight::BARE_HOLD } else { 0 };
        bare + weight::STILL_UNDER_A_HOLD * (wished.min(3) - inside).max(0)
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
            2 => weight::BOTH_MOVING * (extra - 1).max(0),
            _ => weight::BOTH_BUSY * extra,
        };
        if let Some(pulse) = beat.uneven {
            let beside = |p: &&Pluck| !((p.at - beat.from) % pulse).is_zero();
            sum += weight::AGAINST_RHYTHM * inside.filter(beside).count() as i64;
        }
    }
    if view.player.fluency == Fluency::Slow {
        sum += weight::OFF_THE_TUNE * plucks.iter().filter(|p| between_short_notes(view, p.at)).count() as i64;
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
    let ties = plucks.iter().filter(|p| !is_one_note(p.length)).count() as i64;
    let rolls = plucks.iter().filter(|p| p.rolled && !roll_has_time(view, p)).count() as i64;
    let arrives = view.slot.duty.last || view.slot.duty.arrival || view.slot.duty.section_first;
    let thick = plucks.iter().filter(|p| p.pitches.len() >= 3 && !arrives).count() as i64;
    let again = plucks.iter().enumerate().filter(|(i, p)| p.rolled && plucks[i + 1..].iter().any(|q| q.high() == p.high())).count() as i64;
    over * weight::CROWDED_CHORD * (1 + many)
        + ties * weight::PIANO_TIE
        + rolls * weight::ROLL_WITHOUT_TIME
        + thick * weight::THICK
        + again * weight::ROLL_TOP_AGAIN
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
    let measure_end = view.measure_length - slot.at;
    let last_beat = measure_end - view.beat;
    let mut sum = 0;
    for pluck in plucks.iter().filter(|p| p.at > Beats::ZERO) {
        let held = view.melody.iter().any(|n| n.on <= pluck.at && n.off > pluck.at && n.off - n.on >= view.beat * 2);
        if !held {
            sum += weight::NO_BREATH;
        }
        if pluck.at >= last_beat && last_beat > Beats::ZERO {
            sum += weight::NO_BREATH_LAST_BEAT;
        }
    }
    sum
}

/// How much a slot's notes count: plucks, and half of every further string struck with them; in thousandths.
pub fn density(plucks: &[Pluck]) -> i64 {
    plucks.iter().map(|p| 1_000 + 500 * (p.pitches.len() as i64 - 1)).sum()
}

/// Wished notes a measure at each fullness, in thousandths: long measures, then short ones (habits, "Fullness"; OURS).
const TARGETS: [(i64, i64); 7] = [(0, 0), (1_000, 1_000), (2_500, 1_800), (3_500, 2_800), (5_000, 3_500), (6_500, 4_500), (7_500, 5_500)];

pub fn target(fullness: u8, pace: Pace) -> i64 {
    let (broad, brisk) = TARGETS[usize::from(fullness.min(6))];
    if pace == Pace::Broad { broad } else { brisk }
}

/// λ · length · (notes/length − target − offset)², with the first note of a short chord counted as if the chord were half a measure long: every chord may have
/// one. Only the product of target and notes depends on the level, and it is kept exact, so that an optimal plan's notes cannot fall when
/// the level rises.
fn growth(view: &View, plucks: &[Pluck]) -> i64 {
    growth_at(view.slot, view.slot.fullness, plucks)
}

fn growth_at(slot: &Slot, fullness: u8, plucks: &[Pluck]) -> i64 {
    let measures = slot.length.thousandths_of(counted_measure(&slot.meter)).max(1);
    let (notes, wished) = (density(plucks), target(fullness, slot.pace));
    let first = notes.min(1_000);
    let squared = first * first / measures.max(500) + (notes * notes - first * first) / measures;
    let own = weight::FULLNESS * (squared * 1_000 - 2 * notes * slot.offset) / 1_000_000;
    let by_level = 2 * weight::FULLNESS * notes * wished / 1_000_000;
    let whole = wished + slot.offset;
    own - by_level + weight::FULLNESS * (whole * whole / 1_000 * measures) / 1_000_000
}

/// What another level of fullness changes in the price: the term linear in the notes, and the constant.
pub fn growth_change(slot: &Slot, from: u8, to: u8, plucks: &[Pluck]) -> i64 {
    growth_at(slot, to, plucks) - growth_at(slot, from, plucks)
}

fn bass(view: &View, chord: &ChordFacts, plucks: &[Pluck], rules: Rules) -> i64 {
    let Some(first) = plucks.first() else { return 0 };
    let (slot, duty) = (view.slot, &view.slot.duty);
    let low = first.pitches[0].pitch_class();
    let inside = !(duty.phrase_end || duty.last);
    let lowest = plucks.iter().map(Pluck::low).min().unwrap_or(0) - 7 * view.register.octaves;
    let deep = if inside && lowest < KEPT_BELOW { weight::LOWEST_STRINGS } else { 0 };
    let stated = rules == Rules::Learner || crate::voicing::freedom(slot) == crate::voicing::Freedom::Stated;
    let again = slot.lasted > 0 && (chord.third == Some(low) || low == chord.root);
    let tone = if low == chord.bass || again {
        0
    } else if stated || !chord.classes.contains(&low) {
        weight::BASS_DENIED
    } else {
        let slash = if chord.slash { weight::SLASH_LEFT } else { 0 };
        let begins = if slot.opens_phrase && low != chord.root { weight::PHRASE_OFF_ITS_ROOT } else { 0 };
        let approach = if slot.duty.approach && low != chord.root { weight::SOFT_APPROACH } else { 0 };
        slash
            + begins
            + approach
            + if low == chord.root {
                0
            } else if chord.third == Some(low) {
                weight::BASS_THIRD
            } else if chord.seventh == Some(low) {
                weight::BASS_SEVENTH
            } else if slot.lasted > 0 {
                weight::BASS_FIFTH_LATER
            } else {
                weight::BASS_FIFTH
            }
    };
    let last = if duty.last { last_chord(view, chord, plucks) } else { 0 };
    tone + deep + last
}

/// E2: below it the strings are kept.
const KEPT_BELOW: i32 = 16;

/// The last chord is low and wide: root, fifth, octave and third.
fn last_chord(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let low = plucks[0].low();
    // C2 is string 14; on a harp without it all ways pay the same for that.
    let lowest = 14 + chord.bass_step + 7 * view.register.octaves;
    let strings: std::collections::BTreeSet<i32> = plucks.iter().flat_map(|p| p.pitches.iter().map(|q| q.position())).collect();
    let has = |class: Option<i32>| class.is_none_or(|c| plucks.iter().flat_map(|p| &p.pitches).any(|q| q.pitch_class() == c));
    let lacking = i64::from(!has(chord.third)) + i64::from(!has(chord.fifth)) + i64::from(strings.len() < 4);
    weight::LAST_NOT_LOW * i64::from(low - lowest) + weight::LAST_NOT_WIDE * lacking
}

/// The lowest note a close interval may stand on, by semitones, as MIDI numbers (harp facts 4.2, table B, from memory; tritone as B2).
const LOWEST: [i32; 12] = [0, 52, 51, 48, 46, 46, 47, 34, 43, 41, 41, 41];

/// The lowest note, as a MIDI number, on which an interval of so many semitones may stand; `None` where the table says nothing.
pub fn lowest_of(semitones: i32) -> Option<i32> {
    LOWEST.get(usize::try_from(semitones).ok()?).copied().filter(|_| semitones > 0)
}

fn open_below(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let register = view.register;
    let mut heard: Vec<i32> = plucks.iter().flat_map(|p| p.pitches.iter().map(|q| q.midi() - register.semitones())).collect();
    heard.sort();
    heard.dedup();
    let root = chord.root;
    let mut sum = 0;
    for pair in heard.windows(2) {
        let (low, apart) = (pair[0], pair[1] - pair[0]);
        let over_own_root = apart == 5 && pair[1].rem_euclid(12) == root && heard.iter().any(|m| *m < low && m.rem_euclid(12) == root);
        if (1..=11).contains(&apart) && low < LOWEST[apart as usize] && !over_own_root {
            sum += weight::MUD;
        }
    }
    sum += spacing(view, chord, plucks);
    let low_plucks = plucks.iter().filter(|p| p.pitches[0].midi() - register.semitones() < 43).count() as i64;
    sum + weight::LOW_REPEAT * (low_plucks - 1).max(0)
}

/// An octave and a third: what an open shape spans, in steps.
const OPEN: i32 = 9;
/// Above E3 a bass is high enough for close position; above E4 the left hand is high.
const CLOSE_FROM: i32 = 23;
const HIGH_FROM: i32 = 30;
/// F3: below it strings that are plucked together lie a fourth apart or more.
const LOW_UNTIL: i32 = 24;

/// Open position: the third a tenth above the bass, the whole a tenth wide or wider, nothing very high.
fn spacing(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let Some(bass) = plucks.first().map(Pluck::low) else { return 0 };
    let up = 7 * view.register.octaves;
    let open = OPEN.min(view.ceiling() - bass).max(4);
    let pitches = || plucks.iter().flat_map(|p| &p.pitches);
    let highest = pitches().map(|p| p.position()).max().unwrap_or(bass);
    let third = pitches().filter(|p| Some(p.pitch_class()) == chord.third && p.position() > bass).map(|p| p.position() - bass).min();
    let close = if bass - up < CLOSE_FROM && third.is_some_and(|t| t < 7) { weight::CLOSE_THIRD } else { 0 };
    let narrow = if highest == bass { 0 } else { weight::NARROW * i64::from((open - (highest - bass)).max(0)) };
    let high = weight::HIGH_STRING * i64::from((highest - up - HIGH_FROM).max(0));
    let again = plucks.windows(2).filter(|w| w[0].pitches == w[1].pitches).count() as i64;
    let crowded = |w: &[music::Pitch]| w[1].position() - w[0].position() < 3 && w[0].position() - up < LOW_UNTIL;
    let crowds = plucks.iter().filter(|p| p.pitches.windows(2).any(crowded)).count() as i64;
    weight::LOW_AND_CLOSE * crowds + close + narrow + high + weight::SAME_AGAIN * again
}

fn room(view: &View, plucks: &[Pluck]) -> i64 {
    let half = view.beat.scaled(1, 2).unwrap_or(view.beat);
    let soon = view.player.fluency.same_string();
    let mut sum = 0;
    let mut widest = 0;
    for pluck in plucks {
        let near = view.melody.iter().filter(|n| n.off > pluck.at - half && n.on < pluck.at + view.beat);
        let lowest = near.clone().map(|n| n.low()).min();
        if let Some(low) = lowest {
            let gap = low - pluck.high();
            sum += match gap {
                ..=1 => weight::HANDS_TOUCH,
                2 => weight::HANDS_CLOSE,
                _ => 0,
            };
            widest = widest.max(gap);
        }
        let retaken = |n: &&crate::tune::Sung| {
            n.on > pluck.at && view.between(pluck.at, n.on) < soon && pluck.pitches.iter().any(|p| n.strings.contains(&p.position()))
        };
        sum += weight::STRING_RETAKEN * view.melody.iter().filter(retaken).count() as i64;
    }
    let bass_only = plucks.iter().all(|p| p.pitches.len() == 1) && plucks.len() == 1;
    if widest > 11 && !bass_only { sum + weight::HOLLOW } else { sum }
}

fn doubling(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    if !view.slot.counts() || plucks.is_empty() {
        return 0;
    }
    let left = plucks.iter().flat_map(|p| &p.pitches).fold(0u16, |bits, p| bits | 1 << p.pitch_class());
    let heard = left | view.classes;
    let tones = chord.classes.iter().filter(|c| heard & (1 << **c) != 0).count();
    let mut sum = match tones {
        0 | 1 => weight::ONE_TONE,
        2 if chord.classes.len() > 2 => weight::TWO_TONES,
        _ => 0,
    };
    let has = |bits: u16, class: i32| bits & (1 << class) != 0;
    if !has(left, chord.root) && chord.classes.len() > 2 {
        sum += if has(heard, chord.root) { weight::ROOT_IN_THE_TUNE } else { weight::NO_ROOT };
    }
    let against = |p: &music::Pitch| view.letters.iter().any(|(letter, class)| *letter == p.step.index() && *class != p.pitch_class());
    if plucks.iter().flat_map(|p| &p.pitches).any(against) {
        sum += weight::CROSS_RELATION;
    }
    let struck = |p: &&Pluck| {
        let tune = view.melody.iter().find(|n| n.on == p.at && n.strings.len() == 1);
        tune.is_some_and(|n| p.pitches.iter().any(|q| matches!((n.top_midi - q.midi()).rem_euclid(12), 1 | 11)))
    };
    sum += weight::CLASH_STRUCK * plucks.iter().filter(struck).count() as i64;
    for class in [chord.third, chord.seventh].into_iter().flatten() {
        let of_class: std::collections::BTreeSet<i32> =
            plucks.iter().flat_map(|p| &p.pitches).filter(|q| q.pitch_class() == class).map(|q| q.position()).collect();
        sum += weight::TENDENCY_DOUBLED * (of_class.len() as i64 - 1).max(0);
    }
    if let Some(class) = chord.seventh.filter(|class| left & (1 << class) == 0) {
        sum += if heard & (1 << class) == 0 { weight::NO_SEVENTH } else { weight::SEVENTH_IN_THE_TUNE };
    }
    if chord.third.is_some_and(|class| heard & (1 << class) == 0) {
        let corner = view.slot.duty.section_first || view.slot.duty.cadence;
        sum += if corner { weight::NO_THIRD_AT_A_CORNER } else { weight::NO_THIRD };
    }
    let sharp = 1u16 << (view.slot.key.tonic().pitch_class() - 1).rem_euclid(12);
    let together = |p: &&Pluck| {
        p.pitches.iter().any(|q| sharp & (1 << q.pitch_class()) != 0) && view.melody.iter().any(|n| n.on == p.at && n.classes & sharp != 0)
    };
    sum += weight::SHARP_TONE_DOUBLED * plucks.iter().filter(together).count() as i64;
    sum
}

fn inner_travel(view: &View, plucks: &[Pluck]) -> i64 {
    let reach = view.player.left.block as i32;
    let way = |pair: &[Pluck]| distance((pair[0].low(), pair[0].high()), (pair[1].low(), pair[1].high()));
    let wide = |pair: &&[Pluck]| pair[0].low().min(pair[1].low()) + reach <= pair[0].high().max(pair[1].high());
    plucks.windows(2).filter(wide).map(|pair| 60 + weight::TRAVEL * i64::from(way(pair))).sum()
}
