//! What a page is made of, whatever it will be written as: paths, music signs, lines of text, and groups of them.
//!
//! Units are the engraving library's, y downwards.

use crate::face::Face;
use crate::font::Segment;
use crate::text::TextLine;

/// Left, top, right, bottom.
pub(crate) type Ink = [f64; 4];

pub(crate) fn join(a: Ink, b: Ink) -> Ink {
    [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]
}

/// The line of a frame round letters, in library units: as thin as those of endings.
const FRAME: f64 = 15.0;

/// A frame.
pub(crate) fn frame([left, top, right, bottom]: Ink) -> Shape {
    let segments = vec![
        Segment::Move(left, top),
        Segment::Line(right, top),
        Segment::Line(right, bottom),
        Segment::Line(left, bottom),
        Segment::Close,
    ];
    Shape::Path(Path { segments, stroke: Some(Stroke { width: FRAME, ends: Ends::Flat, dash: None }), fill: Fill::Empty })
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    Group(Group),
    Path(Path),
    Sign(Sign),
    Text(TextLine),
}

/// Shapes that belong together: a measure, a note, a chord symbol.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Group {
    /// The engraving library's word for it: `measure`, `note`, `harm`.
    pub class: String,
    /// The id of the element in the MusicXML that it was drawn for.
    pub id: Option<String>,
    pub place: Transform,
    pub shapes: Vec<Shape>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) enum Transform {
    #[default]
    Here,
    Shifted {
        x: f64,
        y: f64,
    },
    /// Turned clockwise by so many degrees about a point.
    Turned {
        degrees: f64,
        x: f64,
        y: f64,
    },
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Path {
    pub segments: Vec<Segment>,
    pub stroke: Option<Stroke>,
    pub fill: Fill,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fill {
    Solid,
    Empty,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stroke {
    pub width: f64,
    pub ends: Ends,
    /// Lengths of dash and gap.
    pub dash: Option<(f64, f64)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ends {
    Flat,
    Round,
}

/// A sign of the music font at its origin; `width` and `height` are the em in either direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sign {
    pub glyph: u16,
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub height: f64,
}

impl Shape {
    pub fn ink(&self) -> Option<Ink> {
        match self {
            Shape::Group(group) => group.ink(),
            Shape::Path(path) => path.ink(),
            Shape::Sign(sign) => sign.ink(),
            Shape::Text(text) => text.ink(),
        }
    }
}

impl Group {
    pub fn ink(&self) -> Option<Ink> {
        let ink = self.shapes.iter().filter_map(Shape::ink).reduce(join)?;
        Some(match self.place {
            Transform::Here => ink,
            Transform::Shifted { x, y } => [ink[0] + x, ink[1] + y, ink[2] + x, ink[3] + y],
            Transform::Turned { degrees, x, y } => turned(ink, degrees, x, y),
        })
    }
}

fn turned(ink: Ink, degrees: f64, x: f64, y: f64) -> Ink {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let corners = [(ink[0], ink[1]), (ink[2], ink[1]), (ink[0], ink[3]), (ink[2], ink[3])];
    corners
        .map(|(cx, cy)| {
            let (dx, dy) = (cx - x, cy - y);
            let (tx, ty) = (x + dx * cos - dy * sin, y + dx * sin + dy * cos);
            [tx, ty, tx, ty]
        })
        .into_iter()
        .reduce(join)
        .unwrap_or(ink)
}

impl Path {
    fn ink(&self) -> Option<Ink> {
        let half = self.stroke.map_or(0.0, |s| s.width / 2.0);
        let grown = |x: f64, y: f64| [x - half, y - half, x + half, y + half];
        let mut last = (0.0, 0.0);
        let mut ink: Option<Ink> = None;
        for segment in &self.segments {
            let points: Vec<(f64, f64)> = match *segment {
                Segment::Move(x, y) | Segment::Line(x, y) => vec![(x, y)],
                Segment::Curve(c) => [0.25, 0.5, 0.75, 1.0].map(|t| on_curve(last, c, t)).to_vec(),
                Segment::Close => Vec::new(),
            };
            for (x, y) in points {
                last = (x, y);
                ink = Some(ink.map_or(grown(x, y), |i| join(i, grown(x, y))));
            }
        }
        ink
    }
}

/// The point at part `t` of a cubic curve.
pub(crate) fn on_curve(from: (f64, f64), [a, b, c, d, x, y]: [f64; 6], t: f64) -> (f64, f64) {
    let u = 1.0 - t;
    let at = |p0: f64, p1: f64, p2: f64, p3: f64| u * u * u * p0 + 3.0 * u * u * t * p1 + 3.0 * u * t * t * p2 + t * t * t * p3;
    (at(from.0, a, c, x), at(from.1, b, d, y))
}

impl Sign {
    fn ink(&self) -> Option<Ink> {
        let font = Face::Music.font();
        let [x0, y0, x1, y1] = font.ink(self.glyph)?;
        let (w, h) = (self.width / font.em, self.height / font.em);
        Some([self.x + x0 * w, self.y - y1 * h, self.x + x1 * w, self.y - y0 * h])
    }
}
