//! Lists how a sheet of ours differs from music21's part of the same tune.
//!
//! ABC has no agreed measures where bar lines stand oddly (music21 drops some), so its tunes are compared on one line of time, as written and as
//! played; MusicXML names its measures, so its parts are compared measure by measure.

use crate::facts::{Event, Fraction, Measure, Part};
use crate::seen::{self, SeenChord, SeenMeasure};
use music::LeadSheet;
use serde::Deserialize;
use std::fmt;

/// What is compared, in the order it is reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Aspect {
    /// The number of measures.
    Measures,
    /// Pitches, onsets and durations.
    Notes,
    Ties,
    Keys,
    Meters,
    Chords,
    /// The playing order.
    Order,
}

/// How often two lists differ in one aspect, and how they differ first.
#[derive(Clone, Debug)]
pub struct Difference {
    pub aspect: Aspect,
    pub count: usize,
    pub place: String,
    pub ours: String,
    pub theirs: String,
}

impl fmt::Display for Difference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Difference { aspect, count, place, ours, theirs } = self;
        write!(f, "{aspect:?} {count} times, first at {place}: ours {ours}, music21's {theirs}")
    }
}

/// Differences of a tune on one line of time, at most one an aspect.
pub fn on_one_line(sheet: &LeadSheet, part: &Part) -> Vec<Difference> {
    let ours = seen::measures(sheet);
    let our_events = laid_out(ours.iter().map(|m| (m.length, m.events.clone())));
    let their_events = laid_out(part.measures.iter().map(|m| (m.length, only_line(m))));
    let mut found = Vec::new();
    found.extend(first_difference(Aspect::Notes, &sounding(&our_events), &sounding(&their_events)));
    let same_notes = found.is_empty();
    if same_notes {
        found.extend(first_difference(Aspect::Ties, &our_events, &joining_pitches(&their_events)));
    }
    found.extend(first_difference(Aspect::Keys, &changes(&ours, |m| Some(m.fifths)), &their_changes(part, |m| m.keys.clone())));
    found.extend(first_difference(Aspect::Meters, &changes(&ours, |m| m.meter.clone()), &their_changes(part, |m| m.meters.clone())));
    let our_chords = along(ours.iter().map(|m| (m.length, m.chords.clone())), |c, at| (at.plus(c.0), c.1, c.2.clone(), c.3));
    let their_chords = along(part.measures.iter().map(|m| (m.length, chords(m))), |c, at| (at.plus(c.0), c.1, c.2.clone(), c.3));
    found.extend(first_difference(Aspect::Chords, &our_chords, &their_chords));
    if let (true, Some(order)) = (same_notes, &part.order) {
        let played = seen::order(sheet).into_iter().flat_map(|i| sounding(&ours[i].events)).map(|e| (e.1, e.2)).collect::<Vec<_>>();
        let theirs = order.iter().flat_map(|i| sounding(&only_line(&part.measures[*i]))).map(|e| (e.1, e.2)).collect::<Vec<_>>();
        found.extend(first_difference(Aspect::Order, &played, &theirs));
    }
    found
}

/// Differences of a part, measure by measure, at most one an aspect. `with_chords` is the part whose chord symbols hold for this one.
pub fn by_measure(sheet: &LeadSheet, part: &Part, with_chords: &Part) -> Vec<Difference> {
    let ours = seen::measures(sheet);
    let mut found = Vec::new();
    found.extend(first_difference(Aspect::Measures, &[ours.len()], &[part.measures.len()]));
    let placed = |events: Vec<Event>, i: usize| events.into_iter().map(move |e| (i + 1, e)).collect::<Vec<_>>();
    let our_lines: Vec<_> = ours.iter().enumerate().flat_map(|(i, m)| placed(m.events.clone(), i)).collect();
    let their_lines: Vec<_> = part.measures.iter().enumerate().flat_map(|(i, m)| placed(line_like(m, ours.get(i)), i)).collect();
    let bare = |lines: &[(usize, Event)]| lines.iter().map(|(i, e)| (*i, e.0, e.1, e.2.clone())).collect::<Vec<_>>();
    found.extend(first_difference(Aspect::Notes, &bare(&our_lines), &bare(&their_lines)));
    if found.is_empty() {
        found.extend(first_difference(Aspect::Ties, &our_lines, &their_lines));
    }
    found.extend(first_difference(Aspect::Keys, &in_force(&ours, |m| m.fifths), &their_in_force(part, 0, |m| &m.keys[..])));
    found.extend(first_difference(Aspect::Meters, &in_force(&ours, meter), &their_in_force(part, "4/4".to_owned(), |m| &m.meters[..])));
    let our_chords: Vec<_> = ours.iter().enumerate().flat_map(|(i, m)| m.chords.iter().map(move |c| (i + 1, c.clone()))).collect();
    let their_chords: Vec<_> =
        with_chords.measures.iter().enumerate().flat_map(|(i, m)| chords(m).into_iter().map(move |c| (i + 1, c))).collect();
    found.extend(first_difference(Aspect::Chords, &without_silences(our_chords, &their_chords), &their_chords));
    if let Some(order) = &part.order {
        found.extend(first_difference(Aspect::Order, &seen::order(sheet), order));
    }
    found
}

