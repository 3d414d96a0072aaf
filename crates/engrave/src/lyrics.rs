//! Syllables kept clear of the bar lines.
//!
//! The engraving library centres a syllable under its note, and a long one at the start of a measure then crosses the bar
//! line. It is moved towards its measure as far as its neighbours leave room.

use crate::drawing::{Group, Ink, Shape};
use crate::parse::{Span, System};
use crate::text::TextLine;

/// Least distance from a bar line, and from the next syllable, in library units.
const CLEAR: f64 = 70.0;

pub(crate) fn clear_bar_lines(system: &mut System) {
    let mut inks = Vec::new();
    syllables(&mut system.group, &mut |line| inks.extend(line.ink().map(|ink| (line.y, ink))));
    let measures = &system.measures;
    let mut number = 0;
    for shape in &mut system.group.shapes {
        let Shape::Group(group) = shape else { continue };
        if group.class != "measure" {
            continue;
        }
        let Some(span) = measures.get(number) else { return };
        number += 1;
        syllables(group, &mut |line| {
            if let Some(ink) = line.ink() {
                line.x += shift(ink, span, neighbours(&inks, line.y, ink));
            }
        });
    }
}

fn syllables(group: &mut Group, visit: &mut impl FnMut(&mut TextLine)) {
    let mine = group.class == "syl";
    for shape in &mut group.shapes {
        match shape {
            Shape::Text(line) if mine => visit(line),
            Shape::Group(inner) => syllables(inner, visit),
            _ => {}
        }
    }
}

/// Where the syllable before ends and the next one begins, on the same line of words.
fn neighbours(inks: &[(f64, Ink)], y: f64, ink: Ink) -> (f64, f64) {
    let others = || inks.iter().filter(|(other, _)| (other - y).abs() < 1.0).map(|(_, ink)| ink);
    let before = others().filter(|o| o[0] < ink[0]).map(|o| o[2]).fold(f64::NEG_INFINITY, f64::max);
    let after = others().filter(|o| o[0] > ink[0]).map(|o| o[0]).fold(f64::INFINITY, f64::min);
    (before, after)
}

fn shift(ink: Ink, span: &Span, (before, after): (f64, f64)) -> f64 {
    let into = span.left + CLEAR - ink[0];
    let back = ink[2] - (span.right - CLEAR);
    if into > 0.0 && ink[2] > span.left {
        into.min((after - CLEAR - ink[2]).max(0.0))
    } else if back > 0.0 && ink[0] < span.right {
        -back.min((ink[0] - CLEAR - before).max(0.0))
    } else {
        0.0
    }
}
