//! Why a chord stands where it does, in the notes' own names.

use super::cues::tone;
use super::line::Heard;
use super::palette::Numeral;
use super::places::{Part, Spot};
use super::tonic::Tonic;
use crate::voices::Figuration;
use music::{Beats, Chord, Interval, PitchName};
use std::fmt;

/// One thing that speaks for a chord, or what it has to put up with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Notes of the melody that belong to it, the weightiest first.
    Has(Vec<PitchName>),
    /// No note of the melody here belongs to it.
    HasNone,
    /// A strong note that does not belong to it, and what that note is instead.
    Outside(PitchName, Figuration),
    /// The tune ends on its tonic.
    Ends,
    /// A section closes on the tonic, after this chord.
    Closes(Chord),
    /// A section or phrase begins on the tonic.
    Begins,
    /// A phrase stops on the fifth degree, as if to go on.
    HalfClose,
    /// It leads to the next chord, a fifth below.
    LeadsTo(Chord),
    /// The chord before goes on.
    GoesOn,
    /// A tone that is not of the key.
    Foreign(PitchName),
}

impl Reason {
    /// The same for the tune moved by an interval.
    pub fn up(&self, by: Interval) -> Reason {
        match self {
            Reason::Has(names) => Reason::Has(names.iter().map(|n| n.up(by)).collect()),
            Reason::Outside(name, figuration) => Reason::Outside(name.up(by), *figuration),
            Reason::Foreign(name) => Reason::Foreign(name.up(by)),
            Reason::Closes(chord) => Reason::Closes(chord.up(by)),
            Reason::LeadsTo(chord) => Reason::LeadsTo(chord.up(by)),
            Reason::HasNone | Reason::Ends | Reason::Begins | Reason::HalfClose | Reason::GoesOn => self.clone(),
        }
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reason::Has(names) => {
                let names: Vec<String> = names.iter().map(|n| format!("{n:#}")).collect();
                match names.split_last() {
                    Some((last, rest)) if !rest.is_empty() => write!(f, "{} and {last} of the tune belong to it", rest.join(", ")),
                    _ => write!(f, "{} of the tune belongs to it", names.join("")),
                }
            }
            Reason::HasNone => f.write_str("no note of the tune here belongs to it"),
            Reason::Outside(name, figuration) => write!(f, "{name:#} {figuration}"),
            Reason::Ends => f.write_str("the tune ends on its tonic"),
            Reason::Closes(before) => write!(f, "it closes after {}", read(before)),
            Reason::Begins => f.write_str("it begins on the tonic"),
            Reason::HalfClose => f.write_str("the phrase stops on the fifth degree, as if to go on"),
            Reason::LeadsTo(next) => write!(f, "it leads to {}", read(next)),
            Reason::GoesOn => f.write_str("the chord before goes on"),
            Reason::Foreign(name) => write!(f, "it brings {name:#}, which is not of the key"),
        }
    }
}

fn read(chord: &Chord) -> String {
    music::as_read(&chord.to_string())
}

/// What stands around a chord.
pub(super) struct Around<'a> {
    pub spots: &'a [Spot],
    pub tonic: &'a Tonic,
    pub before: Option<Chord>,
    pub next: Option<Chord>,
}

/// The most notes that are named.
const MOST: usize = 3;

/// What there is to say of a chord there.
pub(super) fn reasons(around: &Around, numeral: Numeral) -> Vec<Reason> {
    let Some(first) = around.spots.first() else { return Vec::new() };
    let chord = numeral.chord(around.tonic);
    let mut found = Vec::new();
    let is_tonic = numeral == Numeral::TONIC;
    let closes = around.spots.iter().any(|s| s.part == Part::Closes);
    let goes_on = around.before.as_ref() == Some(&chord);
    if is_tonic && around.spots.iter().any(|s| s.is_last) {
        found.push(Reason::Ends);
    }
    match &around.before {
        Some(before) if is_tonic && closes && !goes_on => found.push(Reason::Closes(before.clone())),
        _ => {}
    }
    if is_tonic && first.at.is_zero() && matches!(first.part, Part::Opens | Part::Begins) {
        found.push(Reason::Begins);
    }
    if numeral.root(around.tonic.family()) == 7 && first.part == Part::Rests {
        found.push(Reason::HalfClose);
    }
    let (inside, outside) = heard(around, numeral);
    match inside.is_empty() {
        false => found.push(Reason::Has(inside)),
        true if around.spots.iter().any(|s| !s.notes.is_empty()) => found.push(Reason::HasNone),
        true => {}
    }
    found.extend(outside.into_iter().map(|(name, figuration)| Reason::Outside(name, figuration)));
    if let Some(next) = around.next.as_ref().filter(|next| leads(&chord, next)) {
        found.push(Reason::LeadsTo(next.clone()));
    }
    let foreign = chord.tones().into_iter().map(|t| chord.name_of(t)).find(|n| !around.tonic.in_scale(around.tonic.above(n.pitch_class())));
    found.extend(foreign.map(Reason::Foreign));
    if goes_on && found.iter().all(|r| matches!(r, Reason::Has(_) | Reason::HasNone | Reason::Outside(..))) {
        found.push(Reason::GoesOn);
    }
    found
}

/// A major third, and a root a fifth above the next.
fn leads(chord: &Chord, next: &Chord) -> bool {
    let up = (chord.root.pitch_class() - next.root.pitch_class()).rem_euclid(12);
    up == 7 && chord.third().is_some_and(|t| t.semitones == 4)
}

/// Names of the notes inside, the longest first, and of the strong notes outside, each once.
fn heard(around: &Around, numeral: Numeral) -> (Vec<PitchName>, Vec<(PitchName, Figuration)>) {
    let notes = || around.spots.iter().flat_map(|s| &s.notes);
    let belongs = |n: &&Heard| tone(n, numeral, around.tonic).is_ok();
    let mut inside: Vec<(PitchName, Beats)> = Vec::new();
    for note in notes().filter(belongs) {
        match inside.iter_mut().find(|i| i.0 == note.pitch.name()) {
            Some(known) => known.1 += note.length,
            None => inside.push((note.pitch.name(), note.length)),
        }
    }
    inside.sort_by_key(|i| std::cmp::Reverse(i.1));
    let mut outside: Vec<(PitchName, Figuration)> = Vec::new();
    for note in notes().filter(|n| n.is_strong && !belongs(n)) {
        if outside.iter().all(|o| o.0 != note.pitch.name()) && outside.len() < MOST {
            outside.push((note.pitch.name(), note.figuration));
        }
    }
    (inside.into_iter().take(MOST).map(|i| i.0).collect(), outside)
}
