//! MusicXML 1.0 to 4.0.
//!
//! Reading, in the order of the work: [`archive`] unpacks `.mxl`, `text` finds the encoding, `document` (after a look by `prescan`) parses and turns timewise scores,
//! `parts` chooses the part. `measure` walks through it with `attributes` in hand; `line` picks one voice and `note`, `notations`, `lyrics` and
//! `tuplets` make its notes. `barline`, `meterless`, `lengths`, `harmony` with `numeral` and `chords`, `direction` with `tempo`, `marks` and `jumps` make the frames;
//! `sheet` puts all together, `ties` and `split` mend it. What is not understood is said through `remarks`.
//!
//! [`score`] reads both hands of a two-staff page from the same walk, `voices` every voice of every part. [`mod@write`] is the other way: a score as MusicXML 4.0.

use crate::bounds;
use crate::diagnostic::excerpt;
use crate::read::{Imported, LARGEST_UNPACKED, MOST_WRITTEN, ReadError, ReadOptions, SourceMap};
use document::Part;
use line::Line;
use music::{Frame, order};
use remarks::Remarks;
use roxmltree::Document;
use sheet::Walks;
use std::borrow::Cow;
use text::{Certainty, unusable};

mod archive;
mod text;
mod element;
mod remarks;
mod prescan;
mod document;
mod parts;
mod measure;
mod attributes;
mod note;
mod notations;
mod lyrics;
mod tuplets;
mod line;
mod barline;
mod lengths;
mod meterless;
mod harmony;
mod numeral;
mod chords;
mod direction;
mod tempo;
mod marks;
mod jumps;
mod ties;
mod split;
mod titles;
mod sheet;
pub mod score;
mod voices;
pub mod write;

pub use score::{ImportedScore, ScoreOptions, read_score};
pub use voices::read_voices;

/// Whether these bytes begin like an XML document or a `.mxl` archive.
pub fn looks_like(bytes: &[u8]) -> bool {
    archive::is_archive(bytes) || text::begins_like_xml(bytes)
}

/// The text of a score as it stands in its file, taken out of an archive where it is in one: no more than `most` bytes.
pub fn unpacked(bytes: &[u8], most: u64) -> Result<Cow<'_, [u8]>, ReadError> {
    if archive::is_archive(bytes) { archive::unpack(bytes, most).map(Cow::Owned) } else { Ok(Cow::Borrowed(bytes)) }
}

/// Reads one part of a score as a lead sheet at sounding pitch.
///
/// The sheet's opening tempo stands in `sheet.tempo` only, later ones in the frames. Errors: [`ReadError::Unusable`] for a broken file, one without
/// pitched notes or beyond the limits; [`ReadError::NoSuchPart`].
pub fn read(bytes: &[u8], options: &ReadOptions) -> Result<Imported, ReadError> {
    opened(bytes, LARGEST_UNPACKED, |document, remarks| imported(document, options, remarks))
}

/// Unpacks to no more than `most` bytes, decodes and parses, then hands the document on.
fn opened<T>(
    bytes: &[u8],
    most: u64,
    make: impl for<'a> FnOnce(&'a Document<'a>, Remarks<'a>) -> Result<T, ReadError>,
) -> Result<T, ReadError> {
    let unpacked;
    let bytes = if archive::is_archive(bytes) {
        unpacked = archive::unpack(bytes, most)?;
        &unpacked
    } else {
        bytes
    };
    let (text, certainty) = text::decode(bytes);
    let document = document::parse(&text)?;
    let mut remarks = Remarks::new(&text);
    if certainty == Certainty::Guessed {
        remarks.warn(document.root_element(), "the file is not in the encoding it claims, taken as Latin-1", "save it as UTF-8");
    }
    make(&document, remarks)
}

