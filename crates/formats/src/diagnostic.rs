//! What a reader has to say about the player's text: where, what was found, what was expected, what to do.

use std::fmt;

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
    pub line: u32,
    pub column: u32,
    pub width: u32,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    pub severity: Severity,
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
