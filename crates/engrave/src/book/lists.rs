//! The lists of a book on their pages: contents, indices, what was left out. Rows flow down columns and over pages; a heading never stands alone at the end of one.

use super::front::frame;
use super::order::Placed;
use super::rows::{self, Columns, ENTRY, Entry, Row, fitted, line_height};
use super::{Book, Index, LeftOut};
use crate::drawing::{Group, Shape, Transform};
use crate::face::Face;
use crate::leaf::POINTS;
use crate::pages::Page;
use crate::text::{Anchor, width};
use crate::titles::{Frame, wrapped};
use std::rc::Rc;

/// The heading of what is not in the book.
pub(super) const LEFT_OUT: &str = "Not in this book";
const WHY: &str = "These could not be arranged; each has its reason.";

/// The size of a list's heading in points.
const HEADING: f64 = 22.0;
/// Between two columns, in millimetres.
const GUTTER: f64 = 9.0;

/// A page of a list, with the places that lead to pieces: left, top, right, bottom in printer's points.
pub(super) struct ListPage {
    pub page: Page,
    pub links: Vec<([f64; 4], usize)>,
}

/// The contents.
pub(super) fn contents(book: &Book, placed: &Placed) -> Vec<ListPage> {
    let frame = frame();
    let digits = |most: usize| width(&most.to_string(), Face::Regular, frame.point(ENTRY));
    let columns = Columns {
        whole: frame.inner(),
        number: digits(placed.pieces.len().max(10)) + 2.4 * frame.unit,
        says: Vec::new(),
        page: page_column(&frame),
    };
    let row = |(number, (piece, page)): (usize, &(usize, usize))| {
        let found = &book.pieces[*piece];
        rows::entry(
            &frame,
            &columns,
            &Entry { number: Some(number), title: &found.title, by: &found.by, says: &[], page: *page, piece: *piece },
        )
    };
    let rows = (1..).zip(&placed.pieces).map(row).collect();
    flow(&frame, &Head { heading: "Contents", words: "", over: Vec::new() }, 1, rows)
}

/// The room for the number of a page: four digits, whatever the numbers are.
fn page_column(frame: &Frame) -> f64 {
    width("0000", Face::Regular, frame.point(ENTRY)) + 1.5 * frame.unit
}

/// An index.
pub(super) fn index(book: &Book, index: &Index, placed: &Placed) -> Vec<ListPage> {
    let frame = frame();
    let side_by_side = if index.heads.is_empty() { 2 } else { 1 };
    let whole = column_width(&frame, side_by_side);
    let says = (0..says(index)).map(|column| said_width(&frame, index, column)).collect();
    let columns = Columns { whole, number: 0.0, says, page: page_column(&frame) };
    let mut rows = Vec::new();
    for group in &index.groups {
        rows.push(rows::heading(&frame, &group.heading, whole));
        let again = Rc::new(rows::heading(&frame, &format!("{} (continued)", group.heading), whole));
        for (at, entry) in group.entries.iter().enumerate() {
            let title = &book.pieces[entry.piece].title;
            let page = placed.page_of(entry.piece);
            let row = rows::entry(&frame, &columns, &Entry { number: None, title, by: "", says: &entry.says, page, piece: entry.piece });
            // The first goes with the heading itself.
            rows.push(Row { under: (at > 0).then(|| Rc::clone(&again)), ..row });
        }
    }
    let over = columns.ends().zip(&index.heads).map(|(end, head)| (end, head.as_str())).collect();
    flow(&frame, &Head { heading: &index.heading, words: &index.words, over }, side_by_side, rows)
}

/// How many columns the entries say.
fn says(index: &Index) -> usize {
    index.groups.iter().flat_map(|group| &group.entries).map(|entry| entry.says.len()).max().unwrap_or(0)
}

/// The widest that a column says, with the room before it.
fn said_width(frame: &Frame, index: &Index, column: usize) -> f64 {
    let said = index.groups.iter().flat_map(|group| &group.entries).filter_map(|entry| entry.says.get(column));
    let head = index.heads.get(column).map_or(0.0, |head| width(head, Face::Italic, frame.point(OVER)));
    let widest = said.map(|says| width(says, Face::Regular, frame.point(ENTRY - 1.0))).fold(head, f64::max);
    widest + 5.0 * frame.unit
}

