//! Words kept clear of what stands beside them: syllables of bar lines, chord symbols of each other.
//!
//! The engraving library centres a syllable under its note, and a long one at the start of a measure then crosses the bar
//! line: it is moved towards its measure as far as its neighbours leave room. Chord symbols are drawn larger than the
//! library reckons with, and a source may give two for one moment: a later one makes way to the right.

use crate::drawing::{Group, Ink, Shape};
use crate::layout::Percent;
use crate::parse::{Span, System};
use crate::text::TextLine;

/// Least distance of a syllable from a bar line and from the next syllable, in library units.
const CLEAR: f64 = 70.0;
/// Least distance between chord symbols.
const CHORDS_APART: f64 = 150.0;

pub(crate) fn clear(system: &mut System) {
    clear_bar_lines(system);
    clear_chord_symbols(&mut system.group);
}

fn clear_bar_lines(system: &mut System) {
    let mut inks = Vec::new();
    each_line(&mut system.group, "syl", &mut |line| inks.extend(line.ink().map(|ink| (line.y, ink))));
    system.each_measure(|group, span| {
        each_line(group, "syl", &mut |line| {
            if let Some(ink) = line.ink() {
                line.x += shift(ink, span, neighbours(&inks, line.y, ink));
            }
        });
    });
}

/// Classes of texts that are not words under notes: those the library has set in their size.
const ENLARGED: [&str; 6] = ["harm", "tempo", "dir", "reh", "mNum", "ending"];

/// Letters in another size than the usual, standing on their line as before.
pub(crate) fn enlarge(group: &mut Group, text: Percent) {
    if text == Percent::USUAL {
        return;
    }
    for class in ENLARGED {
        each_line(group, class, &mut |line| line.runs.iter_mut().for_each(|run| run.size *= text.factor()));
    }
}

/// Symbols at the same height, from left to right; each begins after the one before has ended.
fn clear_chord_symbols(group: &mut Group) {
    let mut inks: Vec<(f64, Ink)> = Vec::new();
    each_line(group, "harm", &mut |line| inks.extend(line.ink().map(|ink| (line.y, ink))));
    inks.sort_by(|a, b| a.1[0].total_cmp(&b.1[0]));
    let mut moved: Vec<(f64, Ink, f64)> = Vec::new();
    for (y, ink) in inks {
        let end =
            moved.iter().filter(|(other, ..)| (other - y).abs() < 100.0).map(|(_, ink, by)| ink[2] + by).fold(f64::NEG_INFINITY, f64::max);
        moved.push((y, ink, (end + CHORDS_APART - ink[0]).max(0.0)));
    }
    each_line(group, "harm", &mut |line| {
        let Some(ink) = line.ink() else { return };
        // Two symbols at one place are told apart by taking each shift once.
        if let Some(found) = moved.iter().position(|(y, other, _)| *y == line.y && *other == ink) {
            line.x += moved.remove(found).2;
        }
    });
}

fn each_line(group: &mut Group, class: &str, visit: &mut impl FnMut(&mut TextLine)) {
    let mine = group.class == class;
    for shape in &mut group.shapes {
        match shape {
            Shape::Text(line) if mine => visit(line),
            Shape::Group(inner) => each_line(inner, class, visit),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::face::Face;
    use crate::text::{Anchor, Run};

    fn word(class: &str, text: &str, x: f64) -> Shape {
        let line = TextLine { x, y: 0.0, anchor: Anchor::Start, runs: vec![Run::new(text, Face::Regular, 400.0)] };
        Shape::Group(Group { class: class.into(), shapes: vec![Shape::Text(line)], ..Group::default() })
    }

    fn system(shapes: Vec<Shape>) -> System {
        let measure = Group { class: "measure".into(), shapes, ..Group::default() };
        let group = Group { class: "system".into(), shapes: vec![Shape::Group(measure)], ..Group::default() };
        let span = Span { id: None, left: 1000.0, right: 5000.0, top: 0.0, bottom: 720.0 };
        System { group, ink: [0.0; 4], measures: vec![span] }
    }

    fn inks(system: &mut System, class: &str) -> Vec<Ink> {
        let mut inks = Vec::new();
        each_line(&mut system.group, class, &mut |line| inks.extend(line.ink()));
        inks
    }

    #[test]
    fn a_syllable_over_the_bar_line_moves_into_its_measure() {
        let mut system = system(vec![word("syl", "through", 900.0), word("syl", "the", 3000.0), word("syl", "strength", 4500.0)]);
        clear(&mut system);
        let inks = inks(&mut system, "syl");
        assert!((inks[0][0] - 1070.0).abs() < 0.01);
        assert!((inks[1][0] - 3000.0).abs() < 20.0, "one that is free stays");
        assert!((inks[2][2] - 4930.0).abs() < 0.01);
    }

    #[test]
    fn two_chord_symbols_at_one_place_stand_side_by_side() {
        let mut system = system(vec![word("harm", "Cm7", 2000.0), word("harm", "F7", 2000.0), word("harm", "B", 2100.0)]);
        clear(&mut system);
        let mut inks = inks(&mut system, "harm");
        inks.sort_by(|a, b| a[0].total_cmp(&b[0]));
        assert!(inks.windows(2).all(|pair| pair[1][0] >= pair[0][2] + CHORDS_APART - 0.01), "{inks:?}");
    }
}
