//! Many tunes: a file of them in ABC comes to the shelf as so many tunes, each with the lines that stand before all of them; and a whole book is made of them, bound as one PDF.
//!
//! A book's way: [`typed`] (what was named, tune by tune) or the shelf → [`make`](mod@make) (arranged and drawn by several at once) → [`sorted`] (its order) → [`facts`] and [`words`] (what its lists say)
//! → [`bound`], which whoever draws puts on paper.

pub mod typed;
pub mod make;
pub mod facts;
pub mod sorted;
pub mod words;
pub mod bound;

use std::ops::Range;

/// The most tunes of one file, and of one book.
pub const MOST: usize = 2_000;

/// The texts of the tunes; `None` where there is one or none, and the file stays as it is.
pub fn tunes(text: &str) -> Option<Vec<String>> {
    parts(text).map(|parts| parts.iter().map(|part| part.of(text)).collect())
}

/// Where a tune stands in its file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its place, from 1.
    pub number: usize,
    /// Where the header of the file ends.
    header: usize,
    tune: Range<usize>,
}

impl Part {
    /// The tune with the lines that stand before all.
    pub fn of(&self, text: &str) -> String {
        format!("{}{}\n", &text[..self.header], text[self.tune.clone()].trim_end())
    }

    /// What its first `T:` line says; empty where it has none.
    pub fn title<'a>(&self, text: &'a str) -> &'a str {
        text[self.tune.clone()].lines().find_map(|line| line.strip_prefix("T:")).unwrap_or_default().trim()
    }
}

/// The tunes of a text, at most [`MOST`]; `None` where there is one or none.
///
/// A tune begins with its `X:` line (ABC 2.1, 2.2); what stands before the first is the file's header.
pub fn parts(text: &str) -> Option<Vec<Part>> {
    let starts: Vec<usize> = line_starts(text).filter(|at| text[*at..].starts_with("X:")).take(MOST).collect();
    if starts.len() < 2 {
        return None;
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    let part = |(number, (from, to))| Part { number, header: starts[0], tune: from..to };
    Some((1..).zip(starts.iter().copied().zip(ends)).map(part).collect())
}

/// How many tunes begin in a text, however many are taken.
pub fn count(text: &str) -> usize {
    line_starts(text).filter(|at| text[*at..].starts_with("X:")).count()
}

fn line_starts(text: &str) -> impl Iterator<Item = usize> {
    std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_tune_with_what_stands_before_all() {
        let book = "%%titlecaps\nM:6/8\n\nX:1\nT:A\nK:C\nC3|\n\nX:2\nT:B\nK:G\nG3|";
        let expected = ["%%titlecaps\nM:6/8\n\nX:1\nT:A\nK:C\nC3|\n", "%%titlecaps\nM:6/8\n\nX:2\nT:B\nK:G\nG3|\n"];
        assert_eq!(tunes(book).expect("two tunes"), expected);
        assert_eq!(tunes("X:1\nT:About X:2\nK:C\nC|"), None);
        assert_eq!(tunes(""), None);
    }
}
