//! One line of music code cut into tokens (ABC 2.1, chapter 4). Knows no key, meter or length unit.

use super::bars::{self, Bar};
use super::signs::{self, Sign};
use crate::diagnostic::excerpt;
use music::Decoration;
use std::collections::BTreeMap;

/// A token and its place in the line: column from 1 and width, in characters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    pub token: Token,
    pub column: u32,
    pub width: u32,
}

/// A length as written: a multiple of the unit note length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Length {
    pub above: i64,
    pub below: i64,
}

impl Length {
    pub const ONE: Length = Length { above: 1, below: 1 };
}

/// A note as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoteText {
    /// Semitones, where an accidental is written: 0 for a natural sign.
    pub accidental: Option<i32>,
    pub letter: char,
    /// Octave marks: `'` counts up, `,` down.
    pub marks: i32,
    pub length: Length,
    /// A tie of its own, inside a chord.
    pub tied: bool,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Token {
    Note(NoteText),
    /// `[C2E2]3`: the notes, what else stood in the brackets, and the length after them.
    Chord {
        notes: Vec<NoteText>,
        inside: Vec<Placed>,
        length: Length,
    },
    Rest(Length),
    /// `Z4`: whole measures of rest.
    MeasureRest(i64),
    Spacer,
    Grace {
        slashed: Slash,
        notes: Vec<Vec<NoteText>>,
    },
    Quoted(String),
    /// `!trill!`, by its name.
    Decoration(String),
    /// A letter that stands for a decoration.
    Shorthand(char),
    Bar(Bar),
    /// `>` counts up, `<` down.
    Broken(i32),
    Tuplet {
        actual: i64,
        normal: Option<i64>,
        notes: Option<i64>,
    },
    SlurStart,
    SlurStop,
    Tie,
    Field(char, String),
    Overlay,
    /// What was found, in words.
    Unknown(String),
}

/// How a grace note is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slash {
    Without,
    With,
}

/// The largest number that is read exactly in a length or a count; anything larger is taken for this.
const LARGEST: i64 = 1_000_000;
/// Words between `!` signs that are decorations although they hold spaces.
const SPACED: [&str; 8] = ["d.c. al fine", "d.c. al coda", "d.s. al fine", "d.s. al coda", "da capo", "dal segno", "to coda", "al coda"];

/// Cuts a line of music into tokens, one by one; never fails, and takes time in proportion to the line.
pub fn tokens(line: &str) -> impl Iterator<Item = Placed> {
    Scan { chars: line.chars().collect(), at: 0, ahead: BTreeMap::new() }
}

struct Scan {
    chars: Vec<char>,
    at: usize,
    /// For characters that were looked for, where the next one stands on this line, if any does.
    ahead: BTreeMap<char, Option<usize>>,
}

impl Iterator for Scan {
    type Item = Placed;

    fn next(&mut self) -> Option<Placed> {
        while self.at < self.chars.len() {
            let from = self.at;
            let token = self.token();
            debug_assert!(self.at > from, "every step takes at least one character");
            if let Some(token) = token {
                return Some(self.placed(token, from));
            }
        }
        None
    }
}

impl Scan {
    fn placed(&self, token: Token, from: usize) -> Placed {
        Placed { token, column: from as u32 + 1, width: (self.at - from) as u32 }
    }

    fn peek(&self, ahead: usize) -> char {
        self.chars.get(self.at + ahead).copied().unwrap_or('\0')
    }

    fn take(&mut self) -> char {
        let c = self.peek(0);
        self.at += 1;
        c
    }

    /// The place of the next `wanted` on this line, not counting the character under the reader.
    fn find(&mut self, wanted: char) -> Option<usize> {
        match self.ahead.get(&wanted) {
            Some(None) => None,
            Some(Some(place)) if *place > self.at => Some(*place),
            _ => {
                let found = (self.at + 1..self.chars.len()).find(|i| self.chars[*i] == wanted);
                self.ahead.insert(wanted, found);
                found
            }
        }
    }

    fn text(&self, from: usize, to: usize) -> String {
        self.chars[from..to].iter().collect()
    }

