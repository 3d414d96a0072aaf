//! The tonic and mode of each section, from the key signature and the notes.
//!
//! Every tonic of the written signature and of its two neighbours on the circle is weighed: how much of the melody lies in the scale and on the tonic chord, where the
//! section ends and its phrases rest, and what is written. A section leaves the key of the whole only where its own notes say so clearly. Ours.

use super::palette::Family;
use crate::melody::{Pluck, plucks};
use crate::phrases::{Phrases, Pickup};
use music::{Beats, Key, LeadSheet, Mode, PitchName};

/// A tonic with its mode; `Minor` where the seventh is raised, `Aeolian` where it is not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tonic {
    key: Key,
}

impl Tonic {
    /// That of a key.
    pub fn of(key: &Key) -> Tonic {
        Tonic { key: key.clone() }
    }

    /// The key it is the tonic of.
    pub fn key(&self) -> &Key {
        &self.key
    }

    /// Its name.
    pub fn name(&self) -> PitchName {
        self.key.tonic()
    }

    /// Whether its third is major or minor.
    pub fn family(&self) -> Family {
        Family::of(self.key.mode)
    }

    /// Semitones above the tonic.
    pub fn above(&self, class: i32) -> usize {
        (class - self.name().pitch_class()).rem_euclid(12) as usize
    }

    /// Whether a pitch class is of the tonic chord.
    pub fn in_chord(&self, class: i32) -> bool {
        let third = if self.key.mode.is_minor() { 3 } else { 4 };
        [0, third, 7].contains(&self.above(class))
    }

    /// Whether a tone, so many semitones above the tonic, is of the scale; in minor the raised seventh is too.
    pub fn in_scale(&self, above: usize) -> bool {
        let fifths = (above as i32 * 7 + 5).rem_euclid(12) - 5;
        let from = -self.key.mode.fifths_above_major();
        let natural = (from - 1..from + 6).any(|place| (place - fifths).rem_euclid(12) == 0);
        natural || self.key.mode == Mode::Minor && above == 11
    }
}

/// What is weighed of a section, in thousandths. Ours, as all that follow.
const IN_SCALE: i64 = 2500;
const ON_TONIC: i64 = 700;
const ON_FIFTH: i64 = 450;
const ON_THIRD: i64 = 250;
const LAST_IS_TONIC: i64 = 600;
const LAST_IN_CHORD: i64 = 120;
const PHRASE_RESTS: i64 = 300;
const FIRST_IN_CHORD: i64 = 150;
const WRITTEN_MODE: i64 = 800;
const WRITTEN_PLAIN: i64 = 700;
const WRITTEN_SIGNATURE: i64 = 350;
const RARE: i64 = -700;
/// How much a section must say for its own tonic.
const OWN_TONIC: i64 = 900;

/// Modes that are looked for: the church modes without locrian.
const MODES: [Mode; 6] = [Mode::Major, Mode::Aeolian, Mode::Dorian, Mode::Mixolydian, Mode::Phrygian, Mode::Lydian];

/// The tonic of each phrase of the form: that of its section, moved where the signature moves.
pub fn tonics(sheet: &LeadSheet, form: &Phrases) -> Vec<Tonic> {
    let all = plucks(sheet);
    let Some(home) = sheet.measures.first().map(|m| m.frame.key.clone()) else { return Vec::new() };
    let sections: Vec<Facts> = (0..form.sections.len()).map(|s| Facts::of(sheet, form, &all, |m| form.measures[m].section == s)).collect();
    let whole = whole(&sections, &home);
    let of_sections: Vec<Key> = sections.iter().map(|f| own(f, &stay(f, &whole, &home))).collect();
    let phrase = |p: usize| {
        let section = form.phrases[p].section;
        let (key, around) = (&of_sections[section], &sections[section]);
        let facts = Facts::of(sheet, form, &all, |m| form.measures[m].phrase == p);
        let signature = around.signature.as_ref().unwrap_or(&home);
        let turns = facts.signature.as_ref().is_some_and(|s| s != signature);
        let found = if turns { stay(&facts, key, signature) } else { key.clone() };
        let by = if found == *key { around } else { &facts };
        Tonic { key: raised(found, by) }
    };
    (0..form.phrases.len()).map(phrase).collect()
}

/// The key of the whole tune; what the last section says counts more.
fn whole(sections: &[Facts], home: &Key) -> Key {
    let length: Beats = sections.iter().map(|f| f.length).sum();
    let share = |f: &Facts| if length > Beats::ZERO { f.length.thousandths_of(length) } else { 0 };
    best(home, |key| {
        let worth = |(i, f): (usize, &Facts)| f.worth(key) * (share(f) + if i + 1 == sections.len() { 400 } else { 0 }) / 1000;
        sections.iter().enumerate().map(worth).sum::<i64>() + written(home, key)
    })
}

/// The key that goes on, moved where the signature has moved.
fn stay(facts: &Facts, whole: &Key, home: &Key) -> Key {
    let moved = facts.signature.as_ref().map_or(0, |s| s.fifths - home.fifths);
    match (moved, whole.mode.is_minor()) {
        (0, _) => whole.clone(),
        // Major and minor on one tonic.
        (3, true) => Key::new(whole.fifths + 3, Mode::Major),
        (-3, false) => Key::new(whole.fifths - 3, Mode::Aeolian),
        _ => Key::new(whole.fifths + moved, whole.mode),
    }
}

