//! What a MusicXML score says about its page: the words around the music, its measures, where sections begin.

use crate::error::EngraveError;
use crate::harp::{self, HarpMarks, diagram};
use crate::heading::{self, Heading};
use crate::holds;
use crate::pieces::Seams;
use crate::turns;
use roxmltree::{Document, Node, ParsingOptions};
use std::collections::BTreeSet;

/// The words around the music.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Words {
    pub title: String,
    pub subtitles: Vec<String>,
    /// Printed at the right: composer, arranger.
    pub right: Vec<String>,
    /// Printed at the left: who wrote the words.
    pub left: Vec<String>,
    /// Lines of preparation at the top left: strings needed, tuning, first setting.
    pub preparation: Vec<Prepared>,
    /// Verses printed below the music; an empty line parts verses.
    pub verses: Vec<String>,
    /// Printed at the foot: source and rights.
    pub foot: Vec<String>,
    /// Printed at the foot of each page with such a sign: what it means.
    pub signs: Vec<String>,
}

/// One line of preparation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Prepared {
    Line(String),
    /// How the pedals stand, from C to B.
    Pedals([i32; 7]),
}

/// What decides whether a system may begin with a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Start {
    /// An incomplete first measure; it does not count.
    Pickup,
    Plain,
    /// After a repeat or a double bar.
    Section,
    /// Under a heading.
    Heading,
}

pub(crate) struct Source<'a> {
    pub document: Document<'a>,
    pub words: Words,
    /// All ids in the document.
    pub ids: BTreeSet<String>,
    /// One for each measure of the first part.
    pub starts: Vec<Start>,
    /// For each measure, how long the left hand is free after its last pluck, in quarter notes.
    pub free: Vec<f64>,
    pub headings: Vec<Heading>,
    /// The measures at whose end both hands are held.
    pub held: BTreeSet<usize>,
    pub harp: HarpMarks,
    pub seams: Seams,
}

/// Reads the score. Errors: not XML, not partwise, no measure, tablature.
pub(crate) fn read(musicxml: &str) -> Result<Source<'_>, EngraveError> {
    let options = ParsingOptions { allow_dtd: true, nodes_limit: 4_000_000, ..ParsingOptions::default() };
    let document = Document::parse_with_options(musicxml, options).map_err(|e| EngraveError::NotXml(e.to_string()))?;
    let root = document.root_element();
    if root.tag_name().name() != "score-partwise" {
        return Err(EngraveError::NotPartwise(root.tag_name().name().to_owned()));
    }
    if root.descendants().any(|n| n.has_tag_name("sign") && text(n) == "TAB") {
        return Err(EngraveError::Tablature);
    }
    let harp = harp::read(root);
    let given = document.descendants().filter_map(|n| n.attribute("id")).map(str::to_owned);
    let ids = given.chain(harp.ids.values().cloned()).collect();
    let starts = starts(root);
    if starts.is_empty() {
        return Err(EngraveError::NoMeasures);
    }
    let seams = Seams::of(root, starts.len());
    let words = with_opening(words(root), harp.opening);
    let free = turns::free_after(root);
    Ok(Source { words, ids, harp, starts, free, seams, headings: heading::read(root), held: holds::read(root), document })
}

/// The pedals' setting before the first note is one of the lines of preparation; where the score says it in words too it is not said twice.
fn with_opening(mut words: Words, opening: Option<[i32; 7]>) -> Words {
    let Some(alters) = opening else { return words };
    let said = Prepared::Line(format!("{PEDALS} {}", diagram::letters(&alters)));
    words.preparation.retain(|line| *line != said);
    words.preparation.push(Prepared::Pedals(alters));
    words
}

/// What a line of preparation with the pedals' setting begins with.
pub(crate) const PEDALS: &str = "Pedals:";

