//! The last look at what was read: nothing longer or fuller than a page can show.
//!
//! A measure that no line of a page holds becomes several with no bar line drawn between, under one number; of texts and signs without end
//! the beginning is kept. What was done is said by the reader, which knows the places. The limits are far beyond what music asks for. Ours.

use crate::diagnostic::LONGEST_MESSAGE;
use crate::halves::halves;
use crate::read::{Imported, LONGEST_MEASURE, MOST_IN_MEASURE, MOST_MEASURES, MOST_NOTES, ReadError};
use music::{Barline, Beats, Frame, LeadSheet, MeterSign, Note, SheetMeasure, Words};
use std::collections::BTreeSet;
use std::fmt;

/// The longest text of any kind, in characters.
const LONGEST_TEXT: usize = 1_000;
/// The longest text of one chord symbol, in characters.
const LONGEST_SYMBOL: usize = 64;
/// The most texts, chord symbols or tempo marks of one measure.
const MOST_AT_MEASURE: usize = 64;
/// The most signs at one note, grace notes before it, and lines of words under it.
const MOST_AT_NOTE: usize = 64;
/// The most strings plucked together.
const MOST_TOGETHER: usize = 32;
/// The most changed degrees of one chord.
const MOST_DEGREES: usize = 16;

/// What the readers promise of any bytes: a tune within the limits, or an error, and short messages in either case. For the targets of fuzzing, which go on with
/// the tune.
pub fn promised(read: Result<Imported, ReadError>) -> Option<Imported> {
    let short = |message: &str| message.chars().count() <= LONGEST_MESSAGE && !message.contains('\n');
    let imported = match read {
        Ok(imported) => imported,
        Err(error) => {
            assert!(error.to_string().chars().count() <= LONGEST_MESSAGE, "a message is a line or two: {error}");
            return None;
        }
    };
    assert!(imported.diagnostics.iter().all(|d| short(&d.message)), "a message is a line or two");
    assert!(imported.sheet.measures.len() <= MOST_MEASURES, "no more measures than are read");
    for measure in &imported.sheet.measures {
        let drawable = measure.frame.length <= Beats::WHOLE * LONGEST_MEASURE && measure.notes.len() <= MOST_IN_MEASURE;
        assert!(drawable, "a measure is no longer and no fuller than a line of a page");
    }
    Some(imported)
}

/// Something that was more than is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Excess {
    Text,
    Words,
    Chords,
    Tempos,
    Signs,
    Lines,
    Pitches,
    Degrees,
}

impl fmt::Display for Excess {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Excess::Text => write!(f, "a text of more than {LONGEST_TEXT} characters is cut off there"),
            Excess::Words => write!(f, "of more than {MOST_AT_MEASURE} texts above one measure the first are kept"),
            Excess::Chords => write!(f, "of more than {MOST_AT_MEASURE} chord symbols in one measure the first are kept"),
            Excess::Tempos => write!(f, "of more than {MOST_AT_MEASURE} tempo marks in one measure the first are kept"),
            Excess::Signs => write!(f, "of more than {MOST_AT_NOTE} signs or grace notes at one note the first are kept"),
            Excess::Lines => write!(f, "of more than {MOST_AT_NOTE} lines of words the first are kept"),
            Excess::Pitches => write!(f, "of more than {MOST_TOGETHER} notes in one chord the lowest are kept"),
            Excess::Degrees => write!(f, "of more than {MOST_DEGREES} changed tones in one chord symbol the first are kept"),
        }
    }
}

/// A measure of a sheet, and what is to be said about it.
pub struct Said {
    pub measure: usize,
    pub message: String,
}

/// Brings a sheet within bounds. `sources` has an entry for each measure, and has one for each afterwards. The error says which limit is passed.
pub fn settle<S: Copy>(sheet: &mut LeadSheet, sources: &mut Vec<S>) -> Result<Vec<Said>, String> {
    let mut found: BTreeSet<Excess> = BTreeSet::new();
    words(&mut sheet.words, &mut found);
    let mut said: Vec<Said> = found.iter().map(|e| Said { measure: 0, message: e.to_string() }).collect();
    if sheet.measures.iter().map(|m| m.notes.len()).sum::<usize>() > MOST_NOTES {
        return Err(format!("the melody has more than {MOST_NOTES} notes, the most that is read"));
    }
    let (mut measures, mut places) = (Vec::new(), Vec::new());
    for (mut measure, source) in std::mem::take(&mut sheet.measures).into_iter().zip(sources.iter()) {
        let mut here = BTreeSet::new();
        frame(&mut measure.frame, &mut here);
        measure.notes.iter_mut().for_each(|n| note(n, &mut here));
        said.extend(here.iter().filter(|e| found.insert(**e)).map(|e| Said { measure: measures.len(), message: e.to_string() }));
        let number = measure.frame.number;
        let parts = parts(measure);
        if parts.len() > 1 {
            let message = format!(
                "measure {number} is longer than {LONGEST_MEASURE} whole notes or {MOST_IN_MEASURE} notes: it is written as {} with no bar line drawn between them",
                parts.len()
            );
            said.push(Said { measure: measures.len(), message });
        }
        places.extend(parts.iter().map(|_| *source));
        measures.extend(parts);
        if measures.len() > MOST_MEASURES {
            return Err(format!("the tune has more than {MOST_MEASURES} measures, the most that is read"));
        }
    }
    (sheet.measures, *sources) = (measures, places);
    Ok(said)
}

