//! What the sheet lets expect: short units of time in playing order, each with the tones that should sound and the notes that should begin.
//!
//! Units are beats, cut smaller where the beat is slow and put together where it is fast, so that each lasts about half a second. From the end of one measure more than one
//! may follow: the next as written, the way on where a repeat is left out, or the beginning again (C. Fremerey, M. Müller and M. Clausen, Handling repeats and jumps in
//! score-performance synchronization, ISMIR 2010).

use crate::error::RecordingError;
use crate::hear::{Tones, unit};
use music::{Beats, Chord, Clock, Decoration, Harmony, LeadSheet, Note, Place, Tempo};
use std::collections::BTreeMap;

/// The most units that are followed.
pub const MOST_UNITS: usize = 6_000;

/// A stretch of a unit in which the same should sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Shares of the unit, 0 to 1.
    pub from: f32,
    pub to: f32,
    /// Index into [`Course::sounds`].
    pub sound: usize,
}

/// A note that begins in a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Onset {
    /// Share of the unit.
    pub at: f32,
    pub class: usize,
    pub weight: f32,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// Index into [`Course::order`].
    pub pass: usize,
    /// From the start of its measure.
    pub at: Beats,
    pub length: Beats,
    /// How long it lasts as the sheet says.
    pub seconds: f32,
    /// In beats of the meter.
    pub beats: f32,
    pub pieces: Vec<Piece>,
    pub onsets: Vec<Onset>,
    /// A fermata ends in it: it may last much longer.
    pub held: bool,
}

/// Where one may go on from the end of a unit, and what it costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// Index into [`Course::units`]; beyond the last, the end.
    pub to: usize,
    pub cost: f32,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// The tune alone and with its chord, each of length 1.
    pub sounds: Vec<[Tones; 2]>,
    /// How much of the sheet's time each sound has; together 1.
    pub shares: Vec<f32>,
    /// Indices into the measures of the page as they are played, all repeats taken.
    pub order: Vec<usize>,
    pub units: Vec<Unit>,
    /// The first unit of each pass.
    pub firsts: Vec<usize>,
    pub ways: Vec<Vec<Way>>,
}

/// What leaving out a repeat costs.
const LEFT_OUT: f32 = 2.0;

impl Course {
    pub fn end(&self) -> usize {
        self.units.len()
    }

    /// As the sheet is, at the tempo it would have. Errors: nothing to listen for, too long.
    pub fn of(sheet: &LeadSheet, tempo: Tempo) -> Result<Course, RecordingError> {
        let clock = Clock::of_sheet(sheet, tempo);
        let order = clock.order().to_vec();
        let page: Vec<Vec<Unit>> = Page::of(sheet, &clock).units();
        let whole: usize = order.iter().map(|m| page[*m].len()).sum();
        if whole > MOST_UNITS {
            return Err(RecordingError::TuneTooLong(whole));
        }
        let mut course = Course { sounds: Vec::new(), shares: Vec::new(), order, units: Vec::new(), firsts: Vec::new(), ways: Vec::new() };
        for (pass, measure) in course.order.iter().enumerate() {
            course.firsts.push(course.units.len());
            course.units.extend(page[*measure].iter().map(|u| Unit { pass, ..u.clone() }));
        }
        let sounds = Sounds::of(sheet);
        (course.sounds, course.shares) = (sounds.all, sounds.shares);
        if course.units.iter().all(|u| u.onsets.is_empty()) {
            return Err(RecordingError::NoNotes);
        }
        course.ways = course.ways_on();
        Ok(course)
    }

    fn ways_on(&self) -> Vec<Vec<Way>> {
        let mut ways: Vec<Vec<Way>> = (1..=self.units.len()).map(|to| vec![Way { to, cost: 0.0 }]).collect();
        let next = |pass: usize| self.order.get(pass + 1).copied();
        for (pass, measure) in self.order.iter().enumerate() {
            let Some(last) = self.firsts.get(pass + 1).copied().unwrap_or(self.units.len()).checked_sub(1) else { continue };
            for later in (pass + 1..self.order.len()).filter(|l| self.order[*l] == *measure && next(*l) != next(pass)) {
                let to = self.firsts.get(later + 1).copied().unwrap_or(self.units.len());
                if ways[last].len() < 6 && ways[last].iter().all(|w| w.to != to) {
                    ways[last].push(Way { to, cost: LEFT_OUT });
                }
            }
        }
        ways
    }
}

