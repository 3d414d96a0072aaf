//! How far drawn things reach up and down between two places of the line: curves and slanted beams where they really are, not their boxes.

use super::{Side, outer};
use crate::drawing::{Group, Ink, Path, Shape, Transform};
use crate::font::Segment;

/// A system's things, measured once.
#[derive(Debug, Default)]
pub(crate) struct Outline {
    things: Vec<Thing>,
}

#[derive(Debug)]
struct Thing {
    ink: Ink,
    /// What was drawn as a line: its straight pieces and half its thickness. Others count with their box.
    lines: Option<(Vec<(Point, Point)>, f64)>,
    /// The side on which it is one of the library's things outside the staves.
    outer: Option<Side>,
}

type Point = (f64, f64);

/// Which things are asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Which {
    All,
    /// Without the library's things outside the staves on the side asked about.
    Inner,
}

impl Outline {
    /// `staves` are the heights of the first and the last staff line.
    pub fn of(group: &Group, staves: (f64, f64)) -> Outline {
        let mut outline = Outline::default();
        outline.add(&group.shapes, (0.0, 0.0), None, staves);
        outline
    }

    /// Adds what was set later.
    pub fn put(&mut self, shapes: &[Shape]) {
        self.add(shapes, (0.0, 0.0), None, (0.0, 0.0));
    }

    fn add(&mut self, shapes: &[Shape], (x, y): (f64, f64), outer: Option<Side>, staves: (f64, f64)) {
        for shape in shapes {
            match shape {
                Shape::Group(group) => {
                    let outer = outer.or_else(|| outer::side(group, staves.0, staves.1));
                    match group.place {
                        Transform::Here => self.add(&group.shapes, (x, y), outer, staves),
                        Transform::Shifted { x: right, y: down } => self.add(&group.shapes, (x + right, y + down), outer, staves),
                        Transform::Turned { .. } => self.thing(shape, (x, y), None, outer),
                    }
                }
                Shape::Path(path) => {
                    let lines = pieces(path).into_iter().map(|(a, b)| ((a.0 + x, a.1 + y), (b.0 + x, b.1 + y))).collect();
                    self.thing(shape, (x, y), Some((lines, path.stroke.map_or(0.0, |s| s.width / 2.0))), outer);
                }
                _ => self.thing(shape, (x, y), None, outer),
            }
        }
    }

    fn thing(&mut self, shape: &Shape, (x, y): (f64, f64), lines: Option<(Vec<(Point, Point)>, f64)>, outer: Option<Side>) {
        let ink = shape.ink().map(|ink| [ink[0] + x, ink[1] + y, ink[2] + x, ink[3] + y]);
        self.things.extend(ink.map(|ink| Thing { ink, lines, outer }));
    }

    /// The highest or lowest ink between two places, whichever lies further out on the side.
    pub fn reach(&self, side: Side, left: f64, right: f64, which: Which) -> Option<f64> {
        let asked = self.things.iter().filter(|t| which == Which::All || t.outer != Some(side));
        let near = asked.filter(|t| t.ink[2] > left && t.ink[0] < right);
        let extents = near.filter_map(|t| t.extent(left, right));
        match side {
            Side::Above => extents.map(|e| e.0).reduce(f64::min),
            Side::Below => extents.map(|e| e.1).reduce(f64::max),
        }
    }
}

impl Thing {
    /// Highest and lowest between two places.
    fn extent(&self, left: f64, right: f64) -> Option<(f64, f64)> {
        let Some((lines, half)) = &self.lines else { return Some((self.ink[1], self.ink[3])) };
        let clipped = lines.iter().filter_map(|(a, b)| clipped(*a, *b, left - half, right + half));
        let found = clipped.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        found.map(|(top, bottom)| (top - half, bottom + half))
    }
}

/// A curve is taken as so many straight lines.
const STEPS: u32 = 16;

fn pieces(path: &Path) -> Vec<(Point, Point)> {
    let mut lines = Vec::new();
    let (mut start, mut last) = ((0.0, 0.0), (0.0, 0.0));
    for segment in &path.segments {
        match *segment {
            Segment::Move(x, y) => (start, last) = ((x, y), (x, y)),
            Segment::Line(x, y) => {
                lines.push((last, (x, y)));
                last = (x, y);
            }
            Segment::Curve(c) => {
                let from = last;
                for i in 1..=STEPS {
                    let next = crate::drawing::on_curve(from, c, f64::from(i) / f64::from(STEPS));
                    lines.push((last, next));
                    last = next;
                }
            }
            Segment::Close => {
                lines.push((last, start));
                last = start;
            }
        }
    }
    lines
}

/// The heights of a straight line between two places.
fn clipped(from: Point, to: Point, left: f64, right: f64) -> Option<(f64, f64)> {
    let (a, b) = if from.0 <= to.0 { (from, to) } else { (to, from) };
    if b.0 < left || a.0 > right {
        return None;
    }
    let at = |x: f64| if b.0 - a.0 < 1e-9 { None } else { Some(a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)) };
    let first = if a.0 < left { at(left)? } else { a.1 };
    let second = if b.0 > right { at(right)? } else { b.1 };
    Some((first.min(second), first.max(second)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Fill;

    fn outline(segments: Vec<Segment>) -> Outline {
        let mut outline = Outline::default();
        outline.put(&[Shape::Path(Path { segments, stroke: None, fill: Fill::Empty })]);
        outline
    }

    #[test]
    fn a_slanted_beam_is_low_at_its_low_end() {
        let beam = outline(vec![Segment::Move(0.0, 0.0), Segment::Line(100.0, 50.0)]);
        let reach = |side, left, right| beam.reach(side, left, right, Which::All);
        assert_eq!((reach(Side::Above, 80.0, 120.0), reach(Side::Below, 80.0, 120.0)), (Some(40.0), Some(50.0)));
        assert_eq!(reach(Side::Above, 101.0, 120.0), None);
    }

    #[test]
    fn a_slur_is_high_in_its_middle_only() {
        let slur = outline(vec![Segment::Move(0.0, 0.0), Segment::Curve([0.0, -100.0, 300.0, -100.0, 300.0, 0.0])]);
        let top = |left, right| slur.reach(Side::Above, left, right, Which::All).map(f64::round);
        assert_eq!(top(140.0, 160.0), Some(-75.0));
        assert!(top(0.0, 10.0) > Some(-50.0));
    }
}
