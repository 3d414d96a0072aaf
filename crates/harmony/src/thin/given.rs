//! What each chord brings: its place, its tones, what it is worth to keep, and the notes of the melody that lie over it.
//!
//! All weights are ours, in points; their order is common practice: where a phrase closes before everything else, then the strong beats, then the notes of
//! the melody, then the line of the basses.

use super::Task;
use crate::elsewhere::comes_from_elsewhere;
use crate::melody::{Pluck, plucks};
use music::{Beats, Chord, ChordKind, Clock, Frame, Harmony, LeadSheet, Place, Seconds};

/// The chord that a phrase comes to rest on, and the one before it.
const ARRIVAL: i64 = 150;
const APPROACH: i64 = 40;
/// It is a dominant to the chord of rest (a fifth above it, or built on its leading tone), or its subdominant.
const DOMINANT: i64 = 60;
const SUBDOMINANT: i64 = 30;
/// On the first beat, another strong one, any beat, between beats.
const BEATS: [i64; 4] = [80, 60, 20, 0];
/// For each quarter note that the chord lasts in its source, up to two.
const LASTING: i64 = 10;
/// First, fourth and fifth degree.
const MAIN_DEGREE: i64 = 10;
/// It only delays the chord that follows on the same bass.
const SIX_FOUR: i64 = -80;
/// Its bass passes by step between two others, on no strong beat.
const PASSES: i64 = -25;
/// A quarter note of the melody outside the chord, by where it begins.
const OUTSIDE: [i64; 4] = [32, 28, 16, 8];

/// One chord of the tune.
#[derive(Clone, Debug)]
pub(super) struct Given {
    pub measure: usize,
    /// Which of the chords of its frame.
    pub index: usize,
    pub at: Beats,
    pub place: Beats,
    pub time: Seconds,
    /// `None` for a silence of chords.
    pub chord: Option<Chord>,
    pub stays: bool,
    /// How many more than those that stay may stay in its measure.
    pub room: usize,
    pub needs: Seconds,
    /// The tune may come here from elsewhere than from the chord before.
    pub fresh: bool,
    pub worth: i64,
    pub six_four: bool,
    pub passes: bool,
    /// 0 on the first beat to 3 between beats.
    pub beat: usize,
    /// What the melody over it asks, by pitch class: points against a chord without it.
    pub melody: [i64; 12],
}

impl Given {
    pub fn has(&self, class: usize) -> bool {
        self.chord.as_ref().is_none_or(|c| c.pitch_classes().contains(&(class as i32)))
    }

    /// The same but for the bass.
    pub fn is_same(&self, other: &Given) -> bool {
        let plain = |c: &Chord| (c.root, c.kind, c.degrees.clone());
        self.chord.as_ref().map(plain) == other.chord.as_ref().map(plain)
    }
}

pub(super) fn given(sheet: &LeadSheet, task: &Task) -> Vec<Given> {
    let fresh = comes_from_elsewhere(sheet);
    let mut all = Vec::new();
    for (measure, m) in sheet.measures.iter().enumerate() {
        let most = task.pace.most[measure];
        let counted = |c: &music::PlacedChord| matches!(c.symbol.harmony, Harmony::Chord(_));
        let over = m.frame.chords.iter().filter(|c| counted(c)).count() > most;
        for (index, placed) in m.frame.chords.iter().enumerate() {
            let at = placed.at;
            let place = task.clock.beats(Place { measure, at });
            let chord = placed.symbol.chord().cloned();
            let stays = !over || chord.is_none() || (task.stays)(measure, placed);
            let (time, beat) = (task.clock.at_beats(place), level(sheet, measure, at));
            let needs = task.pace.needs[measure];
            let (worth, room, first) = (0, most, fresh[measure] && index == 0);
            let given = Given {
                measure,
                index,
                at,
                place,
                time,
                chord,
                stays,
                room,
                needs,
                fresh: first,
                worth,
                six_four: false,
                passes: false,
                beat,
                melody: [0; 12],
            };
            all.push(given);
        }
    }
    if let Some(last) = all.iter_mut().rfind(|g| g.chord.is_some()) {
        last.stays = true;
    }
    for measure in all.chunk_by_mut(|a, b| a.measure == b.measure) {
        let staying = measure.iter().filter(|g| g.stays && g.chord.is_some()).count();
        measure.iter_mut().for_each(|g| g.room = g.room.saturating_sub(staying));
    }
    let plucks = plucks(sheet);
    carry(&mut all, &plucks, sheet, task.clock);
    weigh(&mut all, &plucks, sheet, task);
    all
}

/// 0 on the first beat, 1 on another strong one, 2 on any beat, 3 between. A measure that only completes another counts on from it, a pickup counts to its end.
fn level(sheet: &LeadSheet, measure: usize, at: Beats) -> usize {
    let frame = &sheet.measures[measure].frame;
    let before = measure.checked_sub(1).map(|m| &sheet.measures[m].frame).filter(|b| b.number == frame.number && !frame.is_full());
    let from = match before {
        Some(first) => first.length,
        None if frame.number == 0 => (frame.meter.length() - frame.length).max(Beats::ZERO),
        None => Beats::ZERO,
    };
    let at = (at + from) % frame.meter.length();
    let strong = frame.meter.strong_beats();
    if at.is_zero() {
        0
    } else if strong.contains(&at) {
        1
    } else if (at % frame.meter.beat()).is_zero() {
        2
    } else {
        3
    }
}

