//! The tones a slot can be played with: every bass, the shapes above it, the other bass tones near it, the tones that lead out of it.
//!
//! Made once for a slot and shared by all figures. A bass is any tone of the chord where the place allows it, on every string of the left hand's register; a shape is
//! one to three tones of the chord above it that lie under one hand. What they are worth is the business of [`crate::principles`]; here only what no hand can
//! hold and what is plainly poor is left out.

pub mod above;

use crate::hand_time::Strings;
use crate::register::Register;
use crate::slots::{Freedom, Slot};
use harp::Instrument;
use music::{Chord, ChordTone, Pitch, PitchName};
use smallvec::smallvec;

/// A bass and what can stand above it.
#[derive(Clone, Debug)]
pub struct Bass {
    pub pitch: Pitch,
    /// Shapes of one, two and three tones, lowest first, the likeliest first.
    pub shapes: [Vec<Strings>; 3],
    /// Other tones of the chord for a bass that moves.
    pub others: Vec<Pitch>,
    /// Tones that lead by step to the likeliest next bass.
    pub leads: Vec<Lead>,
}

/// A tone that leads by step to the next bass, and the one a step before it where there is one between the two basses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lead {
    pub pitch: Pitch,
    pub walk: Option<Pitch>,
}

/// How far above the bass a shape may begin and end, in strings counted as steps.
const NEAREST: i32 = 2;
const LOWER_UP_TO: i32 = 10;
const UPPER_UP_TO: i32 = 16;
/// The widest shape above the bass, in steps: an octave, so that it lies in one hand.
const WIDEST: i32 = 7;
/// How many shapes of each size are kept for a bass.
const KEPT: [usize; 3] = [4, 6, 5];
/// How many more are kept of those that stay within the key, so that a lever can be spared.
const KEPT_IN_KEY: [usize; 3] = [2, 3, 2];
/// How many more are kept that lack the third, for where its string is not free.
const KEPT_OPEN: [usize; 3] = [1, 1, 2];
/// The other bass lies within a sixth of the bass.
const OTHER_WITHIN: i32 = 5;
/// The lowest string that is the exception: below E2 the strings are kept for joints of the form and the end.
const BASS_UP_TO: i32 = 25;

/// The tones of a slot's chord with their names, looked up once.
pub struct Tones {
    named: Vec<(ChordTone, PitchName)>,
}

impl Tones {
    pub fn of(chord: &Chord) -> Tones {
        let mut named: Vec<(ChordTone, PitchName)> = chord.tones().into_iter().map(|t| (t, chord.name_of(t))).collect();
        named.sort_by_key(|(t, _)| t.degree);
        named.dedup_by_key(|(_, name)| name.pitch_class());
        Tones { named }
    }

    /// The chord's tone on a string, where it has one and the harp has it.
    pub(super) fn on(&self, position: i32, harp: &Instrument) -> Option<(i32, Pitch)> {
        let place = Pitch::at_position(position, 0);
        let (tone, name) = self.named.iter().find(|(_, name)| name.step == place.step)?;
        let pitch = Pitch { alter: name.alter, ..place };
        harp.spelled(pitch).map(|p| (tone.degree, p))
    }
}

/// Every bass of a slot with what stands above it. `ceiling` is the highest string free under the tune.
pub fn basses(slot: &Slot, chord: &Chord, window: (i32, i32), ceiling: i32, harp: &Instrument, register: Register) -> Vec<Bass> {
    let tones = Tones::of(chord);
    let up = register.lift(harp.lowest());
    let high = window.1.min(BASS_UP_TO + up).min(ceiling);
    let (low, high) = (harp.lowest().max(window.0), high);
    let degree_allowed = |degree: i32| match slot.freedom() {
        Freedom::Stated => degree == 1 && chord.bass.is_none(),
        Freedom::Free => matches!(degree, 1 | 3 | 5 | 7),
    };
    let mut made = Vec::new();
    for position in low..=high {
        let tone = tones.on(position, harp).filter(|(degree, _)| degree_allowed(*degree)).map(|(_, p)| p);
        let written = chord.bass.and_then(|name| on_string(name, position, harp));
        if let Some(pitch) = written.or(tone) {
            made.push(bass(slot, &tones, pitch, (low, ceiling), harp, register));
        }
    }
    made
}

fn on_string(name: PitchName, position: i32, harp: &Instrument) -> Option<Pitch> {
    let place = Pitch::at_position(position, 0);
    let pitch = Pitch { alter: name.alter, ..place };
    (place.step == name.step).then(|| harp.spelled(pitch)).flatten()
}

fn bass(slot: &Slot, tones: &Tones, pitch: Pitch, (low, ceiling): (i32, i32), harp: &Instrument, register: Register) -> Bass {
    let from = pitch.position();
    let above: Vec<(i32, Pitch)> =
        (from + NEAREST..=(from + UPPER_UP_TO).min(ceiling)).filter_map(|p| tones.on(p, harp)).filter(|(d, _)| *d <= 13).collect();
    let others = (from - OTHER_WITHIN..=from + OTHER_WITHIN)
        .filter(|p| *p != from && *p >= low && *p <= ceiling)
        .filter_map(|p| tones.on(p, harp))
        .filter(|(d, _)| matches!(d, 1 | 3 | 5))
        .map(|(_, p)| p)
        .collect();
    let in_key = |p: &Pitch| slot.key.alter(p.step) == p.alter;
    let third = tones.named.iter().find(|(tone, _)| tone.degree == 3).map(|(_, name)| name.pitch_class());
    Bass { pitch, shapes: shapes(pitch, &above, register, third, in_key), others, leads: leads(slot, pitch, &tones.named, low, harp) }
}

