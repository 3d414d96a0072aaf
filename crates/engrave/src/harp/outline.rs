//! How far drawn things reach up and down between two places of the line: curves and slanted beams where they really are, not their boxes.

use crate::drawing::{Group, Path, Place, Shape};
use crate::font::Segment;

/// The highest and lowest ink between `left` and `right`, `skip`ped groups left out.
pub(crate) fn extent(shapes: &[Shape], left: f64, right: f64, skip: &dyn Fn(&Group) -> bool) -> Option<(f64, f64)> {
    let mut found: Option<(f64, f64)> = None;
    let mut widen = |(top, bottom): (f64, f64)| {
        found = Some(found.map_or((top, bottom), |(t, b)| (t.min(top), b.max(bottom))));
    };
    for shape in shapes {
        match shape {
            Shape::Group(group) if skip(group) => {}
            Shape::Group(group) => match group.place {
                Place::Here => extent(&group.shapes, left, right, skip).into_iter().for_each(&mut widen),
                Place::Shifted { x, y } => {
                    let inner = extent(&group.shapes, left - x, right - x, skip);
                    inner.into_iter().for_each(|(top, bottom)| widen((top + y, bottom + y)));
                }
                Place::Turned { .. } => boxed(shape, left, right).into_iter().for_each(&mut widen),
            },
            Shape::Path(path) => of_path(path, left, right).into_iter().for_each(&mut widen),
            _ => boxed(shape, left, right).into_iter().for_each(&mut widen),
        }
    }
    found
}

fn boxed(shape: &Shape, left: f64, right: f64) -> Option<(f64, f64)> {
    shape.ink().filter(|ink| ink[2] > left && ink[0] < right).map(|ink| (ink[1], ink[3]))
}

fn of_path(path: &Path, left: f64, right: f64) -> Option<(f64, f64)> {
    let half = path.stroke.map_or(0.0, |s| s.width / 2.0);
    let (left, right) = (left - half, right + half);
    let mut found: Option<(f64, f64)> = None;
    let (mut start, mut last) = ((0.0, 0.0), (0.0, 0.0));
    let mut add = |from: (f64, f64), to: (f64, f64)| {
        if let Some((top, bottom)) = clipped(from, to, left, right) {
            found = Some(found.map_or((top, bottom), |(t, b)| (t.min(top), b.max(bottom))));
        }
    };
    for segment in &path.segments {
        match *segment {
            Segment::Move(x, y) => (start, last) = ((x, y), (x, y)),
            Segment::Line(x, y) => {
                add(last, (x, y));
                last = (x, y);
            }
            Segment::Curve(c) => {
                let from = last;
                for i in 1..=STEPS {
                    let next = crate::drawing::on_curve(from, c, f64::from(i) / f64::from(STEPS));
                    add(last, next);
                    last = next;
                }
            }
            Segment::Close => {
                add(last, start);
                last = start;
            }
        }
    }
    found.map(|(top, bottom)| (top - half, bottom + half))
}

/// A curve is taken as so many straight lines.
const STEPS: u32 = 16;

/// The heights of a straight line between two places.
fn clipped(from: (f64, f64), to: (f64, f64), left: f64, right: f64) -> Option<(f64, f64)> {
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

    #[test]
    fn a_slanted_beam_is_low_at_its_low_end() {
        let beam = Path { segments: vec![Segment::Move(0.0, 0.0), Segment::Line(100.0, 50.0)], stroke: None, fill: Fill::Empty };
        let shapes = [Shape::Path(beam)];
        assert_eq!(extent(&shapes, 80.0, 120.0, &|_| false), Some((40.0, 50.0)));
        assert_eq!(extent(&shapes, 101.0, 120.0, &|_| false), None);
    }

    #[test]
    fn a_slur_is_high_in_its_middle_only() {
        let curve = Segment::Curve([0.0, -100.0, 300.0, -100.0, 300.0, 0.0]);
        let slur = Path { segments: vec![Segment::Move(0.0, 0.0), curve], stroke: None, fill: Fill::Empty };
        let top = |left, right| extent(&[Shape::Path(slur.clone())], left, right, &|_| false).map(|e| e.0.round());
        assert_eq!(top(140.0, 160.0), Some(-75.0));
        assert!(top(0.0, 10.0) > Some(-50.0));
    }
}
