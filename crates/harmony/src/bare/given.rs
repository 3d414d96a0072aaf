//! The result of a search as chords with their reasons, with what else might stand there and the strong notes that no chord has.

use super::Plan;
use super::cues::tone;
use super::palette::Numeral;
use super::places::Spot;
use super::reasons::{Around, Reason, reasons};
use crate::elsewhere::comes_from_elsewhere;
use crate::voices::Figuration;
use music::{Beats, Chord, ChordOrigin, ChordSymbol, Harmony, Key, LeadSheet, Pitch, PlacedChord};

/// Chords for a tune.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Found {
    /// One at the start of each measure that is no pickup, and one wherever the chord changes inside; in written order.
    pub given: Vec<Given>,
    /// Strong notes of the melody (on a strong beat, or of two beats or more) that are not of their chord.
    pub outside: Vec<Outside>,
    /// The key that was heard, and the measure from which it holds.
    pub keys: Vec<(usize, Key)>,
}

/// A chord and where it begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Given {
    /// Index of the written measure, and the place in it.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// Until the next.
    pub length: Beats,
    /// What is given.
    pub chord: Chord,
    /// Why it stands there, the weightiest first.
    pub reasons: Vec<Reason>,
    /// What else might stand there, the best first.
    pub others: Vec<Other>,
}

/// A chord that might stand there instead, everything around it as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Other {
    /// What might stand there.
    pub chord: Chord,
    /// How much less the whole would be worth, in hundredths of log odds; below nothing where only the version left it out.
    pub less: i64,
    /// What would be said for it.
    pub reasons: Vec<Reason>,
}

/// A strong note of the melody that is not of its chord.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outside {
    /// Index of the written measure.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// As it is written.
    pub pitch: Pitch,
    /// The chord it does not belong to.
    pub chord: Chord,
    /// What it is instead.
    pub figuration: Figuration,
}

impl Found {
    /// The chord symbols that a page needs, by measure: where the chord changes, and again where a section, an ending or a repeat begins or a measure
    /// stands before that has a symbol of its own.
    pub fn symbols(&self, sheet: &LeadSheet) -> Vec<(usize, PlacedChord)> {
        let elsewhere = comes_from_elsewhere(sheet);
        let has_own = |m: usize| !sheet.measures[m].frame.chords.is_empty();
        let mut found = Vec::new();
        let mut before: Option<&Given> = None;
        for given in &self.given {
            let (frame, previous) = (&sheet.measures[given.measure].frame, given.measure.checked_sub(1));
            let anew = given.at.is_zero() && (elsewhere[given.measure] || frame.section.is_some() || previous.is_some_and(has_own));
            let goes_on = before.is_some_and(|b| b.chord == given.chord && b.measure + 1 >= given.measure);
            if anew || !goes_on {
                found.push((given.measure, given.placed()));
            }
            before = Some(given);
        }
        found
    }
}

impl Given {
    /// As a chord symbol of the program's own.
    pub fn placed(&self) -> PlacedChord {
        let symbol = ChordSymbol { source: self.chord.to_string(), harmony: Harmony::Chord(self.chord.clone()) };
        PlacedChord::new(self.at, symbol).with(ChordOrigin::Ours)
    }
}

/// The most others that are offered.
const OTHERS: usize = 6;

/// Which places are told.
pub(super) enum Told<'a> {
    All,
    /// By measure.
    Only(&'a [bool]),
}

impl Told<'_> {
    fn has(&self, measure: usize) -> bool {
        match self {
            Told::All => true,
            Told::Only(open) => open[measure],
        }
    }
}

/// Tells a row of chords; `chords` are the same where a place is held by a chord of the tune's own.
pub(super) fn tell(plan: &Plan, row: &[Numeral], chords: &[Chord], told: &Told) -> Found {
    let spots = &plan.ground.spots;
    let mut found = Found::default();
    let mut from = 0;
    while from < spots.len() {
        let mut to = from + 1;
        while to < spots.len() && spots[to].measure == spots[from].measure && chords[to] == chords[from] {
            to += 1;
        }
        if told.has(spots[from].measure) {
            found.given.push(given(plan, row, chords, from, to));
            found.outside.extend(spots[from..to].iter().flat_map(|s| outside(plan, s, row[from])));
        }
        from = to;
    }
    for spot in spots {
        let key = plan.ground.tonic(spot).key();
        if found.keys.last().is_none_or(|k| k.1 != *key) {
            found.keys.push((spot.measure, key.clone()));
        }
    }
    found
}

fn given(plan: &Plan, row: &[Numeral], chords: &[Chord], from: usize, to: usize) -> Given {
    let spots = &plan.ground.spots[from..to];
    let tonic = plan.ground.tonic(&spots[0]);
    let around = Around {
        spots,
        tonic,
        before: from.checked_sub(1).map(|i| chords[i].clone()),
        next: (to..chords.len()).map(|i| &chords[i]).find(|c| **c != chords[from]).cloned(),
    };
    let worth = |c: Numeral| worth(plan, row, from, to, c);
    let taken = worth(row[from]);
    let mut others: Vec<(i64, Numeral)> = Numeral::all().filter(|c| *c != row[from]).map(|c| ((taken - worth(c)) / 100, c)).collect();
    others.retain(|(_, c)| spots.iter().all(|s| s.notes.is_empty()) || has_one(spots, *c, tonic));
    others.sort_by_key(|o| *o);
    let other = |(less, c): (i64, Numeral)| Other { chord: c.chord(tonic), less, reasons: reasons(&around, c) };
    Given {
        measure: spots[0].measure,
        at: spots[0].at,
        length: spots.iter().map(|s| s.length).sum(),
        chord: chords[from].clone(),
        reasons: reasons(&around, row[from]),
        others: others.into_iter().take(OTHERS).map(other).collect(),
    }
}

/// What a chord is worth over some places, with its neighbours as they are.
fn worth(plan: &Plan, row: &[Numeral], from: usize, to: usize, chord: Numeral) -> i64 {
    let c = usize::from(chord.0);
    let inside: i64 = (from..to).map(|i| plan.values.at[i][c]).sum();
    let within: i64 = (from..to - 1).map(|i| plan.values.between[i][c][c]).sum();
    let before = from.checked_sub(1).map_or(0, |i| plan.values.between[i][usize::from(row[i].0)][c]);
    let after = row.get(to).map_or(0, |next| plan.values.between[to - 1][c][usize::from(next.0)]);
    inside + within + before + after
}

fn has_one(spots: &[Spot], chord: Numeral, tonic: &super::tonic::Tonic) -> bool {
    spots.iter().flat_map(|s| &s.notes).any(|n| tone(n, chord, tonic).is_ok())
}

fn outside<'a>(plan: &'a Plan, spot: &'a Spot, numeral: Numeral) -> impl Iterator<Item = Outside> + 'a {
    let tonic = plan.ground.tonic(spot);
    let strong = spot.notes.iter().filter(move |n| n.is_strong && tone(n, numeral, tonic).is_err());
    strong.map(move |n| Outside { measure: n.measure, at: n.at, pitch: n.pitch, chord: numeral.chord(tonic), figuration: n.figuration })
}
