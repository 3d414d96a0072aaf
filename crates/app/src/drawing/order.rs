//! What is asked of the drawing process and what it answers, as parts of a message: JSON first, then the pages as they are.

use desk::drawing::{Layout, Purpose};
use serde::{Deserialize, Serialize};

/// What is wanted of a score.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Wanted {
    /// Pages as SVG.
    Pages,
    /// A PDF beside them.
    PagesAndPdf,
    /// What comes is no score but a sheet, as JSON.
    Sheet,
    SheetAndPdf,
    /// Pages for a book.
    Leaves,
}

/// A page to draw.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Order {
    staff: f64,
    text: u32,
    fingers: u32,
    paper: Option<(f64, f64)>,
    purpose: For,
    pub wanted: Wanted,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
enum For {
    Worktable,
    Stand,
    Print,
    LargePrint,
}

impl Order {
    pub fn new(layout: &Layout, wanted: Wanted) -> Order {
        let Layout { staff, text, fingers, paper, purpose } = *layout;
        let purpose = match purpose {
            Purpose::Worktable => For::Worktable,
            Purpose::Stand => For::Stand,
            Purpose::Print => For::Print,
            Purpose::LargePrint => For::LargePrint,
        };
        Order { staff, text, fingers, paper, purpose, wanted }
    }

    pub fn layout(&self) -> Layout {
        let Order { staff, text, fingers, paper, purpose, .. } = *self;
        let purpose = match purpose {
            For::Worktable => Purpose::Worktable,
            For::Stand => Purpose::Stand,
            For::Print => Purpose::Print,
            For::LargePrint => Purpose::LargePrint,
        };
        Layout { staff, text, fingers, paper, purpose }
    }
}

/// Drawn pages.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheets {
    pub svgs: Vec<String>,
    /// The page (from 1) of each measure (from 0).
    pub pages: Vec<usize>,
    /// Empty where it is not wanted.
    pub pdf: Vec<u8>,
    /// Letters for which boxes stand.
    pub boxed: Vec<char>,
    /// Pages for a book, where such are wanted.
    pub leaves: Vec<Vec<u8>>,
}

/// The first part of an answer.
#[derive(Serialize, Deserialize)]
struct Head {
    /// Why there are no pages.
    refused: Option<String>,
    pages: Vec<usize>,
    svgs: usize,
    leaves: usize,
    boxed: Vec<char>,
}

/// The parts of an answer.
pub fn written(drawn: &Result<Sheets, String>) -> Vec<Vec<u8>> {
    let empty = Sheets::default();
    let sheets = drawn.as_ref().unwrap_or(&empty);
    let (svgs, leaves) = (sheets.svgs.len(), sheets.leaves.len());
    let head = Head { refused: drawn.as_ref().err().cloned(), pages: sheets.pages.clone(), svgs, leaves, boxed: sheets.boxed.clone() };
    let head = serde_json::to_vec(&head).expect("numbers and texts have a JSON form");
    let svgs = sheets.svgs.iter().map(|svg| svg.clone().into_bytes());
    [head, sheets.pdf.clone()].into_iter().chain(svgs).chain(sheets.leaves.iter().cloned()).collect()
}

/// An answer from its parts; `None` for what is no answer.
pub fn read(parts: Vec<Vec<u8>>) -> Option<Result<Sheets, String>> {
    let mut parts = parts.into_iter();
    let head: Head = serde_json::from_slice(&parts.next()?).ok()?;
    let pdf = parts.next()?;
    if parts.len() != head.svgs.checked_add(head.leaves)? {
        return None;
    }
    let svgs = parts.by_ref().take(head.svgs).map(|svg| String::from_utf8(svg).ok()).collect::<Option<Vec<String>>>()?;
    let sheets = Sheets { svgs, pages: head.pages, pdf, boxed: head.boxed, leaves: parts.collect() };
    Some(head.refused.map_or(Ok(sheets), Err))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_come_as_they_were_given() {
        let sheets = Sheets {
            svgs: vec!["<svg/>".into(), "♯".into()],
            pages: vec![1, 2],
            pdf: b"%PDF".to_vec(),
            boxed: vec!['雨'],
            leaves: Vec::new(),
        };
        let leaves = Sheets { leaves: vec![vec![0, 255], Vec::new()], ..Sheets::default() };
        for drawn in [Ok(sheets), Ok(leaves), Ok(Sheets::default()), Err("no measure".to_owned())] {
            assert_eq!(read(written(&drawn)), Some(drawn));
        }
        assert_eq!(read(vec![b"{}".to_vec()]), None);
    }

    #[test]
    fn a_layout_arrives_as_it_was() {
        let stand = Layout { staff: 8.1, paper: Some((183.3, 240.7)), purpose: Purpose::Stand, ..Layout::default() };
        for layout in [stand, Layout::large()] {
            let order = serde_json::to_vec(&Order::new(&layout, Wanted::Pages)).expect("numbers");
            assert_eq!(serde_json::from_slice::<Order>(&order).expect("our own text").layout(), layout);
        }
    }
}
