//! How it sounds: ringing low strings plucked again, what rings into the next chord, intervals too narrow low down. All of it is worth a look, no more.

use super::{Scene, role, thinner};
use crate::change::{Change, Role};
use crate::finding::{Finding, Gravity, Rule};
use arrange::chord_facts::ChordFacts;
use arrange::principles::lowest_of;
use harp::ring::{self, Clash, Clashing, RingModel, Sounding, Struck};
use music::{Hand, Harmony, Mark, Pitch, Place, Seconds};

/// Strings up to here are low: G2 (habit 10).
const LOW: i32 = 18;
/// A low string that comes back within this time buzzes and muddies. Ours.
const BUZZ_WITHIN: Seconds = Seconds::from_millis(1_000);
/// Clashes on strings below middle C of this length are heard. Ours.
const CLASH: Seconds = Seconds::from_millis(2_000);
const MIDDLE: i32 = 28;

pub fn look(scene: &Scene, found: &mut Vec<Finding>) {
    let struck = struck(scene);
    buzzes(scene, &struck, found);
    clashes(scene, &struck, found);
    low_intervals(scene, found);
}

/// Every pluck, in order of time, stopped where the page says so; with its onset.
fn struck(scene: &Scene) -> Vec<(usize, Struck)> {
    let stops = stops(scene);
    let stop = |names: [Pitch; 2], after: Seconds| {
        let named = |pitches: &Vec<Pitch>| pitches.is_empty() || names.iter().any(|n| pitches.contains(n));
        let own = stops.iter().filter(|(time, pitches)| *time >= after && named(pitches));
        own.map(|s| s.0).min()
    };
    let mut found = Vec::new();
    for (index, (onset, pitches)) in scene.onsets.iter().zip(&scene.strings.plucked).enumerate() {
        for pitch in pitches.iter().flatten() {
            let written = onset.tones.iter().find(|t| t.pitch.position() == pitch.position()).map_or(*pitch, |t| t.pitch);
            let stopped = stop([written, *pitch], Seconds::from_micros(onset.time.micros() + 1));
            found.push((index, Struck { pitch: *pitch, at: onset.time, stopped }));
        }
    }
    found
}

/// Muffle marks with their times; no pitches means all strings.
fn stops(scene: &Scene) -> Vec<(Seconds, Vec<Pitch>)> {
    let mut found = Vec::new();
    for (measure, m) in scene.score.measures.iter().enumerate() {
        for mark in &m.marks {
            let time = scene.clock.at(Place { measure, at: mark.at });
            match &mark.mark {
                Mark::MuffleAll => found.push((time, Vec::new())),
                Mark::Muffle(pitches) => found.push((time, pitches.clone())),
                _ => {}
            }
        }
    }
    found
}

fn buzzes(scene: &Scene, struck: &[(usize, Struck)], found: &mut Vec<Finding>) {
    let plucks: Vec<Struck> = struck.iter().map(|s| s.1).collect();
    let mut latest: std::collections::BTreeMap<i32, Seconds> = std::collections::BTreeMap::new();
    let buzzes = ring::buzzes(&RingModel::default(), &plucks);
    let mut next = buzzes.iter().peekable();
    for (at, (index, s)) in struck.iter().enumerate() {
        let before = latest.insert(s.pitch.position(), s.at);
        let Some(buzz) = next.next_if(|b| b.pluck == at) else { continue };
        let Some(before) = before.filter(|b| s.at - *b < BUZZ_WITHIN && s.pitch.position() < LOW) else { continue };
        let onset = &scene.onsets[*index];
        let Some(pitch) = scene.written(*index, s.pitch.position()) else { continue };
        let text = format!(
            "{pitch:#} is plucked again after {} s while it rings: low strings buzz and blur",
            super::instrument::tenths((s.at - before).micros())
        );
        let tries = vec![
            Change::LeaveOut { place: onset.place, pitch, role: Role::Repeated },
            Change::Octave { place: onset.place, pitch, octaves: 1 },
        ];
        found.push(Finding::new(onset.place, Gravity::Look, Rule::Buzz, text).weighing(buzz.weight).trying(tries));
    }
}

/// The chords of the page with their times, where it has symbols.
fn chords(scene: &Scene) -> Vec<(Place, Sounding, ChordFacts)> {
    let mut found: Vec<(Place, Sounding, ChordFacts)> = Vec::new();
    for (measure, m) in scene.score.measures.iter().enumerate() {
        for placed in &m.frame.chords {
            let place = Place { measure, at: placed.at };
            let time = scene.clock.at(place);
            if let Some(last) = found.last_mut() {
                last.1.end = last.1.end.min(time);
            }
            if let Harmony::Chord(chord) = &placed.symbol.harmony {
                let facts = ChordFacts::of(chord);
                let sounding = Sounding { at: time, end: scene.clock.end(), pitch_classes: facts.classes.iter().copied().collect() };
                found.push((place, sounding, facts));
            }
        }
    }
    found
}