/// The tonic of a section's own, where it comes to rest on it and says so clearly.
fn own(facts: &Facts, stay: &Key) -> Key {
    let signature = facts.signature.as_ref().unwrap_or(stay);
    let worth = |key: &Key| facts.worth(key) + written(signature, key) / 2 + if key == stay { OWN_TONIC } else { 0 };
    let rests_on = |key: &Key| facts.last.is_some_and(|c| Tonic::of(key).in_chord(c));
    let found = best(signature, |key| if key == stay || rests_on(key) { worth(key) } else { i64::MIN / 2 });
    if worth(stay) >= worth(&found) { stay.clone() } else { found }
}

fn best(signature: &Key, worth: impl Fn(&Key) -> i64) -> Key {
    let mut found: Option<(i64, Key)> = None;
    for shift in [0, -1, 1] {
        for mode in MODES {
            let key = Key::new(signature.fifths + shift, mode);
            let here = worth(&key);
            if found.as_ref().is_none_or(|(most, _)| here > *most) {
                found = Some((here, key));
            }
        }
    }
    found.map_or_else(|| signature.clone(), |f| f.1)
}

/// What the written key says for a key.
fn written(written: &Key, key: &Key) -> i64 {
    let same_tonic = written.mode != Mode::Other && written.tonic() == key.tonic();
    let same_third = Family::of(written.mode) == Family::of(key.mode);
    let plain = matches!(written.mode, Mode::Major | Mode::Ionian);
    let mode = match (same_tonic && same_third, plain) {
        (true, true) => WRITTEN_PLAIN,
        (true, false) => WRITTEN_MODE,
        _ => 0,
    };
    mode + if written.fifths == key.fifths { WRITTEN_SIGNATURE } else { 0 }
        + if matches!(key.mode, Mode::Phrygian | Mode::Lydian) { RARE } else { 0 }
}

/// Minor where the raised seventh is heard, if only now and then, or the seventh is not heard at all; aeolian where only the natural one is.
fn raised(key: Key, facts: &Facts) -> Key {
    if key.mode != Mode::Aeolian {
        return key;
    }
    let tonic = key.tonic().pitch_class();
    let of = |above: i32| facts.time[(tonic + above).rem_euclid(12) as usize];
    let mode = if of(11) * 8 >= of(10) { Mode::Minor } else { Mode::Aeolian };
    Key { mode, ..key }
}

/// The note on which a stretch of time comes to rest: the longest that sounds there, of equals the last.
pub fn landing(all: &[Pluck], from: Beats, to: Beats) -> Option<&Pluck> {
    let first = all.partition_point(|p| p.end() <= from);
    all[first..].iter().take_while(|p| p.start < to).max_by_key(|p| p.length)
}

/// The notes of one stretch, counted.
struct Facts {
    length: Beats,
    /// Sounding time by pitch class, in thousandths of all.
    time: [i64; 12],
    first: Option<i32>,
    last: Option<i32>,
    /// Last notes of the phrases inside.
    rests: Vec<i32>,
    /// The key signature of its first measure.
    signature: Option<Key>,
}

impl Facts {
    fn of(sheet: &LeadSheet, form: &Phrases, all: &[Pluck], holds: impl Fn(usize) -> bool) -> Facts {
        let inside: Vec<&Pluck> = all.iter().filter(|p| holds(p.measure)).collect();
        let length: Beats = inside.iter().map(|p| p.length).sum();
        let mut time = [0; 12];
        for pluck in &inside {
            time[pluck.top.pitch_class() as usize] += pluck.length.thousandths_of(length);
        }
        let ends = (0..form.measures.len()).filter(|m| form.measures[*m].last_of_phrase && holds(*m));
        let starts = sheet.starts();
        let lands = |m: usize| landing(all, starts[m], starts[m] + sheet.measures[m].frame.length);
        let rests: Vec<i32> = ends.filter_map(lands).map(|p| p.top.pitch_class()).collect();
        let first = inside.iter().find(|p| form.measures[p.measure].pickup == Pickup::No).map(|p| p.top.pitch_class());
        let signature = sheet.measures.iter().enumerate().find(|(m, _)| holds(*m)).map(|(_, m)| m.frame.key.clone());
        Facts { length, time, first, last: rests.last().copied(), rests, signature }
    }

    fn worth(&self, key: &Key) -> i64 {
        let tonic = Tonic::of(key);
        let third = if key.mode.is_minor() { 3 } else { 4 };
        let at = |above: usize| self.time[(tonic.name().pitch_class() as usize + above) % 12];
        let in_scale: i64 =
            (0..12).filter(|a| tonic.in_scale(*a)).map(at).sum::<i64>() + if key.mode == Mode::Aeolian { at(11) } else { 0 };
        let in_chord = |class: Option<i32>| class.is_some_and(|c| tonic.in_chord(c));
        let mut worth = in_scale * IN_SCALE + at(0) * ON_TONIC + at(7) * ON_FIFTH + at(third) * ON_THIRD;
        worth /= 1000;
        worth += match self.last {
            Some(c) if tonic.above(c) == 0 => LAST_IS_TONIC,
            last if in_chord(last) => LAST_IN_CHORD,
            _ => 0,
        };
        let rest = self.rests.iter().filter(|c| tonic.above(**c) == 0).count() as i64;
        worth += PHRASE_RESTS * rest / self.rests.len().max(1) as i64;
        worth + if in_chord(self.first) { FIRST_IN_CHORD } else { 0 }
    }
}
