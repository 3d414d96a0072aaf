//! A book as whoever binds it takes it: pages that were drawn, and what its lists say. How it looks is not known here.

/// A drawn page, in the engraver's own form.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Leaf(pub Vec<u8>);

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Book {
    pub title: String,
    /// Lines below it on the title page.
    pub below: Vec<String>,
    /// A line at the foot of the title page.
    pub foot: String,
    /// In the order that is wished.
    pub tunes: Vec<Tune>,
    pub places: Places,
    pub indices: Vec<Index>,
    pub left_out: Vec<LeftOut>,
}

/// Whether tunes of one page may be brought forward where others are to have their two pages side by side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Places {
    #[default]
    Kept,
    MayChange,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tune {
    pub title: String,
    /// Who made it; may be empty.
    pub by: String,
    pub leaves: Vec<Leaf>,
}

/// A list of the tunes by something.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Index {
    pub heading: String,
    pub words: String,
    /// Above the columns of what entries say; none where one short thing is said.
    pub heads: Vec<String>,
    pub groups: Vec<Group>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Group {
    pub heading: String,
    pub entries: Vec<Entry>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entry {
    /// The tune's place in [`Book::tunes`].
    pub tune: usize,
    pub says: Vec<String>,
}

/// What is not in it, and why.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LeftOut {
    pub title: String,
    pub why: String,
}

/// A bound book.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bound {
    pub pdf: Vec<u8>,
    pub pages: usize,
    /// Pages on which nothing stands.
    pub blank: usize,
    /// Tunes that were brought forward.
    pub moved: usize,
}
