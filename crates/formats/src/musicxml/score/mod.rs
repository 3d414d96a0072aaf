//! Reading a page of two hands: any two-staff score, and the ones this crate writes.
//!
//! [`staves`] chooses the two staves, [`tones`] follows every voice and tie, [`merge`] makes one line of plucks a hand of them, [`marks`] takes
//! the harp's own signs, [`words`] what stands around the music; [`two_hands`] puts all together.

use super::remarks::Remarks;
use crate::diagnostic::{Diagnostic, excerpt};
use crate::musicxml::text::unusable;
use crate::musicxml::{document, opened};
use crate::read::{LARGEST_PAGE, MOST_ON_PAGE, ReadError, SourceMap};
use music::{Beats, Hand, Pitch, Score, Tempo};
use roxmltree::Document;
use staves::Refusal;

mod staves;
mod tones;
mod merge;
mod marks;
mod words;
mod two_hands;

/// Which staves of a score to read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ScoreOptions {
    /// The staves of the right and the left hand, counted from 1 at the top through all parts, or within `part` where one is asked for.
    /// Default: the first two staves of the first part that has two, else the first two parts with notes.
    pub staves: Option<(u32, u32)>,
    /// The part: its id, its name, or its place from 1. Default: any.
    pub part: Option<String>,
}

/// A page of two hands as read, and what there is to say about the reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImportedScore {
    /// The upper staff is `right`, the lower `left`; which hand plays a note is not decided here. Every note of a line is either all plucked
    /// or, at the start of a measure, all held over by a tie; it lasts to the next pluck of its staff or to the end of its longest pitch.
    pub score: Score,
    /// The tempo the source gives, if it does; without one `score.tempo` is 90 beats a minute.
    pub tempo: Option<Tempo>,
    /// The pitches whose written length is not the length of their note (ties counted): held in one voice while another moves, or let go
    /// earlier than the rest of a chord.
    pub holds: Vec<Hold>,
    /// Where each measure stands in the file.
    pub sources: SourceMap,
    /// What there is to say about the reading, in the order of the file.
    pub diagnostics: Vec<Diagnostic>,
}

/// How long a plucked pitch is written to sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hold {
    /// The staff it is written on.
    pub hand: Hand,
    /// Index into the measures of the score, and the place in it, where the pitch is plucked.
    pub measure: usize,
    /// The place in that measure.
    pub at: Beats,
    /// Which of the strings plucked there.
    pub pitch: Pitch,
    /// From the pluck to the end of the last note tied on, repeats not counted.
    pub length: Beats,
}

/// Reads two staves of a score, with all their voices, at sounding pitch.
///
/// Errors: [`ReadError::TooLarge`] beyond [`LARGEST_PAGE`]; [`ReadError::NoSuchPart`]; [`ReadError::Unusable`] for a broken file, one without pitched notes or without
/// the staves asked for, or beyond the limits.
///
/// ```
/// use formats::musicxml::{ScoreOptions, read_score, write};
/// use music::text;
///
/// // What is written is read back (the round trip that the tests make with all that is written).
/// let page = text::page(&[("E5:2 D5:2", "[C3+G3]:4")], 90);
/// let back = read_score(write::write(&page).as_bytes(), &ScoreOptions::default()).expect("two staves");
/// assert_eq!(text::show(&back.score.measures[0].left), "[C3+G3]:4");
/// ```
pub fn read_score(bytes: &[u8], options: &ScoreOptions) -> Result<ImportedScore, ReadError> {
    if bytes.len() > LARGEST_PAGE {
        return Err(ReadError::TooLarge { most: LARGEST_PAGE });
    }
    opened(bytes, LARGEST_PAGE as u64, |document, remarks| imported(document, options, remarks))
}

fn imported<'a>(document: &'a Document<'a>, options: &ScoreOptions, mut remarks: Remarks) -> Result<ImportedScore, ReadError> {
    let root = document.root_element();
    let refused = |message: String, hint: &str| {
        let at = document.text_pos_at(root.range().start);
        unusable(at.row, at.col, message, hint)
    };
    let parts = document::parts(document)?;
    let chosen = staves::choose(&parts, options).map_err(|refusal| match refusal {
        Refusal::Part(error) => error,
        Refusal::NoStaff { wanted, held } => {
            refused(format!("there is no staff {wanted} here: found {held}"), "count from the top, from 1")
        }
        Refusal::Silent => refused("no notes with pitches, expected two staves with notes".to_owned(), "choose another part"),
    })?;
    if parts[chosen.upper.part].measures.is_empty() {
        return Err(refused(format!("the part \"{}\" has no measures", excerpt(parts[chosen.upper.part].label())), "choose another part"));
    }
    let lower = chosen.lower.map(|s| s.part).filter(|p| *p != chosen.upper.part);
    let notes: usize = std::iter::once(chosen.upper.part).chain(lower).map(|p| staves::count_notes(&parts[p])).sum();
    if notes > MOST_ON_PAGE {
        return Err(refused(format!("{notes} notes, the most that is read is {MOST_ON_PAGE}"), "split the piece"));
    }
    let (page, sources) = two_hands::make(&parts, chosen, root, &mut remarks).map_err(|message| refused(message, "split the piece"))?;
    let sources = SourceMap { measures: sources.iter().map(|s| remarks.places.of(s.measure)).collect() };
    Ok(ImportedScore { score: page.score, tempo: page.tempo, holds: page.holds, sources, diagnostics: remarks.finish() })
}
