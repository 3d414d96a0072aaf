//! How a page is to look: the paper, its margins, the size of the staves.
//!
//! Lengths are millimetres. Inside the crate everything is measured in the engraving library's units, of which a staff
//! is 720 high; [`PageLayout::units`] is the only bridge.

/// The height of a staff in the engraving library's units.
pub(crate) const STAFF_UNITS: f64 = 720.0;
/// Millimetres in a printer's point.
pub(crate) const POINT: f64 = 25.4 / 72.0;

#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8½ × 11 inches.
    Letter,
    /// Any other size in millimetres: a screen, say.
    Other { width: f64, height: f64 },
}

impl Paper {
    /// Width and height in millimetres.
    pub fn size(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
            Paper::Other { width, height } => (width.clamp(60.0, 2000.0), height.clamp(60.0, 3000.0)),
        }
    }
}

/// The height of a five-line staff, from 4.5 to 14 mm.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct StaffHeight(f64);

impl StaffHeight {
    /// The nearest height that can be read from a music stand.
    pub fn millimetres(height: f64) -> StaffHeight {
        StaffHeight(if height.is_finite() { height.clamp(4.5, 14.0) } else { 7.0 })
    }

    pub fn get(self) -> f64 {
        self.0
    }
}

/// A size beside the usual one, from 60 to 250 percent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Percent(u16);

impl Percent {
    pub const USUAL: Percent = Percent(100);

    /// The nearest there is.
    pub fn of(percent: u32) -> Percent {
        Percent(percent.clamp(60, 250) as u16)
    }

    pub(crate) fn factor(self) -> f64 {
        f64::from(self.0) / 100.0
    }
}

/// Free paper around the music, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    pub top: f64,
    pub bottom: f64,
    pub left: f64,
    pub right: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PageLayout {
    /// Default: A4.
    pub paper: Paper,
    /// Default: 7 mm, the usual height for a solo part (common practice).
    pub staff: StaffHeight,
    /// The smallest height used when that saves a page. Default: 5.6 mm, the size of pocket
    /// editions: turning a page costs a harpist more than small notes do.
    pub smallest_staff: StaffHeight,
    /// Default: 12 mm at the top, 11 at the bottom, 14 at the sides: desktop printers need 5 at least.
    pub margins: Margins,
    /// All letters: words, chord symbols, lever and pedal names, the title; beside the staff. Default: 100.
    pub text: Percent,
    /// Letters around the music: the title, names, verses below it, the foot. Default: as `text`.
    pub around: Option<Percent>,
    /// Finger numbers. Default: 100.
    pub fingers: Percent,
    /// Default: usual.
    pub head: Head,
    /// Default: alone.
    pub foot: Foot,
}

/// The foot of the pages.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Foot {
    /// Pages are counted, and later ones name the piece.
    #[default]
    Alone,
    /// The last line is left to the book that the pages are for, but for source and rights in the middle of the first page.
    InBook,
}

/// The head of the first page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Head {
    /// The title large, names and preparation below it.
    #[default]
    Usual,
    /// The title no larger than it has to be, names and preparation beside it: for a screen, where every line of music counts.
    Low,
}

impl Default for PageLayout {
    fn default() -> Self {
        PageLayout {
            paper: Paper::A4,
            staff: StaffHeight(7.0),
            smallest_staff: StaffHeight(5.6),
            margins: Margins { top: 12.0, bottom: 11.0, left: 14.0, right: 14.0 },
            text: Percent::USUAL,
            around: None,
            fingers: Percent::USUAL,
            head: Head::Usual,
            foot: Foot::Alone,
        }
    }
}

impl PageLayout {
    /// Library units in so many millimetres, at a staff height.
    pub(crate) fn units(staff: StaffHeight, millimetres: f64) -> f64 {
        millimetres * STAFF_UNITS / staff.0
    }
}
