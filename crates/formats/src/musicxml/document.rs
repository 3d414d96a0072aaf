//! The score's document: checked for depth, its parts found, timewise scores turned so that every part has its measures.

use super::element::{Element, child, child_text, children};
use super::text::unusable;
use crate::read::{DEEPEST, MOST_MEASURES, ReadError};
use roxmltree::{Document, Error, ParsingOptions};

/// The most nodes of a document, elements and texts together; a measured 300 MB of memory.
const MOST_NODES: u32 = 4_000_000;

/// One part of a score, partwise whatever the file is.
pub struct Part<'a> {
    /// Empty where the file gives none.
    pub id: String,
    pub name: String,
    pub measures: Vec<MeasureSource<'a>>,
}

/// Where a measure of a part stands. In a partwise score both elements are the same.
#[derive(Clone, Copy)]
pub struct MeasureSource<'a> {
    /// The `measure` element, which has the number.
    pub measure: Element<'a>,
    /// The element that holds the part's notes.
    pub content: Element<'a>,
}

/// Parses the text. Entities are expanded by the library within its own guard against floods; nothing is fetched.
pub fn parse(text: &str) -> Result<Document<'_>, ReadError> {
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, options).map_err(broken)?;
    match too_deep(document.root_element()) {
        Some(element) => {
            let at = document.text_pos_at(element.range().start);
            Err(unusable(at.row, at.col, format!("elements nested deeper than {DEEPEST}, the most that is read"), ""))
        }
        None => Ok(document),
    }
}

fn broken(error: Error) -> ReadError {
    let at = error.pos();
    let what = error.to_string();
    let what = what.rsplit_once(" at ").map_or(what.as_str(), |(what, _)| what);
    unusable(at.row, at.col, format!("not well-formed XML: {what}"), "export the score again")
}

/// The first element below the deepest level, found without recursion.
fn too_deep(root: Element) -> Option<Element> {
    let (mut at, mut depth) = (root, 1);
    loop {
        if depth > DEEPEST {
            return Some(at);
        }
        if let Some(inner) = at.first_element_child() {
            (at, depth) = (inner, depth + 1);
            continue;
        }
        while at.next_sibling_element().is_none() {
            if depth == 1 {
                return None;
            }
            (at, depth) = (at.parent()?, depth - 1);
        }
        if depth == 1 {
            return None;
        }
        at = at.next_sibling_element()?;
    }
}

/// The parts of the score in the order of their music, named by the part list.
pub fn parts<'a>(document: &'a Document<'a>) -> Result<Vec<Part<'a>>, ReadError> {
    let root = document.root_element();
    let parts = match root.tag_name().name() {
        "score-partwise" => partwise(root),
        "score-timewise" => timewise(root),
        other => {
            let at = document.text_pos_at(root.range().start);
            let message = format!("an XML document of <{other}>, expected <score-partwise> or <score-timewise>");
            return Err(unusable(at.row, at.col, message, "only MusicXML scores are read"));
        }
    };
    if let Some(long) = parts.iter().find(|p| p.measures.len() > MOST_MEASURES) {
        let at = document.text_pos_at(long.measures[MOST_MEASURES].measure.range().start);
        let message = format!("{} measures in one part, the most that is read is {MOST_MEASURES}", long.measures.len());
        return Err(unusable(at.row, at.col, message, "split the tune"));
    }
    Ok(parts)
}

fn partwise(root: Element) -> Vec<Part> {
    let part = |element| {
        let measures = children(element, "measure").map(|m| MeasureSource { measure: m, content: m }).collect();
        named(root, element, measures)
    };
    children(root, "part").map(part).collect()
}

/// In a timewise score every measure holds all parts; they are gathered by their ids in order of first appearance.
fn timewise(root: Element) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for measure in children(root, "measure") {
        for content in children(measure, "part") {
            let id = content.attribute("id").unwrap_or("");
            let source = MeasureSource { measure, content };
            match parts.iter_mut().find(|p| p.id == id) {
                Some(part) => part.measures.push(source),
                None => parts.push(named(root, content, vec![source])),
            }
        }
    }
    parts
}

fn named<'a>(root: Element<'a>, element: Element<'a>, measures: Vec<MeasureSource<'a>>) -> Part<'a> {
    let id = element.attribute("id").unwrap_or("").to_owned();
    let listed = child(root, "part-list");
    let entry = listed.and_then(|list| children(list, "score-part").find(|p| p.attribute("id") == Some(&id)));
    let name = entry.and_then(|e| child_text(e, "part-name")).unwrap_or_default();
    Part { id, name, measures }
}

impl Part<'_> {
    /// The name, else the id, else "without a name".
    pub fn label(&self) -> &str {
        [&self.name, &self.id].into_iter().find(|t| !t.is_empty()).map_or("without a name", |t| t)
    }
}
