//! An arrangement as plain text: for a voice that reads and for a braille display. It knows no screen, no paper and no file.
//!
//! The text is a language with a strict reader ([`read()`]), so that nothing in it can mean two things: what is written comes back, note by note, in each of the three orders. Its grammar, where
//! `{ }` is repeated, `[ ]` may be missing, `|` parts choices, and words in quotes stand as they are:
//!
//! ```text
//! text     = title { head } "" "How to read this" { meaning } body [ "" "Words of the song" { line } ]
//! head     = label ": " words                          (Composer, Key, Meter, Tempo, Harp, Levers, Measures, Playing order …)
//! body     = { phrase { measure } }                                                    measure by measure
//!          | { phrase "Right hand" { measure } "Left hand" { measure } }               phrase by phrase
//!          | "Right hand" { phrase { measure } } "Left hand" { phrase { measure } }    hand by hand
//! phrase   = "Phrase " number [ " goes on" ] ", " measures
//! measure  = ("Measure 5" | "Pickup" | "Measure 2 of the ending") { common } { hand }
//! common   = "Heading: " words | "Section: " words | "Melody: left hand" | "Key: " key | "Meter: " meter | "Length: " length
//!          | "Start: " signs | "End: " signs | "Chord: " chord | "Chords: " { [place ": "] chord }
//!          | "Tempo at " place ": " tempo | "Words above at " place ": " words | mark
//! mark     = ("Lever" | "Pedal" | "All pedals" | "Muffle" | "Muffle all" | "Let ring" | "Mark") [ " 2nd time" ] " at " place [ ": " what ]
//! hand     = ("Right hand" | "Left hand" | "Play") ": " notes { "Verse 1: " syllables | mark }
//! notes    = "rest all measure" | "nothing" | "as measure 5" | { grace | note }        with commas between
//! note     = [ place ":" ] [ group ] [ length ] [ "still" ] [ "rolled" ] ( "rest" | string { "and" string } ) { after } [ "end triplet" | "end group" ]
//! string   = pitch [ "unplayable" ] [ "finger" number ]
//! pitch    = letter number | letter "-" ("sharp" | "flat" | "double-sharp" …) number
//! after    = "tied on" | "fermata" | "accent" … | "slur begins" | "slur ends" | "place" | "placed" | "dynamic" quoted | "sign" quoted
//! grace    = [ "short" ] "grace" length string { "and" string }
//! group    = ("triplet" | "group of" number "in" number) [ "goes on" ] | "no group"
//! length   = value { "plus" value } | number "over" number "of a quarter"
//! value    = [ "double" ] [ "dotted" ] ("whole" | "half" | "quarter" | "eighth" | "sixteenth" …)
//! place    = "beat" number [ "plus" length ]
//! ```
//!
//! Every line but an empty one and the verses at the end has a full stop behind what is said here: without one a voice that reads runs lines together. A line longer than a braille display goes on in the next one, which begins with two spaces (`lines`). A length holds until another one comes, within one hand of one measure. In the second hand of an order
//! by phrases or hands the common lines are told again and must be the same.
//!
//! What does not come back, because a page for the eyes does not say it either or says it otherwise: where a chord symbol was written how, whose wish a finger was, which measure of the source
//! this was, whether a last syllable ends a longer word, and spaces in texts.

mod lines;
mod tokens;
mod lengths;
mod pitches;
mod keys;
mod chords;
mod notes;
mod read_notes;
mod song;
mod frame;
mod head;
mod body;
mod read;
mod told;

pub use read::{Mistake, Read, read};
pub use told::told;

use body::Body;
use lines::folded;
use music::Score;
use std::fmt;
use std::str::FromStr;

/// In which order the hands are told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Order {
    /// Both hands, measure by measure.
    #[default]
    Measure,
    /// Phrase by phrase, the right hand and then the left.
    Phrase,
    /// The right hand through the whole piece, then the left.
    Hand,
}

impl Order {
    pub const ALL: [Order; 3] = [Order::Measure, Order::Phrase, Order::Hand];
}

impl fmt::Display for Order {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Order::Measure => "measure",
            Order::Phrase => "phrase",
            Order::Hand => "hand",
        })
    }
}

/// From its word. The error says what was expected.
impl FromStr for Order {
    type Err = String;

    fn from_str(word: &str) -> Result<Order, String> {
        let found = Order::ALL.into_iter().find(|order| order.to_string() == word.trim().to_lowercase());
        found.ok_or_else(|| format!("\"{word}\" is no order of a text: expected measure, phrase or hand"))
    }
}

/// The text of a page. `phrases` has the phrase, from 0, of each measure; without them the whole is told as one.
pub fn write(score: &Score, phrases: &[usize], order: Order) -> String {
    let body = Body { score, phrases, order }.lines();
    let title = tokens::plain(&score.words.title);
    let mut all = vec![stopped(if title.is_empty() { head::NO_TITLE } else { &title })];
    all.extend(head::lines(score).iter().map(|line| stopped(line)));
    all.extend([String::new(), stopped(head::HOW)]);
    all.extend(head::how(score, &body));
    all.extend(body.iter().map(|line| stopped(line)));
    all.extend(verses(score));
    all.iter().map(|line| folded(line)).collect()
}

/// A line with a full stop: without one a voice runs it together with the next.
fn stopped(line: &str) -> String {
    if line.is_empty() { String::new() } else { format!("{line}.") }
}

/// The line without its full stop. Errors: it has none.
fn unstopped(line: &str) -> Result<&str, String> {
    if line.is_empty() { Ok(line) } else { line.strip_suffix('.').ok_or_else(|| "expected a full stop at the end".to_owned()) }
}

/// The heading over the verses that stand below the music.
const VERSES: &str = "Words of the song";

/// The measures `first` to `last` as they are called: "measures 5 to 8".
pub fn measures_called(first: music::MeasureNumber, last: music::MeasureNumber) -> String {
    head::from_to(first, last)
}

fn verses(score: &Score) -> Vec<String> {
    let lines = score.words.verses.iter().map(|line| tokens::plain(line));
    let lines: Vec<String> = lines.skip_while(String::is_empty).collect();
    if lines.is_empty() { lines } else { [String::new(), stopped(VERSES)].into_iter().chain(lines).collect() }
}
