//! What is plucked, as notes: the bass, the space between the strings and the order they come in, the room left to the tune, the tones of the chord that are heard.

use super::Rules;
use super::weight::weights;
use crate::chord_facts::ChordFacts;
use crate::hand_time::{Pluck, string_bit};
use crate::slots::{Freedom, Slot};
use crate::view::{Telling, View};
use music::{Beats, Pitch};
use smallvec::SmallVec;

/// Pitch classes, a bit each.
fn classes(plucks: &[Pluck]) -> u16 {
    plucks.iter().flat_map(|p| &p.pitches).fold(0, |bits, p| bits | 1 << p.pitch_class())
}

/// Strings, a bit each.
fn strings<'p>(pitches: impl Iterator<Item = &'p Pitch>) -> u64 {
    pitches.fold(0, |bits, p| bits | string_bit(p.position()))
}

/// The plucks that are heard as the chord: without the low tones that lead or walk by step to the bass of the next phrase.
pub(crate) fn chordal<'p>(slot: &Slot, plucks: &'p [Pluck]) -> &'p [Pluck] {
    let (Some(next), Some(first)) = (&slot.next_bass, plucks.first()) else { return plucks };
    let mut told = plucks;
    for steps in 1..=2 {
        let [before @ .., last] = told else { return told };
        let by = (last.low() - next.step.index()).rem_euclid(7);
        let leads = (by == steps || by == 7 - steps) && last.pitches.len() == 1 && last.low() <= first.low() + 7;
        if before.is_empty() || !leads {
            return told;
        }
        told = before;
    }
    told
}

/// One tone alone, in one octave or two.
pub(super) fn lone(view: &View, plucks: &[Pluck]) -> i64 {
    if !view.slot.counts() || plucks.is_empty() {
        return 0;
    }
    let tones = classes(plucks);
    let highest = plucks.iter().map(Pluck::high).max().unwrap_or(0) - 7 * view.register.octaves;
    let bass_only = if view.slot.next_bass.is_none() && plucks.len() > 1 && highest <= CLOSE_FROM { weights().bass_only } else { 0 };
    bass_only
        + match tones.count_ones() {
            1 if view.slot.duty.cadence => weights().lone_bass_at_a_close,
            1 => weights().lone_bass,
            _ => 0,
        }
}

pub(super) fn bass(view: &View, chord: &ChordFacts, plucks: &[Pluck], rules: Rules) -> i64 {
    let Some(first) = plucks.first() else { return 0 };
    let (slot, duty) = (view.slot, &view.slot.duty);
    let low = first.pitches[0].pitch_class();
    let inside = !(duty.phrase_end || duty.last);
    let lowest = plucks.iter().map(Pluck::low).min().unwrap_or(0) - 7 * view.register.octaves;
    let deep = if inside { weights().lowest_strings * i64::from((KEPT_BELOW - lowest).max(0)) / 2 } else { 0 };
    let rooted = duty.prepares && low == chord.root;
    let early = if rooted { weights().root_before_the_dominant } else { 0 };
    let crooked = leading_out(slot, chord, plucks);
    let floor = first.low() - 7 * view.register.octaves - CLOSE_FROM;
    let high = if duty.approach { weights().high_bass_at_a_close * i64::from(floor.max(0)) } else { 0 };
    let stated = rules == Rules::Learner || slot.freedom() == Freedom::Stated;
    let again = slot.lasted > 0 && !duty.last && (chord.third == Some(low) || low == chord.root);
    let tone = if low == chord.bass || again {
        0
    } else if stated || !chord.classes.contains(&low) {
        weights().bass_denied
    } else {
        let slash =
            if chord.slash { weights().slash_left } else { 0 } + if chord.slash && duty.six_four { weights().six_four_lost } else { 0 };
        let arrives = duty.arrival && slot.lasted == 0;
        let begins = match low != chord.root {
            true if chord.fifth == Some(low) && (slot.opens_phrase || arrives) => weights().phrase_on_its_fifth,
            true if slot.opens_phrase => weights().phrase_off_its_root,
            true if arrives => weights().soft_arrival,
            _ => 0,
        };
        let approach = if slot.duty.approach && low != chord.root { weights().soft_approach } else { 0 };
        slash
            + begins
            + approach
            + if low == chord.root {
                0
            } else if chord.third == Some(low) {
                weights().bass_third
            } else if chord.seventh == Some(low) {
                weights().bass_seventh
            } else if slot.duty.six_four {
                0
            } else if slot.lasted > 0 {
                weights().bass_fifth_later
            } else {
                weights().bass_fifth
            }
    };
    tone + deep + early + crooked + high + last_chord(view, plucks)
}

