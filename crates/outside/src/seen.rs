//! What a sheet of ours says, in the terms of [`crate::facts`].

use crate::facts::{Event, Fraction};
use music::{Beats, Harmony, LeadSheet, MeterSign, Note, SheetMeasure};

/// One chord symbol: place, root, all pitch classes, bass.
pub type SeenChord = (Fraction, Option<i32>, Vec<i32>, Option<i32>);

#[derive(Debug)]
pub struct SeenMeasure {
    pub length: Fraction,
    pub events: Vec<Event>,
    pub fifths: i32,
    /// None in free meter.
    pub meter: Option<String>,
    pub chords: Vec<SeenChord>,
}

/// All measures of a sheet, as written.
pub fn measures(sheet: &LeadSheet) -> Vec<SeenMeasure> {
    sheet.measures.iter().map(measure).collect()
}

/// The playing order of a sheet as indices of its measures.
pub fn order(sheet: &LeadSheet) -> Vec<usize> {
    let frames: Vec<_> = sheet.measures.iter().map(|m| &m.frame).collect();
    music::order::playing_order(&frames).measures
}

pub fn fraction(beats: Beats) -> Fraction {
    let (numerator, denominator) = beats.fraction();
    Fraction(numerator, denominator)
}

/// Sounding notes of a line as events; rests have none.
pub fn events(notes: &[Note]) -> Vec<Event> {
    notes.iter().filter(|n| !n.is_rest()).map(event).collect()
}

fn event(note: &Note) -> Event {
    let mut pitches: Vec<i32> = note.pitches.iter().map(|p| p.midi()).collect();
    pitches.sort();
    pitches.dedup();
    Event(fraction(note.at), fraction(note.length), pitches, note.tie.from_before)
}

fn measure(measure: &SheetMeasure) -> SeenMeasure {
    let frame = &measure.frame;
    let meter = match frame.meter.sign {
        MeterSign::Free => None,
        _ => Some(meter_text(&frame.meter)),
    };
    SeenMeasure {
        length: fraction(frame.length),
        events: events(&measure.notes),
        fifths: frame.key.fifths,
        meter,
        chords: frame.chords.iter().map(|c| chord(fraction(c.at), &c.symbol.harmony)).collect(),
    }
}

/// "6/8"; a grouped numerator as music21 writes it, "2/8+3/8".
pub fn meter_text(meter: &music::Meter) -> String {
    let parts: Vec<String> = meter.groups.iter().map(|group| format!("{group}/{}", meter.unit)).collect();
    parts.join("+")
}

fn chord(at: Fraction, harmony: &Harmony) -> SeenChord {
    match harmony {
        Harmony::NoChord => (at, None, Vec::new(), None),
        Harmony::Chord(chord) => (at, Some(chord.root.pitch_class()), chord.pitch_classes(), Some(chord.bass_name().pitch_class())),
    }
}
