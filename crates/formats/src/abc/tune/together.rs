//! All voices of a tune, laid over each other measure by measure.
//!
//! The frames are the first voice's; a measure is as long as the longest of any voice, and the next one begins after it in all of them. Each place in a
//! chord, counted from the top, is a line of its own. A second layer of a voice (after `&`) is left out, as for a melody.

use super::Tune;
use crate::abc::finish::{self, Finished};
use crate::diagnostic::{Diagnostic, Severity};
use crate::read::{ImportedVoices, ReadError};
use crate::voices::{MOST_LINES, follow, melody};
use music::{Beats, Note, VoiceLine, VoiceNote, Voices};
use std::collections::BTreeMap;

impl Tune {
    pub fn into_voices(mut self) -> Result<ImportedVoices, ReadError> {
        let refused = |message: &str, span| {
            let hint = Some("every tune needs a line like \"K:C\" and notes after it".to_owned());
            ReadError::Unusable(Diagnostic { severity: Severity::Error, span, message: message.to_owned(), hint })
        };
        let mut found: Vec<(String, Finished)> = Vec::new();
        for mut voice in std::mem::take(&mut self.voices) {
            voice.end(self.last);
            self.remarks.append(std::mem::take(&mut voice.remarks));
            if voice.measures.iter().any(|d| d.measure.notes.iter().any(|n| !n.is_rest())) {
                let name = voice.name.take().unwrap_or_else(|| voice.id.clone());
                found.push((name, finish::finish(voice.measures, &mut self.remarks)));
            }
        }
        let Some((_, first)) = found.first() else { return Err(refused("the tune holds no notes", self.last)) };
        let mut frames: Vec<_> = first.measures.iter().map(|m| m.frame.clone()).collect();
        for (i, frame) in frames.iter_mut().enumerate() {
            frame.chords.clear();
            let lengths = found.iter().filter_map(|(_, f)| f.measures.get(i)).map(|m| m.frame.length);
            frame.length = lengths.max().unwrap_or(frame.length);
        }
        self.words.composer = (!self.composers.is_empty()).then(|| self.composers.join("; "));
        let mut voices = Voices { words: self.words, frames, ..Voices::default() };
        let mut sung = Vec::new();
        for (name, finished) in &found {
            let words = finished.measures.iter().any(|m| m.notes.iter().any(|n| !n.syllables.is_empty()));
            for notes in lines(&voices.starts(), finished) {
                voices.lines.push(VoiceLine { name: name.clone(), notes });
                sung.push(words);
            }
        }
        if voices.lines.len() > MOST_LINES {
            return Err(refused("the tune has more voices than are read", self.last));
        }
        voices.melody = melody(sung.into_iter());
        Ok(ImportedVoices { voices, diagnostics: self.remarks.sorted() })
    }
}

/// The notes of a voice by their place in its chords.
fn lines(starts: &[Beats], finished: &Finished) -> Vec<Vec<VoiceNote>> {
    let mut lines: BTreeMap<usize, Vec<VoiceNote>> = BTreeMap::new();
    for (measure, start) in finished.measures.iter().zip(starts) {
        for note in &measure.notes {
            put(note, *start, &mut lines);
        }
    }
    lines.values_mut().for_each(follow);
    lines.into_values().collect()
}

fn put(note: &Note, start: Beats, lines: &mut BTreeMap<usize, Vec<VoiceNote>>) {
    for (rank, pitch) in note.pitches.iter().rev().enumerate() {
        let new = VoiceNote { start: start + note.at, length: note.length, pitch: *pitch };
        let line = lines.entry(rank).or_default();
        match line.last_mut() {
            Some(last) if note.tie.from_before && last.end() == new.start && last.pitch.midi() == new.pitch.midi() => {
                last.length += new.length
            }
            _ => line.push(new),
        }
    }
}
