//! A tune of which only some measures have chords: the others get theirs, and what is written stays.
//!
//! A measure is open where no chord has been said yet, and from the first measure on in a stretch of two or more without a symbol whose held chord has less than half of the strong notes there,
//! if that is so of a third of the stretch, and of two measures at least. N.C. is never filled.

use super::Plan;
use super::given::{Found, Told, tell};
use super::palette::{Numeral, of_mode};
use super::search::best;
use super::table::{Habits, Worths};
use crate::melody::plucks;
use crate::phrases::{Pickup, phrases};
use crate::spans::{Begin, ChordSpan, Silence, spans};
use music::{Beats, Chord, Clock, LeadSheet, Tempo};

/// The chords of the measures that have none; nothing where none is missing.
pub fn fill(sheet: &LeadSheet) -> Found {
    let tempo = sheet.opening_tempo().or_else(|| Tempo::of(Beats::QUARTER, 100));
    let Some(tempo) = tempo else { return Found::default() };
    let held = spans(sheet, &Clock::of_sheet(sheet, tempo)).spans;
    let open = open(sheet, &held);
    if !open.contains(&true) {
        return Found::default();
    }
    let plan = Plan::of(sheet, Worths::ours(), Habits::ours());
    let written = |spot: &super::places::Spot| {
        let here = held.iter().rfind(|s| s.measure == spot.measure && s.at <= spot.at).filter(|_| !open[spot.measure]);
        here.and_then(|s| s.chord.clone())
    };
    let spots = &plan.ground.spots;
    let known: Vec<Option<Chord>> = spots.iter().map(written).collect();
    let allowed = spots.iter().zip(&known).map(|(spot, known)| {
        let tonic = plan.ground.tonic(spot);
        match known.as_ref().map(|chord| Numeral::of(chord, tonic)) {
            Some(Some(numeral)) => vec![numeral],
            None if spot.is_last && open[spot.measure] => vec![Numeral::TONIC],
            _ => of_mode(tonic.key().mode),
        }
    });
    let row = best(&plan.values, &allowed.collect()).1;
    let chords: Vec<Chord> =
        spots.iter().zip(&row).zip(known).map(|((s, n), known)| known.unwrap_or_else(|| n.chord(plan.ground.tonic(s)))).collect();
    tell(&plan, &row, &chords, &Told::Only(&open))
}

/// Which measures want chords.
fn open(sheet: &LeadSheet, held: &[ChordSpan]) -> Vec<bool> {
    let form = phrases(sheet);
    let mut open = vec![false; sheet.measures.len()];
    let first = |m: usize| held.iter().find(|s| s.measure == m);
    let mut stretch: Vec<usize> = Vec::new();
    for m in 0..=sheet.measures.len() {
        let goes_on = (m < sheet.measures.len()).then(|| first(m)).flatten().filter(|s| {
            let alone = held.iter().filter(|o| o.measure == m).count() == 1;
            alone && s.begin != Begin::Symbol && s.silence == Silence::No && sheet.measures[m].frame.chords.is_empty()
        });
        match goes_on {
            Some(_) => stretch.push(m),
            None => close(sheet, held, &std::mem::take(&mut stretch), &mut open),
        }
    }
    for (m, open) in open.iter_mut().enumerate() {
        let pickup = form.measures[m].pickup != Pickup::No;
        let silent = first(m).is_some_and(|s| s.silence == Silence::BeforeFirstChord);
        *open = !pickup && (*open || silent && sheet.measures[m].frame.chords.is_empty());
    }
    open
}

/// Opens what a stretch of measures under one held chord does not bear.
fn close(sheet: &LeadSheet, held: &[ChordSpan], stretch: &[usize], open: &mut [bool]) {
    let against = |m: &usize| {
        let chord = held.iter().find(|s| s.measure == *m).and_then(|s| s.chord.as_ref());
        chord.is_some_and(|c| is_against(sheet, *m, c))
    };
    let count = stretch.iter().filter(|m| against(m)).count();
    if count < 2 || count * 3 < stretch.len() {
        return;
    }
    let from = stretch.iter().position(against).unwrap_or(0);
    stretch[from..].iter().for_each(|m| open[*m] = true);
}

/// Whether a chord has less than half of the strong notes of a measure, by their length.
fn is_against(sheet: &LeadSheet, measure: usize, chord: &Chord) -> bool {
    let meter = &sheet.measures[measure].frame.meter;
    let strong = meter.strong_beats();
    let classes = chord.pitch_classes();
    let (mut inside, mut outside) = (Beats::ZERO, Beats::ZERO);
    for pluck in plucks(sheet).iter().filter(|p| p.measure == measure) {
        if strong.contains(&pluck.at) || pluck.length >= meter.beat() {
            let sum = if classes.contains(&pluck.top.pitch_class()) { &mut inside } else { &mut outside };
            *sum += pluck.length;
        }
    }
    outside > inside
}
