//! What speaks for a chord at a place and against it. Every cue has one worth in the table; a chord is worth the sum.

use super::line::{Accent, Heard};
use super::palette::{Family, Numeral};
use super::places::{Feel, Level, Part, Spot};
use super::table::Habits;
use super::tonic::Tonic;
use crate::voices::Figuration;

/// The names of all cues, in the order of their numbers.
pub fn names() -> Vec<String> {
    let mut names = Vec::new();
    for tone in ["root", "third", "fifth", "seventh"] {
        names.extend(Accent::ALL.map(|a| format!("has-{tone}-{}", a.name())));
    }
    for figuration in FIGURATIONS {
        names.extend(Accent::ALL.map(|a| format!("{}-{}", figuration.1, a.name())));
    }
    names.extend((0..12).map(|n| format!("above-{n}")));
    names.extend(["foreign", "foreign-heard", "clashes", "misspelled"].map(str::to_owned));
    for name in ["strange-has", "strange-outside"] {
        names.extend(Accent::ALL.map(|a| format!("{name}-{}", a.name())));
    }
    names.extend(Part::ALL.map(|p| format!("usual-{}", p.name())));
    names.extend(["follows", "follows-close"].map(str::to_owned));
    for name in ["measure", "measure-triple", "half", "half-compound", "beat", "phrase", "section", "slow"] {
        names.push(format!("change-{name}"));
    }
    names.extend(
        [
            "rocking",
            "back-at-close",
            "early-tonic",
            "stays-at-close",
            "triad-again",
            "full-close",
            "modal-close",
            "full-rest",
            "half-close",
            "rests-far",
        ]
        .map(str::to_owned),
    );
    names
}

const FIGURATIONS: [(Figuration, &str); 7] = [
    (Figuration::None, "bare"),
    (Figuration::Passing, "passing"),
    (Figuration::Neighbour, "neighbour"),
    (Figuration::Suspension, "suspension"),
    (Figuration::Anticipation, "anticipation"),
    (Figuration::Appoggiatura, "leaning"),
    (Figuration::Escape, "escape"),
];

const HAS: usize = 0;
const OUTSIDE: usize = HAS + 12;
const ABOVE: usize = OUTSIDE + 21;
const FOREIGN: usize = ABOVE + 12;
const FOREIGN_HEARD: usize = FOREIGN + 1;
const CLASHES: usize = FOREIGN + 2;
const MISSPELLED: usize = FOREIGN + 3;
const STRANGE: usize = FOREIGN + 4;
const USUAL: usize = STRANGE + 6;
const FOLLOWS: usize = USUAL + 7;
const FOLLOWS_CLOSE: usize = FOLLOWS + 1;
const CHANGE: usize = FOLLOWS + 2;
const ROCKING: usize = CHANGE + 8;
const BACK_AT_CLOSE: usize = ROCKING + 1;
const EARLY_TONIC: usize = ROCKING + 2;
const STAYS_AT_CLOSE: usize = ROCKING + 3;
const TRIAD_AGAIN: usize = ROCKING + 4;
const FULL_CLOSE: usize = ROCKING + 5;
const MODAL_CLOSE: usize = ROCKING + 6;
const FULL_REST: usize = ROCKING + 7;
const HALF_CLOSE: usize = ROCKING + 8;
const RESTS_FAR: usize = ROCKING + 9;
/// How many cues there are.
pub const COUNT: usize = ROCKING + 10;

/// Takes the number of a cue and how much of it there is, in hundredths.
pub trait Take: FnMut(usize, i64) {}
impl<F: FnMut(usize, i64)> Take for F {}

/// The tone of a chord that a note is, by its place in the chord, or how far it lies above the root.
pub fn tone(note: &Heard, numeral: Numeral, tonic: &Tonic) -> Result<usize, usize> {
    let family = tonic.family();
    let place = note.pitch.name().fifths() - tonic.name().fifths();
    let above = tonic.above(note.pitch.pitch_class());
    numeral.spelled(family).position(|t| t == place).ok_or((above + 12 - numeral.root(family)) % 12)
}

