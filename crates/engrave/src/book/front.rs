//! The title page of a book, and the measures that all pages of it have that are not a piece's own.

use super::Book;
use super::rows::fitted;
use crate::drawing::{Ends, Fill, Path, Shape, Stroke};
use crate::face::Face;
use crate::font::Segment;
use crate::layout::PageLayout;
use crate::pages::Page;
use crate::text::{Anchor, width};
use crate::titles::{Frame, wrapped};

/// Units in a millimetre.
pub(super) const UNIT: f64 = 100.0;

/// The paper of pieces, with its margins.
pub(super) fn frame() -> Frame {
    let PageLayout { paper, margins, .. } = PageLayout::default();
    let (width, height) = paper.size();
    let [left, right, top, bottom] = [margins.left, margins.right, margins.top, margins.bottom].map(|m| m * UNIT);
    Frame { unit: UNIT, width: width * UNIT, height: height * UNIT, left, right, top, bottom, letters: 1.0 }
}

/// The title a third down the page, a short line, and what is below it.
pub(super) fn page(book: &Book) -> Page {
    let frame = frame();
    let mut page = Page::new(frame.width, frame.height, frame.unit);
    let (middle, most) = (frame.width / 2.0, frame.inner() * 0.86);
    let fits = |points: &f64| width(&book.title, Face::Bold, frame.point(*points)) <= most;
    let points = [40.0, 36.0, 32.0, 28.0].into_iter().find(fits).unwrap_or(if book.title.chars().count() > 120 { 18.0 } else { 28.0 });
    let mut y = frame.height * 0.30;
    for line in wrapped(&book.title, Face::Bold, frame.point(points), most) {
        page.shapes.push(fitted(&frame, &line, (Face::Bold, points), Anchor::Middle, (middle, y), most));
        y += frame.point(points * 1.2);
    }
    y += frame.point(4.0);
    let segments = vec![Segment::Move(middle - 14.0 * UNIT, y), Segment::Line(middle + 14.0 * UNIT, y)];
    let stroke = Some(Stroke { width: 0.35 * UNIT, ends: Ends::Flat, dash: None });
    page.shapes.push(Shape::Path(Path { segments, stroke, fill: Fill::Empty }));
    y += frame.point(26.0);
    for line in book.below.iter().flat_map(|line| wrapped(line, Face::Italic, frame.point(15.0), most)) {
        page.shapes.push(fitted(&frame, &line, (Face::Italic, 15.0), Anchor::Middle, (middle, y), most));
        y += frame.point(21.0);
    }
    let foot = frame.height - frame.bottom - 10.0 * UNIT;
    page.shapes.push(fitted(&frame, &book.foot, (Face::Regular, 11.0), Anchor::Middle, (middle, foot), most));
    page
}