/// Up to three tones under one hand; the likeliest first: open below, the third a tenth up, each tone once.
fn shapes(
    bass: Pitch,
    above: &[(i32, Pitch)],
    register: Register,
    third: Option<i32>,
    in_key: impl Fn(&Pitch) -> bool,
) -> [Vec<Strings>; 3] {
    let mut all: [Vec<(i64, Strings)>; 3] = Default::default();
    for (i, (d1, a)) in above.iter().enumerate() {
        let from = a.position() - bass.position();
        // One tone above a bass is a tenth, a sixth, a fifth or an octave away.
        all[0].push((likely(bass, &[*a], &[*d1], register), smallvec![*a]));
        if from > LOWER_UP_TO {
            continue;
        }
        for (j, (d2, b)) in above.iter().enumerate().skip(i + 1) {
            if b.position() - a.position() > WIDEST {
                break;
            }
            if b.position() <= a.position() {
                continue;
            }
            all[1].push((likely(bass, &[*a, *b], &[*d1, *d2], register), smallvec![*a, *b]));
            for (d3, c) in above.iter().skip(j + 1) {
                if c.position() - a.position() > WIDEST + 3 {
                    break;
                }
                if c.position() <= b.position() {
                    continue;
                }
                all[2].push((likely(bass, &[*a, *b, *c], &[*d1, *d2, *d3], register), smallvec![*a, *b, *c]));
            }
        }
    }
    let mut size = 0;
    all.map(|mut shapes| {
        let position = |shape: &Strings, at: usize| shape.get(at).map(|p| p.position());
        shapes.sort_by_key(|(price, shape)| (*price, [0, 1, 2].map(|at| position(shape, at))));
        let (mut within_the_key, mut open) = (0, 0);
        let mut kept = Vec::new();
        for (_, shape) in shapes {
            let plain = shape.iter().all(&in_key) && within_the_key < KEPT_IN_KEY[size];
            within_the_key += usize::from(plain);
            let without = third.is_none_or(|class| shape.iter().all(|p| p.pitch_class() != class)) && open < KEPT_OPEN[size];
            open += usize::from(without);
            if plain || without || kept.len() < KEPT[size] {
                kept.push(shape);
            }
        }
        size += 1;
        kept
    })
}

/// A rough order of shapes, so that the poor ones need not be priced: only the kept ones are looked at by the principles.
fn likely(bass: Pitch, shape: &[Pitch], degrees: &[i32], register: Register) -> i64 {
    let from = bass.position();
    let mut price = 0;
    let mut below = bass;
    for pitch in shape {
        let apart = pitch.midi() - below.midi();
        if crate::principles::lowest_of(apart).is_some_and(|least| below.midi() - register.semitones() < least) {
            price += 400;
        }
        below = *pitch;
    }
    let mut seen = 1u16 << bass.pitch_class();
    for class in shape.iter().map(|p| 1 << p.pitch_class()) {
        price += if seen & class != 0 { 60 } else { 0 };
        seen |= class;
    }
    let third = degrees.iter().position(|d| matches!(d, 3));
    price += match third {
        Some(at) if shape[at].position() - from < 7 && from - 7 * register.octaves < 24 => 50,
        Some(_) => 0,
        None => 90,
    };
    if !degrees.contains(&7) {
        price += 40;
    }
    let reach = shape[shape.len() - 1].position() - from;
    price + i64::from((reach - 11).max(0)) * 25 + i64::from((7 - reach).max(0)) * 15
}

/// The tones a step below and above the root of the next chord, in the octave nearest to the bass, as the key has them.
fn leads(slot: &Slot, bass: Pitch, tones: &[(ChordTone, PitchName)], low: i32, harp: &Instrument) -> Vec<Lead> {
    let Some(next) = &slot.next_bass else { return Vec::new() };
    let from = bass.position();
    let letter = next.step.index();
    let octave = (from - letter + 3).div_euclid(7);
    let in_key = |at: i32| {
        let place = Pitch::at_position(at, 0);
        // A tone of the chord leads in the chord's form: C sharp under A7, whatever the key has.
        let own = tones.iter().find(|(_, name)| name.step == place.step).map(|(_, name)| name.alter);
        harp.spelled(Pitch { alter: own.unwrap_or_else(|| slot.key.alter(place.step)), ..place })
    };
    let mut made: Vec<Lead> = Vec::new();
    for root in [letter + 7 * octave, letter + 7 * (octave - 1)] {
        for by in [-1, 1] {
            let (at, before) = (root + by, root + 2 * by);
            if at < low || (at - from).abs() > 7 || at == from || made.iter().any(|l| l.pitch.position() == at) {
                continue;
            }
            // A foreign tone passes from one bass to the other; a tone of the chord may be leapt to.
            let passes = (at - from).signum() == (root - at).signum() && (at - from).abs() <= 3;
            if !passes && !tones.iter().any(|(_, name)| in_key(at).is_some_and(|p| p.pitch_class() == name.pitch_class())) {
                continue;
            }
            // Both walk away from the bass that was plucked, or come back to it from a third further; a foreign tone is not leapt to.
            let of_chord = |p: &Pitch| tones.iter().any(|(_, name)| p.pitch_class() == name.pitch_class());
            let near = (before - from).abs() <= 2;
            let walk = (before >= low && before != from && (before - from).abs() <= 4).then(|| in_key(before)).flatten();
            let walk = walk.filter(|p| near || of_chord(p));
            made.extend(in_key(at).map(|pitch| Lead { pitch, walk }));
        }
    }
    made.sort_by_key(|l| l.pitch.position());
    made
}
