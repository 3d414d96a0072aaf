//! Where a score may be cut into pieces that are drawn each by itself.
//!
//! Drawing takes time in proportion to the measures, and after a change most measures are as they were: pieces drawn before need not be drawn again. A seam is
//! a bar line that nothing reaches over: no tie, slur, bracket, ending, wedge or word, and no new key, meter or clef behind it, which the line before announces.
//! Only scores of one part are cut.

use crate::source::{child, text};
use markup::escape_into;
use roxmltree::Node;
use std::collections::BTreeMap;
use std::ops::Range;

/// How a score may be cut.
#[derive(Debug, Default)]
pub(crate) struct Seams {
    /// Whether a piece may begin with each measure; the first always may.
    free: Vec<bool>,
    /// The attributes that hold when each measure begins, as MusicXML; the meter is not printed again.
    carried: Vec<String>,
}

/// Measures in one piece of the endless line, not counting the one before that gives it its surroundings.
const CHUNK: usize = 4;

impl Seams {
    pub fn of(root: Node, measures: usize) -> Seams {
        let mut parts = root.children().filter(|n| n.has_tag_name("part"));
        let (Some(part), None) = (parts.next(), parts.next()) else {
            return Seams { free: (0..measures).map(|m| m == 0).collect(), carried: vec![String::new(); measures] };
        };
        let mut walk = Walk::default();
        let mut seams = Seams::default();
        for (index, measure) in part.children().filter(|n| n.has_tag_name("measure")).enumerate() {
            let announced = measure.children().any(|n| n.has_tag_name("attributes"));
            seams.free.push(index == 0 || (walk.open.is_empty() && !announced));
            seams.carried.push(if index == 0 { String::new() } else { walk.attributes() });
            walk.measure(measure);
        }
        seams
    }

    pub fn carried(&self, measure: usize) -> &str {
        self.carried.get(measure).map_or("", String::as_str)
    }

    /// Systems that begin with these measures (and the first), as pieces of as few systems as can be.
    pub fn pieces(&self, starts: impl Iterator<Item = usize>) -> Vec<Range<usize>> {
        let cuts: Vec<usize> = std::iter::once(0).chain(starts.filter(|s| *s > 0 && self.is_free(*s))).collect();
        let ends = cuts.iter().skip(1).copied().chain(std::iter::once(self.free.len()));
        cuts.iter().copied().zip(ends).map(|(from, to)| from..to).collect()
    }

    /// The endless line in chunks: what is drawn, and the measures whose widths are taken from it. A chunk begins a measure early, so that none of its
    /// own measures carries the clef and the key of a line's beginning.
    pub fn chunks(&self) -> Vec<(Range<usize>, Range<usize>)> {
        let mut chunks = Vec::new();
        let mut from = 0;
        for at in 1..=self.free.len() {
            let end = at == self.free.len();
            if end || (at - from >= CHUNK && self.is_free(at) && self.is_free(at - 1)) {
                chunks.push((from.saturating_sub(1)..at, from..at));
                from = at;
            }
        }
        chunks
    }

    fn is_free(&self, measure: usize) -> bool {
        self.free.get(measure).copied().unwrap_or(false)
    }
}

/// On the way through the part.
#[derive(Default)]
struct Walk<'a, 'i> {
    /// What was begun and not ended, by kind and number.
    open: BTreeMap<(&'static str, String), i32>,
    attributes: BTreeMap<(usize, String), Node<'a, 'i>>,
}

/// Children of `attributes` in the order of the standard.
const ORDER: [&str; 9] = ["divisions", "key", "time", "staves", "part-symbol", "instruments", "clef", "staff-details", "transpose"];
/// What reaches from one place to another, by its element.
const REACHING: [&str; 11] =
    ["tied", "slur", "ending", "wedge", "dashes", "bracket", "octave-shift", "pedal", "glissando", "slide", "wavy-line"];

impl<'a, 'i> Walk<'a, 'i> {
    fn measure(&mut self, measure: Node<'a, 'i>) {
        for node in measure.descendants().filter(Node::is_element) {
            let name = node.tag_name().name();
            if name == "attributes" {
                self.remember(node);
            } else if name == "lyric" {
                self.lyric(node);
            } else if let Some(kind) = REACHING.into_iter().find(|kind| *kind == name) {
                self.reach(kind, node);
            }
        }
    }

    fn remember(&mut self, attributes: Node<'a, 'i>) {
        for node in attributes.children().filter(Node::is_element) {
            let place = ORDER.iter().position(|name| node.has_tag_name(*name));
            if let Some(place) = place {
                self.attributes.insert((place, node.attribute("number").unwrap_or_default().to_owned()), node);
            }
        }
    }