fn clashes(scene: &Scene, struck: &[(usize, Struck)], found: &mut Vec<Finding>) {
    let model = RingModel::default();
    let plucks: Vec<Struck> = struck.iter().map(|s| s.1).collect();
    for (place, chord, _) in chords(scene) {
        // Only what rings in the last quarter of a minute can still be heard.
        let from = plucks.partition_point(|s| (chord.at - s.at).micros() > 15_000_000);
        let to = plucks.partition_point(|s| s.at < chord.end);
        let heard = ring::clashes(&model, &plucks[from..to.max(from)], &chord);
        let loud: Vec<&Clash> =
            heard.iter().filter(|c| c.how == Clashing::Sharp && c.lasts >= CLASH && c.pitch.position() < MIDDLE).collect();
        if let Some(clash) = loud.iter().max_by_key(|c| c.lasts) {
            let seconds = super::instrument::tenths(clash.lasts.micros());
            let text = format!("{:#} rings on for {seconds} s into the new chord and clashes with it", clash.pitch);
            let written = struck.iter().rev().find(|s| s.1.at < chord.at && s.1.pitch == clash.pitch);
            let mut tries = vec![Change::Muffle { place, pitches: loud.iter().map(|c| c.pitch).collect() }];
            if let Some((index, s)) = written
                && let Some(pitch) = scene.written(*index, s.pitch.position())
            {
                let onset = &scene.onsets[*index];
                tries.push(Change::Octave { place: onset.place, pitch, octaves: 1 });
                tries.push(Change::LeaveOut { place: onset.place, pitch, role: role(onset, pitch) });
            }
            let weight = clash.lasts.micros() / 1000;
            found.push(Finding::new(place, Gravity::Look, Rule::Ring, text).weighing(weight).trying(tries));
        }
    }
}

/// Neighbouring strings plucked together closer than the table allows; with a chord symbol the root is imagined below a close chord
/// that does not have it at the bottom (harp facts 4.2).
fn low_intervals(scene: &Scene, found: &mut Vec<Finding>) {
    let chords = chords(scene);
    for (index, onset) in scene.onsets.iter().enumerate() {
        let mut pitches: Vec<Pitch> = scene.strings.plucked[index].iter().flatten().copied().collect();
        pitches.sort_by_key(|p| p.midi());
        if pitches.len() < 2 || pitches[0].midi() >= 53 {
            continue;
        }
        let chord = chords.iter().rev().find(|c| c.0 <= onset.place).map(|c| &c.2);
        let mut midi: Vec<i32> = pitches.iter().map(|p| p.midi()).collect();
        midi.dedup();
        let narrow = midi.windows(2).find(|w| is_narrow(w[0], w[1], chord, &midi)).map(|w| (w[0], w[1]));
        let implied = chord.and_then(|c| implied_root(c, &midi)).filter(|r| narrow.is_none() && is_narrow(*r, midi[0], None, &[]));
        let text = match (narrow, implied) {
            (Some((low, high)), _) => {
                let name = |m: i32| pitches.iter().find(|p| p.midi() == m).map(|p| format!("{p:#}")).unwrap_or_default();
                format!("{} and {} are too close together so low down: they blur", name(low), name(high))
            }
            (None, Some(_)) => "this close chord is too low for its root below it: it blurs".to_owned(),
            _ => continue,
        };
        let low: Vec<Pitch> = onset.tones.iter().filter(|t| t.pitch.midi() <= narrow.map_or(midi[0], |n| n.1)).map(|t| t.pitch).collect();
        let mut tries = thinner(onset, &low);
        tries.extend(low.last().map(|p| Change::Octave { place: onset.place, pitch: *p, octaves: 1 }));
        tries.push(Change::WholeOctave { place: onset.place, staff: Hand::Left, octaves: 1 });
        let (down, up) = narrow.unwrap_or((midi[0], midi[0]));
        let weight = i64::from(lowest_of(up - down).unwrap_or(0) - down).max(1);
        found.push(Finding::new(onset.place, Gravity::Look, Rule::LowInterval, text).weighing(weight).trying(tries));
    }
}

fn is_narrow(low: i32, high: i32, chord: Option<&ChordFacts>, all: &[i32]) -> bool {
    let apart = high - low;
    // A fourth up to the octave of the root, the root below, is the 5 to 8 of an open chord.
    let root = |m: i32| {
        chord.map_or(all.contains(&(m - 12)), |c| m.rem_euclid(12) == c.root && all.iter().any(|x| *x < low && x.rem_euclid(12) == c.root))
    };
    lowest_of(apart).is_some_and(|lowest| low < lowest) && !(apart == 5 && root(high))
}

/// The root below a close chord of three or more tones whose lowest is another tone.
fn implied_root(chord: &ChordFacts, midi: &[i32]) -> Option<i32> {
    let close = midi.iter().take_while(|m| **m - midi[0] <= 12).count();
    let below = (midi[0] - chord.root).rem_euclid(12);
    (close >= 3 && below != 0 && !chord.slash).then_some(midi[0] - below)
}
