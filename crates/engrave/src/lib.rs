//! MusicXML text → pages to print: SVG, PDF, PNG.
//!
//! A bound engraving library draws the notes; it is asked twice. First one endless line, to see how wide each measure is:
//! from that the lines are chosen (`breaks`). Then those lines, whose shapes are read from the library's SVG (`parse`) and
//! put on pages with the title, the names and the foot (`compose`, `titles`). Nothing musical is decided here, and nothing
//! is taken from the machine: the fonts come with the program.
//!
//! ```no_run
//! let engraver = engrave::Engraver::start();
//! let pages = engraver.pages("<score-partwise>…", &engrave::PageLayout::default())?;
//! std::fs::write("tune.pdf", pages.pdf()).unwrap();
//! # Ok::<(), engrave::EngraveError>(())
//! ```

mod layout;
mod engraver;
mod pages;
pub mod sheet;
mod error;
mod source;
mod heading;
mod chord_text;
mod pieces;
mod rewrite;
mod drawn;
mod breaks;
mod library;
mod resources;
mod parse;
mod lettering;
mod clear;
mod syllables;
mod holds;
mod drawing;
mod skyline;
mod harp;
mod turns;
mod compose;
mod titles;
mod verses;
mod text;
mod font;
mod face;
mod svg;
mod leaf;
mod pdf;
pub mod book;
pub mod png;

pub use engraver::{Engraver, Leaves};
pub use error::EngraveError;
pub use layout::{Foot, Head, Margins, PageLayout, Paper, Percent, StaffHeight};
pub use leaf::Leaf;
pub use library::version;
pub use pages::{MeasureBox, Pages};
