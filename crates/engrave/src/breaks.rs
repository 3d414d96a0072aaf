//! Which measures stand on a line together.
//!
//! Four measures a line is what players expect, new sections begin a line, and no line is crammed or stretched. Each
//! possible line has a price, and the cheapest way through the piece is found by looking at every measure as the end of
//! a line: best(end) = min over start of best(start) + price(start..end).

use crate::source::Start;

/// Measures with their natural widths, in library units.
pub(crate) struct Paragraph<'a> {
    pub widths: &'a [f64],
    pub starts: &'a [Start],
    /// What clef and key take at the start of a later line.
    pub lead: f64,
    /// The width of a line.
    pub line: f64,
}

/// A line from one measure up to another, and how far it is stretched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub from: usize,
    pub to: usize,
    /// The width of the line over the natural width of what is on it.
    pub stretch: f64,
}

/// At most so many measures on a line.
const MOST: usize = 8;

/// The lines of the piece, first to last.
pub(crate) fn lines(paragraph: &Paragraph) -> Vec<Line> {
    let count = paragraph.widths.len();
    let mut best: Vec<(f64, usize)> = vec![(0.0, 0)];
    for to in 1..=count {
        let from = (to.saturating_sub(MOST + 1)..to).filter(|&from| !paragraph.barred(from, to));
        let choices = from.map(|from| (best[from].0 + paragraph.price(from, to), from));
        let cheapest = choices.min_by(|a, b| a.0.total_cmp(&b.0));
        best.push(cheapest.unwrap_or((f64::MAX, to - 1)));
    }
    let mut lines = Vec::new();
    let mut to = count;
    while to > 0 {
        let from = best[to].1;
        lines.push(Line { from, to, stretch: paragraph.stretch(from, to) });
        to = from;
    }
    lines.reverse();
    lines
}

impl Paragraph<'_> {
    /// A heading never stands inside a line, but for one after the pickup.
    fn barred(&self, from: usize, to: usize) -> bool {
        let after_pickup = |i: usize| i == from + 1 && self.starts[from] == Start::Pickup;
        (from + 1..to).any(|i| self.starts[i] == Start::Heading && !after_pickup(i))
    }

    fn stretch(&self, from: usize, to: usize) -> f64 {
        let lead = if from == 0 { 0.0 } else { self.lead };
        let natural: f64 = self.widths[from..to].iter().sum();
        (self.line - lead) / natural.max(1.0)
    }

    /// Measures on the line, the pickup not counted.
    fn counted(&self, from: usize, to: usize) -> usize {
        self.starts[from..to].iter().filter(|s| **s != Start::Pickup).count()
    }

    fn price(&self, from: usize, to: usize) -> f64 {
        let measures = self.counted(from, to);
        self.number_cost(measures) + stretch_cost(self.stretch(from, to), measures) + self.place_cost(from, to)
    }

    fn number_cost(&self, measures: usize) -> f64 {
        match measures {
            4 => 0.0,
            3 => 34.0,
            2 => 36.0,
            5 => 42.0,
            6 => 75.0,
            0 | 1 => 160.0,
            8 => 150.0,
            _ => 200.0,
        }
    }

    /// Lines that begin in the middle of a phrase, or run over the start of a section.
    fn place_cost(&self, from: usize, to: usize) -> f64 {
        let section = (0..=from).rev().find(|&i| self.starts[i] > Start::Plain).unwrap_or(0);
        let into = self.counted(section, from);
        let phrase = match into % 4 {
            0 => 0.0,
            2 => 4.0,
            _ => 14.0,
        };
        let inside = self.starts[from..to].iter().skip(1).filter(|s| **s == Start::Section).count();
        phrase + 40.0 * inside as f64
    }
}

/// Below 1.1 notes begin to touch; above 2.6 a line looks empty.
fn stretch_cost(stretch: f64, measures: usize) -> f64 {
    let tight = (1.12 - stretch).max(0.0);
    let loose = (stretch - 2.6).max(0.0);
    let cannot = if stretch < 0.98 && measures > 1 { 2000.0 } else { 0.0 };
    tight * tight * 9000.0 + loose * loose * 20.0 + cannot
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The number of measures on each line, for measures of one width on a line of 16000.
    fn counts(starts: &[Start], width: f64) -> Vec<usize> {
        let widths = vec![width; starts.len()];
        lines(&Paragraph { widths: &widths, starts, lead: 900.0, line: 16_000.0 }).iter().map(|l| l.to - l.from).collect()
    }

    #[test]
    fn four_measures_a_line_and_the_pickup_does_not_count() {
        assert_eq!(counts(&[Start::Plain; 16], 2200.0), [4, 4, 4, 4]);
        let mut starts = [Start::Plain; 17];
        starts[0] = Start::Pickup;
        assert_eq!(counts(&starts, 2200.0), [5, 4, 4, 4]);
    }

    #[test]
    fn dense_measures_stand_two_and_two() {
        assert_eq!(counts(&[Start::Plain; 8], 5600.0), [2, 2, 2, 2]);
    }

    #[test]
    fn a_heading_begins_a_line() {
        let mut starts = [Start::Plain; 14];
        starts[0] = Start::Heading;
        starts[6] = Start::Heading;
        let found = counts(&starts, 2200.0);
        assert!(
            found
                .iter()
                .scan(0, |at, n| {
                    *at += n;
                    Some(*at)
                })
                .any(|end| end == 6),
            "{found:?}"
        );
        assert_eq!(found.iter().sum::<usize>(), 14);
    }

    #[test]
    fn no_line_of_one_measure_where_it_can_be_helped() {
        for count in 2..40 {
            let found = counts(&vec![Start::Plain; count], 2200.0);
            assert!(found.iter().all(|n| (2..=6).contains(n)), "{count}: {found:?}");
        }
    }

    #[test]
    fn a_measure_wider_than_the_line_stands_alone() {
        assert_eq!(counts(&[Start::Plain; 3], 20_000.0), [1, 1, 1]);
    }
}
