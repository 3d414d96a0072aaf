//! What the desk asks of an engraver: pages from MusicXML. The program lends it one; tests lend a plain one, so that this crate never links the engraving library.

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
}

impl Default for Layout {
    fn default() -> Layout {
        Layout { staff: 7.0, text: 100, fingers: 100, paper: None, purpose: Purpose::Print }
    }
}

/// Pages as SVG, and the page (from 1) on which each measure (from 0) stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    pub svgs: Vec<String>,
    pub pages: Vec<usize>,
}

/// An engraver. It may be called from several threads at once and answers when the page is drawn; an error is a sentence.
pub trait Drawing: Send + Sync + 'static {
    fn draw(&self, musicxml: &str, layout: &Layout) -> Result<Drawn, String>;
    fn pdf(&self, musicxml: &str, layout: &Layout) -> Result<Vec<u8>, String>;
}