/// The different sounds of a sheet.
struct Sounds {
    all: Vec<[Tones; 2]>,
    shares: Vec<f32>,
    of: BTreeMap<Key, usize>,
}

/// What sounds together: the tune's pitch classes and the chord's with its bass.
type Key = (Vec<i32>, Vec<i32>, Option<i32>);

impl Sounds {
    fn of(sheet: &LeadSheet) -> Sounds {
        let mut sounds = Sounds { all: Vec::new(), shares: Vec::new(), of: BTreeMap::new() };
        for (measure, chords) in sheet.measures.iter().zip(chords(sheet)) {
            for (from, to, key) in stretches(&measure.notes, &chords, measure.frame.length) {
                let place = sounds.place(&key);
                sounds.shares[place] += (to - from).as_f64() as f32;
            }
        }
        let sum: f32 = sounds.shares.iter().sum::<f32>().max(1e-6);
        sounds.shares.iter_mut().for_each(|s| *s /= sum);
        sounds
    }

    fn place(&mut self, key: &Key) -> usize {
        let next = self.all.len();
        let place = *self.of.entry(key.clone()).or_insert(next);
        if place == next {
            self.all.push(expected(key));
            self.shares.push(0.0);
        }
        place
    }
}

/// A tone and its partials as pitch classes: an octave, a twelfth, two octaves, a seventeenth, each softer than the one before.
const PARTIALS: [(i32, f32); 6] = [(0, 1.0), (0, 0.6), (7, 0.36), (0, 0.22), (4, 0.13), (7, 0.08)];

fn expected((tune, chord, bass): &Key) -> [Tones; 2] {
    let add = |tones: &mut Tones, class: i32, weight: f32| {
        for (above, part) in PARTIALS {
            tones[(class + above).rem_euclid(12) as usize] += weight * part;
        }
    };
    let mut alone = [0.0; 12];
    tune.iter().for_each(|c| add(&mut alone, *c, 1.0));
    let mut together = alone;
    chord.iter().for_each(|c| add(&mut together, *c, 0.4));
    bass.iter().for_each(|c| add(&mut together, *c, 0.25));
    if tune.is_empty() {
        alone = together;
    }
    [unit(alone), unit(together)]
}

/// The chord that holds at the beginning of each measure and the changes in it.
fn chords(sheet: &LeadSheet) -> Vec<Vec<(Beats, Option<Chord>)>> {
    let mut holds: Option<Chord> = None;
    let here = |m: &music::SheetMeasure| {
        let mut row = vec![(Beats::ZERO, holds.clone())];
        for placed in &m.frame.chords {
            match &placed.symbol.harmony {
                Harmony::Chord(chord) => holds = Some(chord.clone()),
                Harmony::NoChord => holds = None,
            }
            row.retain(|r| r.0 < placed.at);
            row.push((placed.at, holds.clone()));
        }
        row
    };
    sheet.measures.iter().map(here).collect()
}

/// A measure cut wherever the note or the chord changes; stretches without anything to listen for are left out.
fn stretches(notes: &[Note], chords: &[(Beats, Option<Chord>)], length: Beats) -> Vec<(Beats, Beats, Key)> {
    let mut cuts: Vec<Beats> = notes.iter().flat_map(|n| [n.at, n.end()]).chain(chords.iter().map(|c| c.0)).chain([length]).collect();
    cuts.retain(|c| *c >= Beats::ZERO && *c <= length);
    cuts.sort();
    cuts.dedup();
    let key = |at: Beats| {
        let mut tune: Vec<i32> =
            notes.iter().filter(|n| n.at <= at && at < n.end()).flat_map(|n| &n.pitches).map(|p| p.pitch_class()).collect();
        tune.sort_unstable();
        tune.dedup();
        let chord = chords.iter().rfind(|c| c.0 <= at).and_then(|c| c.1.as_ref());
        let classes = chord.map(Chord::pitch_classes).unwrap_or_default();
        (tune, classes, chord.map(|c| c.bass_name().pitch_class()))
    };
    let pair = |w: &[Beats]| (w[0], w[1], key(w[0]));
    cuts.windows(2).map(pair).filter(|s| !s.2.0.is_empty() || !s.2.1.is_empty()).collect()
}

