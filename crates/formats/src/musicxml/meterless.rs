//! The meter of measures before any time signature: what most of them last.
//!
//! The first measure may be a pickup and the last its rest, so they are asked only where there are no others. Where no one length is that of half the
//! measures, the meter is free. Three quarters may be three-four or six-eight, six quarters more: the meter is taken whose beats fewer notes
//! sound across (common practice; beams decide where that leaves it open).

use super::element::{children, text};
use super::lengths::is_implicit;
use super::measure::{PlacedNote, Walked};
use crate::read::LONGEST_MEASURE;
use music::{Beats, Meter, MeterSign};
use std::collections::BTreeMap;

/// The meter for the measures of a staff that come before its first time signature; `None` where the first measure has one.
pub fn meter(measures: &[Walked], staff: u32) -> Option<Meter> {
    let without = measures.iter().take_while(|m| m.attributes.given_meter(staff).is_none()).count();
    if without == 0 {
        return None;
    }
    let inner = if without > 2 { &measures[1..without - 1] } else { &measures[..without] };
    let mut counts: BTreeMap<Beats, usize> = BTreeMap::new();
    for measure in inner.iter().filter(|m| !m.extent.is_zero() && !is_implicit(m)) {
        *counts.entry(measure.extent).or_default() += 1;
    }
    let all: usize = counts.values().sum();
    let most = counts.into_iter().max_by_key(|(length, count)| (*count, *length));
    let named = most.filter(|(_, count)| count * 2 >= all).and_then(|(length, _)| of_length(length, measures));
    let silent = measures[..without].iter().all(|m| m.extent.is_zero());
    Some(if silent { Meter::simple(4, 4) } else { named.unwrap_or_else(free) })
}

fn free() -> Meter {
    Meter::new(vec![4], 4, MeterSign::Free).expect("four quarters are in range")
}

/// The usual meter of this length.
fn of_length(length: Beats, measures: &[Walked]) -> Option<Meter> {
    let (above, below) = length.fraction();
    if length > Beats::WHOLE * LONGEST_MEASURE || !matches!(below, 1 | 2 | 4) {
        return None;
    }
    let notes: Vec<&PlacedNote> = measures.iter().filter(|m| m.extent == length).flat_map(|m| &m.notes).collect();
    let evidence = |places: &[(i64, i64)]| against(places, &notes);
    let (numerator, unit) = match (above, below) {
        (3, 1) if evidence(&[(3, 2)]) < evidence(&[(1, 1), (2, 1)]) => (6, 8),
        (6, 1) if evidence(&[(3, 2), (9, 2)]) < evidence(&[(1, 1), (2, 1), (4, 1), (5, 1)]) => (12, 8),
        (6, 1) if evidence(&[(2, 1), (4, 1)]) < evidence(&[(3, 1)]) => (3, 2),
        _ => (above, 4 * below),
    };
    Meter::new(vec![u32::try_from(numerator).ok()?], u32::try_from(unit).ok()?, MeterSign::Numbers)
}

/// How much speaks against beats at these places: notes that sound across them, less the beams that begin there. In hundredths of a note, so that a
/// note tells more than any beam.
fn against(places: &[(i64, i64)], notes: &[&PlacedNote]) -> i64 {
    let beats: Vec<Beats> = places.iter().filter_map(|(n, d)| Beats::quarters(*n, *d)).collect();
    let mut hundredths = 0;
    for note in notes.iter().filter(|n| !n.grace) {
        hundredths += 100 * beats.iter().filter(|b| note.at < **b && **b < note.end()).count() as i64;
        let beamed = children(note.members[0], "beam").any(|b| text(b) == "begin");
        hundredths -= i64::from(beamed && beats.contains(&note.at));
    }
    hundredths / beats.len().max(1) as i64
}