    /// A stop without its start leaves the count below zero, and the score uncut from there on.
    fn reach(&mut self, kind: &'static str, node: Node) {
        let by = match node.attribute("type") {
            Some("start" | "crescendo" | "diminuendo" | "up" | "down") => 1,
            Some("stop" | "discontinue") => -1,
            _ => 0,
        };
        let number = if kind == "tied" { "" } else { node.attribute("number").unwrap_or_default() };
        // An ending's number is a list of passes, the same at both its ends.
        self.count((kind, number.to_owned()), by);
    }

    fn count(&mut self, key: (&'static str, String), by: i32) {
        let count = self.open.entry(key.clone()).or_default();
        *count += by;
        if *count == 0 {
            self.open.remove(&key);
        }
    }

    /// A word or a held syllable goes on until its line's next syllable says otherwise.
    fn lyric(&mut self, node: Node) {
        let key = ("lyric", node.attribute("number").unwrap_or_default().to_owned());
        let goes_on = child(node, "syllabic").map(text).is_some_and(|s| s == "begin" || s == "middle") || child(node, "extend").is_some();
        self.open.remove(&key);
        if goes_on {
            self.open.insert(key, 1);
        }
    }

    fn attributes(&self) -> String {
        let mut out = String::from("<attributes>");
        for node in self.attributes.values() {
            copy(&mut out, *node);
        }
        out + "</attributes>"
    }
}

fn copy(out: &mut String, node: Node) {
    let name = node.tag_name().name();
    out.push('<');
    *out += name;
    for attribute in node.attributes().filter(|a| a.namespace().is_none() && !matches!(a.name(), "id" | "print-object")) {
        *out += &format!(" {}=\"", attribute.name());
        escape_into(out, attribute.value());
        out.push('"');
    }
    if name == "time" {
        *out += " print-object=\"no\"";
    }
    out.push('>');
    for child in node.children() {
        match child.text() {
            _ if child.is_element() => copy(out, child),
            Some(text) if child.is_text() => escape_into(out, text),
            _ => {}
        }
    }
    *out += &format!("</{name}>");
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Measures, each given by what is in it.
    fn seams(measures: &[&str]) -> Seams {
        let inside: String = measures.iter().map(|m| format!("<measure>{m}</measure>")).collect();
        let xml = format!("<score-partwise><part>{inside}</part></score-partwise>");
        let document = roxmltree::Document::parse(&xml).expect("the test's XML");
        Seams::of(document.root_element(), measures.len())
    }

    const FIRST: &str = "<attributes><divisions>4</divisions><time><beats>3</beats></time></attributes>";
    const TIED: &str = "<note><notations><tied type='start'/></notations></note>";
    const STOPPED: &str = "<note><notations><tied type='stop'/></notations></note>";

    #[test]
    fn nothing_that_reaches_over_a_bar_line_is_cut() {
        assert_eq!(seams(&[FIRST, TIED, STOPPED, ""]).free, [true, true, false, true]);
        let word = "<note><lyric><syllabic>begin</syllabic></lyric></note>";
        let end = "<note><lyric><syllabic>end</syllabic></lyric></note>";
        assert_eq!(seams(&[FIRST, word, end, ""]).free, [true, true, false, true]);
        let (starts, stops) =
            ("<barline><ending number='1' type='start'/></barline>", "<barline><ending number='1' type='stop'/></barline>");
        assert_eq!(seams(&[FIRST, starts, "", stops, ""]).free, [true, true, false, false, true]);
        assert_eq!(seams(&[FIRST, "<attributes><key/></attributes>", ""]).free, [true, false, true]);
    }

    #[test]
    fn a_piece_knows_what_holds_at_its_beginning() {
        let seams = seams(&[FIRST, "", "<attributes><divisions>8</divisions></attributes>", ""]);
        let says = |divisions| {
            format!("<attributes><divisions>{divisions}</divisions><time print-object=\"no\"><beats>3</beats></time></attributes>")
        };
        assert_eq!((seams.carried(0), seams.carried(1), seams.carried(3)), ("", &says(4)[..], &says(8)[..]));
    }

    #[test]
    fn pieces_and_chunks_hold_every_measure_once() {
        let seams = seams(&[FIRST, "", "", TIED, STOPPED, "", "", "", "", "", ""]);
        assert_eq!(seams.pieces([2, 4, 8].into_iter()), [0..2, 2..8, 8..11]);
        assert_eq!(seams.chunks(), [(0..6, 0..6), (5..10, 6..10), (9..11, 10..11)]);
    }
}
