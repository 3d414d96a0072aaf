//! The rows of a list: a title with dots that lead to the number of its page, a heading, a line of words. Each is drawn from its own top left corner; where it goes is decided in `lists`.

use super::marks::cut;
use crate::drawing::{Ends, Fill, Path, Shape, Stroke};
use crate::face::Face;
use crate::font::Segment;
use crate::text::{Anchor, Run, TextLine, width};
use crate::titles::{Frame, wrapped};
use std::rc::Rc;

/// Sizes in points: entries, what stands beside them, headings of groups; and what a line takes of the entries' size.
pub(super) const ENTRY: f64 = 11.0;
const BY: f64 = 9.5;
const HEADING: f64 = 11.5;
const LEADING: f64 = 1.42;
/// The most lines of a title.
const LINES: usize = 3;
/// Dots, in millimetres: how thick, how far apart, and what is left free before and after them.
const DOT: f64 = 0.32;
const APART: f64 = 1.9;
const FREE: f64 = 1.6;

/// What stands in a list.
pub(super) struct Row {
    /// From the row's own top left corner.
    pub shapes: Vec<Shape>,
    pub height: f64,
    /// Above it, where it does not begin a column.
    pub gap: f64,
    /// It may not be the last of a column.
    pub with_next: bool,
    /// What stands above it where it begins a column: the heading of its group once more.
    pub under: Option<Rc<Row>>,
    /// The piece that it leads to.
    pub leads: Option<usize>,
}

/// A line of a list that leads to a page.
pub(super) struct Entry<'a> {
    pub number: Option<usize>,
    pub title: &'a str,
    pub by: &'a str,
    pub says: &'a [String],
    pub page: usize,
    pub piece: usize,
}

/// How wide the columns of a list's entries are, in library units.
pub(super) struct Columns {
    pub whole: f64,
    /// The numbers of pieces with the room after them; 0 where there are none.
    pub number: f64,
    /// What entries say, each with the room before it.
    pub says: Vec<f64>,
    pub page: f64,
}

impl Columns {
    /// The room for titles, and where what is said begins.
    fn said_from(&self) -> f64 {
        self.whole - self.page - self.says.iter().sum::<f64>()
    }

    /// The right ends of what is said.
    pub fn ends(&self) -> impl Iterator<Item = f64> {
        self.says.iter().scan(self.said_from(), |at, width| {
            *at += width;
            Some(*at)
        })
    }
}

/// The height of a line of entries.
pub(super) fn line_height(frame: &Frame) -> f64 {
    frame.point(ENTRY * LEADING)
}

fn text(frame: &Frame, words: &str, (face, points): (Face, f64), anchor: Anchor, (x, y): (f64, f64)) -> Shape {
    frame.text_at(words, face, points, anchor, (x, y))
}

/// A line made smaller where it is wider than its room.
pub(super) fn fitted(frame: &Frame, words: &str, (face, points): (Face, f64), anchor: Anchor, (x, y): (f64, f64), most: f64) -> Shape {
    let size = frame.point(points);
    let size = size * (most / width(words, face, size).max(1.0)).min(1.0);
    Shape::Text(TextLine { x, y, anchor, runs: vec![Run::new(words, face, size)] })
}

/// A text in at most three lines; the last of more ends in "…".
fn lines(words: &str, face: Face, size: f64, most: f64) -> Vec<String> {
    let mut lines = wrapped(words, face, size, most);
    if lines.len() > LINES {
        let rest = lines.split_off(LINES - 1).join(" ");
        lines.push(cut(&rest, face, size, most));
    }
    lines
}

/// An entry.
pub(super) fn entry(frame: &Frame, columns: &Columns, entry: &Entry) -> Row {
    let size = frame.point(ENTRY);
    let end = columns.said_from();
    let most = end - columns.number - (2.0 * FREE + 3.0 * APART) * frame.unit;
    let mut shapes = Vec::new();
    let mut y = frame.point(ENTRY * 1.05);
    let base = |line: usize| y + line as f64 * line_height(frame);
    if let Some(number) = entry.number {
        let x = columns.number - 2.4 * frame.unit;
        shapes.push(text(frame, &number.to_string(), (Face::Regular, ENTRY), Anchor::End, (x, y)));
    }
    let titles = lines(entry.title, Face::Regular, size, most);
    for (line, title) in titles.iter().enumerate() {
        shapes.push(fitted(frame, title, (Face::Regular, ENTRY), Anchor::Start, (columns.number, base(line)), most));
    }
    let mut last = titles.len().saturating_sub(1);
    let mut from = columns.number + titles.last().map_or(0.0, |title| width(title, Face::Regular, size).min(most));
    if !entry.by.is_empty() {
        // Beside the title where there is room, else below it.
        let by = cut(entry.by, Face::Italic, frame.point(BY), most - 4.0 * frame.unit);
        let wide = width(&by, Face::Italic, frame.point(BY));
        let mut x = from + 2.2 * frame.unit;
        if x + wide > columns.number + most {
            last += 1;
            x = columns.number + 4.0 * frame.unit;
        }
        shapes.push(text(frame, &by, (Face::Italic, BY), Anchor::Start, (x, base(last))));
        from = x + wide;
    }
    y = base(last);
    shapes.extend(dots(frame, from, end, y));
    for (says, at) in entry.says.iter().zip(columns.ends()) {
        shapes.push(text(frame, says, (Face::Regular, ENTRY - 1.0), Anchor::End, (at, y)));
    }
    shapes.push(text(frame, &entry.page.to_string(), (Face::Regular, ENTRY), Anchor::End, (columns.whole, y)));
    Row { shapes, height: y + frame.point(ENTRY * (LEADING - 1.05)), gap: 0.0, with_next: false, under: None, leads: Some(entry.piece) }
}

