//! The qualities of a chord symbol, gathered one by one and then given the standard's kind and changed degrees.

use super::{between, sign};
use music::{ChordKind, Degree, DegreeChange};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(super) enum Third {
    #[default]
    Major,
    Minor,
    Second,
    Fourth,
}

/// What has been gathered from the qualities so far.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(super) struct Quality {
    third: Third,
    diminished: bool,
    half_diminished: bool,
    augmented: bool,
    power: bool,
    /// 6, 7, 9, 11 or 13.
    extension: Option<i32>,
    /// The seventh is a major one.
    major_seventh: bool,
    /// A word for major has been read, which a number may turn into a major seventh.
    major_word: bool,
    named: Option<ChordKind>,
    changes: Vec<(DegreeChange, i32, i32)>,
    pub(super) notes: Vec<String>,
}

/// The kinds named by a word of their own, as [`music::Chord`] prints them.
const NAMED: [(&str, ChordKind); 8] = [
    ("Neapolitan", ChordKind::Neapolitan),
    ("It+6", ChordKind::Italian),
    ("Fr+6", ChordKind::French),
    ("Ger+6", ChordKind::German),
    ("pedal", ChordKind::Pedal),
    ("Tristan", ChordKind::Tristan),
    ("other", ChordKind::Other),
    ("none", ChordKind::None),
];

/// Takes all qualities off the front; what is left is a bass, the next symbol, or not understood.
pub(super) fn qualities<'a>(text: &'a str, quality: &mut Quality) -> &'a str {
    let mut rest = text;
    loop {
        if let Some((inside, after)) = bracket(rest.trim_start()) {
            match quality.with_all_of(inside) {
                Some(whole) => (*quality, rest) = (whole, after),
                None => return rest,
            }
            continue;
        }
        let inner = rest.trim_start_matches(|c: char| c.is_whitespace() || "([,".contains(c));
        let spaced = inner.len() != rest.len() && !rest.starts_with(['(', '[', ',']);
        let named = NAMED.iter().any(|(word, _)| inner.starts_with(word));
        if between(rest).is_some() {
            return rest;
        }
        if spaced && !named && inner.starts_with(|c: char| ('A'..='H').contains(&c)) {
            return rest;
        }
        match quality.take(inner) {
            Some(after) => rest = after.strip_prefix([')', ']']).unwrap_or(after),
            None => return rest,
        }
    }
}

/// What stands in the bracket at the head of a text, and what comes after it; `None` for one that is not closed.
pub(super) fn bracket(text: &str) -> Option<(&str, &str)> {
    let close = match text.chars().next()? {
        '(' => ')',
        '[' => ']',
        _ => return None,
    };
    text[1..].split_once(close)
}

/// Strips any of the words, longest first as given.
fn strip<'a>(text: &'a str, words: &[&str]) -> Option<&'a str> {
    words.iter().find_map(|w| text.strip_prefix(w))
}

impl Quality {
    pub(super) fn is_plain(&self) -> bool {
        *self == Quality::default()
    }

    /// With everything that a text in brackets says, if all of it is understood. A lone "h" there is no half-diminished chord.
    fn with_all_of(&self, inside: &str) -> Option<Quality> {
        let mut whole = self.clone();
        let mut rest = inside.trim();
        if rest.is_empty() || rest == "h" {
            return None;
        }
        while !rest.is_empty() {
            rest = whole.take(rest.trim_start_matches(|c: char| c.is_whitespace() || "([,".contains(c)))?.trim_end();
        }
        Some(whole)
    }