/// What a tone that leads to the next phrase costs beside this chord: a step that cannot be sung, a tritone with what rings.
fn leading_out(slot: &Slot, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let lead = plucks.last().filter(|p| chordal(slot, plucks).len() < plucks.len() && p.pitches.len() == 1);
    let Some((lead, first)) = lead.zip(plucks.first()) else { return 0 };
    let tone = lead.pitches[0];
    let steps = (lead.low() - first.low()).unsigned_abs() as usize;
    let crooked = super::passing::crooked(steps, (tone.midi() - first.pitches[0].midi()).abs());
    let rings = |p: &Pitch| (p.midi() - tone.midi()).rem_euclid(12) == 6;
    let sours = !chord.classes.contains(&tone.pitch_class()) && plucks.iter().flat_map(|p| &p.pitches).any(rings);
    let if_so = |fault: bool, price: i64| if fault { price } else { 0 };
    if_so(crooked, weights().crooked_step) + if_so(sours, weights().lead_sours)
}

/// F2: below it the strings are kept.
const KEPT_BELOW: i32 = 17;

/// A note this long wants the last chord broken. Ours.
const LONG: music::Seconds = music::Seconds::from_millis(1_000);

/// The part of "bass line" that is about the last chord: low and wide, with root, fifth, octave and third.
pub fn last_chord(view: &View, plucks: &[Pluck]) -> i64 {
    let (Some(chord), Some(first)) = (view.chord.as_ref().filter(|_| view.slot.duty.last), plucks.first()) else { return 0 };
    let low = first.low();
    // C2 is string 14; on a harp without it all ways pay the same for that.
    let lowest = 14 + chord.bass_step + 7 * view.register.octaves;
    let strings = strings(plucks.iter().flat_map(|p| &p.pitches)).count_ones();
    let has = |class: Option<i32>| class.is_none_or(|c| plucks.iter().flat_map(|p| &p.pitches).any(|q| q.pitch_class() == c));
    let lacking = 2 * i64::from(!has(chord.third)) + i64::from(!has(chord.fifth)) + i64::from(strings < 4);
    let goes_on = view.melody.iter().any(|n| n.on > Beats::ZERO && n.on < view.slot.length);
    let holds = view.melody.iter().any(|n| n.on.is_zero() && view.between(n.on.max(Beats::ZERO), n.off.min(view.slot.length)) >= LONG);
    let ends_thin = match plucks.last().map_or(0, |p| p.pitches.len()) {
        0 | 1 => weights().still_last,
        2 => weights().still_last / 2,
        _ => 0,
    };
    let silent = !view.melody.iter().any(|n| n.on >= Beats::ZERO && n.on < view.slot.length);
    let still = match () {
        () if holds && plucks.len() == 1 => weights().still_last,
        () if goes_on && plucks.len() == 1 => weights().still_last * 2 / 3,
        () if silent => ends_thin * 2,
        () if goes_on => ends_thin,
        () if holds => ends_thin / 3,
        () => 0,
    };
    weights().last_not_low * i64::from(low - lowest) + weights().last_not_wide * lacking + still
}

/// The lowest note a close interval may stand on, by semitones, as MIDI numbers (harp facts 4.2, table B, from memory; tritone as B2).
const LOWEST: [i32; 12] = [0, 52, 51, 48, 46, 46, 47, 34, 43, 41, 41, 41];

/// The lowest note, as a MIDI number, on which an interval of so many semitones may stand; `None` where the table says nothing.
pub fn lowest_of(semitones: i32) -> Option<i32> {
    LOWEST.get(usize::try_from(semitones).ok()?).copied().filter(|_| semitones > 0)
}

