//! Reading all voices of a score: every part, every staff, every voice, tied notes made one.
//!
//! The frames come from the first part with notes; a measure is as long as the longest of any part. Each place in a chord, counted from the top, is a
//! line of its own. Grace notes, cue notes and unpitched parts are left out.

use super::document::Part;
use super::element::{has, is_hidden};
use super::lengths::{self, TooShort};
use super::line::Line;
use super::measure::{PlacedNote, Walked};
use super::remarks::Remarks;
use super::text::unusable;
use super::{document, note, opened, sheet, titles};
use crate::read::{ImportedVoices, LARGEST_UNPACKED, MOST_WRITTEN, ReadError};
use crate::voices::{MOST_LINES, follow, melody};
use music::{Beats, Frame, Pitch, Tie, VoiceLine, VoiceNote, Voices};
use roxmltree::Document;
use std::collections::BTreeMap;

/// Where a line is written: part, staff, name of the voice, place in its chords from the top.
type Place<'a> = (usize, u32, &'a str, usize);

/// Reads every voice of a score at sounding pitch.
pub fn read_voices(bytes: &[u8]) -> Result<ImportedVoices, ReadError> {
    opened(bytes, LARGEST_UNPACKED, imported)
}

fn imported<'a>(document: &'a Document<'a>, mut remarks: Remarks) -> Result<ImportedVoices, ReadError> {
    let root = document.root_element();
    let refused = |message: String, hint: &str| {
        let at = document.text_pos_at(root.range().start);
        unusable(at.row, at.col, message, hint)
    };
    let parts = document::parts(document)?;
    let count: usize = parts.iter().map(notes_of).sum();
    if count > MOST_WRITTEN {
        return Err(refused(format!("{count} notes, the most that is read is {MOST_WRITTEN}"), "split the piece"));
    }
    let mut walks: Vec<Vec<Walked>> = parts.iter().map(|part| sheet::walk(part, &mut remarks)).collect();
    let lead = (0..walks.len()).find_map(|i| Some((i, Line::of(&walks[i])?)));
    let Some((first, line)) = lead else {
        return Err(refused("no notes with pitches, expected a score".to_owned(), "choose another file"));
    };
    let mut frames = sheet::frames(&walks[first], line, &mut remarks);
    stretch(&mut walks, first, &frames);
    lengths::settle(&mut frames, &walks[first], line, TooShort::Kept, &mut remarks);
    let mut lines: BTreeMap<Place, Vec<(VoiceNote, Tie)>> = BTreeMap::new();
    for (part, measures) in walks.iter().enumerate() {
        collect(part, measures, &frames, &mut lines, &mut remarks);
    }
    if lines.is_empty() {
        return Err(refused("no notes that last, expected a score".to_owned(), "choose another file"));
    }
    if lines.len() > MOST_LINES {
        return Err(refused(format!("{} voices, the most that is read is {MOST_LINES}", lines.len()), "split the piece"));
    }
    let sung: Vec<bool> = parts.iter().map(is_sung).collect();
    let melody = melody(lines.keys().map(|place| sung[place.0]));
    let lines = lines.into_iter().map(|(place, notes)| VoiceLine { name: parts[place.0].label().to_owned(), notes: joined(notes) });
    let voices = Voices { words: titles::read(root), frames, lines: lines.collect(), melody };
    Ok(ImportedVoices { voices, diagnostics: remarks.finish() })
}

fn notes_of(part: &Part) -> usize {
    part.measures.iter().map(|m| m.content.children().filter(|e| e.has_tag_name("note")).count()).sum()
}

fn is_sung(part: &Part) -> bool {
    part.measures.iter().flat_map(|m| m.content.children()).any(|e| e.has_tag_name("note") && has(e, "lyric"))
}

/// Makes every measure of the part that gives the frames as long as the longest that is written at its place. At a repeat or double bar, rests that
/// are not printed are only there to fill the measure up, and do not count.
fn stretch(walks: &mut [Vec<Walked>], first: usize, frames: &[Frame]) {
    for (i, frame) in frames.iter().enumerate() {
        let here = || walks.iter().filter_map(|w| w.get(i));
        let written = here().map(|m| m.extent).max().unwrap_or(Beats::ZERO);
        let seen = here().flat_map(|m| &m.notes).filter(|n| !(n.is_rest() && is_hidden(n.members[0]))).map(|n| n.end()).max();
        let at_break = lengths::breaks_after(i, frames) || i > 0 && lengths::breaks_after(i - 1, frames);
        let short = seen.filter(|seen| at_break && *seen > Beats::ZERO && *seen < frame.meter.length());
        walks[first][i].extent = short.unwrap_or(written);
    }
}

fn collect<'a>(
    part: usize,
    measures: &[Walked<'a>],
    frames: &[Frame],
    lines: &mut BTreeMap<Place<'a>, Vec<(VoiceNote, Tie)>>,
    remarks: &mut Remarks,
) {
    let mut start = Beats::ZERO;
    for (walked, frame) in measures.iter().zip(frames) {
        for placed in walked.notes.iter().filter(|n| !n.grace && !has(n.members[0], "cue")) {
            let length = placed.end().min(frame.length) - placed.at;
            if length <= Beats::ZERO {
                continue;
            }
            for (rank, (pitch, tie)) in from_the_top(placed, remarks).into_iter().enumerate() {
                let note = VoiceNote { start: start + placed.at, length, pitch };
                lines.entry((part, placed.staff, placed.voice, rank)).or_default().push((note, tie));
            }
        }
        start += frame.length;
    }
}

fn from_the_top(placed: &PlacedNote, remarks: &mut Remarks) -> Vec<(Pitch, Tie)> {
    let read = |m: &super::element::Element| Some((note::pitch(*m, placed.transposition, remarks)?, note::tie_of(*m)));
    let mut tones: Vec<(Pitch, Tie)> = placed.members.iter().filter_map(read).collect();
    tones.sort_by_key(|(pitch, _)| std::cmp::Reverse(pitch.midi()));
    tones
}

/// One note for all that are tied; one end of a tie is enough.
fn joined(mut notes: Vec<(VoiceNote, Tie)>) -> Vec<VoiceNote> {
    notes.sort_by_key(|(n, _)| (n.start, n.pitch.midi()));
    let mut all: Vec<(VoiceNote, Tie)> = Vec::with_capacity(notes.len());
    for (note, tie) in notes {
        match all.last_mut() {
            Some((last, before))
                if last.end() == note.start && last.pitch.midi() == note.pitch.midi() && (before.to_next || tie.from_before) =>
            {
                last.length += note.length;
                *before = tie;
            }
            _ => all.push((note, tie)),
        }
    }
    let mut notes: Vec<VoiceNote> = all.into_iter().map(|(note, _)| note).collect();
    follow(&mut notes);
    notes
}