    /// Takes one quality off the front.
    fn take<'a>(&mut self, text: &'a str) -> Option<&'a str> {
        self.take_named(text).or_else(|| self.take_degree(text)).or_else(|| self.take_word(text)).or_else(|| self.take_number(text))
    }

    fn take_named<'a>(&mut self, text: &'a str) -> Option<&'a str> {
        let (word, kind) = NAMED.iter().find(|(word, _)| text.starts_with(word))?;
        self.named = Some(*kind);
        Some(&text[word.len()..])
    }

    /// `add9`, `no3`, `b5`, `#11`, and `+9` or `-5` after a number.
    fn take_degree<'a>(&mut self, text: &'a str) -> Option<&'a str> {
        let add = ["add", "Add", "ADD"];
        let omit = ["omit", "Omit", "no", "No"];
        if let Some(rest) = strip(text, &add) {
            let rest = rest.trim_start();
            let (alter, rest) = signs(rest);
            let (value, rest) = degree(rest)?;
            self.changes.push((DegreeChange::Add, value, alter));
            return Some(rest);
        }
        if let Some(rest) = strip(text, &omit) {
            let (value, rest) = named_degree(rest.trim_start())?;
            self.changes.push((DegreeChange::Subtract, value, 0));
            return Some(rest);
        }
        let (alter, rest) = match text.as_bytes().first()? {
            b'+' if !self.is_plain() => (1, &text[1..]),
            b'-' if !self.is_plain() || text.starts_with("-5") => (-1, &text[1..]),
            _ => signs(text),
        };
        let (value, rest) = degree(rest).filter(|_| alter != 0)?;
        if (value, alter) == (7, 1) && *self == (Quality { third: Third::Minor, ..Quality::default() }) {
            (self.major_seventh, self.extension) = (true, Some(7));
            return Some(rest);
        }
        self.changes.push((DegreeChange::Alter, value, alter));
        Some(rest)
    }

    fn take_word<'a>(&mut self, text: &'a str) -> Option<&'a str> {
        if let Some(rest) = text.strip_prefix("madd") {
            self.third = Third::Minor;
            return Some(&text[text.len() - rest.len() - 3..]);
        }
        if let Some(rest) = strip(text, &["minor", "Minor", "min", "Min", "MIN", "mi", "Mi", "MI"]) {
            self.third = Third::Minor;
            return Some(rest);
        }
        if text.starts_with("/maj") || text.starts_with("/Maj") {
            return Some(&text[1..]);
        }
        if let Some(rest) = strip(text, &["dom", "Dom"]) {
            return Some(rest);
        }
        if let Some(rest) = strip(text, &["major", "Major", "maj", "Maj", "MAJ", "ma", "Ma", "MA", "M", "j"]) {
            self.major_word = true;
            self.major_seventh |= self.extension == Some(7);
            return Some(rest);
        }
        if let Some(rest) = strip(text, &["Δ", "△", "∆", "^"]) {
            (self.major_word, self.major_seventh) = (true, true);
            self.extension = self.extension.or(Some(7));
            return Some(rest);
        }
        if let Some(rest) = strip(text, &["m", "-", "−"]) {
            self.third = Third::Minor;
            return Some(rest);
        }
        if let Some(rest) = strip(text, &["dim", "Dim", "DIM", "°", "º", "o", "0"]) {
            self.diminished = true;
            return Some(rest);
        }
        if let Some(rest) = strip(text, &["ø", "Ø", "halfdim", "hdim", "h"]) {
            self.half_diminished = true;
            return Some(strip(rest, &["7"]).unwrap_or(rest));
        }
        if let Some(rest) = strip(text, &["aug", "Aug", "AUG", "+"]) {
            self.augmented = true;
            return Some(rest);
        }
        self.take_rare_word(text)
    }

    fn take_rare_word<'a>(&mut self, text: &'a str) -> Option<&'a str> {
        if let Some(rest) = strip(text, &["sus", "Sus", "SUS"]) {
            let (third, rest) = suspended_by(rest);
            self.third = third;
            return Some(rest);
        }
        if let Some(rest) = strip(text, &["alt", "Alt"]) {
            self.extension = self.extension.or(Some(7));
            self.changes.push((DegreeChange::Alter, 5, 1));
            self.changes.push((DegreeChange::Alter, 9, -1));
            self.notes.push("\"alt\" is taken for a raised fifth and a lowered ninth".into());
            return Some(rest);
        }
        if let Some(rest) = strip(text, &["power"]) {
            self.power = true;
            return Some(rest);
        }
        let rest = text.strip_prefix('d').filter(|r| !r.starts_with(char::is_alphabetic))?;
        self.diminished = true;
        self.notes.push("\"d\" is taken for diminished".into());
        Some(rest)
    }

    fn take_number<'a>(&mut self, text: &'a str) -> Option<&'a str> {
        if let Some(rest) = strip(text, &["6/9", "69", "6-9"]) {
            self.extension = Some(6);
            self.changes.push((DegreeChange::Add, 9, 0));
            return Some(rest);
        }
        let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let value: i32 = text.get(..digits)?.parse().ok()?;
        match value {
            6 | 7 | 9 | 11 | 13 if self.extension.is_none() => {
                self.extension = Some(value);
                self.major_seventh |= self.major_word && value != 6;
            }
            7 if self.extension == Some(7) => self.major_seventh |= self.major_word,
            2 | 4 | 6 | 9 | 11 | 13 if self.extension.is_some() => self.changes.push((DegreeChange::Add, value, 0)),
            5 if *self == (Quality { augmented: true, ..Quality::default() }) => {}
            5 => self.power = true,
            4 => {
                self.third = Third::Fourth;
                self.notes.push("\"4\" is taken for a suspended fourth".into());
            }
            2 => self.changes.push((DegreeChange::Add, 2, 0)),
            _ => return None,
        }
        Some(&text[digits..])
    }

    /// The kind of the standard and the degrees that differ from it.
    pub(super) fn meaning(mut self) -> (ChordKind, Vec<Degree>) {
        // A raised seventh is the major one of a minor chord, whether "m" stands before it or behind.
        let minor = Quality { third: Third::Minor, changes: self.changes.clone(), notes: self.notes.clone(), ..Quality::default() };
        if self == minor && self.changes.first() == Some(&(DegreeChange::Alter, 7, 1)) {
            self.changes.remove(0);
            (self.major_seventh, self.extension) = (true, Some(7));
        }
        let mut changes = self.changes.clone();
        let kind = self.named.unwrap_or_else(|| self.kind(&mut changes));
        let has = |value: i32| kind.tones().iter().any(|t| t.0 == value);
        let mut degrees: Vec<Degree> = Vec::new();
        for (change, value, alter) in changes {
            let change = if change == DegreeChange::Alter && !has(value) { DegreeChange::Add } else { change };
            let degree = Degree { change, value, alter };
            // What is said twice says no more.
            if !degrees.contains(&degree) {
                degrees.push(degree);
            }
        }
        (kind, degrees)
    }

    fn kind(&self, changes: &mut Vec<(DegreeChange, i32, i32)>) -> ChordKind {
        use ChordKind::*;
        let mut fifth = |alter: i32| {
            let found = changes.iter().position(|c| *c == (DegreeChange::Alter, 5, alter));
            found.map(|i| changes.remove(i)).is_some()
        };
        let extension = if self.extension == Some(6) { Option::None } else { self.extension };
        if self.power {
            return Power;
        }
        if self.half_diminished {
            return HalfDiminished;
        }
        match self.third {
            Third::Second | Third::Fourth => return self.suspended(changes),
            Third::Minor if self.extension == Some(7) && !self.major_seventh && fifth(-1) => return HalfDiminished,
            Third::Minor if self.extension.is_none() && fifth(-1) => return Diminished,
            Third::Major if self.extension.is_none() && !self.augmented && !self.diminished && fifth(1) => return Augmented,
            Third::Major if self.extension == Some(7) && !self.major_seventh && !self.diminished && !self.augmented && fifth(1) => {
                return AugmentedSeventh;
            }
            _ => {}
        }
        if self.diminished {
            return self.diminished_kind(changes);
        }
        let minor = self.third == Third::Minor;
        match (extension, minor, self.major_seventh) {
            (Option::None, ..) if self.extension == Some(6) => {
                if minor {
                    MinorSixth
                } else {
                    MajorSixth
                }
            }
            (Option::None, true, _) => Minor,
            (Option::None, false, _) if self.augmented => Augmented,
            (Option::None, false, _) => Major,
            (Some(7), false, false) if self.augmented => AugmentedSeventh,
            (Some(value), ..) => {
                if self.augmented {
                    changes.push((DegreeChange::Alter, 5, 1));
                }
                if minor && self.major_seventh {
                    changes.extend((9..=value).step_by(2).map(|v| (DegreeChange::Add, v, 0)));
                }
                extended(value, minor, self.major_seventh)
            }
        }
    }

    fn diminished_kind(&self, changes: &mut Vec<(DegreeChange, i32, i32)>) -> ChordKind {
        match self.extension {
            Some(value) if self.major_seventh => {
                changes.push((DegreeChange::Add, 7, 1));
                changes.extend((9..=value).step_by(2).map(|v| (DegreeChange::Add, v, 0)));
                ChordKind::Diminished
            }
            Some(value) if value >= 7 => {
                changes.extend((9..=value).step_by(2).map(|v| (DegreeChange::Add, v, 0)));
                ChordKind::DiminishedSeventh
            }
            _ => ChordKind::Diminished,
        }
    }

    fn suspended(&self, changes: &mut Vec<(DegreeChange, i32, i32)>) -> ChordKind {
        let mut added = match self.extension {
            Some(6) => vec![(DegreeChange::Add, 6, 0)],
            Some(value) => {
                let seventh = (DegreeChange::Add, 7, i32::from(self.major_seventh));
                let above = (9..=value).step_by(2).filter(|v| *v != 11).map(|v| (DegreeChange::Add, v, 0));
                std::iter::once(seventh).chain(above).collect()
            }
            None => Vec::new(),
        };
        added.append(changes);
        *changes = added;
        if self.third == Third::Second { ChordKind::SuspendedSecond } else { ChordKind::SuspendedFourth }
    }
}

