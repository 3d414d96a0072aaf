//! Which measure: one of the tune as it was read, or one of the tune as it is laid out, with its verses and what was added. The page that is made of it has the
//! same measures as the latter; the printed number ([`music::MeasureNumber`]) is a third thing.
//!
//! A measure becomes an index where a sheet, a page or a row of phrases is looked into that knows no other, and nowhere else.

use std::ops::Index;

/// A measure of the tune as it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceMeasure(usize);

impl SourceMeasure {
    pub const FIRST: SourceMeasure = SourceMeasure(0);

    /// The measure at this place of the sheet that was read, from 0.
    pub fn at(index: usize) -> SourceMeasure {
        SourceMeasure(index)
    }

    pub fn index(self) -> usize {
        self.0
    }

    /// The one after it on the sheet.
    pub fn next(self) -> SourceMeasure {
        SourceMeasure(self.0 + 1)
    }
}

/// A measure of the tune as it is laid out, and of its page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LaidMeasure(usize);

impl LaidMeasure {
    /// The measure at this place of the page, from 0.
    pub fn at(index: usize) -> LaidMeasure {
        LaidMeasure(index)
    }

    pub fn index(self) -> usize {
        self.0
    }

    pub fn next(self) -> LaidMeasure {
        LaidMeasure(self.0 + 1)
    }

    /// The measure so many before it on the page; `None` before the first.
    pub fn back(self, by: usize) -> Option<LaidMeasure> {
        self.0.checked_sub(by).map(LaidMeasure)
    }
}

/// Something for each laid-out measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PerMeasure<T>(Vec<T>);

impl<T> PerMeasure<T> {
    pub fn measures(&self) -> impl DoubleEndedIterator<Item = LaidMeasure> + use<T> {
        (0..self.0.len()).map(LaidMeasure)
    }

    pub fn iter(&self) -> std::slice::Iter<'_, T> {
        self.0.iter()
    }

    pub fn get(&self, measure: LaidMeasure) -> Option<&T> {
        self.0.get(measure.0)
    }
}

impl<T> Index<LaidMeasure> for PerMeasure<T> {
    type Output = T;

    fn index(&self, measure: LaidMeasure) -> &T {
        &self.0[measure.0]
    }
}

impl<T> From<Vec<T>> for PerMeasure<T> {
    fn from(all: Vec<T>) -> PerMeasure<T> {
        PerMeasure(all)
    }
}

impl<T> FromIterator<T> for PerMeasure<T> {
    fn from_iter<I: IntoIterator<Item = T>>(all: I) -> PerMeasure<T> {
        PerMeasure(all.into_iter().collect())
    }
}

impl<'a, T> IntoIterator for &'a PerMeasure<T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}
