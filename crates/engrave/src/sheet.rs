//! A sheet that is no score: words, lines and dots at their places, and small pieces of music between them. Who asks for it decides where everything stands.
//!
//! Lengths are millimetres from the top left corner of the paper. A text or a piece of music that is wider than its room is made smaller, never cut.

use crate::drawing::{Ends, Fill, Group, Path, Shape, Sign, Stroke, Transform};
use crate::engraver::Engraver;
use crate::error::EngraveError;
use crate::face::Face;
use crate::font::Segment;
use crate::layout::{POINT, STAFF_UNITS};
use crate::pages::{Page, Pages};
use crate::source;
use crate::text::{Anchor, Run, TextLine, width};

/// Units in a millimetre.
const UNIT: f64 = 100.0;

/// One page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    pub title: String,
    pub author: String,
    /// Width and height.
    pub paper: (f64, f64),
    pub items: Vec<Item>,
}

/// Something on it.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    Words(Words),
    Line {
        from: (f64, f64),
        to: (f64, f64),
        width: f64,
        dashed: Dashed,
    },
    Dot {
        at: (f64, f64),
        radius: f64,
        inside: Inside,
    },
    /// The four corners' rectangle, drawn with a line.
    Frame {
        left_top: (f64, f64),
        right_bottom: (f64, f64),
        width: f64,
    },
    /// A line of music: the left end of its staff's top line, the height of the staff, and the room it has.
    Music {
        at: (f64, f64),
        staff: f64,
        most: f64,
        musicxml: String,
    },
}