fn extended(value: i32, minor: bool, major_seventh: bool) -> ChordKind {
    use ChordKind::*;
    match (value, minor, major_seventh) {
        (_, true, true) => MajorMinor,
        (7, false, false) => Dominant,
        (7, false, true) => MajorSeventh,
        (7, true, false) => MinorSeventh,
        (9, false, false) => DominantNinth,
        (9, false, true) => MajorNinth,
        (9, true, false) => MinorNinth,
        (11, false, false) => Dominant11th,
        (11, false, true) => Major11th,
        (11, true, false) => Minor11th,
        (_, false, false) => Dominant13th,
        (_, false, true) => Major13th,
        (_, true, false) => Minor13th,
    }
}

fn signs(text: &str) -> (i32, &str) {
    let (mut alter, mut rest) = (0i32, text);
    while let Some((one, after)) = sign(rest).filter(|_| alter.abs() < 2) {
        (alter, rest) = (alter + one, after);
    }
    (alter, rest)
}

/// What stands for the third after "sus": "2", "4", either in brackets or behind a space, else a fourth.
fn suspended_by(text: &str) -> (Third, &str) {
    let number = text.trim_start_matches(|c: char| c.is_whitespace() || "([".contains(c));
    let behind = |rest: &str| !rest.starts_with(|c: char| c.is_ascii_digit());
    let found = [("2", Third::Second), ("4", Third::Fourth)].into_iter().find_map(|(digit, third)| {
        let rest = number.strip_prefix(digit).filter(|rest| behind(rest))?;
        let bracketed = text.trim_start().starts_with(['(', '[']);
        Some((third, if bracketed { rest.strip_prefix([')', ']']).unwrap_or(rest) } else { rest }))
    });
    found.unwrap_or((Third::Fourth, text))
}

/// A degree that is left out: "3", "3rd", "3d", "5th", "third", "fifth".
fn named_degree(text: &str) -> Option<(i32, &str)> {
    let words = [("third", 3), ("fifth", 5), ("seventh", 7)];
    if let Some(found) = words.iter().find_map(|(word, value)| text.strip_prefix(word).map(|rest| (*value, rest))) {
        return Some(found);
    }
    let (value, rest) = degree(text)?;
    let ordinal = strip(rest, &["rd", "th", "nd", "d"]).filter(|after| !after.starts_with(char::is_alphabetic));
    Some((value, ordinal.unwrap_or(rest)))
}

/// A degree from 2 to 13.
fn degree(text: &str) -> Option<(i32, &str)> {
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let long = text.get(..digits.min(2)).and_then(|d| d.parse().ok()).filter(|v| (2..=13).contains(v));
    let short = || text.get(..digits.min(1)).and_then(|d| d.parse().ok()).filter(|v| (2..=9).contains(v)).map(|v| (v, &text[1..]));
    long.map(|v| (v, &text[digits.min(2)..])).or_else(short)
}