/// Events without their ties.
fn sounding(events: &[Event]) -> Vec<(Fraction, Fraction, Vec<i32>)> {
    events.iter().map(|e| (e.0, e.1, e.2.clone())).collect()
}

/// A tie joins notes of one pitch; older ABC writes "-" for slurs too, which music21 takes for ties.
fn joining_pitches(events: &[Event]) -> Vec<Event> {
    let shares = |i: usize| i > 0 && events[i].2.iter().any(|p| events[i - 1].2.contains(p));
    events.iter().enumerate().map(|(i, e)| Event(e.0, e.1, e.2.clone(), e.3 && shares(i))).collect()
}

/// The one voice of a measure; ABC's measures have no other.
fn only_line(measure: &Measure) -> Vec<Event> {
    measure.lines.values().next().cloned().unwrap_or_default()
}

/// Of several voices in a measure the one that is ours, if one of them is; else the first.
fn line_like(measure: &Measure, ours: Option<&SeenMeasure>) -> Vec<Event> {
    let same = |line: &&Vec<Event>| ours.is_some_and(|m| sounding(&m.events) == sounding(line));
    measure.lines.values().find(same).or(measure.lines.values().next()).cloned().unwrap_or_default()
}

/// The same chord twice at one place is one.
fn chords(measure: &Measure) -> Vec<SeenChord> {
    let mut all: Vec<SeenChord> = measure.chords.iter().map(|c| (c.0, c.1, c.2.clone(), c.3)).collect();
    all.dedup();
    all
}

/// music21 reads "N.C." as words, not as a silence of chords: where it has no silence at all, ours are not compared.
fn without_silences(ours: Vec<(usize, SeenChord)>, theirs: &[(usize, SeenChord)]) -> Vec<(usize, SeenChord)> {
    let knows_silence = theirs.iter().any(|c| c.1.1.is_none());
    ours.into_iter().filter(|c| knows_silence || c.1.1.is_some()).collect()
}

/// Things of all measures at their places on one line of time.
fn along<T, U>(measures: impl Iterator<Item = (Fraction, Vec<T>)>, shifted: impl Fn(&T, Fraction) -> U) -> Vec<U> {
    let mut start = Fraction::ZERO;
    let mut all = Vec::new();
    for (length, things) in measures {
        all.extend(things.iter().map(|thing| shifted(thing, start)));
        start = start.plus(length);
    }
    all
}

fn laid_out(measures: impl Iterator<Item = (Fraction, Vec<Event>)>) -> Vec<Event> {
    along(measures, |e, start| Event(start.plus(e.0), e.1, e.2.clone(), e.3))
}

/// Where a value begins to hold, on one line of time; what repeats the value before it says nothing.
fn changes<T: PartialEq + Clone>(measures: &[SeenMeasure], value: impl Fn(&SeenMeasure) -> Option<T>) -> Vec<(Fraction, T)> {
    let placed = measures.iter().map(|m| (m.length, value(m).into_iter().collect()));
    without_repeats(along(placed, |v: &T, at| (at, v.clone())))
}

fn their_changes<T: PartialEq + Clone>(part: &Part, values: impl Fn(&Measure) -> Vec<(Fraction, T)>) -> Vec<(Fraction, T)> {
    without_repeats(along(part.measures.iter().map(|m| (m.length, values(m))), |(place, v), at| (at.plus(*place), v.clone())))
}

fn without_repeats<T: PartialEq>(mut all: Vec<(Fraction, T)>) -> Vec<(Fraction, T)> {
    all.dedup_by(|next, before| next.1 == before.1);
    all
}

/// The value in force at the start of each measure.
fn in_force<T>(measures: &[SeenMeasure], value: impl Fn(&SeenMeasure) -> T) -> Vec<(usize, T)> {
    measures.iter().enumerate().map(|(i, m)| (i + 1, value(m))).collect()
}

/// Free meter counts in four quarters.
fn meter(measure: &SeenMeasure) -> String {
    measure.meter.clone().unwrap_or_else(|| "4/4".to_owned())
}

/// `assumed` holds where the source gives nothing: no signature, four quarters.
fn their_in_force<T: Clone>(part: &Part, assumed: T, values: impl Fn(&Measure) -> &[(Fraction, T)]) -> Vec<(usize, T)> {
    let mut now = assumed;
    let mut all = Vec::new();
    for (i, measure) in part.measures.iter().enumerate() {
        let (at_start, later): (Vec<_>, Vec<_>) = values(measure).iter().partition(|v| v.0 == Fraction::ZERO);
        now = at_start.last().map_or(now, |v| v.1.clone());
        all.push((i + 1, now.clone()));
        now = later.last().map_or(now, |v| v.1.clone());
    }
    all
}

fn first_difference<T: PartialEq + fmt::Debug>(aspect: Aspect, ours: &[T], theirs: &[T]) -> Option<Difference> {
    let differing: Vec<usize> = (0..ours.len().max(theirs.len())).filter(|i| ours.get(*i) != theirs.get(*i)).collect();
    let at = *differing.first()?;
    let show = |list: &[T]| list.get(at).map_or("nothing".to_owned(), |thing| format!("{thing:?}"));
    let place = format!("{} of {}/{}", at + 1, ours.len(), theirs.len());
    Some(Difference { aspect, count: differing.len(), place, ours: show(ours), theirs: show(theirs) })
}
