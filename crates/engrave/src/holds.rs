//! Fermatas of two hands that are held at one moment stand one over the other.
//!
//! The engraving library sets each over its own note. Where one hand has a long note and the other still plucks, the signs then stand apart although they mean
//! the same moment: the earlier one is moved along its note to the later (Gould, Behind Bars, on pauses: all parts show a pause at one place).

use crate::drawing::{Group, Shape};
use crate::parse::System;
use crate::source::{child, text};
use roxmltree::Node;
use std::collections::{BTreeMap, BTreeSet};

/// The measures of the first part in which each of two staves ends with a fermata, counted from 0.
pub(crate) fn read(root: Node) -> BTreeSet<usize> {
    let measures = child(root, "part").into_iter().flat_map(|part| part.children().filter(|n| n.has_tag_name("measure")));
    measures.enumerate().filter(|(_, measure)| is_held(*measure)).map(|(index, _)| index).collect()
}

fn is_held(measure: Node) -> bool {
    let mut last: BTreeMap<String, bool> = BTreeMap::new();
    let sounding = |n: &Node| n.has_tag_name("note") && child(*n, "chord").is_none() && child(*n, "grace").is_none();
    for note in measure.children().filter(sounding) {
        let staff = child(note, "staff").map(text).unwrap_or_default();
        last.insert(staff, note.descendants().any(|n| n.has_tag_name("fermata")));
    }
    last.len() == 2 && last.values().all(|held| *held)
}

/// Moves fermatas in the measures that are held, of which there is one entry for each measure of the systems. Where a measure has other fermatas too, all stay.
pub(crate) fn align(systems: &mut [System], held: &[bool]) {
    let shapes = systems.iter_mut().flat_map(|system| &mut system.group.shapes);
    let measures = shapes.filter_map(|shape| match shape {
        Shape::Group(group) if group.class == "measure" => Some(group),
        _ => None,
    });
    for (measure, _) in measures.zip(held).filter(|(_, held)| **held) {
        let mut places = Vec::new();
        each(measure, &mut |fermata| places.extend(middle(fermata)));
        if let [a, b] = places[..] {
            let to = a.max(b);
            each(measure, &mut |fermata| {
                let by = middle(fermata).map_or(0.0, |x| to - x);
                fermata.shapes.iter_mut().for_each(|shape| move_right(shape, by));
            });
        }
    }
}

fn each(group: &mut Group, visit: &mut impl FnMut(&mut Group)) {
    for shape in &mut group.shapes {
        let Shape::Group(inner) = shape else { continue };
        if inner.class == "fermata" { visit(inner) } else { each(inner, visit) }
    }
}

fn middle(group: &Group) -> Option<f64> {
    group.ink().map(|ink| (ink[0] + ink[2]) / 2.0)
}

fn move_right(shape: &mut Shape, by: f64) {
    if let Shape::Sign(sign) = shape {
        sign.x += by;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Sign;
    use crate::face::Face;
    use crate::parse::Span;

    fn note(staff: u32, more: &str) -> String {
        format!("<note><duration>1</duration><staff>{staff}</staff>{more}</note>")
    }

    #[test]
    fn a_measure_is_held_where_both_hands_end_with_the_sign() {
        let sign = "<notations><fermata/></notations>";
        let chord = "<note><chord/><duration>1</duration><staff>2</staff></note>";
        let measures = [
            note(1, sign) + &note(2, "") + &note(2, sign) + chord,
            note(1, sign) + &note(1, "") + &note(2, sign),
            note(1, sign) + &note(2, ""),
            note(1, sign),
        ];
        let measures: String = measures.iter().map(|m| format!("<measure>{m}</measure>")).collect();
        let xml = format!("<score-partwise><part>{measures}</part></score-partwise>");
        let document = roxmltree::Document::parse(&xml).expect("the test's XML");
        assert_eq!(read(document.root_element()), BTreeSet::from([0]));
    }

    fn fermata(x: f64) -> Shape {
        let glyph = Face::Music.font().glyph('\u{E4C0}').expect("the font has it");
        let sign = Shape::Sign(Sign { glyph, x, y: 0.0, width: 720.0, height: 720.0 });
        Shape::Group(Group { class: "fermata".into(), shapes: vec![sign], ..Group::default() })
    }

    fn places(systems: &mut [System]) -> Vec<f64> {
        let mut found = Vec::new();
        systems.iter_mut().for_each(|system| each(&mut system.group, &mut |f| found.extend(middle(f))));
        found.iter().map(|x| (x - found[0]).round()).collect()
    }

    #[test]
    fn the_earlier_goes_to_the_later_and_only_where_both_are_held() {
        let measure = |a, b| Shape::Group(Group { class: "measure".into(), shapes: vec![fermata(a), fermata(b)], ..Group::default() });
        let group = Group { shapes: vec![measure(1000.0, 1500.0), measure(3000.0, 2200.0), measure(4000.0, 4700.0)], ..Group::default() };
        let span = Span { id: None, left: 0.0, right: 0.0, top: 0.0, bottom: 0.0 };
        let mut systems = [System { group, ink: [0.0; 4], measures: vec![span; 3] }];
        align(&mut systems, &[true, true, false]);
        assert_eq!(places(&mut systems), [0.0, 0.0, 1500.0, 1500.0, 2500.0, 3200.0]);
    }
}
