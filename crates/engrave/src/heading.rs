//! Headings and tempo marks: the line over the start of a measure ("Verse 2", "Gently ♩ = 96").
//!
//! The engraving library would put them between staff and chord symbols. They are taken out of the score and set here on
//! top of everything else, heading first, in one line.

use crate::drawing::{self, Shape, join};
use crate::face::Face;
use crate::layout::Percent;
use crate::parse::System;
use crate::skyline::ink_between;
use crate::source::{child, text};
use crate::text::{Anchor, Run, TextLine, shape};
use roxmltree::Node;

/// What stands over the start of a measure.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Heading {
    /// The measure, counted from 0.
    pub measure: usize,
    pub runs: Vec<Run>,
    /// Which of them are letters of sections, each in a frame so that nobody takes it for a chord.
    pub framed: Vec<usize>,
}

/// The em of headings and tempo words, in library units.
const SIZE: f64 = 430.0;

/// Whether a direction is set here: before the first note of a measure of the first part, in the upper staff, and a tempo mark, a rehearsal mark
/// or bold words.
pub(crate) fn is_heading(node: Node) -> bool {
    let first_part =
        || node.ancestors().find(|n| n.has_tag_name("part")).is_some_and(|p| !p.prev_siblings().skip(1).any(|s| s.has_tag_name("part")));
    let upper = || child(node, "staff").map(text).is_none_or(|s| s == "1") && node.attribute("placement") != Some("below");
    node.has_tag_name("direction")
        && (is_tempo(node) || is_bold(node))
        && !node.prev_siblings().skip(1).any(|n| n.has_tag_name("note"))
        && upper()
        && first_part()
}

pub(crate) fn is_tempo(direction: Node) -> bool {
    direction.descendants().any(|n| n.has_tag_name("metronome") || (n.has_tag_name("sound") && n.has_attribute("tempo")))
        && direction.descendants().any(|n| n.has_tag_name("metronome") || n.has_tag_name("words"))
}

fn is_bold(direction: Node) -> bool {
    direction.descendants().any(|n| n.has_tag_name("rehearsal") || (n.has_tag_name("words") && n.attribute("font-weight") == Some("bold")))
}

/// The heading of each measure that has one.
///
/// A heading over the first whole measure joins a tempo mark over the pickup.
pub(crate) fn read(root: Node) -> Vec<Heading> {
    let mut headings = all(root);
    let pickup = root.descendants().find(|n| n.has_tag_name("measure")).is_some_and(|m| m.attribute("implicit") == Some("yes"));
    if let [first, second, ..] = headings.as_mut_slice()
        && pickup
        && first.measure == 0
        && second.measure == 1
    {
        second.runs.push(Run::new("\u{2003}", Face::Bold, SIZE));
        second.framed.extend(first.framed.iter().map(|run| run + second.runs.len()));
        second.runs.append(&mut first.runs);
        second.measure = 0;
        headings.remove(0);
    }
    headings
}

fn all(root: Node) -> Vec<Heading> {
    let Some(part) = child(root, "part") else { return Vec::new() };
    let measures = part.children().filter(|n| n.has_tag_name("measure")).enumerate();
    let headings = measures.map(|(measure, node)| {
        let (tempo, bold): (Vec<Node>, Vec<Node>) = node.children().filter(|n| is_heading(*n)).partition(|n| is_tempo(*n));
        let mut heading = Heading { measure, ..Heading::default() };
        for direction in bold.into_iter().chain(tempo) {
            if !heading.runs.is_empty() {
                heading.runs.push(Run::new("\u{2003}", Face::Bold, SIZE));
            }
            direction.descendants().for_each(|n| add(&mut heading, n));
        }
        heading
    });
    headings.filter(|h| !h.runs.is_empty()).collect()
}

fn add(heading: &mut Heading, node: Node) {
    let runs = &mut heading.runs;
    match node.tag_name().name() {
        "words" => runs.push(Run::new(text(node), Face::Bold, SIZE)),
        "rehearsal" => {
            heading.framed.push(runs.len());
            runs.push(Run::new(text(node), Face::Regular, SIZE));
        }
        "metronome" => {
            if runs.last().is_some_and(|r| !r.text.ends_with('\u{2003}')) {
                runs.push(Run::new(" ", Face::Regular, SIZE));
            }
            metronome(runs, node);
        }
        _ => {}
    }
}