    fn token(&mut self) -> Option<Token> {
        if let Some((bar, after)) = bars::scan(&self.chars, self.at) {
            self.at = after;
            return Some(Token::Bar(bar));
        }
        match self.peek(0) {
            'A'..='G' | 'a'..='g' | '^' | '_' | '=' => Some(self.note()),
            c if c.is_whitespace() || c == '`' || c == '$' => {
                self.at += 1;
                None
            }
            '\\' => {
                self.at += 1;
                let last = self.chars[self.at..].iter().all(|c| c.is_whitespace());
                (!last).then(|| Token::Unknown("a backslash in the middle of a line".into()))
            }
            'z' | 'x' => {
                self.at += 1;
                Some(Token::Rest(self.length()))
            }
            'Z' | 'X' => {
                self.at += 1;
                Some(Token::MeasureRest(self.number().unwrap_or(1)))
            }
            'y' => {
                self.at += 1;
                self.length();
                Some(Token::Spacer)
            }
            '[' => Some(self.bracket()),
            '{' => Some(self.grace()),
            '"' => Some(self.quoted()),
            '!' => self.decoration(),
            '+' => Some(self.between_plus()),
            '(' => Some(self.slur_or_tuplet()),
            _ => self.sign(),
        }
    }

    fn sign(&mut self) -> Option<Token> {
        let c = self.take();
        match c {
            ')' => Some(Token::SlurStop),
            '-' => Some(Token::Tie),
            '>' | '<' => {
                let mut count = 1;
                while self.peek(0) == c {
                    self.at += 1;
                    count += 1;
                }
                Some(Token::Broken(if c == '>' { count } else { -count }))
            }
            '&' => Some(Token::Overlay),
            '.' if matches!(self.peek(0), '(' | '-') => None,
            '.' | '~' | 'H'..='W' | 'h'..='w' => Some(Token::Shorthand(c)),
            _ => Some(Token::Unknown(format!("\"{c}\""))),
        }
    }

    fn number(&mut self) -> Option<i64> {
        let mut value = None;
        while let Some(digit) = self.peek(0).to_digit(10) {
            value = Some((value.unwrap_or(0) * 10 + i64::from(digit)).min(LARGEST));
            self.at += 1;
        }
        value
    }

    /// `3`, `/`, `//`, `/4`, `3/2` (4.3); nothing is one unit.
    fn length(&mut self) -> Length {
        let above = self.number().unwrap_or(1);
        let mut below = 1;
        while self.peek(0) == '/' {
            self.at += 1;
            below = (below * self.number().unwrap_or(2).max(1)).min(LARGEST);
        }
        Length { above, below }
    }

    fn note_text(&mut self) -> Option<NoteText> {
        let from = self.at;
        let mut accidental = None;
        while let sign @ ('^' | '_' | '=') = self.peek(0) {
            let one = match sign {
                '^' => 1,
                '_' => -1,
                _ => 0,
            };
            accidental = Some(accidental.unwrap_or(0) + one);
            self.at += 1;
        }
        if self.at - from > 2 || !matches!(self.peek(0), 'A'..='G' | 'a'..='g') {
            self.at = self.at.max(from + 1);
            return None;
        }
        let letter = self.take();
        let mut marks = 0;
        while let mark @ ('\'' | ',') = self.peek(0) {
            marks += if mark == '\'' { 1 } else { -1 };
            self.at += 1;
        }
        Some(NoteText { accidental, letter, marks, length: self.length(), tied: false })
    }

    fn note(&mut self) -> Token {
        let from = self.at;
        match self.note_text() {
            Some(note) => Token::Note(note),
            None => Token::Unknown(format!("\"{}\" without a note", excerpt(&self.text(from, self.at)))),
        }
    }

    /// A chord or an inline field.
    fn bracket(&mut self) -> Token {
        if self.peek(1).is_ascii_alphabetic() && self.peek(2) == ':' && !matches!(self.peek(3), '|' | ':') {
            let end = self.find(']').unwrap_or(self.chars.len());
            let (letter, value) = (self.peek(1), self.text(self.at + 3, end));
            self.at = (end + 1).min(self.chars.len());
            return Token::Field(letter, value);
        }
        let Some(end) = self.find(']') else {
            self.at += 1;
            return Token::Unknown("\"[\" without the \"]\" that ends it".into());
        };
        if self.find('|').is_some_and(|bar| bar < end) {
            self.at += 1;
            return Token::Unknown("\"[\" that no \"]\" ends before the bar line".into());
        }
        let (mut notes, mut inside) = (Vec::new(), Vec::new());
        self.at += 1;
        while self.at < end {
            let from = self.at;
            let token = if self.peek(0) == '[' { Some(self.nested()) } else { self.token() };
            match token {
                Some(Token::Note(note)) => notes.push(note),
                Some(Token::Tie) if !notes.is_empty() => notes.last_mut().expect("just checked").tied = true,
                Some(token) => inside.push(self.placed(token, from)),
                None => {}
            }
        }
        // A text in quotes may hold the "]" that was found first.
        if self.at > end {
            self.at = (self.at..self.chars.len()).find(|i| self.chars[*i] == ']').unwrap_or(self.chars.len() - 1);
        }
        self.at += 1;
        Token::Chord { notes, inside, length: self.length() }
    }

