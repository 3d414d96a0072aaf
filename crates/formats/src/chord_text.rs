//! Chord symbols as text, as found in lead sheets of every habit, turned into what they mean.
//!
//! The grammar, loosest first (spaces between the pieces are allowed):
//!
//! ```text
//! text    = symbol { separator symbol }            two or more in a row are shared out by the reader
//! symbol  = "N.C." | "(" symbol ")" | root { quality } [ "/" bass ]
//! root    = letter [ sign ]                        letter: A-G in either case, H for B natural
//! sign    = "#" | "b" | "♯" | "♭" | "+" | "-"      "+" and "-" only where nothing else makes sense, see below
//! quality = m min mi - | M maj ma Δ ^ j | dim ° o d | ø h | aug + | 2 4 5 6 69 7 9 11 13 | sus sus2 sus4 |
//!           add2 add4 add9 … | no3 omit5 … | b5 #5 b9 #9 #11 b13 … | alt
//! ```
//!
//! `+` and `-` beside a root: `C+`, `C+7` are augmented and `E-`, `B-7` minor, as players write; before a letter quality they can
//! only be signs, so `F+m` is F-sharp minor and `B-m7` B-flat minor seven. In a bass they are always signs. `C-5` is C with a flat five.

mod quality;

use music::{Chord, ChordSymbol, Harmony, PitchName, Step};
use quality::{Quality, bracket, qualities};
use thiserror::Error;

/// The longest text that is taken for a chord symbol, in characters.
pub const LONGEST: usize = 64;

/// Chord symbols read from one text: at least one, in order, and what had to be interpreted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Parsed {
    /// In the order of the text; never none.
    pub symbols: Vec<ChordSymbol>,
    /// Lower-case, no full stop; empty when the text was plain.
    pub notes: Vec<String>,
}

/// Why a text is no chord symbol.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum ChordTextError {
    /// Nothing but spaces.
    #[error("an empty chord symbol")]
    Empty,
    /// More than [`LONGEST`] characters.
    #[error("a text of more than {LONGEST} characters is no chord symbol")]
    TooLong,
    /// It begins with no letter from A to G and is not "N.C."; the text.
    #[error("\"{0}\" is no chord symbol: expected it to begin with a letter from A to G or to be \"N.C.\"")]
    NoRoot(String),
    /// Something in it is not known.
    #[error("\"{text}\" is no chord symbol that is known: \"{rest}\" was not understood")]
    Unknown {
        /// All of it.
        text: String,
        /// What was not understood.
        rest: String,
    },
    /// `%`: the chord before goes on.
    #[error("a repeat sign stands for the chord before it")]
    RepeatSign,
}

/// Reads a chord text. The source of each symbol is the piece of text it came from.
///
/// ```
/// use formats::chord_text::parse;
/// use music::ChordKind;
///
/// // Common practice: "m7b5" is the half-diminished seventh; what stands after the stroke is the bass.
/// let parsed = parse("F#m7b5/C").expect("a chord symbol");
/// let chord = parsed.symbols[0].chord().expect("it names a chord");
/// assert_eq!((chord.kind, chord.bass_name().to_string().as_str()), (ChordKind::HalfDiminished, "C"));
/// assert!(parse("loudly").is_err(), "a word is none");
/// ```
pub fn parse(text: &str) -> Result<Parsed, ChordTextError> {
    if text.chars().count() > LONGEST {
        return Err(ChordTextError::TooLong);
    }
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return Err(ChordTextError::Empty);
    }
    if matches!(trimmed, "%" | "./.") {
        return Err(ChordTextError::RepeatSign);
    }
    let mut parsed = Parsed { symbols: Vec::new(), notes: Vec::new() };
    let mut rest = trimmed;
    while !rest.is_empty() {
        rest = match one_symbol(rest, trimmed, &mut parsed) {
            Ok(rest) => between(rest).unwrap_or(rest.trim_start_matches(|c: char| c.is_whitespace() || ",;|".contains(c))),
            Err(error) => return Err(error),
        };
    }
    if parsed.symbols.len() > 1 {
        parsed.notes.insert(0, format!("\"{trimmed}\" holds {} chord symbols", parsed.symbols.len()));
    }
    Ok(parsed)
}

/// The most tones of a chord that are told apart from its kind: more is no chord that anybody writes.
const MOST_CHANGES: usize = 6;

