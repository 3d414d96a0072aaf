//! The places where a chord may begin, and what part each plays in its phrase.
//!
//! A chord may begin with every measure and on its strong beats; on every beat in hymns; on the half of five and on each main beat of slip jigs. Never on a weak
//! beat of a dance. Pickups have no place.

use super::line::{Accent, Heard, Line};
use super::tonic::{Tonic, landing, tonics};
use crate::kind::{KindOfTune, assumed_tempo, guess};
use crate::phrases::{Phrases, Pickup, phrases};
use music::{Beats, Frame, LeadSheet, Meter, MeterSign, order::playing_order};
use std::collections::BTreeMap;

/// One place for a chord.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Index of the written measure.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// From the start of the tune as it is written.
    pub start: Beats,
    /// Until the next place.
    pub length: Beats,
    /// How strong its beat is.
    pub level: Level,
    /// How its measure is felt.
    pub feel: Feel,
    /// What it is in its phrase.
    pub part: Part,
    /// Index of its section and phrase.
    pub section: usize,
    /// Index of its phrase.
    pub phrase: usize,
    /// It is the first of its section.
    pub begins_section: bool,
    /// It is the first of its phrase.
    pub begins_phrase: bool,
    /// The tune ends here.
    pub is_last: bool,
    /// What the melody has there.
    pub notes: Vec<Heard>,
    /// What its notes weigh together: in thousandths, half a second is about one.
    pub weight: i64,
    /// How slowly the measures go by: seconds beyond a second and a half, in hundredths.
    pub slow: i64,
}

/// How strong the beat is on which a chord would begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// The first beat.
    Measure,
    /// The middle of the measure.
    Half,
    /// Any other beat.
    Beat,
}

/// How a measure is felt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Feel {
    /// In twos and fours.
    Even,
    /// In threes.
    Triple,
    /// In beats of three.
    Compound,
}

impl Feel {
    fn of(meter: &Meter) -> Feel {
        match meter.is_compound() {
            true => Feel::Compound,
            false if meter.numerator() == 3 => Feel::Triple,
            false => Feel::Even,
        }
    }
}

/// What a place is in its phrase.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// A section begins.
    Opens,
    /// A phrase begins inside a section.
    Begins,
    /// None of the others.
    Inside,
    /// Before a phrase inside a section comes to rest.
    NearsRest,
    /// A phrase inside a section rests.
    Rests,
    /// Before a section closes.
    NearsClose,
    /// A section closes.
    Closes,
}

impl Part {
    /// All, in the order of a phrase.
    pub const ALL: [Part; 7] = [Part::Opens, Part::Begins, Part::Inside, Part::NearsRest, Part::Rests, Part::NearsClose, Part::Closes];

    /// Its name in the table.
    pub fn name(self) -> &'static str {
        match self {
            Part::Opens => "opens",
            Part::Begins => "begins",
            Part::Inside => "inside",
            Part::NearsRest => "nears-rest",
            Part::Rests => "rests",
            Part::NearsClose => "nears-close",
            Part::Closes => "closes",
        }
    }
}

/// A tune laid out for the search.
pub struct Ground {
    /// In written order.
    pub spots: Vec<Spot>,
    /// One for each phrase of the form.
    pub tonics: Vec<Tonic>,
}

impl Ground {
    /// Lays a tune out; its own chords are left aside.
    pub fn of(sheet: &LeadSheet) -> Ground {
        let form = phrases(sheet);
        let tonics = tonics(sheet, &form);
        let line = Line::of(sheet);
        let kind = guess(sheet).kind;
        let tempo = sheet.opening_tempo();
        let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
        let last = playing_order(&frames).measures.last().copied();
        let starts = sheet.starts();
        let mut spots = Vec::new();
        for (measure, m) in sheet.measures.iter().enumerate() {
            if form.measures[measure].pickup != Pickup::No || m.frame.length <= Beats::ZERO {
                continue;
            }
            let places = places(&m.frame, kind);
            let tempo = tempo.unwrap_or_else(|| assumed_tempo(kind, &m.frame.meter));
            let seconds = |length: Beats| tempo.seconds(length).micros() / 1000;
            for (i, (at, level)) in places.iter().enumerate() {
                let end = places.get(i + 1).map_or(m.frame.length, |p| p.0);
                let start = starts[measure];
                let notes = line.heard(sheet, measure, start, start + *at, start + end);
                spots.push(Spot {
                    measure,
                    at: *at,
                    start: start + *at,
                    length: end - *at,
                    level: *level,
                    feel: Feel::of(&m.frame.meter),
                    part: Part::Inside,
                    section: form.measures[measure].section,
                    phrase: form.measures[measure].phrase,
                    begins_section: at.is_zero() && form.measures[measure].first_of_section,
                    begins_phrase: at.is_zero() && form.measures[measure].first_of_phrase,
                    is_last: false,
                    notes,
                    weight: (seconds(end - *at) * 3 / 4 + (end - *at).thousandths_of(m.frame.meter.length())).clamp(300, 3000),
                    slow: ((seconds(m.frame.meter.length()) - 1500) / 10).clamp(-100, 200),
                });
            }
        }
        tell_parts(&mut spots, &form, &tonics, &line);
        if let Some(spot) = last.and_then(|measure| spots.iter_mut().rfind(|s| s.measure == measure)) {
            spot.is_last = true;
        }
        Ground { spots, tonics }
    }

