//! Diagnostics as they are gathered while a tune is read, limited in number so that a file of nonsense stays small in memory.

use crate::diagnostic::{Diagnostic, Severity, Span};

/// The most diagnostics that are kept of one voice.
const MOST: usize = 200;

#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Remarks {
    all: Vec<Diagnostic>,
}

impl Remarks {
    /// Read, but worth knowing.
    pub fn note(&mut self, span: Span, message: impl Into<String>) {
        self.add(Severity::Note, span, message.into(), None);
    }

    /// Something was left out or mended.
    pub fn warn(&mut self, span: Span, message: impl Into<String>) {
        self.add(Severity::Warning, span, message.into(), None);
    }

    /// A warning with what to do about it.
    pub fn advise(&mut self, span: Span, message: impl Into<String>, hint: &str) {
        self.add(Severity::Warning, span, message.into(), Some(hint.to_owned()));
    }

    pub fn append(&mut self, mut other: Remarks) {
        self.all.append(&mut other.all);
    }

    /// All of them in the order of their places.
    pub fn sorted(mut self) -> Vec<Diagnostic> {
        self.all.sort_by_key(|d| (d.span.line, d.span.column));
        self.all
    }

    fn add(&mut self, severity: Severity, span: Span, message: String, hint: Option<String>) {
        if self.all.len() < MOST {
            self.all.push(Diagnostic { severity, span, message, hint });
        } else if self.all.len() == MOST {
            let message = format!("more than {MOST} remarks: the rest is left out");
            self.all.push(Diagnostic { severity: Severity::Warning, span, message, hint: None });
        }
    }
}