/// Takes one symbol off the front and returns what is left.
fn one_symbol<'a>(text: &'a str, whole: &str, parsed: &mut Parsed) -> Result<&'a str, ChordTextError> {
    if let Some(rest) = no_chord(text) {
        parsed.symbols.push(ChordSymbol { harmony: Harmony::NoChord, source: text[..text.len() - rest.len()].into() });
        return Ok(rest);
    }
    let opened = text.strip_prefix(['(', '[']);
    let body = opened.unwrap_or(text).trim_start();
    let unknown = |rest: &str| ChordTextError::Unknown { text: whole.to_owned(), rest: rest.to_owned() };
    let (root, lower, after_root) = match root(body) {
        Some(found) => found,
        None if parsed.symbols.is_empty() => return Err(ChordTextError::NoRoot(whole.to_owned())),
        None => return Err(unknown(text)),
    };
    let mut quality = Quality::default();
    let mut rest = left_out(qualities(after_root, &mut quality), whole, &mut parsed.notes);
    let mut bass = None;
    if let Some((name, after)) = rest.trim_start().strip_prefix(['/', '\\']).and_then(|r| bass_of(r.trim_start())) {
        (bass, rest) = (Some(name), after);
    }
    rest = closing(left_out(closing(rest), whole, &mut parsed.notes));
    let source = text[..text.len() - rest.len()].trim_end().to_owned();
    let ended = rest.is_empty() || between(rest).is_some();
    if !(ended || rest.starts_with(|c: char| c.is_whitespace() || ",;|([".contains(c))) {
        return Err(unknown(rest));
    }
    if opened.is_some() && text.starts_with('(') {
        parsed.notes.push(format!("the chord in brackets \"{source}\" is taken as it stands"));
    }
    if lower && quality.is_plain() {
        parsed.notes.push(format!("the small letter in \"{source}\" is taken for a major chord"));
    }
    parsed.notes.append(&mut quality.notes);
    let (kind, degrees) = quality.meaning();
    if degrees.len() > MOST_CHANGES {
        return Err(unknown(after_root));
    }
    parsed.symbols.push(ChordSymbol { harmony: Harmony::Chord(Chord { root, kind, degrees, bass }), source });
    Ok(rest)
}

/// Passes over what stands in brackets right behind a symbol and is neither a quality nor another symbol, and says so.
fn left_out<'a>(text: &'a str, whole: &str, notes: &mut Vec<String>) -> &'a str {
    let mut rest = text;
    while let Some((inside, after)) = bracket(rest).filter(|(inside, _)| !begins_symbol(inside)) {
        notes.push(format!("\"({inside})\" in \"{whole}\" is not understood and was left out"));
        rest = after;
    }
    rest
}

/// Whether a text in brackets behind a symbol is another symbol: a capital letter, or a small one with a quality.
fn begins_symbol(inside: &str) -> bool {
    let inside = inside.trim_start();
    let Some((_, lower, after)) = root(inside) else { return no_chord(inside).is_some() };
    let mut quality = Quality::default();
    qualities(after, &mut quality);
    !lower || !quality.is_plain()
}

/// What follows "N.C." in any of its spellings.
fn no_chord(text: &str) -> Option<&str> {
    let inner = text.strip_prefix('(').unwrap_or(text);
    let starts = ["N.C.", "N.C", "NC.", "NC", "N. C.", "NO CHORD", "TACET"];
    let rest = starts.iter().find_map(|s| inner.get(..s.len()).filter(|t| t.eq_ignore_ascii_case(s)).map(|_| &inner[s.len()..]))?;
    let rest = rest.strip_prefix(')').unwrap_or(rest);
    (!rest.starts_with(char::is_alphanumeric)).then_some(rest)
}

/// What follows a stroke between two symbols: "Dm7-G7", "C - G".
fn between(text: &str) -> Option<&str> {
    let after = text.trim_start().strip_prefix(['-', '–', '—', '→'])?.trim_start();
    after.trim_start_matches('(').starts_with(|c: char| ('A'..='H').contains(&c)).then_some(after)
}

/// Brackets and stops that close a symbol and mean nothing.
fn closing(text: &str) -> &str {
    let mut rest = text;
    loop {
        rest = rest.trim_start_matches([')', ']', '.', '*', ':', '!', '?', '\'']);
        match rest.trim_start() {
            more if more.starts_with([')', ']']) => rest = more,
            _ => return rest,
        }
    }
}

fn letter(text: &str) -> Option<(PitchName, bool, &str)> {
    let first = text.chars().next()?;
    let step = if first.eq_ignore_ascii_case(&'h') { Step::B } else { Step::from_letter(first)? };
    let mut rest = &text[1..];
    let mut alter: i32 = 0;
    while let Some((sign, after)) = sign(rest) {
        if alter != 0 && alter.signum() != sign || alter.abs() == 2 {
            break;
        }
        (alter, rest) = (alter + sign, after);
    }
    Some((PitchName::new(step, alter), first.is_ascii_lowercase(), rest))
}

fn sign(text: &str) -> Option<(i32, &str)> {
    let first = text.chars().next()?;
    let alter = match first {
        '#' | '♯' => 1,
        'b' | '♭' => -1,
        _ => return None,
    };
    Some((alter, &text[first.len_utf8()..]))
}

fn root(text: &str) -> Option<(PitchName, bool, &str)> {
    let (name, lower, rest) = letter(text)?;
    let after = rest.get(1..).unwrap_or("");
    let letters = ["dim", "o", "°", "º", "ø", "sus", "aug"].iter().any(|q| after.starts_with(q))
        || after.starts_with('m') && !after.starts_with("ma")
        || after.starts_with("madd");
    match rest.chars().next() {
        Some('+') if name.alter == 0 && letters => Some((PitchName::new(name.step, 1), lower, after)),
        Some('-') if name.alter == 0 && letters => Some((PitchName::new(name.step, -1), lower, after)),
        _ => Some((name, lower, rest)),
    }
}

/// A bass: any letter, where `+` and `-` are signs too. Nothing may follow that belongs to a chord.
fn bass_of(text: &str) -> Option<(PitchName, &str)> {
    let (name, _, rest) = letter(text)?;
    match rest.chars().next() {
        Some('+') if name.alter == 0 => Some((PitchName::new(name.step, 1), &rest[1..])),
        Some('-') if name.alter == 0 => Some((PitchName::new(name.step, -1), &rest[1..])),
        _ => Some((name, rest)),
    }
}

#[cfg(test)]
mod tests;