/// Whatever the bytes, reading comes back with a tune within the limits or with an error, and says so in short messages; a target for fuzzing.
pub fn survives(bytes: &[u8]) {
    bounds::promised(read(bytes, &ReadOptions::default()));
    crate::voices::promised(read_voices(bytes));
}

fn imported<'a>(document: &'a Document<'a>, options: &ReadOptions, mut remarks: Remarks) -> Result<Imported, ReadError> {
    let root = document.root_element();
    if let Some(wanted) = options.tune.filter(|n| *n != 1) {
        return Err(ReadError::NoSuchTune { wanted, held: vec![titles::read(root).title] });
    }
    let refused = |message: String, hint: &str| {
        let at = document.text_pos_at(root.range().start);
        unusable(at.row, at.col, message, hint)
    };
    let parts = document::parts(document)?;
    let Some(chosen) = parts::choose(&parts, options.part.as_deref())? else {
        let what = if options.part.is_some() { "this part has" } else { "the score has" };
        return Err(refused(format!("{what} no notes with pitches, expected a melody"), "choose a part with a melody"));
    };
    let part = &parts[chosen.melody];
    let count = part.measures.iter().flat_map(|m| m.content.children()).filter(|e| e.has_tag_name("note")).count();
    if count > MOST_WRITTEN {
        return Err(refused(format!("{count} notes in one part, the most that is read is {MOST_WRITTEN}"), "split the tune"));
    }
    say_choice(&parts, chosen, &mut remarks);
    let walks = walks(&parts, chosen, &mut remarks);
    let Some(line) = Line::of(&walks.melody) else {
        return Err(refused("the part has no melody that can be read".to_owned(), "choose another part"));
    };
    let (mut sheet, mut sources) = sheet::make(&walks, line, titles::read(root), &mut remarks);
    let said = bounds::settle(&mut sheet, &mut sources).map_err(|message| refused(message, "split the tune"))?;
    for bounds::Said { measure, message } in said {
        remarks.warn(sources.get(measure).map_or(root, |s| s.measure), message, "");
    }
    let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
    let order = order::playing_order(&frames);
    if order.cut {
        remarks.warn(root, format!("with all repeats more than {} measures are played; what lies beyond is cut off", order::LONGEST), "");
    }
    let sources = SourceMap { measures: sources.iter().map(|s| remarks.places.of(s.measure)).collect() };
    let names = parts::names(&parts);
    Ok(Imported {
        tunes: vec![sheet.words.title.clone()],
        sheet,
        sources,
        diagnostics: remarks.finish(),
        part: names.iter().find(|(place, _)| *place == chosen.melody).map(|(_, name)| name.clone()),
        parts: names.into_iter().map(|(_, name)| name).collect(),
    })
}

fn say_choice(parts: &[Part], chosen: parts::Chosen, remarks: &mut Remarks) {
    let part = &parts[chosen.melody];
    if parts.len() > 1 {
        let message = format!("the melody is read from the part \"{}\", one of {}", excerpt(part.label()), parts.len());
        remarks.note(part.measures[0].measure, message, "another can be asked for by name or number");
    }
    if let Some(symbols) = chosen.symbols.filter(|s| *s != chosen.melody) {
        let message = format!("the chord symbols are read from the part \"{}\"", excerpt(parts[symbols].label()));
        remarks.note(parts[symbols].measures[0].measure, message, "");
    }
}

/// Remarks on parts that only lend their symbols or directions are not made.
fn walks<'a>(parts: &[Part<'a>], chosen: parts::Chosen, remarks: &mut Remarks) -> Walks<'a> {
    let mut unsaid = Remarks::new("");
    unsaid.silence();
    let mut lent = |index: usize| sheet::walk(&parts[index], &mut unsaid);
    Walks {
        symbols: chosen.symbols.filter(|s| *s != chosen.melody).map(&mut lent),
        top: (chosen.melody > 0).then(|| lent(0)),
        melody: sheet::walk(&parts[chosen.melody], remarks),
    }
}
