//! Diagnostics as they are gathered while a tune is read, limited in number so that a file of nonsense stays small in memory.

use crate::diagnostic::{Diagnostic, Severity, Span};
use std::collections::BTreeMap;

/// The most diagnostics that are kept of one voice.
const MOST: usize = 200;
/// How often one and the same message is kept; the last one kept says how often it comes again.
const MOST_ALIKE: u32 = 3;

#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Remarks {
    all: Vec<Diagnostic>,
    /// How often each message has come.
    counts: BTreeMap<String, u32>,
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
        other.count_alike();
        self.all.append(&mut other.all);
    }

    /// All of them in the order of their places.
    pub fn sorted(mut self) -> Vec<Diagnostic> {
        self.count_alike();
        self.all.sort_by_key(|d| (d.span.line, d.span.column));
        self.all
    }

    fn count_alike(&mut self) {
        for (message, count) in std::mem::take(&mut self.counts).into_iter().filter(|(_, count)| *count > MOST_ALIKE) {
            if let Some(last) = self.all.iter_mut().rfind(|d| d.message == message) {
                last.message.push_str(&format!(" (and {} times more)", count - MOST_ALIKE));
            }
        }
    }

    fn add(&mut self, severity: Severity, span: Span, message: String, hint: Option<String>) {
        if self.counts.len() >= 2 * MOST && !self.counts.contains_key(&message) {
            return;
        }
        let count = self.counts.entry(message.clone()).or_insert(0);
        *count += 1;
        if *count > MOST_ALIKE {
            return;
        }
        if self.all.len() < MOST {
            self.all.push(Diagnostic { severity, span, message, hint });
        } else if self.all.len() == MOST {
            let message = format!("more than {MOST} remarks: the rest is left out");
            self.all.push(Diagnostic { severity: Severity::Warning, span, message, hint: None });
        }
    }
}
