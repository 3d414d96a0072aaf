//! What speaks for and against a phrase beginning at each bar line of one line through a section.
//!
//! Points, all ours; the lengths of phrases are priced in the same coin (see [`super::lengths`]). Because a phrase may begin with
//! a pickup, the breath is looked for within half a measure before the bar line, best where the section's own pickup would begin.

use super::sections::Section;
use crate::melody::Pluck;
use music::{Beats, Decoration, Hyphen, LeadSheet, Note, SheetMeasure};

/// A breath mark or a fermata on the note before.
const MARKED: i64 = 60;
/// A rest of a beat or more; of half a beat; shorter.
const RESTS: [i64; 3] = [30, 15, 6];
/// The note before lasts, to the next, at least three times the typical distance of two plucks; twice; one and a half times.
const LONG: [i64; 3] = [24, 16, 8];
/// The words before end in a full stop, in a comma, inside a word.
const FULL_STOP: i64 = 40;
const COMMA: i64 = 20;
const INSIDE_A_WORD: i64 = -40;
/// The measure has the rhythm of the section's first; the same pitches too.
const SAME_RHYTHM: i64 = 10;
const SAME_TUNE: i64 = 10;
/// The note before is the tonic.
const TONIC: i64 = 4;
/// A new key, a new meter.
const NEW_KEY: i64 = 20;
const NEW_METER: i64 = 10;
/// One note sounds on across the bar line from far before it; a slur leads across the place.
const HELD_ACROSS: i64 = -40;
const SLURRED: i64 = -12;
/// The breath is not where the section's pickup would begin.
const OTHER_PICKUP: i64 = -6;
/// However much comes together without a mark on the page: not enough to break a four into twos.
const MOST: i64 = 55;

/// A pluck of the line with its note: places count from the first measure of the line, pickups lie before it.
struct Event<'a> {
    pluck: Pluck,
    note: &'a Note,
    /// The note at which it ends (the last of a chain of ties).
    last: &'a Note,
    /// Slurs that are open after it.
    slurs: i64,
}

/// Points for each measure of the line as the first of a phrase; the first entry is 0.
pub fn weigh(sheet: &LeadSheet, line: &[usize], section: &Section) -> Vec<i64> {
    let pickup: Beats = section.pickups.clone().map(|i| sheet.measures[i].frame.length).sum();
    let pickup = if section.pickup == super::Pickup::Short { pickup } else { Beats::ZERO };
    let (events, starts) = events(sheet, line, section);
    let typical = typical_distance(&events);
    let rhythm = worth_of_rhythm(sheet, line);
    let (mut points, mut marks) = (vec![0; line.len()], vec![0; line.len()]);
    for i in 1..line.len() {
        let bar = Bar { sheet, line, i, at: starts[i], pickup, typical };
        points[i] = (bar.breath(&events) + bar.likeness(rhythm) + bar.signature()).clamp(-MOST, MOST);
        marks[i] = if bar.is_marked(&events) { MARKED } else { 0 };
    }
    take_off_the_usual(&mut points);
    points.iter().zip(marks).map(|(p, mark)| p + mark).collect()
}

/// What it is worth to have the rhythm of the first measure: little if most measures have it, nothing if it is a single note.
fn worth_of_rhythm(sheet: &LeadSheet, line: &[usize]) -> i64 {
    let Some(first) = line.first().map(|i| &sheet.measures[*i]).filter(|m| m.notes.len() > 1) else { return 0 };
    let alike = line.iter().filter(|i| same_rhythm(first, &sheet.measures[**i])).count();
    if alike * 2 > line.len() { SAME_RHYTHM / 3 } else { SAME_RHYTHM }
}

fn same_rhythm(a: &SheetMeasure, b: &SheetMeasure) -> bool {
    let of = |m: &SheetMeasure| m.notes.iter().map(|n| (n.at, n.length, n.is_rest())).collect::<Vec<_>>();
    a.notes.len() == b.notes.len() && of(a) == of(b)
}

/// What most bar lines have in their favour (a rest in every measure) tells nothing: the points that three in five reach are taken off all.
fn take_off_the_usual(points: &mut [i64]) {
    let mut sorted: Vec<i64> = points.iter().skip(1).copied().collect();
    sorted.sort();
    let usual = sorted.get(sorted.len() * 2 / 5).copied().unwrap_or(0).max(0);
    let enough = sorted.len() >= 6;
    points.iter_mut().skip(1).filter(|_| enough).for_each(|p| *p -= usual);
}

fn events<'a>(sheet: &'a LeadSheet, line: &[usize], section: &Section) -> (Vec<Event<'a>>, Vec<Beats>) {
    let mut at: Beats = -section.pickups.clone().map(|i| sheet.measures[i].frame.length).sum::<Beats>();
    let (mut found, mut starts): (Vec<Event>, Vec<Beats>) = (Vec::new(), Vec::new());
    let mut slurs = 0;
    for (k, measure) in section.pickups.clone().chain(line.iter().copied()).enumerate() {
        if k >= section.pickups.len() {
            starts.push(at);
        }
        let m = &sheet.measures[measure];
        for note in &m.notes {
            let (Some(top), Some(bottom)) = (note.top(), note.bottom()) else { continue };
            slurs = (slurs + i64::from(note.slurs_start) - i64::from(note.slurs_stop)).max(0);
            let start = at + note.at;
            match found.last_mut() {
                Some(e) if note.tie.from_before && e.pluck.end() == start => {
                    e.pluck.length += note.length;
                    (e.last, e.slurs) = (note, slurs);
                }
                _ => {
                    let pluck = Pluck { measure, at: note.at, start, length: note.length, top, bottom };
                    found.push(Event { pluck, note, last: note, slurs });
                }
            }
        }
        at += m.frame.length;
    }
    (found, starts)
}