/// Dots from a text to what stands at the right. They are counted from the right, so that those of all lines stand under each other.
fn dots(frame: &Frame, from: f64, to: f64, y: f64) -> Option<Shape> {
    let (right, free) = (to - FREE * frame.unit, from + FREE * frame.unit);
    let apart = APART * frame.unit;
    let count = ((right - free) / apart).floor();
    let segments = vec![Segment::Move(right, y), Segment::Line(right - count * apart - 0.01 * frame.unit, y)];
    let stroke = Some(Stroke { width: DOT * frame.unit, ends: Ends::Round, dash: Some((0.0, apart)) });
    (count >= 1.0).then_some(Shape::Path(Path { segments, stroke, fill: Fill::Empty }))
}

/// The heading of a group.
pub(super) fn heading(frame: &Frame, words: &str, most: f64) -> Row {
    let mut row = words_in(frame, words, (Face::Bold, HEADING), 0.0, most);
    row.gap = frame.point(9.0);
    row.with_next = true;
    row
}

/// Words in as many lines as they take.
pub(super) fn words_in(frame: &Frame, words: &str, (face, points): (Face, f64), indent: f64, most: f64) -> Row {
    let (mut shapes, mut y) = (Vec::new(), 0.0);
    for line in wrapped(words, face, frame.point(points), most - indent) {
        let base = y + frame.point(points * 1.05);
        shapes.push(fitted(frame, &line, (face, points), Anchor::Start, (indent, base), most - indent));
        y += frame.point(points * 1.36);
    }
    Row { shapes, height: y, gap: 0.0, with_next: false, under: None, leads: None }
}

#[cfg(test)]
mod tests {
    use super::super::front::{UNIT, frame};
    use super::*;

    fn columns() -> Columns {
        Columns { whole: 180.0 * UNIT, number: 10.0 * UNIT, says: vec![20.0 * UNIT], page: 12.0 * UNIT }
    }

    fn row(title: &str, by: &str) -> Row {
        entry(&frame(), &columns(), &Entry { number: Some(7), title, by, says: &["2 moves".to_owned()], page: 41, piece: 6 })
    }

    fn drawn(row: &Row) -> Vec<(String, f64, [f64; 4])> {
        let text = |shape: &Shape| match shape {
            Shape::Text(line) => Some((line.words(), line.y, line.ink().expect("ink"))),
            _ => None,
        };
        row.shapes.iter().filter_map(text).collect()
    }

    #[test]
    fn the_number_stands_on_the_last_line() {
        let row = row(&"The Bakery at Five in the Morning, When the First Ferry Has Not Yet Come In, ".repeat(2), "A. Composer");
        let drawn = drawn(&row);
        let last = drawn.last().expect("the number of the page");
        assert_eq!(last.0, "41");
        assert!(drawn.iter().all(|(_, y, _)| *y <= last.1 && *y < row.height), "{drawn:?}");
        assert!(drawn.iter().filter(|(_, y, _)| *y < last.1).count() >= 2, "{drawn:?}");
    }

    #[test]
    fn nothing_touches_anything_else() {
        let long = &"The Bakery at Five in the Morning, When the First Ferry Has Not Yet Come In ".repeat(8)[..];
        let word = &"Donaudampfschifffahrtsgesellschaft".repeat(4)[..];
        for (title, by) in [("Fog", ""), (long, "A. Composer"), (word, long), ("Fog", long)] {
            let drawn = drawn(&row(title, by));
            for (at, one) in drawn.iter().enumerate() {
                assert!(one.2[0] >= 0.0 && one.2[2] <= 180.1 * UNIT, "{one:?}");
                for other in &drawn[at + 1..] {
                    let apart = one.2[2] <= other.2[0] || other.2[2] <= one.2[0] || one.2[3] <= other.2[1] || other.2[3] <= one.2[1];
                    assert!(apart, "{one:?} {other:?}");
                }
            }
        }
    }

    #[test]
    fn dots_of_all_lines_stand_under_each_other() {
        let right = |row: &Row| {
            row.shapes.iter().find_map(|shape| match shape {
                Shape::Path(path) => Some(path.segments[0]),
                _ => None,
            })
        };
        let first = right(&row("Fog", ""));
        assert!(first.is_some() && first == right(&row("The Ferry at Dawn", "A. Composer")));
    }
}
