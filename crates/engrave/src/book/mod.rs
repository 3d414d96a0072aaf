//! Many pieces as one book: a title page, the contents, each piece on a page of its own, indices, and what was left out.
//!
//! What the lists say is given; here it is set ([`lists`], [`rows`]), put in its place ([`order`]) and bound with the pieces' leaves into one document, in which the numbers of the pages are also
//! links and an outline leads to every piece. Pages are counted from the title page, so that the printed number is the document's own.

mod front;
mod lists;
mod marks;
mod order;
mod rows;

use crate::leaf::Leaf;
use crate::pages::Page;
use crate::pdf::{Document, Link, OutlineEntry, Sheet};
pub use order::Order;
use order::Placed;

/// A book before it is bound.
#[derive(Clone, Debug, Default)]
pub struct Book {
    pub title: String,
    /// Lines below it on the title page.
    pub below: Vec<String>,
    /// A line at the foot of the title page.
    pub foot: String,
    /// In the order that is wished.
    pub pieces: Vec<Piece>,
    pub order: Order,
    pub indices: Vec<Index>,
    /// Empty where nothing was.
    pub left_out: Vec<LeftOut>,
}

/// A piece with its pages, at least one.
#[derive(Clone, Debug, Default)]
pub struct Piece {
    pub title: String,
    /// Who made it; may be empty.
    pub by: String,
    pub leaves: Vec<Leaf>,
}

/// A list of pieces by something.
#[derive(Clone, Debug, Default)]
pub struct Index {
    pub heading: String,
    /// What is to be known about it, a line or two.
    pub words: String,
    /// What stands above the columns of what entries say; such an index takes the whole width, one without them half of it.
    pub heads: Vec<String>,
    pub groups: Vec<Group>,
}

/// Entries under one heading.
#[derive(Clone, Debug, Default)]
pub struct Group {
    pub heading: String,
    pub entries: Vec<Entry>,
}

#[derive(Clone, Debug, Default)]
pub struct Entry {
    /// The place of its piece in [`Book::pieces`].
    pub piece: usize,
    /// A column each.
    pub says: Vec<String>,
}

/// Something that is not in the book, and why.
#[derive(Clone, Debug, Default)]
pub struct LeftOut {
    pub title: String,
    pub why: String,
}

/// A bound book.
#[derive(Clone, Debug, Default)]
pub struct Bound {
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// Pages on which nothing stands.
    pub blank: usize,
    /// Pieces that were brought forward, so that others have their two pages side by side.
    pub moved: usize,
}

/// The first page of the contents; the title page is before it.
const CONTENTS: usize = 2;

impl Book {
    /// Binds it.
    pub fn bind(&self) -> Bound {
        let counts: Vec<usize> = self.pieces.iter().map(|piece| piece.leaves.len()).collect();
        // How many pages the contents take does not depend on the numbers in them.
        let guess = Placed::of(&counts, CONTENTS, self.order);
        let front = lists::contents(self, &guess).len();
        let placed = Placed::of(&counts, CONTENTS + front, self.order);
        let mut bound = Binding { sheets: vec![Bare::of(front::page(self))], outline: Vec::new() };
        bound.list("Contents", lists::contents(self, &placed), &placed);
        bound.pieces(self, &placed);
        let below = |(number, (piece, page)): (usize, &(usize, usize))| OutlineEntry {
            title: format!("{number}  {}", self.pieces[*piece].title),
            to: page - 1,
            below: Vec::new(),
        };
        let below: Vec<OutlineEntry> = (1..).zip(&placed.pieces).map(below).collect();
        bound.outline.push(OutlineEntry { title: "Tunes".into(), to: placed.pieces.first().map_or(0, |(_, page)| page - 1), below });
        for index in &self.indices {
            bound.list(&index.heading, lists::index(self, index, &placed), &placed);
        }
        if !self.left_out.is_empty() {
            bound.list(lists::LEFT_OUT, lists::left_out(&self.left_out), &placed);
        }
        Bound { pdf: bound.write(&self.title), pages: bound.sheets.len(), blank: placed.blank.len(), moved: placed.moved }
    }
}

/// The pages so far.
struct Binding<'a> {
    sheets: Vec<Bare<'a>>,
    outline: Vec<OutlineEntry>,
}

/// One page: a piece's own and what is drawn over it, or what is drawn alone.
struct Bare<'a> {
    under: Option<&'a Leaf>,
    over: Option<Leaf>,
    links: Vec<Link>,
}

impl Bare<'_> {
    fn of(page: Page) -> Bare<'static> {
        Bare { under: None, over: Some(Leaf::of(&page)), links: Vec::new() }
    }
}

impl<'a> Binding<'a> {
    /// Adds the pages of a list, each with its number.
    fn list(&mut self, heading: &str, pages: Vec<lists::ListPage>, placed: &Placed) {
        self.outline.push(OutlineEntry { title: heading.to_owned(), to: self.sheets.len(), below: Vec::new() });
        for mut page in pages {
            page.page.shapes.extend(marks::folio(self.sheets.len() + 1));
            let links = page.links.iter().map(|(place, piece)| Link { place: *place, to: placed.page_of(*piece) - 1 }).collect();
            self.sheets.push(Bare { links, ..Bare::of(page.page) });
        }
    }

    /// Adds the pieces, and the empty pages between them.
    fn pieces(&mut self, book: &'a Book, placed: &Placed) {
        for (number, (piece, first)) in (1..).zip(&placed.pieces) {
            while self.sheets.len() + 1 < *first {
                self.sheets.push(Bare::of(marks::blank()));
            }
            let Piece { title, leaves, .. } = &book.pieces[*piece];
            for (at, leaf) in leaves.iter().enumerate() {
                let page = first + at;
                let over = if at == 0 { marks::first(page, number) } else { marks::later(page, title) };
                self.sheets.push(Bare { under: Some(leaf), ..Bare::of(over) });
            }
        }
    }

    fn write(&self, title: &str) -> Vec<u8> {
        let sheets = self.sheets.iter();
        let pages = sheets.map(|bare| Sheet { leaves: bare.under.into_iter().chain(&bare.over).collect(), links: bare.links.clone() });
        let pages = pages.collect();
        Document { title, author: "", pages, outline: self.outline.clone() }.write()
    }
}