    fn nested(&mut self) -> Token {
        self.at += 1;
        Token::Unknown("\"[\" inside a chord".into())
    }

    fn grace(&mut self) -> Token {
        let Some(end) = self.find('}') else {
            self.at += 1;
            return Token::Unknown("\"{\" without the \"}\" that ends it".into());
        };
        self.at += 1;
        let slashed = if self.peek(0) == '/' { Slash::With } else { Slash::Without };
        let mut notes = Vec::new();
        while self.at < end {
            match self.peek(0) {
                'A'..='G' | 'a'..='g' | '^' | '_' | '=' => notes.extend(self.note_text().map(|n| vec![n])),
                '[' => {
                    self.at += 1;
                    let mut chord = Vec::new();
                    while self.at < end && self.peek(0) != ']' {
                        chord.extend(self.note_text());
                    }
                    notes.push(chord);
                }
                _ => self.at += 1,
            }
        }
        self.at = end + 1;
        notes.retain(|n| !n.is_empty());
        Token::Grace { slashed, notes }
    }

    fn quoted(&mut self) -> Token {
        let from = self.at + 1;
        let closes = |i: &usize| self.chars[*i] == '"' && !(self.chars[*i - 1] == '\\' && *i > from && self.umlaut(*i));
        match (from..self.chars.len()).find(closes) {
            Some(end) => {
                self.at = end + 1;
                Token::Quoted(self.text(from, end))
            }
            None => {
                let text = self.text(from, self.chars.len());
                self.at = self.chars.len();
                Token::Unknown(format!(
                    "a quotation mark that is not closed before the end of the line, at \"{}\"",
                    text.chars().take(20).collect::<String>()
                ))
            }
        }
    }

    /// Whether the `"` at a place belongs to `\"o` and another one follows to close the text.
    fn umlaut(&self, at: usize) -> bool {
        let vowel = self.chars.get(at + 1).is_some_and(|c| "aeiouyAEIOUY".contains(*c));
        vowel && self.chars[at + 1..].contains(&'"')
    }

    /// `!name!`; a lone `!` is the line break of old files (10.2.1) and means nothing here.
    fn decoration(&mut self) -> Option<Token> {
        let end = self.find('!');
        let name = end.map(|end| self.text(self.at + 1, end)).unwrap_or_default();
        let plain = !name.is_empty() && name.len() <= 40 && !name.chars().any(|c| c.is_whitespace() || "|[]:\"".contains(c));
        // Between two line breaks of old files stand notes, not a name.
        let notes = name.chars().any(|c| c.is_ascii_alphabetic()) && is_notes(&name) && !is_known(&name);
        let plain = plain && !notes;
        let spaced = SPACED.contains(&name.trim().to_lowercase().as_str());
        match end {
            Some(end) if plain || spaced => {
                self.at = end + 1;
                Some(Token::Decoration(name.trim().to_owned()))
            }
            _ => {
                self.at += 1;
                None
            }
        }
    }

    /// `+trill+`, the spelling of ABC 2.0, or `+CEG+`, a chord of ABC 1 (10.2).
    fn between_plus(&mut self) -> Token {
        let end = self.find('+').filter(|end| *end - self.at <= 40);
        let name = end.map(|end| self.text(self.at + 1, end)).unwrap_or_default();
        let is_name = !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || ".<>()".contains(c));
        match end {
            Some(end) if is_notes(&name) && !is_known(&name) => {
                self.at += 1;
                let mut notes = Vec::new();
                while self.at < end {
                    notes.extend(self.note_text());
                }
                self.at = end + 1;
                Token::Chord { notes, inside: Vec::new(), length: self.length() }
            }
            Some(end) if is_name => {
                self.at = end + 1;
                Token::Decoration(name)
            }
            _ => {
                self.at += 1;
                Token::Unknown("\"+\"".into())
            }
        }
    }

    fn slur_or_tuplet(&mut self) -> Token {
        self.at += 1;
        let Some(actual) = self.number() else { return Token::SlurStart };
        let (mut normal, mut notes) = (None, None);
        if self.peek(0) == ':' && (self.peek(1).is_ascii_digit() || self.peek(1) == ':') {
            self.at += 1;
            normal = self.number();
            if self.peek(0) == ':' {
                self.at += 1;
                notes = self.number();
            }
        }
        Token::Tuplet { actual, normal, notes }
    }
}

/// Whether a text holds nothing but notes and lengths.
fn is_notes(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| matches!(c, 'A'..='G' | 'a'..='g' | '0'..='9') || "^_=,'/".contains(c))
}

/// Whether a decoration of this name has a meaning of its own here.
fn is_known(name: &str) -> bool {
    !matches!(signs::sign(name), Sign::Decoration(Decoration::Other(_)))
}