/// A line of words on their base line.
#[derive(Clone, Debug, PartialEq)]
pub struct Words {
    pub at: (f64, f64),
    pub text: String,
    pub points: f64,
    pub style: Style,
    pub stands: Stands,
    /// The width it has at most.
    pub most: Option<f64>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Style {
    #[default]
    Plain,
    Bold,
    Italic,
}

/// Which point of the words stands at the place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stands {
    #[default]
    Left,
    Middle,
    Right,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Dashed {
    #[default]
    No,
    Yes,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Inside {
    #[default]
    Filled,
    Empty,
}

impl Engraver {
    /// Draws a sheet. Errors: a piece of music on it cannot be engraved.
    pub fn sheet(&self, sheet: &Sheet) -> Result<Pages, EngraveError> {
        let (width, height) = sheet.paper;
        let mut page = Page::new(width * UNIT, height * UNIT, UNIT);
        for item in &sheet.items {
            page.shapes.push(match item {
                Item::Words(words) => Shape::Text(line(words)),
                Item::Line { from, to, width, dashed } => {
                    let dash = (*dashed == Dashed::Yes).then_some((1.2 * UNIT, 0.9 * UNIT));
                    stroked(vec![at(*from, true), at(*to, false)], *width, dash)
                }
                Item::Dot { at, radius, inside } => dot(*at, *radius, *inside),
                Item::Frame { left_top: (l, t), right_bottom: (r, b), width } => {
                    let corners = vec![at((*l, *t), true), at((*r, *t), false), at((*r, *b), false), at((*l, *b), false), Segment::Close];
                    stroked(corners, *width, None)
                }
                Item::Music { at, staff, most, musicxml } => self.music(*at, *staff, *most, musicxml)?,
            });
        }
        Ok(Pages::new(sheet.title.clone(), sheet.author.clone(), vec![page]))
    }

    fn music(&self, (x, y): (f64, f64), staff: f64, most: f64, musicxml: &str) -> Result<Shape, EngraveError> {
        let source = source::read(musicxml)?;
        let system = self.one_line(&source)?;
        let (left, right) = (system.ink[0].min(0.0), system.ink[2]);
        let scale = (staff * UNIT / STAFF_UNITS).min(most * UNIT / (right - left).max(1.0));
        let mut group = scaled(&system.group, scale);
        let (from, top) = (left * scale, system.place() * scale);
        group.place = Transform::Shifted { x: x * UNIT - from, y: y * UNIT - top };
        Ok(Shape::Group(Group { class: "system".into(), id: None, place: Transform::Here, shapes: vec![Shape::Group(group)] }))
    }
}

fn at((x, y): (f64, f64), first: bool) -> Segment {
    if first { Segment::Move(x * UNIT, y * UNIT) } else { Segment::Line(x * UNIT, y * UNIT) }
}

fn stroked(segments: Vec<Segment>, width: f64, dash: Option<(f64, f64)>) -> Shape {
    let stroke = Some(Stroke { width: width * UNIT, ends: Ends::Flat, dash });
    Shape::Path(Path { segments, stroke, fill: Fill::Empty })
}

/// A circle as four curves.
fn dot((x, y): (f64, f64), radius: f64, inside: Inside) -> Shape {
    const ROUND: f64 = 0.552_284_75;
    let (x, y, r) = (x * UNIT, y * UNIT, radius * UNIT);
    let k = r * ROUND;
    let segments = vec![
        Segment::Move(x + r, y),
        Segment::Curve([x + r, y + k, x + k, y + r, x, y + r]),
        Segment::Curve([x - k, y + r, x - r, y + k, x - r, y]),
        Segment::Curve([x - r, y - k, x - k, y - r, x, y - r]),
        Segment::Curve([x + k, y - r, x + r, y - k, x + r, y]),
        Segment::Close,
    ];
    match inside {
        Inside::Filled => Shape::Path(Path { segments, stroke: None, fill: Fill::Solid }),
        Inside::Empty => {
            Shape::Path(Path { segments, stroke: Some(Stroke { width: 0.25 * UNIT, ends: Ends::Flat, dash: None }), fill: Fill::Empty })
        }
    }
}

fn line(words: &Words) -> TextLine {
    let face = match words.style {
        Style::Plain => Face::Regular,
        Style::Bold => Face::Bold,
        Style::Italic => Face::Italic,
    };
    let anchor = match words.stands {
        Stands::Left => Anchor::Start,
        Stands::Middle => Anchor::Middle,
        Stands::Right => Anchor::End,
    };
    let size = words.points * POINT * UNIT;
    let size = words.most.map_or(size, |most| size * (most * UNIT / width(&words.text, face, size).max(1.0)).min(1.0));
    TextLine { x: words.at.0 * UNIT, y: words.at.1 * UNIT, anchor, runs: vec![Run::new(words.text.clone(), face, size)] }
}

/// The same shapes, larger or smaller.
fn scaled(group: &Group, by: f64) -> Group {
    let place = match group.place {
        Transform::Here => Transform::Here,
        Transform::Shifted { x, y } => Transform::Shifted { x: x * by, y: y * by },
        Transform::Turned { degrees, x, y } => Transform::Turned { degrees, x: x * by, y: y * by },
    };
    let shape = |shape: &Shape| match shape {
        Shape::Group(group) => Shape::Group(scaled(group, by)),
        Shape::Sign(s) => Shape::Sign(Sign { x: s.x * by, y: s.y * by, width: s.width * by, height: s.height * by, ..*s }),
        Shape::Text(text) => {
            let run = |run: &Run| Run { size: run.size * by, lift: run.lift * by, ..run.clone() };
            Shape::Text(TextLine { x: text.x * by, y: text.y * by, anchor: text.anchor, runs: text.runs.iter().map(run).collect() })
        }
        Shape::Path(path) => {
            let segment = |segment: &Segment| match *segment {
                Segment::Move(x, y) => Segment::Move(x * by, y * by),
                Segment::Line(x, y) => Segment::Line(x * by, y * by),
                Segment::Curve(c) => Segment::Curve(c.map(|v| v * by)),
                Segment::Close => Segment::Close,
            };
            let stroke = path.stroke.map(|s| Stroke { width: s.width * by, dash: s.dash.map(|(d, g)| (d * by, g * by)), ..s });
            Shape::Path(Path { segments: path.segments.iter().map(segment).collect(), stroke, fill: path.fill })
        }
    };
    // Ids name measures of a page; a piece of music on a sheet is none.
    Group { class: group.class.clone(), id: None, place, shapes: group.shapes.iter().map(shape).collect() }
}