/// The text inside an element, trimmed.
pub(crate) fn text(node: Node) -> String {
    let all: String = node.descendants().filter(Node::is_text).filter_map(|t| t.text()).collect();
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(crate) fn child<'a, 'i>(node: Node<'a, 'i>, name: &str) -> Option<Node<'a, 'i>> {
    node.children().find(|c| c.has_tag_name(name))
}

fn words(root: Node) -> Words {
    let mut words = Words::default();
    let named = |name: &str| root.descendants().find(|n| n.has_tag_name(name)).map(text).filter(|t| !t.is_empty());
    let (work, movement) = (named("work-title"), named("movement-title"));
    words.title = work.clone().or(movement.clone()).unwrap_or_default();
    words.subtitles.extend(movement.filter(|m| work.is_some() && *m != words.title));
    for creator in root.descendants().filter(|n| n.has_tag_name("creator")) {
        let place = match creator.attribute("type") {
            Some("lyricist" | "poet") => &mut words.left,
            _ => &mut words.right,
        };
        place.extend(Some(tidied(&text(creator))).filter(|name| !name.is_empty()));
    }
    for credit in root.children().filter(|n| n.has_tag_name("credit")) {
        add_credit(&mut words, credit);
    }
    let foot = root.descendants().filter(|n| n.has_tag_name("source") || n.has_tag_name("rights"));
    words.foot.extend(foot.map(text).filter(|t| !t.is_empty()));
    words.foot.dedup();
    words
}

/// Names as they are printed: without what an empty field or the end of a list leaves standing between them.
fn tidied(names: &str) -> String {
    let names = names.split(';').map(|name| name.trim_matches([',', ':', ' ']));
    names.filter(|name| !name.is_empty()).collect::<Vec<_>>().join("; ")
}

/// Files a credit by its type; one without a type is left out, for its place on another page says nothing here.
fn add_credit(words: &mut Words, credit: Node) {
    let kind = child(credit, "credit-type").map(text).unwrap_or_default();
    let lines = credit.children().filter(|n| n.has_tag_name("credit-words")).flat_map(credit_lines);
    let lines: Vec<String> = lines.collect();
    match kind.as_str() {
        "signs" => words.signs.extend(lines.into_iter().filter(|l| !l.is_empty())),
        "subtitle" => words.subtitles.extend(lines.into_iter().filter(|l| !l.is_empty())),
        "title" if words.title.is_empty() => words.title = lines.join(" "),
        "verse" | "verses" => {
            if !words.verses.is_empty() {
                words.verses.push(String::new());
            }
            words.verses.extend(lines);
        }
        "title" | "composer" | "lyricist" | "arranger" | "rights" | "page number" | "part name" | "" => {}
        _ => words.preparation.extend(lines.into_iter().filter(|l| !l.is_empty()).map(Prepared::Line)),
    }
}

fn credit_lines(node: Node) -> Vec<String> {
    let all: String = node.descendants().filter(Node::is_text).filter_map(|t| t.text()).collect();
    all.trim().lines().map(|l| l.trim().to_owned()).collect()
}

fn starts(root: Node) -> Vec<Start> {
    let Some(part) = child(root, "part") else { return Vec::new() };
    let mut after_section = false;
    let mut starts = Vec::new();
    for measure in part.children().filter(|n| n.has_tag_name("measure")) {
        let opens = measure.children().any(|n| n.has_tag_name("barline") && opens_section(n));
        starts.push(if starts.is_empty() && measure.attribute("implicit") == Some("yes") {
            Start::Pickup
        } else if has_heading(measure) {
            Start::Heading
        } else if after_section || opens {
            Start::Section
        } else {
            Start::Plain
        });
        after_section = measure.children().any(|n| n.has_tag_name("barline") && closes_section(n));
    }
    starts
}

fn opens_section(barline: Node) -> bool {
    barline.children().any(|n| n.has_tag_name("repeat") && n.attribute("direction") == Some("forward"))
}

fn closes_section(barline: Node) -> bool {
    let repeat = barline.children().any(|n| n.has_tag_name("repeat") && n.attribute("direction") == Some("backward"));
    // After a first ending the second one follows on the same line if it can.
    let ending = barline.children().any(|n| n.has_tag_name("ending") && n.attribute("type") == Some("stop"));
    let double = child(barline, "bar-style").map(text).is_some_and(|s| s == "light-light" || s == "light-heavy");
    (repeat || double) && !ending
}

/// Bold words or a rehearsal mark over the start, not only a tempo mark.
fn has_heading(measure: Node) -> bool {
    measure.children().any(|n| heading::is_heading(n) && !heading::is_tempo(n))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_have_no_stray_punctuation() {
        let checks =
            [("trad., arr. ;; A. Nother,", "trad., arr.; A. Nother"), ("Words: ", "Words"), (" ; ", ""), ("J. S. Bach", "J. S. Bach")];
        checks.into_iter().for_each(|(written, printed)| assert_eq!(tidied(written), printed));
    }
}
