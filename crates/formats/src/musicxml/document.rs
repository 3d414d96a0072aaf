//! The score's document: checked for depth, its parts found, timewise scores turned so that every part has its measures.

use super::element::{Element, child, child_text, children};
use super::prescan;
use super::remarks::Places;
use super::text::unusable;
use crate::diagnostic::excerpt;
use crate::read::{DEEPEST, MOST_MEASURES, ReadError};
use roxmltree::{Document, Error, ParsingOptions};
use std::collections::BTreeMap;

/// The most nodes of a document, elements and texts together; a measured 300 MB of memory.
const MOST_NODES: u32 = 4_000_000;

/// The most parts of a score.
const MOST_PARTS: usize = 256;

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
    if prescan::floods(text) {
        return Err(unusable(1, 1, "entities that would make the document too long".to_owned(), "write their text out"));
    }
    if let Some(offset) = prescan::too_long(text) {
        let at = Places::new(text).span(offset, 1);
        return Err(unusable(at.line, at.column, format!("a tag longer than {} characters", prescan::LONGEST), "no score has such tags"));
    }
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
    unusable(at.row, at.col, format!("not well-formed XML: {}", excerpt(what)), "export the score again")
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
            let message = format!("an XML document of <{}>, expected <score-partwise> or <score-timewise>", excerpt(other));
            return Err(unusable(at.row, at.col, message, "only MusicXML scores are read"));
        }
    };
    if parts.len() > MOST_PARTS {
        let at = document.text_pos_at(root.range().start);
        let message = format!("{} parts, the most that is read is {MOST_PARTS}", parts.len());
        return Err(unusable(at.row, at.col, message, "leave some out"));
    }
    if let Some(long) = parts.iter().find(|p| p.measures.len() > MOST_MEASURES) {
        let at = document.text_pos_at(long.measures[MOST_MEASURES].measure.range().start);
        let message = format!("{} measures in one part, the most that is read is {MOST_MEASURES}", long.measures.len());
        return Err(unusable(at.row, at.col, message, "split the tune"));
    }
    Ok(parts)
}

fn partwise(root: Element) -> Vec<Part> {
    let names = names(root);
    let part = |element: Element<'_>| named(&names, element.attribute("id").unwrap_or(""));
    let measures = |element| children(element, "measure").map(|m| MeasureSource { measure: m, content: m }).collect();
    children(root, "part").map(|element| Part { measures: measures(element), ..part(element) }).collect()
}

/// In a timewise score every measure holds all parts; they are gathered by their ids in order of first appearance.
fn timewise(root: Element) -> Vec<Part> {
    let names = names(root);
    let mut parts: Vec<Part> = Vec::new();
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    for measure in children(root, "measure") {
        for content in children(measure, "part") {
            let id = content.attribute("id").unwrap_or("");
            let place = *places.entry(id).or_insert_with(|| {
                parts.push(named(&names, id));
                parts.len() - 1
            });
            parts[place].measures.push(MeasureSource { measure, content });
        }
    }
    parts
}

/// The names in the part list by the parts' ids.
fn names(root: Element<'_>) -> BTreeMap<&str, String> {
    let listed = child(root, "part-list").into_iter().flat_map(|list| children(list, "score-part"));
    listed.filter_map(|p| Some((p.attribute("id")?, child_text(p, "part-name")?))).collect()
}

/// A part without its measures.
fn named<'a>(names: &BTreeMap<&str, String>, id: &str) -> Part<'a> {
    Part { id: id.to_owned(), name: names.get(id).cloned().unwrap_or_default(), measures: Vec::new() }
}

impl Part<'_> {
    /// The name, else the id, else "without a name".
    pub fn label(&self) -> &str {
        [&self.name, &self.id].into_iter().find(|t| !t.is_empty()).map_or("without a name", |t| t)
    }
}
