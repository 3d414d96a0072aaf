//! Why a stretch is the chord that it was taken for, in the notes' own names.

use super::labels::Label;
use super::moments::{Figuration, Moment};
use music::{Chord, PitchName};
use std::fmt;

/// One thing that speaks for a chord, or what it had to put up with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Tones of the chord that sound, the root first.
    Sounds(Vec<PitchName>),
    /// Tones of the chord that do not.
    Missing(Vec<PitchName>),
    /// The bass is not the root: the degree it is (3, 5 or 7).
    Inverted(i32),
    /// A note that was not taken for one of the chord, and what it is instead.
    Outside(PitchName, Figuration),
}

/// The most notes outside a chord that are told.
const MOST_OUTSIDE: usize = 4;

/// What there is to say of the moments as this chord; `chord` has its bass already.
pub(super) fn reasons(label: Label, chord: &Chord, moments: &[Moment]) -> Vec<Reason> {
    let notes = || moments.iter().flat_map(|m| &m.notes);
    let heard = |class: usize| notes().any(|n| n.pitch.rem_euclid(12) as usize == class);
    let (sounding, missing): (Vec<_>, Vec<_>) =
        chord.tones().into_iter().map(|t| chord.name_of(t)).partition(|n| heard(n.pitch_class() as usize));
    let mut found = vec![Reason::Sounds(sounding)];
    if !missing.is_empty() {
        found.push(Reason::Missing(missing));
    }
    let degree = chord.bass.and_then(|bass| {
        let tones = chord.tones();
        tones.into_iter().find(|t| chord.name_of(*t).pitch_class() == bass.pitch_class()).map(|t| t.degree)
    });
    found.extend(degree.map(Reason::Inverted));
    let mut outside: Vec<(PitchName, Figuration)> = Vec::new();
    for note in notes().filter(|n| label.tones().all(|t| t != n.pitch.rem_euclid(12) as usize)) {
        if outside.iter().all(|(name, _)| *name != note.name) && outside.len() < MOST_OUTSIDE {
            outside.push((note.name, note.figuration));
        }
    }
    found.extend(outside.into_iter().map(|(name, figuration)| Reason::Outside(name, figuration)));
    found
}

impl fmt::Display for Figuration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Figuration::None => "stands outside",
            Figuration::Passing => "passes",
            Figuration::Neighbour => "is a neighbour",
            Figuration::Suspension => "is held back and falls",
            Figuration::Anticipation => "comes early",
            Figuration::Appoggiatura => "leans on the next note",
            Figuration::Escape => "steps aside",
            Figuration::Held => "is held through",
        })
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names = |all: &[PitchName]| all.iter().map(|n| format!("{n:#}")).collect::<Vec<_>>().join(" ");
        match self {
            Reason::Sounds(all) => write!(f, "{} {}", names(all), if all.len() == 1 { "sounds" } else { "sound" }),
            Reason::Missing(all) => write!(f, "without {}", names(all)),
            Reason::Inverted(3) => f.write_str("the third in the bass"),
            Reason::Inverted(5) => f.write_str("the fifth in the bass"),
            Reason::Inverted(_) => f.write_str("the seventh in the bass"),
            Reason::Outside(name, figuration) => write!(f, "{name:#} {figuration}"),
        }
    }
}