struct Page<'a> {
    sheet: &'a LeadSheet,
    clock: &'a Clock,
    chords: Vec<Vec<(Beats, Option<Chord>)>>,
    sounds: Sounds,
}

impl Page<'_> {
    fn of<'a>(sheet: &'a LeadSheet, clock: &'a Clock) -> Page<'a> {
        Page { sheet, clock, chords: chords(sheet), sounds: Sounds::of(sheet) }
    }

    fn units(mut self) -> Vec<Vec<Unit>> {
        (0..self.sheet.measures.len()).map(|m| self.measure(m)).collect()
    }

    fn measure(&mut self, index: usize) -> Vec<Unit> {
        let sheet = self.sheet;
        let measure = &sheet.measures[index];
        let frame = &measure.frame;
        if frame.length <= Beats::ZERO {
            return Vec::new();
        }
        let beat = frame.meter.beat();
        let all = stretches(&measure.notes, &self.chords[index], frame.length);
        let cuts = cuts(frame.length, beat, frame.meter.is_compound(), |from, to| self.seconds(index, from, to));
        cuts.windows(2).map(|w| self.unit(index, w[0], w[1], beat, &all)).collect()
    }

    /// As long as the tempo alone makes it, without what a fermata holds.
    fn seconds(&self, measure: usize, from: Beats, to: Beats) -> f32 {
        let place = Place { measure, at: from };
        self.clock.tempo(place).seconds(to - from).as_f64() as f32
    }

    fn unit(&mut self, measure: usize, from: Beats, to: Beats, beat: Beats, all: &[(Beats, Beats, Key)]) -> Unit {
        let length = to - from;
        let share = |at: Beats| ((at - from).as_f64() / length.as_f64()) as f32;
        let inside = all.iter().filter(|s| s.0 < to && s.1 > from);
        let mut pieces = Vec::new();
        for (begin, end, key) in inside {
            let sound = self.sounds.place(key);
            pieces.push(Piece { from: share((*begin).max(from)), to: share((*end).min(to)), sound });
        }
        let notes = &self.sheet.measures[measure].notes;
        let begun = notes.iter().filter(|n| n.is_plucked() && n.at >= from && n.at < to);
        let onset = |n: &Note| n.top().map(|p| Onset { at: share(n.at), class: p.pitch_class() as usize, weight: 1.0 });
        let held = notes.iter().any(|n| n.decorations.contains(&Decoration::Fermata) && n.end() > from && n.end() <= to);
        Unit {
            pass: 0,
            at: from,
            length,
            seconds: self.seconds(measure, from, to).max(0.02),
            beats: (length.as_f64() / beat.as_f64()) as f32,
            pieces,
            onsets: begun.filter_map(onset).collect(),
            held,
        }
    }
}

/// Seconds above which a beat is cut, and below which beats are put together. Ours: about half a second is followed best.
const SLOW: f32 = 0.95;
const FAST: f32 = 0.26;

fn cuts(length: Beats, beat: Beats, compound: bool, seconds: impl Fn(Beats, Beats) -> f32) -> Vec<Beats> {
    let mut cuts: Vec<Beats> = Vec::new();
    let mut at = Beats::ZERO;
    while at < length {
        let long = seconds(at, at + beat);
        if long < FAST {
            let together = (1..=4).find(|n| seconds(at, at + beat * *n) >= FAST).unwrap_or(4);
            cuts.push(at);
            at += beat * together;
            continue;
        }
        let mut parts = 1;
        while long / parts as f32 > SLOW && parts < 12 {
            parts *= if compound && parts == 1 { 3 } else { 2 };
        }
        cuts.extend((0..parts).map(|i| at + beat.scaled(i, parts).unwrap_or(Beats::ZERO)));
        at += beat;
    }
    cuts.retain(|c| *c < length);
    cuts.dedup();
    cuts.push(length);
    cuts
}
