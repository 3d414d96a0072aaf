//! Writing a score as MusicXML 4.0: one part, two staves, everything that is needed to print and to play it.
//!
//! Nothing musical is decided here. What the standard wants written out and the score leaves open is worked out first, hand by hand: note
//! values ([`value`], [`grid`], [`mod@line`]), ties and slurs across bar lines ([`join`]), accidentals ([`accidental`]), beams ([`beam`]);
//! then the elements are written in the order of the schema ([`header`], [`measure`] and the files beside it).
//!
//! Ids stay the same from run to run: measure `i` of the score (from 0) is `m{i}`, its right-hand note `n` is `m{i}-r{n}`, left `m{i}-l{n}`.
//! Further strings of a chord add `-p1`, `-p2` …, further written parts of one long note `-t1` …, grace notes `-g0` ….

mod xml;
mod value;
mod grid;
mod line;
mod join;
mod accidental;
mod beam;
pub(in crate::musicxml) mod header;
mod attributes;
mod harmony;
pub(in crate::musicxml) mod direction;
mod harp_marks;
mod barline;
mod note;
mod measure;

use measure::Writer;
use music::Score;

/// The name by which a page says who wrote it.
pub(crate) const SOFTWARE: &str = "Undersong";

/// The score as a MusicXML 4.0 document (UTF-8, partwise), valid against the W3C schema where the score has a measure. The same score gives the
/// same bytes. Two chord symbols at one place are both written there.
///
/// ```
/// use formats::musicxml::write;
/// use music::text;
///
/// // MusicXML 4.0: a score in parts, one for both staves here.
/// let written = write::write(&text::page(&[("C5:4", "C3:4")], 60));
/// assert!(written.contains("<score-partwise version=\"4.0\">") && written.contains("<staves>2</staves>"));
/// ```
pub fn write(score: &Score) -> String {
    let lines = measure::lines(score);
    Writer::new(score, &lines).document()
}