/// Lays the melody over the chords: a note that begins over a chord counts by its beat and as long as it lasts there, one that is only held over into it as one
/// between beats. Half of it for a note that passes by step.
fn carry(all: &mut [Given], plucks: &[Pluck], sheet: &LeadSheet, clock: &Clock) {
    let ends: Vec<Beats> = all.iter().skip(1).map(|g| g.place).chain([clock.length()]).collect();
    let mut first = 0;
    for (given, end) in all.iter_mut().zip(ends) {
        while plucks.get(first).is_some_and(|p| p.end() <= given.place) {
            first += 1;
        }
        for (i, pluck) in plucks.iter().enumerate().skip(first).take_while(|(_, p)| p.start < end) {
            let over = pluck.end().min(end) - pluck.start.max(given.place);
            let beat = if pluck.start < given.place { 3 } else { level(sheet, pluck.measure, pluck.at) };
            let points = OUTSIDE[beat] * over.thousandths_of(Beats::QUARTER).max(0) / 1000;
            let class = pluck.top.pitch_class().rem_euclid(12) as usize;
            given.melody[class] += if beat >= 2 && is_passing(plucks, i) { points / 2 } else { points };
        }
    }
}

fn is_passing(plucks: &[Pluck], i: usize) -> bool {
    let step = |a: Option<&Pluck>| a.is_some_and(|a| (1..=2).contains(&(a.top.midi() - plucks[i].top.midi()).abs()));
    step(i.checked_sub(1).map(|j| &plucks[j])) && step(plucks.get(i + 1))
}

fn weigh(all: &mut [Given], plucks: &[Pluck], sheet: &LeadSheet, task: &Task) {
    let arrivals = arrivals(all, plucks, task);
    for i in 0..all.len() {
        let Some(chord) = all[i].chord.clone() else { continue };
        let after = all.get(i + 1).and_then(|g| g.chord.as_ref());
        let before = i.checked_sub(1).and_then(|j| all[j].chord.as_ref());
        let end = all.get(i + 1).map_or_else(|| task.clock.length(), |g| g.place);
        let lasts = (end - all[i].place).thousandths_of(Beats::QUARTER).clamp(0, 2000);
        let fifth = (chord.root.pitch_class() + 7) % 12;
        let bass = chord.bass_name().pitch_class();
        let six_four = bass == fifth && after.is_some_and(|a| a.root.pitch_class() == bass);
        let passes = all[i].beat >= 2 && passes(before, &chord, after);
        let mut worth = BEATS[all[i].beat] + LASTING * lasts / 1000 + degree(&chord, &sheet.measures[all[i].measure].frame);
        worth += if six_four { SIX_FOUR } else { 0 } + if passes { PASSES } else { 0 };
        worth += if arrivals[i] { ARRIVAL } else { 0 };
        if arrivals.get(i + 1) == Some(&true) {
            worth += APPROACH + after.map_or(0, |rest| leads(&chord, rest));
        }
        (all[i].worth, all[i].six_four, all[i].passes) = (worth, six_four, passes);
    }
}

/// Which chords a phrase comes to rest on: those that hold as its last note begins, or begin first under it.
fn arrivals(all: &[Given], plucks: &[Pluck], task: &Task) -> Vec<bool> {
    let mut found = vec![false; all.len()];
    let ends = task.breaths.iter().map(|b| task.clock.beats(Place { measure: b.measure, at: b.at })).chain([task.clock.length()]);
    for end in ends {
        let Some(last) = plucks.iter().rfind(|p| p.start < end) else { continue };
        let holds = all.partition_point(|g| g.place <= last.start);
        let begins = all.get(holds).filter(|g| g.place < end).map(|_| holds);
        if let Some(i) = holds.checked_sub(1).or(begins) {
            found[i] = true;
        }
    }
    found
}

/// How a chord leads to the chord of rest after it.
fn leads(chord: &Chord, rest: &Chord) -> i64 {
    match (chord.root.pitch_class() - rest.root.pitch_class()).rem_euclid(12) {
        7 | 11 => DOMINANT,
        5 => SUBDOMINANT,
        _ => 0,
    }
}

/// The basses go by step and one way from the chord before through this one to the next.
fn passes(before: Option<&Chord>, chord: &Chord, after: Option<&Chord>) -> bool {
    let step = |from: &Chord, to: &Chord| {
        let up = (to.bass_name().pitch_class() - from.bass_name().pitch_class()).rem_euclid(12);
        match up {
            1 | 2 => 1,
            10 | 11 => -1,
            _ => 0,
        }
    };
    let way = before.map_or(0, |b| step(b, chord));
    way != 0 && after.is_some_and(|a| step(chord, a) == way)
}

fn degree(chord: &Chord, frame: &Frame) -> i64 {
    let up = (chord.root.pitch_class() - frame.key.tonic().pitch_class()).rem_euclid(12);
    let plain = !matches!(chord.kind, ChordKind::Diminished | ChordKind::DiminishedSeventh | ChordKind::HalfDiminished);
    if plain && matches!(up, 0 | 5 | 7) { MAIN_DEGREE } else { 0 }
}