pub(super) fn open_below(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let register = view.register;
    let mut heard: SmallVec<[i32; 16]> = plucks.iter().flat_map(|p| p.pitches.iter().map(|q| q.midi() - register.semitones())).collect();
    heard.sort_unstable();
    heard.dedup();
    let root = chord.root;
    let mut sum = 0;
    for pair in heard.windows(2) {
        let (low, apart) = (pair[0], pair[1] - pair[0]);
        let over_own_root = apart == 5 && pair[1].rem_euclid(12) == root && heard.iter().any(|m| *m < low && m.rem_euclid(12) == root);
        if (1..=11).contains(&apart) && low < LOWEST[apart as usize] && !over_own_root {
            sum += weights().mud;
        }
    }
    sum += spacing(view, chord, plucks) + direction(view, plucks);
    let low_plucks = plucks.iter().filter(|p| p.pitches[0].midi() - register.semitones() < 43).count() as i64;
    sum + weights().low_repeat * (low_plucks - 1).max(0)
}

/// An octave and a third: what an open shape spans, in steps.
const OPEN: i32 = 9;
const C3: i32 = 21;
/// Above E3 a bass is high enough for close position; above E4 the left hand is high.
const CLOSE_FROM: i32 = 23;
const HIGH_FROM: i32 = 30;
/// F3: below it strings that are plucked together lie a fourth apart or more.
const LOW_UNTIL: i32 = 24;

/// Open position: the third a tenth above the bass, the whole a tenth wide or wider, nothing very high; low strings that are plucked together not close.
fn spacing(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let Some(bass) = plucks.first().map(Pluck::low) else { return 0 };
    let up = 7 * view.register.octaves;
    let open = OPEN.min(view.ceiling() - bass).max(4);
    let pitches = || plucks.iter().flat_map(|p| &p.pitches);
    let highest = pitches().map(|p| p.position()).max().unwrap_or(bass);
    let third = pitches().filter(|p| Some(p.pitch_class()) == chord.third && p.position() > bass).map(|p| p.position() - bass).min();
    let close = match bass - up {
        CLOSE_FROM.. => 0,
        // A sixth above the fifth is open.
        _ if third.is_none_or(|t| t >= 5) => 0,
        C3.. => weights().close_third,
        _ => weights().close_third * 2,
    };
    let narrow = if highest == bass { 0 } else { weights().narrow * i64::from((open - (highest - bass)).max(0)) };
    let high = weights().high_string * i64::from((highest - up - HIGH_FROM).max(0));
    let crowded = |w: &[Pitch]| w[1].position() - w[0].position() < 3 && w[0].position() - up < LOW_UNTIL;
    let crowds = plucks.iter().filter(|p| p.pitches.windows(2).any(crowded)).count() as i64;
    let seconds: i64 = plucks.iter().map(|p| p.pitches.windows(2).filter(|w| w[1].position() - w[0].position() == 1).count() as i64).sum();
    let above = strings(pitches().filter(|p| p.position() > bass));
    let rings = weights().ringing_second * i64::from((above & above >> 1).count_ones());
    let no_floor = weights().high_bass * i64::from((bass - up - CLOSE_FROM).max(0));
    weights().low_and_close * crowds + weights().second * seconds + rings + close + narrow + high + no_floor + opening(plucks, bass - up)
}

/// How a broken chord opens: the fifth (or, over an inversion, the sixth or fourth) above a bass that is plucked alone, then up by steps of the chord; an octave is
/// empty, a tenth leaves a hole, a third is close.
fn opening(plucks: &[Pluck], height: i32) -> i64 {
    let single = |p: &Pluck| p.pitches.len() == 1;
    let leaps = plucks.windows(2).skip(1).filter(|w| single(&w[0]) && single(&w[1]) && (w[1].low() - w[0].low()).abs() >= 7).count() as i64;
    let next = plucks.get(1).filter(|_| single(&plucks[0])).map(|p| p.low() - plucks[0].low());
    let first = match next {
        Some(2) if height < CLOSE_FROM => weights().third_next,
        Some(6) => weights().octave_next / 2,
        Some(7) => weights().octave_next,
        Some(8..) => weights().tenth_next,
        _ => 0,
    };
    first + weights().leap_inside * leaps
}

