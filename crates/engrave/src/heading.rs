//! Headings and tempo marks: the line over the start of a measure ("Verse 2", "Gently ♩ = 96").
//!
//! The engraving library would put them between staff and chord symbols. They are taken out of the score and set here on
//! top of everything else, heading first, in one line.

use crate::drawing::{Shape, join};
use crate::font::Face;
use crate::layout::Percent;
use crate::parse::System;
use crate::skyline::ink_between;
use crate::source::{child, text};
use crate::text::{Anchor, Run, TextLine};
use roxmltree::Node;

/// What stands over the start of a measure.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Heading {
    /// The measure, counted from 0.
    pub measure: usize,
    pub runs: Vec<Run>,
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
        let mut runs = Vec::new();
        for direction in bold.into_iter().chain(tempo) {
            if !runs.is_empty() {
                runs.push(Run::new("\u{2003}", Face::Bold, SIZE));
            }
            direction.descendants().for_each(|n| add(&mut runs, n));
        }
        Heading { measure, runs }
    });
    headings.filter(|h| !h.runs.is_empty()).collect()
}

fn add(runs: &mut Vec<Run>, node: Node) {
    match node.tag_name().name() {
        "words" | "rehearsal" => runs.push(Run::new(text(node), Face::Bold, SIZE)),
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
            let Some(ink) = line.ink() else { continue };
            let below = ink_between(&system.group.shapes, ink[0] - 150.0, ink[2] + 1800.0).map_or(system.ink[1], |ink| ink[1]);
            line.y = below - 240.0;
            let shape = Shape::Text(line);
            system.ink = shape.ink().map_or(system.ink, |ink| join(system.ink, ink));
            system.group.shapes.push(shape);
        }
    }
}