    /// What the tonic is at a place.
    pub fn tonic(&self, spot: &Spot) -> &Tonic {
        &self.tonics[spot.phrase]
    }
}

/// Where chords may begin in a measure.
fn places(frame: &Frame, kind: KindOfTune) -> Vec<(Beats, Level)> {
    let meter = &frame.meter;
    let strong = meter.strong_beats();
    let mut found: Vec<(Beats, Level)> = match (meter.numerator(), meter.unit) {
        _ if meter.sign == MeterSign::Free => every(Beats::HALF, frame.length).map(|at| (at, Level::Half)).collect(),
        _ if kind == KindOfTune::Hymn => each_beat(meter, &strong),
        (5, _) => vec![(Beats::ZERO, Level::Measure), (meter.unit_length() * i64::from(five(meter)), Level::Half)],
        (2, 4) => every(meter.beat(), meter.length()).map(|at| (at, Level::Half)).collect(),
        (3, 2) => meter.beats().into_iter().map(|at| (at, Level::Half)).collect(),
        (9 | 12, _) => each_beat(meter, &strong),
        _ => strong.into_iter().map(|at| (at, Level::Half)).collect(),
    };
    found.retain(|(at, _)| *at < frame.length);
    if let Some(first) = found.first_mut() {
        first.1 = Level::Measure;
    }
    found
}

fn every(step: Beats, length: Beats) -> impl Iterator<Item = Beats> {
    (0..64).map(move |i| step * i).take_while(move |at| *at < length)
}

fn each_beat(meter: &Meter, strong: &[Beats]) -> Vec<(Beats, Level)> {
    meter.beats().into_iter().map(|at| (at, if strong.contains(&at) { Level::Half } else { Level::Beat })).collect()
}

/// Units before the second half of a measure of five: as it is written, else three and two.
fn five(meter: &Meter) -> u32 {
    if meter.groups.len() == 2 { meter.groups[0] } else { 3 }
}

/// Sections and phrases close where the note begins on which they rest, or before it where its measure is on the tonic chord from the start; what stands before it in its measure, and in the measure before, nears the close.
fn tell_parts(spots: &mut [Spot], form: &Phrases, tonics: &[Tonic], line: &Line) {
    let mut bounds: BTreeMap<usize, (Beats, Beats)> = BTreeMap::new();
    for spot in spots.iter() {
        bounds.entry(spot.measure).or_insert((spot.start, spot.start)).1 = spot.start + spot.length;
    }
    let last_note = |measure: usize| landing(line.plucks(), bounds[&measure].0, bounds[&measure].1);
    for i in 0..spots.len() {
        let place = form.measures[spots[i].measure];
        let closes = place.last_of_section;
        if !place.last_of_phrase {
            continue;
        }
        let (rest, nears) = if closes { (Part::Closes, Part::NearsClose) } else { (Part::Rests, Part::NearsRest) };
        let end = spots[i].start + spots[i].length;
        let tonic = &tonics[spots[i].phrase];
        let at_home = |spot: &Spot| spot.notes.iter().filter(|n| n.accent != Accent::Off).all(|n| tonic.in_chord(n.pitch.pitch_class()));
        let arrived =
            last_note(spots[i].measure).is_none_or(|note| note.start < end || tonic.in_chord(note.top.pitch_class()) && at_home(&spots[i]));
        spots[i].part = if arrived { rest } else { nears };
        let before = (0..i).rev().map(|j| spots[j].measure).find(|m| *m != spots[i].measure);
        let same = before.filter(|b| form.measures[*b].phrase == place.phrase || form.measures[*b].section == place.section);
        if let Some(before) = same {
            for spot in spots[..i].iter_mut().filter(|s| s.measure == before && s.part == Part::Inside) {
                spot.part = nears;
            }
        }
    }
    for spot in spots.iter_mut().filter(|s| s.at.is_zero() && !matches!(s.part, Part::Closes | Part::Rests)) {
        if spot.begins_section {
            spot.part = Part::Opens;
        } else if spot.begins_phrase {
            spot.part = Part::Begins;
        }
    }
}