/// What is not in the book.
pub(super) fn left_out(all: &[LeftOut]) -> Vec<ListPage> {
    let frame = frame();
    let mut rows = Vec::new();
    for LeftOut { title, why } in all {
        let mut title = rows::words_in(&frame, title, (Face::Regular, ENTRY), 0.0, frame.inner());
        (title.gap, title.with_next) = (frame.point(5.0), true);
        rows.push(title);
        rows.push(rows::words_in(&frame, why, (Face::Italic, 10.0), 6.0 * frame.unit, frame.inner()));
    }
    flow(&frame, &Head { heading: LEFT_OUT, words: WHY, over: Vec::new() }, 1, rows)
}

fn column_width(frame: &Frame, side_by_side: usize) -> f64 {
    (frame.inner() - (side_by_side - 1) as f64 * GUTTER * frame.unit) / side_by_side as f64
}

/// What stands above the rows.
struct Head<'a> {
    heading: &'a str,
    words: &'a str,
    /// Above columns, with their right ends.
    over: Vec<(f64, &'a str)>,
}

/// What stands above columns, in points.
const OVER: f64 = 9.5;

impl Head<'_> {
    /// Draws it on a page of the list, counted from 0, and says where rows may begin; later pages have the heads of columns alone.
    fn draw(&self, frame: &Frame, page: &mut Page, number: usize) -> f64 {
        let (middle, mut y) = (frame.width / 2.0, frame.top);
        if number == 0 {
            y += frame.point(HEADING);
            page.shapes.push(fitted(frame, self.heading, (Face::Bold, HEADING), Anchor::Middle, (middle, y), frame.inner()));
            y += frame.point(6.0);
            for line in wrapped(self.words, Face::Italic, frame.point(10.5), frame.inner() * 0.9) {
                y += frame.point(14.0);
                page.shapes.push(fitted(frame, &line, (Face::Italic, 10.5), Anchor::Middle, (middle, y), frame.inner()));
            }
            y += frame.point(16.0);
        }
        if !self.over.is_empty() {
            y += frame.point(OVER);
            for (end, words) in &self.over {
                page.shapes.push(frame.text_at(words, Face::Italic, OVER, Anchor::End, (frame.left + end, y)));
            }
            y += frame.point(4.0);
        }
        y
    }
}

/// Rows on pages.
fn flow(frame: &Frame, head: &Head, side_by_side: usize, rows: Vec<Row>) -> Vec<ListPage> {
    let bottom = frame.height - frame.bottom - 1.6 * line_height(frame);
    let mut pages: Vec<ListPage> = Vec::new();
    let (mut top, mut y, mut column) = (0.0, f64::INFINITY, side_by_side);
    for (at, row) in rows.iter().enumerate() {
        // A heading takes the row after it along.
        let next = rows.get(at + 1).filter(|_| row.with_next).map_or(0.0, |next| next.height);
        let fresh = y + row.gap + row.height + next > bottom;
        if fresh {
            column += 1;
            if column >= side_by_side {
                let mut page = Page::new(frame.width, frame.height, frame.unit);
                top = head.draw(frame, &mut page, pages.len());
                pages.push(ListPage { page, links: Vec::new() });
                column = 0;
            }
            y = top;
        } else {
            y += row.gap;
        }
        let x = frame.left + column as f64 * (column_width(frame, side_by_side) + GUTTER * frame.unit);
        if let Some(list) = pages.last_mut() {
            for row in row.under.as_deref().filter(|_| fresh).into_iter().chain([row]) {
                list.put(row, (x, y), column_width(frame, side_by_side));
                y += row.height;
            }
        }
    }
    pages
}

