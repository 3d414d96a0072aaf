//! What the desk asks of an engraver: pages from MusicXML. The program lends it one; tests lend a plain one, so that this crate never links the engraving library.

use crate::book::bound::{Book, Bound, Leaf};
use serde::{Deserialize, Serialize};
use std::time::Duration;

/// How a page is to look.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Height of a staff in millimetres, 4.5 to 14.
    pub staff: f64,
    /// Letters of words and chord symbols, in percent of their usual size beside the staff.
    pub text: u32,
    /// Finger numbers, in percent of their usual size.
    pub fingers: u32,
    /// Width and height of the page in millimetres; `None` for A4.
    pub paper: Option<(f64, f64)>,
    pub purpose: Purpose,
}

/// What a page is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Purpose {
    /// To work at: drawn again at every change, so as fast as can be.
    Worktable,
    /// To play from on a screen.
    Stand,
    /// Paper.
    Print,
    /// Paper for eyes that need large print: what stands beside the music is as large as what stands at it.
    LargePrint,
}

impl Layout {
    /// Large print: staves 1.6 times their usual height, what stands at them grown with them, words of songs in letters of more than 18 points.
    pub fn large() -> Layout {
        Layout { staff: 11.5, text: 108, fingers: 120, paper: None, purpose: Purpose::LargePrint }
    }
}

impl Default for Layout {
    fn default() -> Layout {
        Layout { staff: 7.0, text: 100, fingers: 100, paper: None, purpose: Purpose::Print }
    }
}

/// A page that is no score: words, lines and dots at their places, and small pieces of music. Lengths are millimetres from the top left corner.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Sheet {
    pub title: String,
    pub author: String,
    pub paper: (f64, f64),
    pub items: Vec<Item>,
}

/// Something on a sheet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Item {
    /// Words on their base line; wider than `most` they are made smaller.
    Words {
        at: (f64, f64),
        text: String,
        points: f64,
        style: Style,
        stands: Stands,
        most: Option<f64>,
    },
    Line {
        from: (f64, f64),
        to: (f64, f64),
        width: f64,
        dashed: bool,
    },
    Dot {
        at: (f64, f64),
        radius: f64,
        filled: bool,
    },
    Frame {
        left_top: (f64, f64),
        right_bottom: (f64, f64),
        width: f64,
    },
    /// A line of music by the left end of its staff's top line, no wider than `most`.
    Music {
        at: (f64, f64),
        staff: f64,
        most: f64,
        musicxml: String,
    },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Style {
    Plain,
    Bold,
    Italic,
}

/// Which point of the words stands at their place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Stands {
    Left,
    Middle,
    Right,
}

/// Pages as SVG, and the page (from 1) on which each measure (from 0) stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    pub svgs: Vec<String>,
    pub pages: Vec<usize>,
    /// Letters that the engraver has in no font and draws a box for.
    pub boxed: Vec<char>,
}

/// A score's pages for a book.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Leaves {
    pub leaves: Vec<Leaf>,
    /// Letters that the engraver has in no font and draws a box for.
    pub boxed: Vec<char>,
}

/// What is said where boxes stand for letters; `None` where none does.
pub fn boxes(boxed: &[char]) -> Option<String> {
    let letters: Vec<String> = boxed.iter().take(BOXES).map(char::to_string).collect();
    let more = if boxed.len() > BOXES { " and others" } else { "" };
    let (that, stands) = match boxed.len() {
        0 => return None,
        1 => ("a letter that none of the program's fonts has", "A box stands for it."),
        _ => ("letters that none of the program's fonts has", "A box stands for each."),
    };
    Some(format!("The page has {that}: {}{more}. {stands}", letters.join(" ")))
}

/// How many letters are told.
const BOXES: usize = 12;

/// Why there is no page.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoPage {
    /// The engraver's own sentence.
    #[error("no page could be drawn: {0}")]
    Refused(String),
    #[error("this page took too long to draw (more than {} seconds): perhaps a measure of the tune has very many notes", .0.as_secs())]
    TooLong(Duration),
    /// The engraver ended in the middle of it, twice.
    #[error("this page could not be drawn: the engraver failed at it; everything else goes on")]
    Failed,
    /// There is no engraver to ask.
    #[error("no page could be drawn: the engraver cannot be started: {0}")]
    NoEngraver(String),
}

/// An engraver. It may be called from several threads at once, answers when the page is drawn, and gives up in time a page that would take too long.
pub trait Drawing: Send + Sync + 'static {
    fn draw(&self, musicxml: &str, layout: &Layout) -> Result<Drawn, NoPage>;
    fn pdf(&self, musicxml: &str, layout: &Layout) -> Result<Vec<u8>, NoPage>;

    /// A sheet as one page.
    fn sheet(&self, _sheet: &Sheet) -> Result<Drawn, NoPage> {
        Err(NoPage::Refused("this engraver draws scores only".into()))
    }

    fn sheet_pdf(&self, _sheet: &Sheet) -> Result<Vec<u8>, NoPage> {
        Err(NoPage::Refused("this engraver draws scores only".into()))
    }

    /// Draws a score's pages for a book.
    fn leaves(&self, _musicxml: &str) -> Result<Leaves, NoPage> {
        Err(NoPage::Refused("this engraver binds no books".into()))
    }

    /// Binds a book.
    fn bind(&self, _book: &Book) -> Result<Bound, NoPage> {
        Err(NoPage::Refused("this engraver binds no books".into()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_are_told_with_their_letters() {
        assert_eq!(boxes(&[]), None);
        assert_eq!(boxes(&['雨']).as_deref(), Some("The page has a letter that none of the program's fonts has: 雨. A box stands for it."));
        assert_eq!(
            boxes(&['雨', '港']).as_deref(),
            Some("The page has letters that none of the program's fonts has: 雨 港. A box stands for each.")
        );
        assert!(boxes(&['雨'; 13]).is_some_and(|said| said.contains("雨 and others.")));
    }
}