fn metronome(runs: &mut Vec<Run>, node: Node) {
    let brackets = node.attribute("parentheses") == Some("yes");
    let plain = |text: &str| Run::new(text, Face::Regular, SIZE * 0.95);
    runs.extend(brackets.then(|| plain("(")));
    let mut units = 0;
    for part in node.children().filter(Node::is_element) {
        match part.tag_name().name() {
            "beat-unit" => {
                runs.extend((units > 0).then(|| plain(" = ")));
                units += 1;
                runs.push(Run::new(note_sign(&text(part)), Face::Music, SIZE * 1.35));
            }
            "beat-unit-dot" => runs.push(Run::new("\u{ECB7}", Face::Music, SIZE * 1.35)),
            "per-minute" => runs.push(plain(&format!(" = {}", text(part)))),
            _ => {}
        }
    }
    runs.extend(brackets.then(|| plain(")")));
}

/// The note of a metronome mark (SMuFL, metronome marks).
fn note_sign(unit: &str) -> &'static str {
    match unit {
        "breve" => "\u{ECA0}",
        "whole" => "\u{ECA2}",
        "half" => "\u{ECA3}",
        "eighth" => "\u{ECA7}",
        "16th" => "\u{ECA9}",
        "32nd" => "\u{ECAB}",
        _ => "\u{ECA5}",
    }
}

/// Sets the headings over their systems, of which the first begins with this measure. At the start of a line a heading begins with the staff.
pub(crate) fn place(systems: &mut [System], headings: &[&Heading], first: usize, text: Percent) {
    let mut first = first;
    for system in systems {
        let range = first..first + system.measures.len();
        first = range.end;
        for heading in headings.iter().filter(|h| range.contains(&h.measure)) {
            let x = system.measures[heading.measure - range.start].left;
            let mut line = TextLine { x, y: 0.0, anchor: Anchor::Start, runs: heading.runs.clone() };
            line.runs.iter_mut().for_each(|run| run.size *= text.factor());
            let room = if heading.framed.is_empty() { 0.0 } else { ROOM * SIZE * text.factor() };
            line.x += room;
            let Some(ink) = line.ink() else { continue };
            let below = ink_between(&system.group.shapes, ink[0] - 150.0, ink[2] + 1800.0).map_or(system.ink[1], |ink| ink[1]);
            line.y = below - 240.0 - room;
            let frames = heading.framed.iter().map(|run| frame(&line, *run)).collect::<Vec<_>>();
            for shape in frames.into_iter().chain([Shape::Text(line)]) {
                system.ink = shape.ink().map_or(system.ink, |ink| join(system.ink, ink));
                system.group.shapes.push(shape);
            }
        }
    }
}

/// Between a framed letter and its frame, and from the base line to a capital's top, as parts of the em.
const ROOM: f64 = 0.22;
const CAPITAL: f64 = 0.66;

/// The frame round one run of a line.
fn frame(line: &TextLine, run: usize) -> Shape {
    let size = line.runs[run].size;
    let left = line.x + shape(&line.runs[..run]).width - ROOM * size;
    let right = left + shape(&line.runs[run..=run]).width + 2.0 * ROOM * size;
    let (top, bottom) = (line.y - (CAPITAL + ROOM) * size, line.y + ROOM * size);
    drawing::frame([left, top, right, bottom])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The letter of a section is framed and not bold, so that nobody takes it for a chord; over a pickup the tempo stands beside it.
    #[test]
    fn letters_of_sections_are_framed() {
        let direction = |inside: &str| format!("<direction><direction-type>{inside}</direction-type></direction>");
        let tempo = direction("<metronome><beat-unit>quarter</beat-unit><per-minute>92</per-minute></metronome>");
        let measures = format!(
            "<measure implicit='yes'>{tempo}<note/></measure><measure>{}<note/></measure><measure>{}<note/></measure>",
            direction("<rehearsal>A</rehearsal>"),
            direction("<words font-weight='bold'>Verse 2</words>"),
        );
        let xml = format!("<score-partwise><part>{measures}</part></score-partwise>");
        let document = roxmltree::Document::parse(&xml).expect("the test's XML");
        let found = read(document.root_element());
        let said: Vec<(usize, &str, Face, &[usize])> =
            found.iter().map(|h| (h.measure, h.runs[0].text.as_str(), h.runs[0].face, h.framed.as_slice())).collect();
        assert_eq!(said, [(0, "A", Face::Regular, [0].as_slice()), (2, "Verse 2", Face::Bold, [].as_slice())]);
        let line = TextLine { x: 100.0, y: 1000.0, anchor: Anchor::Start, runs: found[0].runs.clone() };
        let letter = TextLine { runs: line.runs[..1].to_vec(), ..line.clone() }.ink().expect("ink");
        let around = frame(&line, 0).ink().expect("ink");
        assert!(
            around[0] < letter[0] && around[1] < letter[1] && around[2] > letter[2] && around[3] > letter[3],
            "{around:?} round {letter:?}"
        );
    }
}