impl ListPage {
    fn put(&mut self, row: &Row, (x, y): (f64, f64), width: f64) {
        let points = |length: f64| length / self.page.unit * POINTS;
        if let Some(piece) = row.leads {
            self.links.push(([points(x), points(y), points(x + width), points(y + row.height)], piece));
        }
        let group = Group { place: Transform::Shifted { x, y }, shapes: row.shapes.clone(), ..Group::default() };
        self.page.shapes.push(Shape::Group(group));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::{Entry, Group, Order, Piece};

    fn book(count: usize) -> (Book, Placed) {
        let piece = |n: usize| Piece { title: format!("The Ferry at Dawn, the {n}th Time"), by: "A. Composer".into(), leaves: Vec::new() };
        let pieces: Vec<Piece> = (0..count).map(piece).collect();
        (Book { pieces, ..Book::default() }, Placed::of(&vec![1; count], 4, Order::Kept))
    }

    /// The most that ink reaches down a page, beside where the number of the page stands.
    fn lowest(pages: &[ListPage]) -> f64 {
        let ink = |page: &ListPage| page.page.shapes.iter().filter_map(Shape::ink).map(|ink| ink[3]).fold(0.0, f64::max);
        pages.iter().map(ink).fold(0.0, f64::max)
    }

    #[test]
    fn contents_keep_off_the_number_of_the_page() {
        let frame = frame();
        for count in [1, 40, 300] {
            let (book, placed) = book(count);
            let pages = contents(&book, &placed);
            assert_eq!(pages.iter().map(|page| page.links.len()).sum::<usize>(), count);
            assert!(lowest(&pages) < frame.height - frame.bottom - frame.point(12.0), "{count}");
        }
        let (book, placed) = book(100);
        assert_eq!(contents(&book, &placed).len(), 3);
    }

    #[test]
    fn a_heading_is_never_the_last_of_a_column() {
        let frame = frame();
        for before in 30..60 {
            let mut rows: Vec<Row> = (0..before).map(|_| rows::words_in(&frame, "Fog", (Face::Regular, ENTRY), 0.0, 5_000.0)).collect();
            rows.push(rows::heading(&frame, "G major", 5_000.0));
            rows.push(rows::words_in(&frame, "Dawn", (Face::Regular, ENTRY), 0.0, 5_000.0));
            let pages = flow(&frame, &Head { heading: "By key", words: "", over: Vec::new() }, 1, rows);
            let last = pages.last().expect("a page");
            let place = |shape: &Shape| match shape {
                Shape::Group(group) => group.place,
                _ => Transform::Here,
            };
            let places: Vec<Transform> = last.page.shapes.iter().map(place).filter(|place| *place != Transform::Here).collect();
            assert!(places.len() != 1, "the heading and its entry stand together after {before}");
        }
    }

    #[test]
    fn a_group_that_goes_on_says_so() {
        let (book, placed) = book(120);
        let entries = (0..120).map(|piece| Entry { piece, says: vec!["7".to_owned()] }).collect();
        let index = super::index(
            &book,
            &Index {
                heading: "By key".into(),
                heads: vec!["moves".into()],
                groups: vec![Group { heading: "G major".into(), entries }],
                ..Index::default()
            },
            &placed,
        );
        // The head of the columns, the heading of the group, the rows: one more on each page than there are links.
        let groups = |page: &ListPage| page.page.shapes.iter().filter(|shape| matches!(shape, Shape::Group(_))).count();
        assert!(index.len() > 2);
        for page in &index {
            assert_eq!(groups(page), page.links.len() + 1);
        }
        assert_eq!(index.iter().map(|page| page.links.len()).sum::<usize>(), 120);
        assert!(lowest(&index) < frame().height - frame().bottom - frame().point(12.0));
    }

    #[test]
    fn an_index_with_columns_takes_the_whole_width() {
        let (book, placed) = book(30);
        let entries = |says: &[&str]| (0..30).map(|piece| Entry { piece, says: says.iter().map(|s| (*s).to_owned()).collect() }).collect();
        let plain = Index { groups: vec![Group { heading: "G major".into(), entries: entries(&[]) }], ..Index::default() };
        let said = Index {
            heads: vec!["lowest".into(), "highest".into()],
            groups: vec![Group { heading: "Level 1".into(), entries: entries(&["C3", "E6"]) }],
            ..Index::default()
        };
        let wide = |index: &Index| super::index(&book, index, &placed)[0].links[0].0;
        let (half, whole) = (wide(&plain), wide(&said));
        assert!((whole[2] - whole[0]) > 2.0 * (half[2] - half[0]));
    }
}