/// Whether a pluck falls between the quarters of a measure that has three of them or more: a chord there stutters.
fn off_the_beat(view: &View, pluck: &Pluck) -> bool {
    if view.slot.meter.unit > 4 || view.slot.meter.length() < Beats::QUARTER * 3 {
        return false;
    }
    let strong = view.slot.strong_beats.iter().filter(|at| **at <= pluck.at).max().copied().unwrap_or(Beats::ZERO);
    !((pluck.at - strong) % Beats::QUARTER).is_zero()
}

/// The order of the plucks: a broken chord has a direction, the bass comes first and alone, and nothing below it is heard as another bass.
fn direction(view: &View, plucks: &[Pluck]) -> i64 {
    let Some(first) = plucks.first() else { return 0 };
    let (bass, count) = (first.low(), |faults: usize| faults as i64);
    let same = |a: &Pluck, b: &Pluck| a.pitches == b.pitches;
    let single = |p: &Pluck| p.pitches.len() == 1;
    let again = count(plucks.windows(2).filter(|w| same(&w[0], &w[1])).count());
    let dithers = count(plucks.windows(4).filter(|w| same(&w[0], &w[2]) && same(&w[1], &w[3])).count());
    let turns = count(plucks.windows(3).filter(|w| same(&w[0], &w[2]) && single(&w[0])).count());
    let bends = |w: &[Pluck]| (w[1].high() - w[0].high()).signum() * (w[2].high() - w[1].high()).signum() < 0;
    let zigzag = plucks.len() == 3 && plucks.iter().all(single) && bends(plucks);
    let strong = |p: &Pluck| view.slot.strong_beats.contains(&p.at);
    let false_basses = count(plucks.iter().skip(1).filter(|p| p.low() < bass && !strong(p)).count());
    let loaded = plucks.len() > 1 && first.pitches.len() == 2;
    let upper_again = loaded && plucks[1..].iter().any(|p| p.high() == first.high());
    let stutters = count(plucks.iter().filter(|p| p.pitches.len() > 1 && off_the_beat(view, p)).count());
    weights().chord_off_the_beat * stutters
        + weights().same_again * again
        + weights().dither * dithers
        + weights().turns_back * turns
        + weights().false_bass * false_basses
        + if zigzag { weights().zigzag } else { 0 }
        + if loaded { weights().loaded_bass } else { 0 }
        + if upper_again { weights().upper_again } else { 0 }
}

pub(super) fn room(view: &View, plucks: &[Pluck]) -> i64 {
    let half = view.beat.scaled(1, 2).unwrap_or(view.beat);
    let soon = view.player.fluency.same_string();
    let mut sum = 0;
    let mut widest = 0;
    for pluck in plucks {
        let (from, to, high) = (pluck.at - half, pluck.at + view.beat, pluck.high());
        let near = view.melody.iter().filter(|n| n.off > from && n.on < to);
        let lowest = near.clone().map(|n| n.low()).min();
        if let Some(low) = lowest {
            let gap = low - high;
            // A finger that has just left its string is in the way of the next string only.
            let sounding = || near.clone().filter(|n| n.off > pluck.at).map(|n| n.low()).min();
            sum += match gap {
                ..=1 => weights().hands_touch,
                2 if sounding().is_some_and(|low| low - high <= 2) => weights().hands_close,
                _ => 0,
            };
            widest = widest.max(gap);
        }
        let taken = pluck.string_bits();
        let retaken = |n: &&crate::tune::Sung| n.string_bits & taken != 0 && n.on > pluck.at && view.between(pluck.at, n.on) < soon;
        sum += weights().string_retaken * view.melody.iter().filter(retaken).count() as i64;
    }
    let bass_only = plucks.iter().all(|p| p.pitches.len() == 1) && plucks.len() == 1;
    if widest > 11 && !bass_only { sum + weights().hollow } else { sum }
}

/// From this fullness on the chord before a close has three strings or more.
const BODY_FROM: u8 = 3;

