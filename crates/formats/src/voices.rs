//! All voices of a score, whatever its format: tells the formats apart, and which line is the melody.

use crate::read::{ImportedVoices, LARGEST_FILE, ReadError, ReadOptions};
use crate::read::{MOST_MEASURES, MOST_WRITTEN};
use crate::{abc, musicxml};
use music::{Beats, VoiceNote};

/// The most lines of a score; a page of a full orchestra with chords on every staff has fewer.
pub const MOST_LINES: usize = 64;

/// Reads all voices of an ABC tune or a MusicXML score (plain or `.mxl`). Of `options` the tune is heeded, the part is not.
///
/// ```
/// use formats::{ReadOptions, read_voices};
///
/// // ABC 2.1, chapter 7: two voices are two lines, here a third apart.
/// let abc = "X:1\nM:4/4\nL:1/4\nV:1\nV:2\nK:C\nV:1\ne4|]\nV:2\nc4|]\n";
/// let voices = read_voices(abc.as_bytes(), &ReadOptions::default()).expect("two voices").voices;
/// let pitches: Vec<String> = voices.lines.iter().map(|line| line.notes[0].pitch.to_string()).collect();
/// assert_eq!(pitches, ["E5", "C5"]);
/// ```
pub fn read_voices(bytes: &[u8], options: &ReadOptions) -> Result<ImportedVoices, ReadError> {
    if bytes.len() > LARGEST_FILE {
        return Err(ReadError::TooLarge { most: LARGEST_FILE });
    }
    if musicxml::looks_like(bytes) {
        musicxml::read_voices(bytes)
    } else if abc::looks_like(bytes) {
        abc::read_voices(bytes, options)
    } else {
        Err(ReadError::UnknownFormat)
    }
}

/// The melody is the first line that is sung, else the top one.
pub(crate) fn melody(sung: impl Iterator<Item = bool>) -> usize {
    sung.take(MOST_LINES).position(|s| s).unwrap_or(0)
}

/// One line of notes: where one still sounds as the next begins, it ends there.
pub(crate) fn follow(notes: &mut Vec<VoiceNote>) {
    notes.dedup_by_key(|n| n.start);
    for i in 1..notes.len() {
        let start = notes[i].start;
        let before = &mut notes[i - 1];
        before.length = before.length.min(start - before.start);
    }
}

/// What the readers promise of any bytes. For the targets of fuzzing.
pub(crate) fn promised(read: Result<ImportedVoices, ReadError>) {
    let Ok(ImportedVoices { voices, .. }) = read else { return };
    assert!(voices.frames.len() <= MOST_MEASURES && voices.lines.len() <= MOST_LINES, "no more measures and voices than are read");
    assert!(voices.lines.iter().map(|l| l.notes.len()).sum::<usize>() <= MOST_WRITTEN, "no more notes than are read");
    assert!(voices.melody < voices.lines.len(), "the melody is one of the lines");
    let end: Beats = voices.frames.iter().map(|f| f.length).sum();
    for line in &voices.lines {
        assert!(line.notes.iter().all(|n| n.length > Beats::ZERO && n.end() <= end), "every note takes time, within the measures");
        assert!(line.notes.windows(2).all(|n| n[0].end() <= n[1].start), "the notes of a line follow each other");
    }
}
