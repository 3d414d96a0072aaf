//! From a walked part to the lead sheet: frames, lines of notes, chord symbols, directions.

use super::attributes::is_free;
use super::barline::Barlines;
use super::chords;
use super::direction::{self, Directions, Scope};
use super::document::{MeasureSource, Part};
use super::jumps::{self, PlacedSign};
use super::lengths::{self, TooShort};
use super::line::{self, Line};
use super::marks::{self, Tempos};
use super::measure::{Walked, Walker};
use super::remarks::Remarks;
use super::{meterless, split, ties};
use music::{Frame, LeadSheet, Meter, Note, SheetMeasure, Tempo, Words};

/// The parts a sheet is made from, walked.
pub struct Walks<'a> {
    pub melody: Vec<Walked<'a>>,
    /// The part with the chord symbols, where that is another one.
    pub symbols: Option<Vec<Walked<'a>>>,
    /// The top part, where that is another one: it carries what holds for the whole score.
    pub top: Option<Vec<Walked<'a>>>,
}

/// Walks all measures of a part.
pub fn walk<'a>(part: &Part<'a>, remarks: &mut Remarks) -> Vec<Walked<'a>> {
    let mut walker = Walker::new();
    part.measures.iter().map(|m| walker.walk(*m, remarks)).collect()
}

/// Makes the sheet of one line; the second value has the source of each measure of the sheet.
pub fn make<'a>(walks: &Walks<'a>, line: Line<'a>, words: Words, remarks: &mut Remarks) -> (LeadSheet, Vec<MeasureSource<'a>>) {
    let measures = &walks.melody;
    let mut frames = frames(measures, line, remarks);
    lengths::settle(&mut frames, measures, line, TooShort::Filled, remarks);
    let mut notes = all_notes(measures, line, &frames, remarks);
    let sources: Vec<MeasureSource> = measures.iter().map(|m| m.source).collect();
    ties::mend(&frames, &mut notes, &sources, remarks);
    let mut directions = directions(walks, line, remarks);
    chords::put(walks, line, &mut directions, &notes, &mut frames, remarks);
    let mut sheet = LeadSheet { words, ..LeadSheet::default() };
    sheet.tempo = put_directions(directions, &mut frames, &mut notes, &mut sheet.words);
    jumps::say_missing(&frames, &sources, remarks);
    sheet.measures = frames.into_iter().zip(notes).map(|(frame, notes)| SheetMeasure { frame, notes }).collect();
    let sources = split::at_repeats(&mut sheet, measures, remarks);
    (sheet, sources)
}

/// Puts tempo marks, dynamics, section letters, words and signs where they belong; hands back the tempo at the start.
pub fn put_directions(directions: Vec<Directions>, frames: &mut [Frame], notes: &mut [Vec<Note>], words: &mut Words) -> Option<Tempo> {
    let mut tempos = Tempos::default();
    let mut signs = Vec::new();
    for (i, found) in directions.into_iter().enumerate() {
        signs.extend(found.signs.iter().map(|(at, sign)| PlacedSign { measure: i, at: *at, sign: *sign }));
        tempos.put(i, found.tempos, frames);
        marks::put_dynamics(found.dynamics, &mut notes[i]);
        marks::put_sections(i, found.sections, frames);
        marks::put_words(i, found.words, frames, words);
    }
    jumps::put(&signs, frames);
    tempos.first()
}

/// Frames with meter, key and bar lines; lengths and numbers come later.
pub fn frames(measures: &[Walked], line: Line, remarks: &mut Remarks) -> Vec<Frame> {
    let mut frames: Vec<Frame> = Vec::with_capacity(measures.len());
    let mut barlines = Barlines::default();
    let assumed = meterless::meter(measures, line.staff);
    for measure in measures {
        let now = &measure.attributes;
        let meter = now.given_meter(line.staff).or_else(|| assumed.clone()).unwrap_or_else(|| Meter::simple(4, 4));
        frames.push(Frame::plain(0, meter, now.key(line.staff)));
        barlines.put(measure, &mut frames, remarks);
        changes_inside(measure, line, remarks);
    }
    let first = &measures[0];
    match assumed {
        Some(meter) if is_free(&meter) => {
            let message = "no time signature at the start, and the measures differ in length: they are read as long as they are written";
            remarks.note(first.source.measure, message, "");
        }
        Some(meter) => {
            remarks.note(
                first.source.measure,
                format!("no time signature at the start, taken as {meter} from the length of the measures"),
                "",
            );
        }
        None => {}
    }
    if !first.attributes.has_key(line.staff) {
        remarks.note(first.source.measure, "no key signature at the start, taken as C major", "");
    }
    frames
}

/// A key or meter that changes inside a measure holds from the next one on.
fn changes_inside(measure: &Walked, line: Line, remarks: &mut Remarks) {
    let start = &measure.attributes;
    for (at, now) in measure.changes.iter().filter(|(at, _)| *at < measure.extent) {
        if now.written_key(line.staff) != start.written_key(line.staff) {
            remarks.note(
                measure.source.measure,
                format!("a key change {at} quarters into a measure is shown from the next measure on"),
                "",
            );
        }
        if now.given_meter(line.staff) != start.given_meter(line.staff) {
            remarks.warn(measure.source.measure, format!("a meter change {at} quarters into a measure holds from the next measure on"), "");
        }
    }
}

fn all_notes(measures: &[Walked], line: Line, frames: &[Frame], remarks: &mut Remarks) -> Vec<Vec<Note>> {
    let mut grace = Vec::new();
    let notes = measures.iter().zip(frames).map(|(m, f)| line::notes(m, line, f.length, &mut grace, remarks)).collect();
    if !grace.is_empty() {
        remarks.warn(measures[measures.len() - 1].source.measure, "grace notes after the last note are left out", "");
    }
    notes
}

fn directions(walks: &Walks, line: Line, remarks: &mut Remarks) -> Vec<Directions> {
    let mut all: Vec<Directions> = walks.melody.iter().map(|m| direction::read(m, Scope::Staff(line.staff), remarks)).collect();
    if let Some(top) = &walks.top {
        for (found, measure) in all.iter_mut().zip(top) {
            found.take_missing(direction::read(measure, Scope::WholeScore, remarks));
        }
    }
    all
}
