//! Tells the formats apart by their first bytes and hands over to the right reader.

use crate::diagnostic::{Diagnostic, Span};
use crate::{abc, musicxml};
use music::LeadSheet;
use thiserror::Error;

/// The largest file that is read, in bytes; a longer one is refused.
pub const LARGEST_FILE: usize = 8 * 1024 * 1024;
/// The most notes a tune may have.
pub const MOST_NOTES: usize = 100_000;
/// The most measures a tune may have, as written.
pub const MOST_MEASURES: usize = 2_000;
/// The deepest nesting of XML elements.
pub const DEEPEST: usize = 64;
/// The largest size of an unpacked `.mxl`, in bytes.
pub const LARGEST_UNPACKED: u64 = 32 * 1024 * 1024;

/// What to read when a file holds several tunes or parts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReadOptions {
    /// Which tune of a file of several: the number in its `X:` field, else its place from 1. Default: the first.
    pub tune: Option<u32>,
    /// Which part of a score: its id, its name, or its place from 1. Default: the part under the chord symbols, else the first.
    pub part: Option<String>,
}

/// A tune as read, and what there is to say about the reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Imported {
    pub sheet: LeadSheet,
    pub sources: SourceMap,
    pub diagnostics: Vec<Diagnostic>,
    /// How many tunes the file holds, and the titles of the first hundred.
    pub tunes: Vec<String>,
    /// The parts (in ABC the voices) that have notes, each by a text that [`ReadOptions::part`] takes for it; empty where the file has no choice of parts.
    pub parts: Vec<String>,
    /// The one of them that was read.
    pub part: Option<String>,
}

/// Where each measure of the sheet stands in the source.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SourceMap {
    pub measures: Vec<Span>,
}

/// Why nothing could be read at all.
#[derive(Debug, Error, PartialEq, Eq)]
pub enum ReadError {
    #[error("the file is larger than {} MiB, the most that is read", LARGEST_FILE / (1024 * 1024))]
    TooLarge,
    #[error("the file is neither ABC nor MusicXML: expected a line like \"X:1\" or an XML document")]
    UnknownFormat,
    #[error("there is no tune {wanted} in this file: it holds {}", held.join(", "))]
    NoSuchTune { wanted: u32, held: Vec<String> },
    #[error("there is no part \"{wanted}\" in this score: it has {}", held.join(", "))]
    NoSuchPart { wanted: String, held: Vec<String> },
    /// Broken as a whole: bad XML, a damaged archive, no notes. The diagnostic has the place.
    #[error("{0}")]
    Unusable(Diagnostic),
}

/// Reads ABC or MusicXML (plain or `.mxl`).
pub fn read(bytes: &[u8], options: &ReadOptions) -> Result<Imported, ReadError> {
    if bytes.len() > LARGEST_FILE {
        return Err(ReadError::TooLarge);
    }
    if musicxml::looks_like(bytes) {
        musicxml::read(bytes, options)
    } else if abc::looks_like(bytes) {
        abc::read(bytes, options)
    } else {
        Err(ReadError::UnknownFormat)
    }
}
