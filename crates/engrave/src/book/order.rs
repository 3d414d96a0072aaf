//! On which page each piece of a book begins. What has an even number of pages begins on a left one, so that its pages lie side by side and are turned least; left pages have the even numbers.

use std::collections::VecDeque;

/// Whether pieces may change places.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Order {
    /// The order is a wish: where a left page is needed a page stays empty.
    #[default]
    Kept,
    /// The next piece of one page is brought forward to fill it.
    MayMove,
}

/// Where everything stands. Pages are counted from 1.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Placed {
    /// The pieces in the order of the book, each with its first page.
    pub pieces: Vec<(usize, usize)>,
    pub blank: Vec<usize>,
    pub moved: usize,
    /// The first page after them.
    pub end: usize,
    /// The first page of each piece.
    pages: Vec<usize>,
}

impl Placed {
    /// Pieces of so many pages each, from a page on.
    pub fn of(counts: &[usize], first: usize, order: Order) -> Placed {
        let mut placed = Placed { end: first, pages: vec![first; counts.len()], ..Placed::default() };
        let mut waiting: VecDeque<usize> = (0..counts.len()).collect();
        while let Some(&next) = waiting.front() {
            let on_the_right = counts[next].is_multiple_of(2) && !placed.end.is_multiple_of(2);
            let filling = || waiting.iter().position(|piece| counts[*piece] == 1).filter(|_| order == Order::MayMove);
            match on_the_right.then(filling) {
                None => placed.put(waiting.pop_front(), counts),
                Some(Some(at)) => {
                    placed.moved += 1;
                    placed.put(waiting.remove(at), counts);
                }
                Some(None) => {
                    placed.blank.push(placed.end);
                    placed.end += 1;
                }
            }
        }
        placed
    }

    fn put(&mut self, piece: Option<usize>, counts: &[usize]) {
        let Some(piece) = piece else { return };
        self.pieces.push((piece, self.end));
        self.pages[piece] = self.end;
        self.end += counts[piece];
    }

    /// The first page of a piece.
    pub fn page_of(&self, piece: usize) -> usize {
        self.pages[piece]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The pages of a book that begins on page 3, by the places of its pieces; a dash is an empty page.
    fn check(counts: &[usize], order: Order, expected: &str) {
        let placed = Placed::of(counts, 3, order);
        let mut pages = vec!["-".to_owned(); placed.end - 3];
        for (piece, first) in &placed.pieces {
            (0..counts[*piece]).for_each(|at| pages[first - 3 + at] = piece.to_string());
            assert_eq!(placed.page_of(*piece), *first);
        }
        assert_eq!(pages.join(" "), expected, "{counts:?} {order:?}");
        assert_eq!(placed.blank.len(), pages.iter().filter(|page| *page == "-").count());
    }

    #[test]
    fn two_pages_lie_side_by_side() {
        // Page 3 is a right one: 4 and 5 lie side by side.
        check(&[1, 2, 1], Order::Kept, "0 1 1 2");
        check(&[2, 1, 2], Order::Kept, "- 0 0 1 - 2 2");
        check(&[1, 1, 2], Order::Kept, "0 1 - 2 2");
        check(&[4, 3], Order::Kept, "- 0 0 0 0 1 1 1");
        check(&[], Order::Kept, "");
    }

    #[test]
    fn a_piece_of_one_page_is_brought_forward() {
        check(&[2, 1, 2], Order::MayMove, "1 0 0 2 2");
        check(&[1, 1, 2, 3, 1], Order::MayMove, "0 1 4 2 2 3 3 3");
        check(&[2, 3], Order::MayMove, "- 0 0 1 1 1");
    }

    #[test]
    fn three_pages_begin_where_they_come() {
        check(&[3, 2], Order::Kept, "0 0 0 1 1");
        check(&[1, 3, 2], Order::Kept, "0 1 1 1 - 2 2");
    }
}
