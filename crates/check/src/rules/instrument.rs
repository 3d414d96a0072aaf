//! What the harp has: strings, pitches, and levers or pedals in time.

use super::{Scene, role};
use crate::change::Change;
use crate::finding::{Finding, Gravity, Rule};
use crate::page::{Onset, Tone};
use crate::settings::Fault;
use harp::Mechanism;
use harp::settings::MoveTimes;
use harp::settings::remedies::neighbours;
use music::{Beats, Interval, Mark, Pitch, Place};
use std::collections::BTreeMap;

pub fn look(scene: &Scene, found: &mut Vec<Finding>) {
    for (index, tone, fault) in &scene.settings.faults {
        let onset = &scene.onsets[*index];
        found.push(fault_of(scene, onset, &onset.tones[*tone], *fault));
    }
    let late = |at: &(usize, usize)| scene.settings.faults.iter().any(|f| (f.0, f.1) == *at);
    for (index, tone) in scene.settings.unmarked.iter().filter(|at| !late(at)) {
        let onset = &scene.onsets[*index];
        let pitch = onset.tones[*tone].pitch;
        let text = format!("the printed marks do not set {pitch:#}, and it can be set");
        let mark = |p: Pitch| match scene.harp.mechanism {
            Mechanism::Pedals { .. } => Mark::Pedal(p.name()),
            Mechanism::Levers(_) => Mark::Lever(p),
        };
        let before = scene.onsets[..*index].last().map(|o| o.place).filter(|p| p.measure == onset.place.measure);
        let places = std::iter::once(onset.place).chain(before);
        let tries =
            places.flat_map(|place| neighbours(&scene.tuned, pitch).into_iter().map(move |p| Change::Print { place, mark: mark(p) }));
        found.push(Finding::new(onset.place, Gravity::Look, Rule::PrintedMarks, text).trying(tries.collect()));
    }
    graces(scene, found);
    fixed_strings(scene, found);
}

/// Grace notes on strings that are not there. They are looked at for nothing else.
fn graces(scene: &Scene, found: &mut Vec<Finding>) {
    for (measure, m) in scene.score.measures.iter().enumerate() {
        for note in m.right.iter().chain(&m.left) {
            let pitches = note.grace.iter().flat_map(|g| &g.pitches);
            for pitch in pitches.filter(|p| neighbours(&scene.tuned, **p).is_empty()) {
                let text = format!("this harp has no string for the grace note {pitch:#}");
                found.push(Finding::new(Place { measure, at: note.at }, Gravity::Cannot, Rule::NoString, text));
            }
        }
    }
}

fn fault_of(scene: &Scene, onset: &Onset, tone: &Tone, fault: Fault) -> Finding {
    let pitch = tone.pitch;
    let part = match scene.harp.mechanism {
        Mechanism::Pedals { .. } => "pedal",
        Mechanism::Levers(_) => "lever",
    };
    let (low, high) = (scene.harp.lowest(), scene.harp.highest());
    let (gravity, rule, text) = match fault {
        Fault::NoString => {
            let edge = if pitch.position() < low { "below the lowest" } else { "above the highest" };
            let named = Pitch::at_position(if pitch.position() < low { low } else { high }, 0);
            let named = format!("{}{}", named.step.letter(), named.octave);
            (Gravity::Cannot, Rule::NoString, format!("this harp has no string for {pitch:#}: it lies {edge}, {named}"))
        }
        Fault::NoPitch => (Gravity::Cannot, Rule::NoPitch, format!("no string of this harp can be set to {pitch:#}")),
        Fault::Together => {
            let text = format!(
                "{pitch:#} cannot be played together with the other notes here: they need its string set otherwise, and no other string has it"
            );
            // Inside a roll there is a moment between the two.
            (if onset.rolled() { Gravity::Hard } else { Gravity::Cannot }, Rule::Together, text)
        }
        Fault::Late(by) => {
            let (text, gravity) = late(scene, part, by.micros());
            (gravity, Rule::MoveWithoutTime, format!("{text} to move the {part} for {pitch:#}"))
        }
        Fault::WhileSounding => (
            Gravity::Look,
            Rule::MoveWhileSounding,
            format!("the {part} for {pitch:#} has to be moved while its string should still sound"),
        ),
    };
    let weight = if let Fault::Late(by) = fault { by.micros() / 1000 } else { 0 };
    Finding::new(onset.place, gravity, rule, text).about(pitch).weighing(weight).trying(remedies(scene, onset, tone, fault))
}

/// The share of a move's time, in hundredths, that may be missing before it is hard and not only tight: the times are our own.
const TIGHT: i64 = 30;

