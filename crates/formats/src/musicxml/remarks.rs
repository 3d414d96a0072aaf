//! Collects what there is to say about a score, with places.
//!
//! Equal remarks are said once, at their first place, with a count, so that a thousand cue notes make one line.

use super::element::Element;
use crate::diagnostic::{Diagnostic, Severity, Span};
use std::collections::BTreeMap;

/// The most different remarks that are kept.
const MOST_REMARKS: usize = 200;
/// The widest stretch of source a span covers, in characters.
const WIDEST: usize = 80;

/// Finds the line and column of a byte offset without counting from the start each time.
pub struct Places<'a> {
    text: &'a str,
    line_starts: Vec<usize>,
    /// Characters before every [`Places::STRIDE`]th byte (moved up to a character's edge).
    marks: Vec<(usize, usize)>,
}

impl<'a> Places<'a> {
    const STRIDE: usize = 1024;

    pub fn new(text: &'a str) -> Places<'a> {
        let mut line_starts = vec![0];
        let mut marks = Vec::new();
        for (count, (offset, letter)) in text.char_indices().enumerate() {
            if offset >= marks.len() * Self::STRIDE {
                marks.push((offset, count));
            }
            if letter == '\n' {
                line_starts.push(offset + 1);
            }
        }
        Places { text, line_starts, marks }
    }

    fn characters_before(&self, offset: usize) -> usize {
        let index = self.marks.partition_point(|(at, _)| *at <= offset);
        match index.checked_sub(1).map(|i| self.marks[i]) {
            Some((at, count)) => count + self.text[at..offset].chars().count(),
            None => 0,
        }
    }

    /// The place of a byte offset, which must stand at a character's edge; `width` in characters.
    pub fn span(&self, offset: usize, width: usize) -> Span {
        let line = self.line_starts.partition_point(|start| *start <= offset).max(1);
        let column = self.characters_before(offset) - self.characters_before(self.line_starts[line - 1]);
        Span { line: line as u32, column: column as u32 + 1, width: width as u32 }
    }

    /// An element's opening tag, as far as it stands on its first line.
    pub fn of(&self, element: Element) -> Span {
        let start = element.range().start;
        let tag = self.text[start..].chars().take(WIDEST).take_while(|c| *c != '>' && *c != '\n').count();
        self.span(start, tag + 1)
    }
}

/// One thing said, and how often.
struct Remark {
    diagnostic: Diagnostic,
    times: usize,
}

/// What was said so far.
pub struct Remarks<'a> {
    pub places: Places<'a>,
    said: Vec<Remark>,
    known: BTreeMap<(Severity, String), usize>,
    left_unsaid: usize,
    most: usize,
}

impl<'a> Remarks<'a> {
    pub fn new(text: &'a str) -> Remarks<'a> {
        Remarks { places: Places::new(text), said: Vec::new(), known: BTreeMap::new(), left_unsaid: 0, most: MOST_REMARKS }
    }

    /// Worth knowing: an assumption was made, or something with no bearing on the melody was left out.
    pub fn note(&mut self, element: Element, message: impl Into<String>, hint: &str) {
        self.say(Severity::Note, element, message.into(), hint);
    }

    /// Something was left out or mended.
    pub fn warn(&mut self, element: Element, message: impl Into<String>, hint: &str) {
        self.say(Severity::Warning, element, message.into(), hint);
    }

    /// Says nothing more from now on.
    pub fn silence(&mut self) {
        self.most = self.said.len();
    }

    fn say(&mut self, severity: Severity, element: Element, message: String, hint: &str) {
        let key = (severity, message);
        if let Some(index) = self.known.get(&key) {
            self.said[*index].times += 1;
            return;
        }
        if self.said.len() >= self.most {
            self.left_unsaid += 1;
            return;
        }
        self.known.insert(key.clone(), self.said.len());
        let hint = (!hint.is_empty()).then(|| hint.to_owned());
        let diagnostic = Diagnostic { severity, span: self.places.of(element), message: key.1, hint };
        self.said.push(Remark { diagnostic, times: 1 });
    }

    /// All remarks in the order of their places.
    pub fn finish(self) -> Vec<Diagnostic> {
        let unsaid = self.left_unsaid;
        let mut all: Vec<Diagnostic> = self.said.into_iter().map(counted).collect();
        all.sort_by_key(|d| d.span);
        if let Some(last) = all.last().filter(|_| unsaid > 0) {
            let message = format!("{unsaid} more remarks on this score are not shown");
            all.push(Diagnostic { severity: Severity::Note, span: last.span, message, hint: None });
        }
        all
    }
}

fn counted(remark: Remark) -> Diagnostic {
    let Remark { mut diagnostic, times } = remark;
    if times > 1 {
        diagnostic.message.push_str(&format!(", {times} times"));
    }
    diagnostic
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counted by hand.
    #[test]
    fn places_count_characters() {
        let text = format!("é\n{}ü<a/>\n<b/>", "ß".repeat(3000));
        let places = Places::new(&text);
        let at = |needle: &str| {
            let span = places.span(text.find(needle).expect("it is there"), 1);
            (span.line, span.column)
        };
        assert_eq!((at("é"), at("ü"), at("<a"), at("<b")), ((1, 1), (2, 3001), (2, 3002), (3, 1)));
    }
}
