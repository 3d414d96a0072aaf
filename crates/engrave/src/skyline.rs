//! The upper and lower outline of a system, so that a low stem may stand beside the next line's chord symbol.

use crate::drawing::{Group, Ink, Shape, Transform, join};

/// Columns are this wide, in library units; ink is widened by one column to either side.
const COLUMN: f64 = 120.0;
/// The first column begins this far before the staff.
const BEFORE: f64 = 1200.0;

#[derive(Clone, Debug, Default)]
pub(crate) struct Skyline {
    top: Vec<f64>,
    bottom: Vec<f64>,
}

impl Skyline {
    pub fn of(group: &Group) -> Skyline {
        let mut skyline = Skyline::default();
        skyline.add(&group.shapes);
        skyline
    }

    fn add(&mut self, shapes: &[Shape]) {
        for shape in shapes {
            match shape {
                Shape::Group(group) if group.place == Transform::Here => self.add(&group.shapes),
                other => other.ink().into_iter().for_each(|ink| self.widen(ink)),
            }
        }
    }

    fn widen(&mut self, ink: Ink) {
        let column = |x: f64| ((x + BEFORE) / COLUMN).max(0.0) as usize;
        let (from, to) = (column(ink[0]).saturating_sub(1), column(ink[2]) + 2);
        if self.top.len() < to {
            self.top.resize(to, f64::INFINITY);
            self.bottom.resize(to, f64::NEG_INFINITY);
        }
        for i in from..to {
            self.top[i] = self.top[i].min(ink[1]);
            self.bottom[i] = self.bottom[i].max(ink[3]);
        }
    }

    /// How far `below` must be moved down from its own place to touch this one from beneath.
    pub fn contact(&self, below: &Skyline) -> f64 {
        let distances = self.bottom.iter().zip(&below.top).map(|(bottom, top)| bottom - top);
        distances.fold(f64::NEG_INFINITY, f64::max)
    }

    /// The ink of the whole.
    pub fn ends(&self) -> (f64, f64) {
        let top = self.top.iter().copied().fold(f64::INFINITY, f64::min);
        (top, self.bottom.iter().copied().fold(f64::NEG_INFINITY, f64::max))
    }
}

/// The ink of shapes between two places of the line.
pub(crate) fn ink_between(shapes: &[Shape], left: f64, right: f64) -> Option<Ink> {
    let inks = shapes.iter().filter_map(|shape| match shape {
        Shape::Group(group) if group.place == Transform::Here => ink_between(&group.shapes, left, right),
        other => other.ink().filter(|&[x0, _, x1, _]: &Ink| x1 > left && x0 < right),
    });
    inks.reduce(join)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Fill, Path};
    use crate::font::Segment;

    fn system(lines: &[(f64, f64, f64)]) -> Skyline {
        let line = |&(x, top, bottom): &(f64, f64, f64)| {
            Shape::Path(Path { segments: vec![Segment::Move(x, top), Segment::Line(x, bottom)], stroke: None, fill: Fill::Empty })
        };
        Skyline::of(&Group { shapes: lines.iter().map(line).collect(), ..Group::default() })
    }

    #[test]
    fn low_ink_may_stand_beside_high_ink() {
        let upper = system(&[(0.0, 0.0, 700.0), (3000.0, 0.0, 1500.0)]);
        assert_eq!(upper.ends(), (0.0, 1500.0));
        // The high stem of the lower system is elsewhere, then under the low one.
        assert_eq!(upper.contact(&system(&[(0.0, 0.0, 700.0), (6000.0, -500.0, 0.0)])), 700.0);
        assert_eq!(upper.contact(&system(&[(0.0, 0.0, 700.0), (3000.0, -500.0, 0.0)])), 2000.0);
    }
}