fn late(scene: &Scene, part: &str, missing: i64) -> (String, Gravity) {
    let times = MoveTimes::of(scene.player.fluency);
    let needed = if part == "pedal" { times.foot.micros() } else { times.lever.micros() };
    let has = needed - missing;
    if missing * 100 <= needed * TIGHT {
        (format!("there are {} s, where {} s are wanted,", hundredths(has), hundredths(needed)), Gravity::Look)
    } else if has < 50_000 {
        ("there is no free moment".to_owned(), Gravity::Hard)
    } else {
        (format!("there are {} s, where {} s are wanted,", hundredths(has), hundredths(needed)), Gravity::Hard)
    }
}

/// Seconds with one place after the point, at least 0.1.
pub fn tenths(micros: i64) -> String {
    let tenths = ((micros + 50_000) / 100_000).max(1);
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// Seconds with two places after the point.
pub fn hundredths(micros: i64) -> String {
    let hundredths = (micros + 5_000) / 10_000;
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// The remedies in the order in which a harpist tries them: another string, earlier or later, another octave, leave it out, another key.
fn remedies(scene: &Scene, onset: &Onset, tone: &Tone, fault: Fault) -> Vec<Change> {
    let (place, pitch) = (onset.place, tone.pitch);
    let mut tries = Vec::new();
    let octaves = |tries: &mut Vec<Change>| {
        for octaves in nearest_octaves(scene, pitch) {
            tries.push(Change::Octave { place, pitch, octaves });
        }
    };
    let leave_out = Change::LeaveOut { place, pitch, role: role(onset, pitch) };
    match fault {
        Fault::NoString => {
            let up = if pitch.position() < scene.harp.lowest() { 1 } else { -1 };
            octaves(&mut tries);
            tries.extend([1, 2].map(|n| Change::WholeOctave { place, staff: tone.staff, octaves: up * n }));
            tries.push(leave_out);
            tries.extend([up, 2 * up].map(|octaves| Change::OtherKey { by: Interval::octaves(octaves) }));
        }
        Fault::NoPitch | Fault::Together => {
            octaves(&mut tries);
            tries.push(leave_out);
            tries.extend(keys());
        }
        Fault::Late(_) | Fault::WhileSounding => {
            tries.extend(neighbours(&scene.tuned, pitch).into_iter().filter(|p| *p != pitch).map(|to| Change::Respell {
                place,
                pitch,
                to,
            }));
            let by = Beats::EIGHTH;
            tries.push(Change::Later { place, staff: tone.staff, by });
            tries.push(Change::Earlier { place, staff: tone.staff, by });
            octaves(&mut tries);
            tries.push(leave_out);
            tries.extend(keys());
        }
    }
    tries
}

/// Octaves that bring a pitch onto the harp, nearest first.
fn nearest_octaves(scene: &Scene, pitch: Pitch) -> Vec<i32> {
    let fits = |o: &i32| scene.tuned.spelled(pitch.up(Interval::octaves(*o))).is_some();
    [1, -1, 2, -2].into_iter().filter(fits).take(2).collect()
}

fn keys() -> Vec<Change> {
    [(1, 2), (-1, -2), (3, 5), (-3, -5)].map(|(steps, semitones)| Change::OtherKey { by: Interval::new(steps, semitones) }).to_vec()
}

/// A string without discs that the page wants in two ways: it is tuned before the piece (harp facts 1.1; harps differ, so never more than hard).
fn fixed_strings(scene: &Scene, found: &mut Vec<Finding>) {
    let Mechanism::Pedals { fixed } = &scene.harp.mechanism else { return };
    let mut tuned: BTreeMap<i32, i32> = BTreeMap::new();
    for (onset, pitches) in scene.onsets.iter().zip(&scene.settings.plucked) {
        for (tone, pitch) in onset.tones.iter().zip(pitches).filter_map(|(t, p)| p.map(|p| (t, p))) {
            if !fixed.contains(&pitch.position()) || *tuned.entry(pitch.position()).or_insert(pitch.alter) == pitch.alter {
                continue;
            }
            let text = format!(
                "{:#} is wanted on a string that many harps cannot change while playing, and earlier it is tuned otherwise",
                tone.pitch
            );
            let tries = vec![
                Change::Octave { place: onset.place, pitch: tone.pitch, octaves: 1 },
                Change::LeaveOut { place: onset.place, pitch: tone.pitch, role: role(onset, tone.pitch) },
            ];
            found.push(Finding::new(onset.place, Gravity::Hard, Rule::FixedString, text).trying(tries));
        }
    }
}
