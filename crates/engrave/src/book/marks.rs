//! What a book draws over a page: its number at the outer side of the foot, the number of the piece above its title, the title on later pages. A left page has an even number.

use super::front::frame;
use crate::drawing::Shape;
use crate::face::Face;
use crate::pages::Page;
use crate::text::{Anchor, width};
use crate::titles::Frame;

/// The size of page numbers, in points, and of titles beside them.
const FOLIO: f64 = 10.5;
const RUNNING: f64 = 9.5;
/// The number of a piece: its size in points, and its base line from the top of the paper in millimetres. Printers need five millimetres at least.
const NUMBER: f64 = 13.0;
const NUMBER_AT: f64 = 10.5;

/// An empty page.
pub(super) fn blank() -> Page {
    let frame = frame();
    Page::new(frame.width, frame.height, frame.unit)
}

/// The number of a page.
pub(super) fn folio(page: usize) -> [Shape; 1] {
    let frame = frame();
    [outside(&frame, page, &page.to_string(), (Face::Regular, FOLIO), frame.height - frame.bottom)]
}

/// Over the first page of a piece.
pub(super) fn first(page: usize, number: usize) -> Page {
    let (mut over, frame) = (blank(), frame());
    over.shapes.extend(folio(page));
    over.shapes.push(outside(&frame, page, &number.to_string(), (Face::Bold, NUMBER), NUMBER_AT * frame.unit));
    over
}

/// Over a later page of it: the title at the inner side.
pub(super) fn later(page: usize, title: &str) -> Page {
    let (mut over, frame) = (blank(), frame());
    over.shapes.extend(folio(page));
    let most = frame.inner() * 0.85;
    let points = RUNNING * (most / width(title, Face::Italic, frame.point(RUNNING)).max(1.0)).clamp(0.6, 1.0);
    let title = cut(title, Face::Italic, frame.point(points), most);
    let (x, anchor) = if is_left(page) { (frame.width - frame.right, Anchor::End) } else { (frame.left, Anchor::Start) };
    over.shapes.push(frame.text_at(&title, Face::Italic, points, anchor, (x, frame.height - frame.bottom)));
    over
}

fn is_left(page: usize) -> bool {
    page.is_multiple_of(2)
}

fn outside(frame: &Frame, page: usize, text: &str, (face, points): (Face, f64), y: f64) -> Shape {
    let (x, anchor) = if is_left(page) { (frame.left, Anchor::Start) } else { (frame.width - frame.right, Anchor::End) };
    frame.text_at(text, face, points, anchor, (x, y))
}

/// A text that is no wider than it may be; what is too long ends in "…".
pub(super) fn cut(text: &str, face: Face, size: f64, most: f64) -> String {
    if width(text, face, size) <= most {
        return text.to_owned();
    }
    let ends: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
    let shortened = |at: &usize| format!("{}…", text[..*at].trim_end());
    // The widths grow with the letters.
    let fitting = ends.partition_point(|at| width(&shortened(at), face, size) <= most);
    shortened(&ends[fitting.saturating_sub(1)])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(page: &Page) -> Vec<(String, Anchor)> {
        let text = |shape: &Shape| match shape {
            Shape::Text(line) => (line.words(), line.anchor),
            other => panic!("{other:?} is no text"),
        };
        page.shapes.iter().map(text).collect()
    }

    #[test]
    fn numbers_stand_outside_and_titles_inside() {
        let text = |text: &str, anchor| (text.to_owned(), anchor);
        assert_eq!(texts(&first(8, 3)), [text("8", Anchor::Start), text("3", Anchor::Start)]);
        assert_eq!(texts(&later(9, "The Ferry")), [text("9", Anchor::End), text("The Ferry", Anchor::Start)]);
    }

    #[test]
    fn a_title_without_room_is_cut() {
        let most = width("The Ferry at Dawn", Face::Italic, 100.0);
        assert_eq!(cut("The Ferry at Dawn", Face::Italic, 100.0, most), "The Ferry at Dawn");
        let short = cut("The Ferry at Dawn, Full of Sheep", Face::Italic, 100.0, most);
        assert!(short.ends_with('…') && short.starts_with("The Ferry at") && width(&short, Face::Italic, 100.0) <= most, "{short}");
    }
}
