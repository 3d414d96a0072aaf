//! Verses printed below the music, in one column or two.

use crate::drawing::Shape;
use crate::face::Face;
use crate::text::{Anchor, width};
use crate::titles::{Frame, wrapped};

/// The size of the letters and the distance of the lines, in points.
const LETTERS: f64 = 10.5;
const LINES: f64 = 13.5;

/// Verses cut into lines that fit their column.
pub(crate) struct Verses {
    stanzas: Vec<Vec<String>>,
    columns: usize,
}

impl Verses {
    /// An empty line in `text` parts two stanzas.
    pub fn of(text: &[String], frame: &Frame) -> Verses {
        let size = frame.point(LETTERS);
        let widest = text.iter().map(|line| width(line, Face::Regular, size)).fold(0.0, f64::max);
        let parted: Vec<&[String]> = text.split(|line| line.is_empty()).filter(|s| !s.is_empty()).collect();
        let columns = if parted.len() > 1 && widest < frame.inner() * 0.46 { 2 } else { 1 };
        let most = frame.inner() * if columns == 2 { 0.46 } else { 1.0 };
        let stanzas = parted.iter().map(|s| s.iter().flat_map(|line| wrapped(line, Face::Regular, size, most)).collect()).collect();
        Verses { stanzas, columns }
    }

    pub fn is_empty(&self) -> bool {
        self.stanzas.is_empty()
    }

    /// The height of all of them in their columns.
    pub fn height(&self, frame: &Frame) -> f64 {
        let rows = self.places(usize::MAX).iter().zip(&self.stanzas).map(|((_, row), stanza)| row + stanza.len()).max();
        frame.point(LINES) * rows.unwrap_or(0) as f64
    }

    /// Column and row of each stanza, for as many as fit in columns of so many rows. Columns share the lines evenly.
    fn places(&self, rows: usize) -> Vec<(usize, usize)> {
        let all: usize = self.stanzas.iter().map(|s| s.len() + 1).sum();
        let share = all.div_ceil(self.columns).min(rows);
        let (mut column, mut row) = (0, 0);
        let mut places = Vec::new();
        for stanza in &self.stanzas {
            let filled = column + 1 < self.columns && row >= share;
            // A stanza longer than a column is drawn all the same, so that there is an end to it.
            if row > 0 && (filled || row + stanza.len() > rows) {
                (column, row) = (column + 1, 0);
            }
            if column == self.columns {
                break;
            }
            places.push((column, row));
            row += stanza.len() + 1;
        }
        places
    }

    /// Draws from a height down to another; what does not fit comes back.
    pub fn draw(self, frame: &Frame, top: f64, bottom: f64) -> (Vec<Shape>, Option<Verses>) {
        let line = frame.point(LINES);
        let places = self.places(((bottom - top) / line + 0.01).max(1.0) as usize);
        let mut shapes = Vec::new();
        for (&(column, row), stanza) in places.iter().zip(&self.stanzas) {
            let x = frame.left + frame.inner() * 0.54 * column as f64;
            for (n, text) in (row..).zip(stanza) {
                let y = top + line * n as f64 + frame.point(LETTERS);
                shapes.push(frame.text_at(text, Face::Regular, LETTERS, Anchor::Start, (x, y)));
            }
        }
        let stanzas = self.stanzas.into_iter().skip(places.len()).collect();
        (shapes, Some(Verses { stanzas, columns: self.columns }).filter(|v| !v.is_empty()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn verses(lengths: &[usize], columns: usize) -> Verses {
        Verses { stanzas: lengths.iter().map(|&n| vec!["line".to_owned(); n]).collect(), columns }
    }

    #[test]
    fn two_columns_share_the_stanzas() {
        assert_eq!(verses(&[4, 4, 4, 4], 2).places(100), [(0, 0), (0, 5), (1, 0), (1, 5)]);
        assert_eq!(verses(&[4, 4, 4], 2).places(100), [(0, 0), (0, 5), (1, 0)]);
        assert_eq!(verses(&[4, 4], 1).places(100), [(0, 0), (0, 5)]);
    }

    #[test]
    fn what_does_not_fit_is_left_and_a_long_stanza_is_not() {
        assert_eq!(verses(&[4, 4, 4], 1).places(9), [(0, 0), (0, 5)]);
        assert_eq!(verses(&[40, 4], 1).places(9), [(0, 0)]);
    }
}
