//! What the harp has: strings, pitches, and levers or pedals in time.

use super::{Scene, role};
use crate::change::Change;
use crate::finding::{Finding, Gravity, Rule};
use crate::onsets::{Onset, Tone};
use harp::Mechanism;
use harp::page::{MissingNote, Why};
use harp::settings::remedies::neighbours;
use music::{Beats, Interval, Mark, Pitch, Place};
use std::collections::BTreeMap;

pub fn look(scene: &Scene, found: &mut Vec<Finding>) {
    for (index, tone, note) in &scene.strings.missing {
        let onset = &scene.onsets[*index];
        let tries = remedies(scene, onset, &onset.tones[*tone], note.why);
        found.push(missing(note, onset.rolled()).trying(tries));
    }
    found.extend(scene.strings.graces.iter().map(|note| missing(note, true)));
    for (index, tone) in &scene.strings.unmarked {
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
    fixed_strings(scene, found);
}

/// The share of a move's time, in hundredths, that may be missing before it is hard and not only tight: the times are our own.
const TIGHT: i64 = 30;

/// A note that cannot be played, in the words that the arranger has for it too. What is only our own times is never more than hard; inside a roll, and from a grace
/// note to its note, there is a moment for a string to be set otherwise.
fn missing(note: &MissingNote, spread: bool) -> Finding {
    let (gravity, rule, weight) = match note.why {
        Why::Below(_) | Why::Above(_) => (Gravity::Cannot, Rule::NoString, 0),
        Why::NoString => (Gravity::Cannot, Rule::NoPitch, 0),
        Why::Together => (if spread { Gravity::Hard } else { Gravity::Cannot }, Rule::Together, 0),
        Why::Late { has, needs, .. } => {
            let short = (needs - has).micros();
            let gravity = if short * 100 <= needs.micros() * TIGHT { Gravity::Look } else { Gravity::Hard };
            (gravity, Rule::MoveWithoutTime, short / 1000)
        }
        Why::Busy(_) => (Gravity::Hard, Rule::MoveWithoutTime, 0),
        Why::Sounding(_) => (Gravity::Look, Rule::MoveWhileSounding, 0),
    };
    let place = Place { measure: note.measure, at: note.at };
    Finding::new(place, gravity, rule, note.to_string()).about(note.pitch).weighing(weight)
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
fn remedies(scene: &Scene, onset: &Onset, tone: &Tone, why: Why) -> Vec<Change> {
    let (place, pitch) = (onset.place, tone.pitch);
    let mut tries = Vec::new();
    let octaves = |tries: &mut Vec<Change>| {
        for octaves in nearest_octaves(scene, pitch) {
            tries.push(Change::Octave { place, pitch, octaves });
        }
    };
    let leave_out = Change::LeaveOut { place, pitch, role: role(onset, pitch) };
    match why {
        Why::Below(_) | Why::Above(_) => {
            let up = if pitch.position() < scene.harp.lowest() { 1 } else { -1 };
            octaves(&mut tries);
            tries.extend([1, 2].map(|n| Change::WholeOctave { place, staff: tone.staff, octaves: up * n }));
            tries.push(leave_out);
            tries.extend([up, 2 * up].map(|octaves| Change::OtherKey { by: Interval::octaves(octaves) }));
        }
        Why::NoString | Why::Together => {
            octaves(&mut tries);
            tries.push(leave_out);
            tries.extend(keys());
        }
        Why::Late { .. } | Why::Sounding(_) | Why::Busy(_) => {
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
    for (onset, pitches) in scene.onsets.iter().zip(&scene.strings.plucked) {
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
