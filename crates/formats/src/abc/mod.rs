//! ABC 2.1: a text format for tunes. The numbers in comments are sections of the standard (December 2011).
//!
//! ```text
//! file    = { header line } { tune }                       tunes.rs
//! tune    = "X:" number { field } "K:" key { body line } empty line
//! field   = letter ":" text { "+:" text }                  fields.rs keys.rs signs.rs
//! body    = field | music { token }                        tune.rs
//! token   = note | rest | chord | grace | bar | "(" | ")" | "(p:q:r" | "-" | ">" | "<" | '"' text '"' | "!" name "!" |
//!           letter | "[" letter ":" text "]" | "&"         scan.rs bars.rs
//! note    = { accidental } letter { octave } [ length ]
//! length  = [ number ] { "/" [ number ] }
//! chord   = "[" { note | sign } "]" [ length ]
//! grace   = "{" [ "/" ] { note } "}"
//! words   = { syllable | "-" | "_" | "*" | "|" }           lyrics.rs
//! ```
//!
//! [`text`] gets from bytes to letters, [`tunes`] from lines to pieces, [`scan`] from a line to tokens; [`voice`] turns tokens into
//! measures and
//! [`finish`] numbers them; [`tune`] holds it together. Where files of the wild differ from the standard, the standard is read first and
//! the habit
//! only where the standard's reading makes no sense.

mod bars;
mod fields;
mod finish;
mod keys;
mod lyrics;
mod remarks;
mod scan;
mod signs;
mod text;
mod tune;
mod tunes;
mod voice;

use crate::read::{Imported, ImportedVoices, ReadError, ReadOptions};
use crate::{bounds, voices};
use tunes::{FileText, TuneText};

/// Whether the bytes look like ABC: a line that begins with `X:`, the mark `%abc`, or a `K:` field after another field.
pub fn looks_like(bytes: &[u8]) -> bool {
    let start = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if start.starts_with(b"\xff\xfe") || start.starts_with(b"\xfe\xff") {
        return looks_like(text::decode(bytes).0.as_bytes());
    }
    let mut fields = 0;
    start.starts_with(b"%abc")
        || start.split(|b| matches!(b, b'\n' | b'\r')).any(|line| {
            let is = |letter: u8| line.starts_with(&[letter, b':']);
            fields += usize::from(b"TMLCRQ".iter().any(|l| is(*l)));
            is(b'X') || is(b'K') && fields > 0
        })
}

/// Reads one tune of an ABC file: the first, or the one that `options` names. Without a wish for a part the first voice is the
/// melody, and chord symbols over another one are taken with it.
pub fn read(bytes: &[u8], options: &ReadOptions) -> Result<Imported, ReadError> {
    let (text, guessed) = text::decode(bytes);
    let lines = tunes::lines(&text);
    let file = tunes::cut(&lines);
    let tune = chosen(&file, options)?;
    let mut imported = tune::read(&file.header, tune, options)?;
    imported.diagnostics.splice(0..0, guessed);
    imported.tunes = file.tunes.iter().take(100).map(title).collect();
    Ok(imported)
}

/// Reads all voices of one tune of an ABC file.
pub fn read_voices(bytes: &[u8], options: &ReadOptions) -> Result<ImportedVoices, ReadError> {
    let (text, guessed) = text::decode(bytes);
    let lines = tunes::lines(&text);
    let file = tunes::cut(&lines);
    let mut imported = tune::read_voices(&file.header, chosen(&file, options)?)?;
    imported.diagnostics.splice(0..0, guessed);
    Ok(imported)
}

/// Whatever the bytes, reading comes back with a tune whose notes fill its measures or with an error; a target for fuzzing.
pub fn survives(bytes: &[u8]) {
    voices::promised(read_voices(bytes, &ReadOptions::default()));
    let Some(imported) = bounds::promised(read(bytes, &ReadOptions::default())) else { return };
    assert_eq!(imported.sheet.measures.len(), imported.sources.measures.len(), "every measure has its place in the source");
    for measure in &imported.sheet.measures {
        let mut at = music::Beats::ZERO;
        for note in &measure.notes {
            assert_eq!(note.at, at, "the notes of a measure follow each other without gaps");
            assert!(note.length > music::Beats::ZERO, "every note takes time");
            at += note.length;
        }
        assert_eq!(measure.frame.length, at, "the notes fill their measure");
        assert!(measure.frame.chords.iter().all(|c| c.at < at), "every chord symbol stands within its measure");
    }
}

fn title(tune: &TuneText) -> String {
    match tune.number {
        Some(number) if tune.title.is_empty() => format!("tune {number}"),
        _ => tune.title.clone(),
    }
}

fn chosen<'a, 'b>(file: &'b FileText<'a>, options: &ReadOptions) -> Result<&'b TuneText<'a>, ReadError> {
    let Some(wanted) = options.tune else {
        return Ok(&file.tunes[0]);
    };
    let by_number = file.tunes.iter().find(|t| t.number == Some(wanted));
    let by_place = || file.tunes.get((wanted as usize).checked_sub(1)?).filter(|t| t.number.is_none());
    by_number.or_else(by_place).ok_or_else(|| ReadError::NoSuchTune {
        wanted,
        held: (1..).zip(&file.tunes).take(100).map(|(i, t)| t.number.unwrap_or(i).to_string()).collect(),
    })
}

#[cfg(test)]
mod tests;