pub(super) fn doubling(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    if !view.slot.counts() || plucks.is_empty() {
        return 0;
    }
    let left = classes(plucks);
    let heard = left | view.classes;
    let plainly = left | view.plain;
    let tones = chord.classes.iter().filter(|c| heard & (1 << **c) != 0).count();
    let mut sum = match tones {
        0 | 1 => weights().one_tone,
        2 if chord.classes.len() > 2 => weights().two_tones,
        _ => 0,
    };
    let has = |bits: u16, class: i32| bits & (1 << class) != 0;
    if !has(left, chord.root) && chord.classes.len() > 2 {
        sum += if has(heard, chord.root) { weights().root_in_the_tune } else { weights().no_root };
    }
    let against = |p: &Pitch| view.letters[p.step as usize] & !(1 << p.pitch_class()) != 0;
    if plucks.iter().flat_map(|p| &p.pitches).any(against) {
        sum += weights().cross_relation;
    }
    let struck = |p: &&Pluck| {
        let tune = view.melody.iter().find(|n| n.on == p.at && n.strings.len() == 1);
        tune.is_some_and(|n| p.pitches.iter().any(|q| matches!((n.top_midi - q.midi()).rem_euclid(12), 1 | 11)))
    };
    sum += weights().clash_struck * plucks.iter().filter(struck).count() as i64;
    for class in [chord.third, chord.seventh].into_iter().flatten() {
        let of_class = strings(plucks.iter().flat_map(|p| &p.pitches).filter(|q| q.pitch_class() == class));
        sum += weights().tendency_doubled * (i64::from(of_class.count_ones()) - 1).max(0);
    }
    if let Some(class) = chord.seventh.filter(|class| left & (1 << class) == 0) {
        sum += if plainly & (1 << class) == 0 { weights().no_seventh } else { weights().seventh_in_the_tune };
        sum += if view.slot.duty.approach { weights().seventh_lent_at_a_close } else { 0 };
    }
    let doubtful = |tone: &Telling| plainly & (1 << tone.class) == 0 && tone.contradicted || tone.suspended;
    let third = view.third.filter(|tone| !doubtful(tone));
    if let Some(class) = third.map(|tone| tone.class).filter(|class| left & (1 << class) == 0) {
        let corner = view.slot.duty.section_first || view.slot.duty.cadence || chord.leads;
        sum += match plainly & (1 << class) == 0 {
            true if corner => weights().no_third_at_a_corner,
            true => weights().no_third,
            false => weights().third_in_the_tune,
        };
        sum += if view.slot.duty.approach { weights().third_lent_at_a_close } else { 0 };
    }
    if let Some(third) = view.third.filter(|tone| tone.suspended) {
        sum += if left & (1 << third.class) != 0 { weights().against_a_suspension } else { 0 };
        sum += weights().busy_under_a_suspension * (plucks.len() as i64 - 2).max(0);
    }
    if view.slot.duty.approach && view.slot.fullness >= BODY_FROM && strings(plucks.iter().flat_map(|p| &p.pitches)).count_ones() < 3 {
        sum += weights().thin_approach;
    }
    let telling = [view.third, view.seventh].into_iter().flatten();
    let untold = telling.filter(|tone| tone.foreign && plainly & (1 << tone.class) == 0 && !doubtful(tone));
    sum += weights().telling_tone * untold.count() as i64;
    let empty = |low: &Pitch, high: &Pitch| matches!((high.midi() - low.midi()).rem_euclid(12), 0 | 7);
    let hollow = |p: &&Pluck| match &p.pitches[..] {
        [low, high] => empty(low, high),
        [low, middle, high] => empty(low, middle) && empty(low, high),
        _ => false,
    };
    sum += weights().hollow_pair * plucks.iter().filter(hollow).count() as i64;
    if let Some(new) = view.slot.new_tones {
        let first = plucks.iter().filter(|p| p.at < view.beat);
        let has_new = first.flat_map(|p| &p.pitches).any(|q| new & (1 << q.pitch_class()) != 0);
        sum += if has_new { 0 } else { weights().change_unheard };
    }
    let sharp = 1u16 << (view.slot.key.tonic().pitch_class() - 1).rem_euclid(12);
    if left & sharp == 0 {
        return sum;
    }
    let together = |p: &&Pluck| {
        p.pitches.iter().any(|q| sharp & (1 << q.pitch_class()) != 0) && view.melody.iter().any(|n| n.on == p.at && n.classes & sharp != 0)
    };
    sum += weights().sharp_tone_doubled * plucks.iter().filter(together).count() as i64;
    sum
}
