//! What the engraving library sets outside the staves: chord symbols, words, dynamics, endings. They make way for fingers and marks.

use super::Side;
use crate::drawing::{Group, Ink, Shape, Transform};

/// The library's words for them.
const OUTER: [&str; 8] = ["harm", "dir", "dynam", "reh", "tempo", "ending", "repeatMark", "fermata"];
/// Least distance of such a thing from what was set here, and of such things from each other once they are moved.
const OUTER_GAP: f64 = 110.0;
const ROWS_GAP: f64 = 70.0;

/// Moves them out of the way of what was set on their side, the innermost first; chord symbols keep their common height, and so do endings.
/// `staves` are the heights of the first and the last staff line.
pub(crate) fn clear(group: &mut Group, wanted: Side, staves: (f64, f64), set: Vec<Ink>) {
    let mut taken: Vec<(Ink, f64)> = set.into_iter().map(|ink| (ink, OUTER_GAP)).collect();
    let mut found: Vec<Outer> = Vec::new();
    each(group, wanted, staves, &mut |group| found.extend(Outer::of(group)));
    let mut moves = vec![0.0; found.len()];
    for row in rows(&found, wanted) {
        let by = row.iter().map(|i| found[*i].way_out(wanted, &taken)).fold(0.0, f64::max);
        for i in row {
            moves[i] = if wanted == Side::Above { -by } else { by };
            let [left, top, right, bottom] = found[i].ink;
            taken.push(([left, top + moves[i], right, bottom + moves[i]], ROWS_GAP));
        }
    }
    let mut moves = moves.into_iter();
    each(group, wanted, staves, &mut |group| {
        if let Some(y) = moves.next().filter(|y| *y != 0.0) {
            group.place = Transform::Shifted { x: 0.0, y };
        }
    });
}

/// One thing of the library's outside the staves.
struct Outer {
    class: String,
    ink: Ink,
}

impl Outer {
    fn of(group: &Group) -> Option<Outer> {
        group.ink().map(|ink| Outer { class: group.class.clone(), ink })
    }

    /// How far it must go to be clear of what is taken, each with its least distance.
    fn way_out(&self, side: Side, taken: &[(Ink, f64)]) -> f64 {
        let mut by: f64 = 0.0;
        for (other, gap) in taken.iter().filter(|(o, gap)| o[0] < self.ink[2] + gap && o[2] > self.ink[0] - gap) {
            by = by.max(match side {
                Side::Above => self.ink[3] + gap - other[1],
                Side::Below => other[3] + gap - self.ink[1],
            });
        }
        by
    }

    /// Its distance from the staves, upwards or downwards.
    fn nearness(&self, side: Side) -> f64 {
        match side {
            Side::Above => -self.ink[3],
            Side::Below => self.ink[1],
        }
    }
}

/// The things that are moved together, those nearest the staves first.
fn rows(found: &[Outer], side: Side) -> Vec<Vec<usize>> {
    let mut rows: Vec<Vec<usize>> = Vec::new();
    for (i, outer) in found.iter().enumerate() {
        let shared = matches!(outer.class.as_str(), "harm" | "ending");
        match rows.iter_mut().find(|row| shared && found[row[0]].class == outer.class) {
            Some(row) => row.push(i),
            None => rows.push(vec![i]),
        }
    }
    let nearest = |row: &Vec<usize>| row.iter().map(|i| found[*i].nearness(side)).fold(f64::INFINITY, f64::min);
    rows.sort_by(|a, b| nearest(a).total_cmp(&nearest(b)));
    rows
}

/// The side on which a group of the library's stands outside the staves.
pub(crate) fn side(group: &Group, top: f64, bottom: f64) -> Option<Side> {
    let ink = group.ink().filter(|_| OUTER.contains(&group.class.as_str()))?;
    if ink[3] <= top + 1.0 {
        Some(Side::Above)
    } else if ink[1] >= bottom - 1.0 {
        Some(Side::Below)
    } else {
        None
    }
}

fn each(group: &mut Group, wanted: Side, (top, bottom): (f64, f64), visit: &mut impl FnMut(&mut Group)) {
    for shape in &mut group.shapes {
        let Shape::Group(inner) = shape else { continue };
        if side(inner, top, bottom) == Some(wanted) {
            visit(inner);
        } else if inner.place == Transform::Here {
            each(inner, wanted, (top, bottom), visit);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Fill, Path};
    use crate::font::Segment;

    fn outer(class: &str, left: f64, top: f64) -> Shape {
        let segments = vec![Segment::Move(left, top), Segment::Line(left + 100.0, top + 100.0)];
        let shapes = vec![Shape::Path(Path { segments, stroke: None, fill: Fill::Empty })];
        Shape::Group(Group { class: class.into(), shapes, ..Group::default() })
    }

    fn tops(group: &Group) -> Vec<f64> {
        group.shapes.iter().filter_map(Shape::ink).map(|ink| ink[1]).collect()
    }

    #[test]
    fn chord_symbols_rise_together_and_lift_what_stands_on_them() {
        let shapes =
            vec![outer("harm", 0.0, -300.0), outer("harm", 1000.0, -300.0), outer("dir", 1000.0, -450.0), outer("dir", 2000.0, -450.0)];
        let mut group = Group { shapes, ..Group::default() };
        clear(&mut group, Side::Above, (0.0, 720.0), vec![[0.0, -240.0, 50.0, -100.0]]);
        assert_eq!(tops(&group), [-450.0, -450.0, -620.0, -450.0]);
    }

    #[test]
    fn what_stands_between_or_below_the_staves_stays() {
        let mut group = Group { shapes: vec![outer("dynam", 0.0, 300.0), outer("dynam", 0.0, 800.0)], ..Group::default() };
        clear(&mut group, Side::Above, (0.0, 720.0), vec![[0.0, 290.0, 50.0, 900.0]]);
        assert_eq!(tops(&group), [300.0, 800.0]);
    }
}
