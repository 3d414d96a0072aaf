//! The chords that a tune's own voices make, laid over its melody.
//!
//! The melody and the voices are two readings of one file. Where they have the same measures, a chord goes to its place in its measure; where a measure was cut or
//! filled up in one of them only, it goes where it comes in time, and that is said.

use formats::{ReadOptions, read_voices};
use harmony::elsewhere::comes_from_elsewhere;
use harmony::voices::{Weights, chords};
use music::{Beats, Chord, ChordOrigin, ChordSymbol, Harmony, LeadSheet, PlacedChord, Voices};

/// Fewer lines make no chords of their own.
const FEWEST_LINES: usize = 3;

/// The voices of a file, where it has several that sound together; a tune with a double stop here and there has not.
pub fn of(bytes: &[u8], options: &ReadOptions) -> Option<Voices> {
    let voices = read_voices(bytes, options).ok()?.voices;
    let sounding: Beats = voices.lines.iter().flat_map(|l| &l.notes).map(|n| n.length).sum();
    let length: Beats = voices.frames.iter().map(|f| f.length).sum();
    (voices.lines.len() >= FEWEST_LINES && sounding >= length * 2).then_some(voices)
}

pub fn count(voices: &Voices) -> usize {
    voices.lines.len()
}

/// Puts the chords into the sheet, in place of what stood there. Also what she should know about their places.
pub fn put(sheet: &mut LeadSheet, voices: &Voices) -> Option<String> {
    let found = chords(voices, &Weights::ours());
    let (starts, own) = (sheet.starts(), sheet.measures.iter().map(|m| m.frame.length).collect::<Vec<_>>());
    let alike = own.len() == voices.frames.len();
    sheet.measures.iter_mut().for_each(|m| m.frame.chords.clear());
    for chord in &found {
        let (measure, at) = if alike {
            (chord.measure, chord.at)
        } else {
            let measure = starts.partition_point(|start| *start <= chord.start).saturating_sub(1);
            (measure, chord.start - starts[measure])
        };
        if at < own[measure] {
            sheet.measures[measure].frame.chords.push(ours(at, &chord.chord));
        }
    }
    resume(sheet);
    if alike {
        return None;
    }
    let differs = own.iter().zip(&voices.frames).position(|(own, theirs)| *own != theirs.length);
    let first = sheet.measures.get(differs.unwrap_or(voices.frames.len())).or(sheet.measures.last());
    let number = first.map_or(1.into(), |m| m.frame.number).in_words();
    Some(format!(
        "From {number} on the other voices do not have the same measures as the melody: the chords stand there where they come in time. Look them through."
    ))
}

fn ours(at: Beats, chord: &Chord) -> PlacedChord {
    let source = chord.to_string();
    PlacedChord::new(at, ChordSymbol { harmony: Harmony::Chord(chord.clone()), source }).with(ChordOrigin::Ours)
}

/// Where the tune first comes from another measure than the one written before (a second ending, a coda), the chord that goes on in writing is said again.
fn resume(sheet: &mut LeadSheet) {
    let mut holds: Option<PlacedChord> = None;
    for (m, elsewhere) in comes_from_elsewhere(sheet).into_iter().enumerate() {
        let chords = &mut sheet.measures[m].frame.chords;
        if elsewhere && chords.first().is_none_or(|c| c.at > Beats::ZERO) {
            let again = holds.clone().map(|held| PlacedChord { at: Beats::ZERO, ..held });
            chords.splice(0..0, again);
        }
        holds = chords.last().cloned().or(holds);
    }
}
