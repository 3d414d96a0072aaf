//! Where the notes and rests of a system stand: the middles of their heads, by id.

use crate::drawing::{Group, Ink, Shape, Transform, join};
use crate::face::Face;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// Left and right end of each note's head, or of a rest.
pub(crate) fn find(group: &Group) -> BTreeMap<String, (f64, f64)> {
    let mut found = BTreeMap::new();
    collect(group, &mut found);
    found
}

fn collect(group: &Group, found: &mut BTreeMap<String, (f64, f64)>) {
    if let Some(id) = group.id.as_ref().filter(|_| matches!(group.class.as_str(), "note" | "rest")) {
        let ink = heads(&group.shapes).or_else(|| group.ink());
        found.extend(ink.map(|ink| (id.clone(), (ink[0], ink[2]))));
    }
    for shape in &group.shapes {
        match shape {
            Shape::Group(inner) if inner.place == Transform::Here => collect(inner, found),
            _ => {}
        }
    }
}

fn heads(shapes: &[Shape]) -> Option<Ink> {
    let inks = shapes.iter().filter_map(|shape| match shape {
        Shape::Sign(sign) if glyphs().contains(&sign.glyph) => shape.ink(),
        Shape::Group(group) if group.place == Transform::Here => heads(&group.shapes),
        _ => None,
    });
    inks.reduce(join)
}

/// The noteheads of the music font (SMuFL, E0A0 to E0FF).
fn glyphs() -> &'static BTreeSet<u16> {
    static GLYPHS: OnceLock<BTreeSet<u16>> = OnceLock::new();
    GLYPHS.get_or_init(|| ('\u{E0A0}'..='\u{E0FF}').filter_map(|c| Face::Music.font().glyph(c)).collect())
}
