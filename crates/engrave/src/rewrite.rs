//! The score as the engraving library is to see it: the same notes, without another program's page, with our line breaks
//! and with chord symbols already spelled out.

use crate::chord_text::chord_text;
use crate::harp::{self, HarpMarks};
use crate::heading::is_heading;
use crate::pieces::Seams;
use crate::source::Source;
use markup::escape_into;
use roxmltree::Node;
use std::collections::BTreeSet;
use std::ops::Range;

/// Some measures of the document again, with a new system before each measure in `breaks` (counted from 0 in every part).
pub(crate) fn rewrite(source: &Source, measures: Range<usize>, breaks: &BTreeSet<usize>) -> String {
    let root = source.document.root_element();
    let lone = root.children().filter(|n| n.has_tag_name("part")).count() == 1;
    let mut writer = Writer {
        out: String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>"),
        breaks,
        lone,
        harp: &source.harp,
        seams: &source.seams,
        measures,
    };
    writer.element(root, 0);
    writer.out
}

struct Writer<'a> {
    out: String,
    breaks: &'a BTreeSet<usize>,
    /// One part only: its name is not printed.
    lone: bool,
    /// What is set outside the staves later.
    harp: &'a HarpMarks,
    seams: &'a Seams,
    /// Those that are written.
    measures: Range<usize>,
}

/// Elements about another page than ours, and what the library cannot bear outside tablature (it ends the process); headings
/// are set by `heading`.
const DROPPED: [&str; 7] = ["credit", "print", "defaults", "supports", "part-name-display", "string", "fret"];

impl Writer<'_> {
    fn element(&mut self, node: Node, measure: usize) {
        let name = node.tag_name().name();
        if DROPPED.contains(&name)
            || self.harp.taken.contains(&harp::read::number_of(node))
            || is_heading(node)
            || (self.lone && matches!(name, "part-abbreviation" | "part-abbreviation-display"))
        {
            return;
        }
        self.open(node);
        if name == "measure" && measure == self.measures.start {
            self.out += self.seams.carried(measure);
        } else if name == "measure" && self.breaks.contains(&measure) {
            self.out += "<print new-system=\"yes\"/>";
        }
        match name {
            "harmony" => self.harmony(node),
            "part-name" if self.lone => {}
            _ => self.inside(node),
        }
        self.out += "</";
        self.out += name;
        self.out.push('>');
    }

    fn inside(&mut self, node: Node) {
        let mut measure = 0;
        for child in node.children() {
            if child.is_element() {
                let is_measure = child.has_tag_name("measure");
                if !is_measure || self.measures.contains(&measure) {
                    self.element(child, measure);
                }
                measure += usize::from(is_measure);
            } else if let Some(text) = child.text().filter(|_| child.is_text()) {
                self.escaped(text);
            }
        }
    }

    /// The whole symbol goes where the library prints it from: the root's letter.
    fn harmony(&mut self, node: Node) {
        self.out += "<root><root-step>";
        self.escaped(&chord_text(node));
        self.out += "</root-step></root>";
        for child in node.children().filter(|c| c.has_tag_name("offset") || c.has_tag_name("staff")) {
            self.element(child, 0);
        }
    }

    fn open(&mut self, node: Node) {
        self.out.push('<');
        self.out += node.tag_name().name();
        if in_italics(node) {
            // The library passes nothing else of a chord symbol on.
            self.out += " type=\"";
            self.out += ITALIC;
            self.out.push('"');
        }
        for attribute in node.attributes().filter(|a| a.namespace().is_none() && !(a.name() == "type" && in_italics(node))) {
            self.out.push(' ');
            self.out += attribute.name();
            self.out += "=\"";
            self.escaped(attribute.value());
            self.out.push('"');
        }
        if let Some(id) = self.harp.ids.get(&harp::read::number_of(node)).filter(|_| !node.has_attribute("id")) {
            self.out += " id=\"";
            self.escaped(id);
            self.out.push('"');
        }
        self.out.push('>');
    }

    fn escaped(&mut self, text: &str) {
        escape_into(&mut self.out, text);
    }
}

/// The word by which a chord symbol in italics is known again in the drawing.
pub(crate) const ITALIC: &str = "italic";

fn in_italics(node: Node) -> bool {
    node.has_tag_name("harmony") && node.attribute("font-style") == Some("italic")
}
