//! Tells the formats apart by their first bytes and hands over to the right reader.

use crate::diagnostic::{Diagnostic, Span, excerpt, listed};
use crate::{abc, musicxml};
use music::{LeadSheet, Voices, order, time};
use thiserror::Error;

/// The largest file that is read, in bytes; a longer one is refused.
pub const LARGEST_FILE: usize = 8 * 1024 * 1024;
/// The most notes and rests of a melody.
pub const MOST_NOTES: usize = 20_000;
/// The most notes and rests in all parts that are looked at for a melody.
pub const MOST_WRITTEN: usize = 100_000;
/// The most measures a tune may have, as written.
pub const MOST_MEASURES: usize = 2_000;
/// The longest note and the longest measure, in whole notes; a longer measure becomes several ([`crate::bounds`]).
pub const LONGEST_MEASURE: i64 = 8;
/// The most notes and rests of one measure; one with more becomes several.
pub const MOST_IN_MEASURE: usize = 128;
/// The deepest nesting of XML elements.
pub const DEEPEST: usize = 64;
/// The largest size of an unpacked `.mxl`, in bytes.
pub const LARGEST_UNPACKED: u64 = 32 * 1024 * 1024;
/// The largest page of two hands that is read, in bytes, unpacked or not: a tune of the most notes and measures is shorter with its left hand.
pub const LARGEST_PAGE: usize = 64 * 1024 * 1024;
/// The most notes and rests on a page of two hands, every string of a chord counted.
pub const MOST_ON_PAGE: usize = 150_000;

// However often its measures are repeated, a tune within the limits is shorter than the longest time that can be held.
const _: () = assert!(order::LONGEST as i64 * LONGEST_MEASURE * 4 <= time::LONGEST);

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
    /// The melody with its chords; its notes fill its measures.
    pub sheet: LeadSheet,
    /// Where each measure stands in the file.
    pub sources: SourceMap,
    /// What there is to say about the reading, in the order of the file.
    pub diagnostics: Vec<Diagnostic>,
    /// How many tunes the file holds, and the titles of the first hundred.
    pub tunes: Vec<String>,
    /// The parts (in ABC the voices) that have notes, each by a text that [`ReadOptions::part`] takes for it; empty where the file has no choice of parts.
    pub parts: Vec<String>,
    /// The one of them that was read.
    pub part: Option<String>,
}

/// All voices of a score as read, and what there is to say about the reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImportedVoices {
    /// Every line of every part.
    pub voices: Voices,
    /// What there is to say about the reading, in the order of the file.
    pub diagnostics: Vec<Diagnostic>,
}

/// Where each measure of the sheet stands in the source.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SourceMap {
    /// One for each measure of the sheet.
    pub measures: Vec<Span>,
}

/// Why nothing could be read at all.
#[derive(Debug, Error, PartialEq, Eq)]
pub enum ReadError {
    /// More bytes than are read.
    #[error("the file is larger than {} MiB, the most that is read", most / (1024 * 1024))]
    TooLarge {
        /// The most that is read, in bytes.
        most: usize,
    },
    /// Neither format.
    #[error("the file is neither ABC nor MusicXML: expected a line like \"X:1\" or an XML document")]
    UnknownFormat,
    /// The wish for a tune found none.
    #[error("there is no tune {wanted} in this file: it holds {}", listed(held))]
    NoSuchTune {
        /// The number that was asked for.
        wanted: u32,
        /// Numbers or titles of those there are.
        held: Vec<String>,
    },
    /// The wish for a part found none.
    #[error("there is no part \"{}\" in this score: it has {}", excerpt(wanted), listed(held))]
    NoSuchPart {
        /// What was asked for.
        wanted: String,
        /// Names of those there are.
        held: Vec<String>,
    },
    /// Broken as a whole: bad XML, a damaged archive, no notes. The diagnostic has the place.
    #[error("{0}")]
    Unusable(Diagnostic),
}

/// Reads ABC or MusicXML (plain or `.mxl`).
///
/// ```
/// use formats::{ReadOptions, read};
///
/// // ABC 2.1: a tune with its chord symbols in quotes. A sign that is not known is said, with its place, and the tune is read all the same.
/// let abc = "X:1\nT:The Slipway\nM:3/4\nL:1/4\nK:G\n\"G\"G2 B|\"D7\"A2 !loudly! F|\"G\"G3|]\n";
/// let imported = read(abc.as_bytes(), &ReadOptions::default()).expect("a tune");
/// assert_eq!((imported.sheet.words.title.as_str(), imported.sheet.measures.len()), ("The Slipway", 3));
/// assert_eq!(imported.sources.measures[1].line, 6);
/// ```
pub fn read(bytes: &[u8], options: &ReadOptions) -> Result<Imported, ReadError> {
    if bytes.len() > LARGEST_FILE {
        return Err(ReadError::TooLarge { most: LARGEST_FILE });
    }
    if musicxml::looks_like(bytes) {
        musicxml::read(bytes, options)
    } else if abc::looks_like(bytes) {
        abc::read(bytes, options)
    } else {
        Err(ReadError::UnknownFormat)
    }
}
