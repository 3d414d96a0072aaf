//! What a reader has to say about the player's text: where, what was found, what was expected, what to do.
//!
//! A message repeats at most one short line of the text it speaks of: every reader puts what it found through [`excerpt`].

use std::fmt;

/// The most of a text that a message repeats, in characters.
pub const LONGEST_EXCERPT: usize = 80;

/// The longest message there is, in characters: what there is to say about one or two excerpts.
pub const LONGEST_MESSAGE: usize = 320;

/// The longest list of names in a message, in characters, and the longest name there.
const LONGEST_LIST: usize = 160;
const LONGEST_NAME: usize = 40;

/// A piece of the source for a message: on one line, and cut with "…" where it is longer than [`LONGEST_EXCERPT`].
pub fn excerpt(text: &str) -> String {
    shortened(text, LONGEST_EXCERPT)
}

fn shortened(text: &str, most: usize) -> String {
    let one_line = |c: char| if c.is_control() { ' ' } else { c };
    match text.char_indices().nth(most) {
        None => text.chars().map(one_line).collect(),
        Some(_) => text.chars().take(most - 1).map(one_line).chain(['…']).collect(),
    }
}

/// Names for a message, with commas between; of very many the first, and how many more there are.
pub fn listed(names: &[String]) -> String {
    let mut list = String::new();
    for (i, name) in names.iter().enumerate() {
        if list.chars().count() > LONGEST_LIST {
            return format!("{list} and {} more", names.len() - i);
        }
        let comma = if i > 0 { ", " } else { "" };
        list.extend([comma, &shortened(name, LONGEST_NAME)]);
    }
    list
}

/// How much a diagnostic matters; in order, the gravest last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Read, but worth knowing: an assumption was made.
    Note,
    /// Something was left out or mended.
    Warning,
    /// The tune cannot be used as it stands.
    Error,
}

/// A place in the source: line and column from 1, in characters, and how many characters it covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// From 1.
    pub line: u32,
    /// From 1, in characters.
    pub column: u32,
    /// In characters.
    pub width: u32,
}

/// One thing to say about the player's text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// How much it matters.
    pub severity: Severity,
    /// Where.
    pub span: Span,
    /// Lower-case, no full stop: what was found and what was expected.
    pub message: String,
    /// What to do about it, where there is something to do.
    pub hint: Option<String>,
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = match self.severity {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        };
        write!(f, "{}:{}: {word}: {}", self.span.line, self.span.column, self.message)?;
        match &self.hint {
            Some(hint) => write!(f, " ({hint})"),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_excerpt_is_one_short_line() {
        assert_eq!(excerpt("D\ndor"), "D dor");
        assert_eq!(excerpt(&"é".repeat(LONGEST_EXCERPT)), "é".repeat(LONGEST_EXCERPT));
        assert_eq!(excerpt(&"é".repeat(LONGEST_EXCERPT + 1)), "é".repeat(LONGEST_EXCERPT - 1) + "…");
        assert_eq!(listed(&["a".into(), "b".into()]), "a, b");
        assert_eq!(listed(&vec!["y".repeat(50); 9]), format!("{} and 5 more", vec!["y".repeat(39) + "…"; 4].join(", ")));
    }
}