/// What a chord is worth at a place by itself.
pub fn at(spot: &Spot, numeral: Numeral, tonic: &Tonic, habits: &Habits, take: &mut impl Take) {
    let family = tonic.family();
    for note in &spot.notes {
        let share = spot.weight * note.length.thousandths_of(spot.length) / 10_000;
        let accent = note.accent as usize;
        let found = tone(note, numeral, tonic);
        if !tonic.in_scale(tonic.above(note.pitch.pitch_class())) {
            take(STRANGE + if found.is_ok() { 0 } else { 3 } + accent, share);
        }
        match found {
            Ok(tone) => take(HAS + 3 * tone + accent, share),
            Err(above) => {
                let figure = FIGURATIONS.iter().position(|f| f.0 == note.figuration).unwrap_or(0);
                take(OUTSIDE + 3 * figure + accent, share);
                take(ABOVE + above, share);
                if numeral.tones(family).any(|t| (t + 12 - numeral.root(family)) % 12 == above) {
                    take(MISSPELLED, share);
                }
            }
        }
    }
    for tone in numeral.tones(family).filter(|t| !tonic.in_scale(*t)) {
        let heard = |above: usize| spot.notes.iter().any(|n| tonic.above(n.pitch.pitch_class()) == above);
        take(if heard(tone) { FOREIGN_HEARD } else { FOREIGN }, 100);
        // The tone of the scale that the foreign one replaces sounds against it.
        let own = [(tone + 1) % 12, (tone + 11) % 12].into_iter().filter(|a| tonic.in_scale(*a) && !numeral.tones(family).any(|t| t == *a));
        if !heard(tone) && own.into_iter().any(heard) {
            take(CLASHES, 100);
        }
    }
    // A phrase comes to rest on the first, fourth or fifth degree, or on what stands for the first.
    let near: &[usize] = if family == Family::Major { &[0, 5, 7, 9] } else { &[0, 3, 5, 7, 10] };
    if matches!(spot.part, Part::Rests | Part::Closes) && !near.contains(&numeral.root(family)) {
        take(RESTS_FAR, 100);
    }
    take(USUAL + spot.part as usize, habits.usual(family, spot.part, numeral));
}

/// What it is worth that one chord comes after another, each with the place where it stands and the tonic there.
pub fn between(
    (from, from_tonic, before): (Numeral, &Tonic, &Spot),
    (to, tonic, spot): (Numeral, &Tonic, &Spot),
    habits: &Habits,
    take: &mut impl Take,
) {
    let carried = if from_tonic.name() == tonic.name() && from_tonic.family() == tonic.family() {
        Some(from)
    } else {
        Numeral::of(&from.chord(from_tonic), tonic)
    };
    let arrives = matches!(spot.part, Part::Closes | Part::Rests) && !matches!(before.part, Part::Closes | Part::Rests);
    if carried == Some(to) {
        if arrives && spot.part == Part::Closes {
            take(STAYS_AT_CLOSE, 100);
        }
        return;
    }
    let family = tonic.family();
    let worth = carried.map_or(-300, |from| habits.follows(family, from, to));
    take(if arrives { FOLLOWS_CLOSE } else { FOLLOWS }, worth);
    let level = match (spot.level, spot.feel == Feel::Triple, spot.feel == Feel::Compound) {
        (Level::Measure, false, _) => 0,
        (Level::Measure, true, _) => 1,
        (Level::Half, _, false) => 2,
        (Level::Half, _, true) => 3,
        (Level::Beat, _, _) => 4,
    };
    take(CHANGE + level, 100);
    take(CHANGE + 7, spot.slow);
    if spot.begins_section {
        take(CHANGE + 6, 100);
    } else if spot.begins_phrase {
        take(CHANGE + 5, 100);
    }
    let Some(from) = carried else { return };
    let (a, b) = (from.root(family), to.root(family));
    if a == b {
        take(if to.tones(family).count() < from.tones(family).count() { TRIAD_AGAIN } else { ROCKING }, 100);
    }
    if arrives && to == Numeral::TONIC {
        let full = if spot.part == Part::Closes { FULL_CLOSE } else { FULL_REST };
        match a {
            7 => take(full, 100),
            10 => take(MODAL_CLOSE, 100),
            _ => {}
        }
    } else if arrives && b == 7 && spot.part == Part::Rests {
        take(HALF_CLOSE, 100);
    }
    let nears = |s: &Spot| matches!(s.part, Part::NearsClose | Part::Closes);
    // The fifth degree that falls back to the fourth or second where a close is due.
    if a == 7 && (b == 5 || b == 2) && (nears(spot) || spot.part == Part::NearsRest) {
        take(BACK_AT_CLOSE, 100);
    }
    if spot.part == Part::NearsClose && to == Numeral::TONIC && spot.level != Level::Measure {
        take(EARLY_TONIC, 100);
    }
}