/// What is printed around the music.
pub fn words(words: &mut Words, found: &mut BTreeSet<Excess>) {
    let single = [&mut words.composer, &mut words.lyricist, &mut words.origin, &mut words.rhythm];
    let more = [&mut words.tempo_words, &mut words.source, &mut words.rights];
    single.into_iter().chain(more).flatten().for_each(|t| text(t, found));
    [&mut words.title].into_iter().chain(&mut words.subtitles).chain(&mut words.verses).for_each(|t| text(t, found));
    first(&mut words.subtitles, MOST_AT_MEASURE, Excess::Words, found);
}

pub fn frame(frame: &mut Frame, found: &mut BTreeSet<Excess>) {
    first(&mut frame.words, MOST_AT_MEASURE, Excess::Words, found);
    first(&mut frame.chords, MOST_AT_MEASURE, Excess::Chords, found);
    first(&mut frame.tempos, MOST_AT_MEASURE, Excess::Tempos, found);
    frame.words.iter_mut().map(|w| &mut w.1).chain(&mut frame.section).for_each(|t| text(t, found));
    for symbol in frame.chords.iter_mut().map(|c| &mut c.symbol) {
        if let music::Harmony::Chord(chord) = &mut symbol.harmony {
            first(&mut chord.degrees, MOST_DEGREES, Excess::Degrees, found);
        }
        if symbol.source.chars().nth(LONGEST_SYMBOL).is_some() {
            symbol.source = symbol.harmony.to_string();
        }
    }
}

pub fn note(note: &mut Note, found: &mut BTreeSet<Excess>) {
    first(&mut note.decorations, MOST_AT_NOTE, Excess::Signs, found);
    first(&mut note.grace, MOST_AT_NOTE, Excess::Signs, found);
    first(&mut note.syllables, MOST_AT_NOTE, Excess::Lines, found);
    first(&mut note.pitches, MOST_TOGETHER, Excess::Pitches, found);
    note.grace.iter_mut().for_each(|g| first(&mut g.pitches, MOST_TOGETHER, Excess::Pitches, found));
    note.fingers.truncate(note.pitches.len());
    note.syllables.iter_mut().for_each(|s| text(&mut s.text, found));
    for decoration in &mut note.decorations {
        if let music::Decoration::Dynamic(name) | music::Decoration::Other(name) = decoration {
            text(name, found);
        }
    }
}

fn first<T>(all: &mut Vec<T>, most: usize, excess: Excess, found: &mut BTreeSet<Excess>) {
    if all.len() > most {
        all.truncate(most);
        found.insert(excess);
    }
}

fn text(text: &mut String, found: &mut BTreeSet<Excess>) {
    if let Some((end, _)) = text.char_indices().nth(LONGEST_TEXT) {
        text.truncate(end);
        text.push('…');
        found.insert(Excess::Text);
    }
}

/// The measure as it is, or the parts of one that is too long or too full. Parted from the end, so that no note is moved twice.
fn parts(measure: SheetMeasure) -> Vec<SheetMeasure> {
    let mut parts = Vec::new();
    let mut rest = measure;
    for at in places_to_part(&rest).into_iter().rev() {
        let (mut before, after) = halves(rest, at);
        before.frame.right = Barline::None;
        parts.push(after);
        rest = before;
    }
    parts.push(rest);
    parts.reverse();
    parts
}

/// Where a measure is parted; no further than to pass the limit of measures.
fn places_to_part(measure: &SheetMeasure) -> Vec<Beats> {
    let mut places = Vec::new();
    let mut from = Beats::ZERO;
    while let Some(length) = place_to_part(measure, from).filter(|_| places.len() <= MOST_MEASURES) {
        from += length;
        places.push(from);
    }
    places
}

/// How long the next part is, if what is left from a place is too long or too full: to where a note begins, as near as can be to equal parts, if
/// possible after full measures of the meter, else on a quarter. A note longer than any measure is parted itself.
fn place_to_part(measure: &SheetMeasure, from: Beats) -> Option<Beats> {
    let frame = &measure.frame;
    let notes = &measure.notes[measure.notes.partition_point(|n| n.end() <= from)..];
    let (left, longest) = (frame.length - from, Beats::WHOLE * LONGEST_MEASURE);
    if left <= longest && notes.len() <= MOST_IN_MEASURE {
        return None;
    }
    let reach = notes.get(MOST_IN_MEASURE).map_or(longest, |n| (n.at - from).min(longest));
    let by_length = (left - Beats::SMALLEST).div_floor(longest) + 1;
    let count = by_length.max(notes.len().div_ceil(MOST_IN_MEASURE) as i64);
    let (above, below) = left.fraction();
    let goal = Beats::nearest_quarters(above, below.saturating_mul(count)).min(reach);
    let full = frame.meter.length();
    let rank = |at: Beats| match frame.meter.sign {
        MeterSign::Free if (at % Beats::QUARTER).is_zero() => 1,
        _ if (at % full).is_zero() => 0,
        _ if (at % Beats::QUARTER).is_zero() => 1,
        _ if at.fraction().1.count_ones() == 1 => 2,
        _ => 3,
    };
    let begun = notes.iter().map(|n| n.at - from).skip_while(|at| *at <= Beats::ZERO).take_while(|at| *at <= reach);
    Some(begun.min_by_key(|at| (rank(*at), (*at - goal).abs())).unwrap_or(reach))
}
