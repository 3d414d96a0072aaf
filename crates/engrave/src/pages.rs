//! The finished pages, and what they can be written as.

use crate::drawing::Shape;
use crate::error::EngraveError;
use crate::leaf::Leaf;
use crate::{pdf, png, svg, text};

/// A piece on paper.
#[derive(Clone, Debug)]
pub struct Pages {
    /// One self-contained SVG document a page; letters are outlines, each with its words in an `aria-label`.
    pub svgs: Vec<String>,
    /// Where each measure stands, in the order of the score.
    pub measures: Vec<MeasureBox>,
    /// The letters that no font of the program has, each once and in the order of the pages: boxes stand for them.
    pub boxed: Vec<char>,
    pub(crate) title: String,
    pub(crate) author: String,
    pub(crate) pages: Vec<Page>,
}

/// A measure on a page: the ends of its staff lines, in millimetres from the paper's top left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasureBox {
    /// The page, counted from 1.
    pub page: usize,
    /// The measure in the order of the score, counted from 0.
    pub index: usize,
    /// The id of the measure in the MusicXML, if it has one.
    pub id: Option<String>,
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// [`MeasureBox`] before the page has its number.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct MeasurePlace {
    pub index: usize,
    pub id: Option<String>,
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// One sheet of paper, in library units.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Page {
    pub width: f64,
    pub height: f64,
    /// Library units in a millimetre.
    pub unit: f64,
    pub shapes: Vec<Shape>,
    pub measures: Vec<MeasurePlace>,
}

impl Page {
    pub fn new(width: f64, height: f64, unit: f64) -> Page {
        Page { width, height, unit, shapes: Vec::new(), measures: Vec::new() }
    }
}

impl Pages {
    pub(crate) fn new(title: String, author: String, pages: Vec<Page>) -> Pages {
        let numbered = pages.iter().enumerate();
        let measures = numbered.flat_map(|(number, page)| page.measures.iter().map(move |m| (number + 1, m)));
        let measures = measures
            .map(|(page, m)| MeasureBox {
                page,
                index: m.index,
                id: m.id.clone(),
                left: m.left,
                right: m.right,
                top: m.top,
                bottom: m.bottom,
            })
            .collect();
        let boxed = boxed(pages.iter().flat_map(|page| &page.shapes));
        let svgs = pages.iter().map(|page| svg::write(page, &title)).collect();
        Pages { svgs, measures, boxed, title, author, pages }
    }

    /// How many pages there are.
    pub fn count(&self) -> usize {
        self.pages.len()
    }

    /// One PDF document with real text (it can be searched and copied) and no date or chance in it.
    pub fn pdf(&self) -> Vec<u8> {
        let leaves: Vec<Leaf> = self.pages.iter().map(Leaf::of).collect();
        pdf::write(&leaves, &self.title, &self.author)
    }

    /// A page, counted from 1, as a PNG picture on white paper. Errors: no such page, a resolution outside 20 to 1200.
    pub fn png(&self, page: usize, dots_per_inch: u16) -> Result<Vec<u8>, EngraveError> {
        let missing = EngraveError::NoSuchPage { asked: page, pages: self.svgs.len() };
        let svg = page.checked_sub(1).and_then(|i| self.svgs.get(i)).ok_or(missing)?;
        png::draw(svg, dots_per_inch)
    }
}

/// Letters that no font has, each once and in order.
pub(crate) fn boxed<'a>(shapes: impl Iterator<Item = &'a Shape>) -> Vec<char> {
    let mut found = Vec::new();
    for shape in shapes {
        let here: Vec<char> = match shape {
            Shape::Group(group) => boxed(group.shapes.iter()),
            Shape::Text(line) => line.runs.iter().flat_map(text::boxed).collect(),
            Shape::Path(_) | Shape::Sign(_) => Vec::new(),
        };
        for character in here {
            if !found.contains(&character) {
                found.push(character);
            }
        }
    }
    found
}