/// The median distance from one pluck to the next; a quarter note where there are none.
fn typical_distance(events: &[Event]) -> Beats {
    let mut all: Vec<Beats> = events.windows(2).map(|w| w[1].pluck.start - w[0].pluck.start).collect();
    all.sort();
    all.get(all.len() / 2).copied().unwrap_or(Beats::QUARTER).max(Beats::EIGHTH)
}

/// One bar line inside the line.
struct Bar<'a> {
    sheet: &'a LeadSheet,
    line: &'a [usize],
    i: usize,
    at: Beats,
    pickup: Beats,
    typical: Beats,
}

impl Bar<'_> {
    /// The neighbouring events between which a phrase that begins with this measure could begin.
    fn near(&self, events: &[Event]) -> impl Iterator<Item = usize> {
        let frame = &self.sheet.measures[self.line[self.i - 1]].frame;
        let window = self.pickup.max(frame.length.scaled(1, 2).unwrap_or(frame.meter.beat()));
        let next = events.partition_point(|e| e.pluck.start < self.at - window);
        (next.max(1)..events.len()).take_while(|k| {
            let (before, after) = (&events[k - 1].pluck, &events[*k].pluck);
            after.start <= self.at || before.end() <= self.at
        })
    }

    /// The best breath near the bar line, or what a note held across it costs.
    fn breath(&self, events: &[Event]) -> i64 {
        self.near(events).map(|k| self.gap(&events[k - 1], &events[k])).max().unwrap_or(HELD_ACROSS)
    }

    fn is_marked(&self, events: &[Event]) -> bool {
        let marked = |d: &Decoration| matches!(d, Decoration::Breath | Decoration::Fermata);
        self.near(events).any(|k| events[k - 1].last.decorations.iter().any(marked))
    }

    fn gap(&self, before: &Event, after: &Event) -> i64 {
        let beat = self.sheet.measures[self.line[self.i - 1]].frame.meter.beat();
        let rest = after.pluck.start - before.pluck.end();
        let distance = after.pluck.start - before.pluck.start;
        let mut points = match rest {
            r if r >= beat => RESTS[0],
            r if r * 2 >= beat => RESTS[1],
            r if r > Beats::ZERO => RESTS[2],
            _ => 0,
        };
        points += match distance {
            d if d >= self.typical * 3 => LONG[0],
            d if d >= self.typical * 2 => LONG[1],
            d if d * 2 >= self.typical * 3 => LONG[2],
            _ => 0,
        };
        points += if before.slurs > 0 { SLURRED } else { 0 };
        points += if before.pluck.top.pitch_class() == self.tonic() { TONIC } else { 0 };
        points += if after.pluck.start == self.at - self.pickup || rest > Beats::ZERO { 0 } else { OTHER_PICKUP };
        points + words(before.note, after.note)
    }

    fn tonic(&self) -> i32 {
        self.sheet.measures[self.line[self.i - 1]].frame.key.tonic().pitch_class()
    }

    /// What it is worth that this measure is like the first of the line, its rhythm being worth `rhythm`.
    fn likeness(&self, rhythm: i64) -> i64 {
        let (first, this) = (&self.sheet.measures[self.line[0]], &self.sheet.measures[self.line[self.i]]);
        let tune = |m: &SheetMeasure| m.notes.iter().map(|n| n.pitches.clone()).collect::<Vec<_>>();
        if !same_rhythm(first, this) {
            0
        } else if tune(first) == tune(this) {
            rhythm + SAME_TUNE
        } else {
            rhythm
        }
    }

    fn signature(&self) -> i64 {
        let frame = |i: usize| &self.sheet.measures[self.line[i]].frame;
        let (before, after) = (frame(self.i - 1), frame(self.i));
        let key = if before.key != after.key { NEW_KEY } else { 0 };
        key + if before.meter != after.meter { NEW_METER } else { 0 }
    }
}

/// What the words say between two notes: the mean over the verses that have words at both.
fn words(before: &Note, after: &Note) -> i64 {
    let points: Vec<i64> = before
        .syllables
        .iter()
        .filter(|s| after.syllables.iter().any(|t| t.verse == s.verse))
        .map(|s| match (s.hyphen, s.text.trim_end_matches(['"', '\'', '”', '’', ')']).chars().last()) {
            (Hyphen::Begin | Hyphen::Middle, _) => INSIDE_A_WORD,
            (_, Some('.' | '!' | '?' | ';' | ':')) => FULL_STOP,
            (_, Some(',' | '–' | '—')) => COMMA,
            _ => 0,
        })
        .collect();
    if points.is_empty() { 0 } else { points.iter().sum::<i64>() / points.len() as i64 }
}
