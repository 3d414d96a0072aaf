//! The engraver, lent to the desk: opened once, on a thread of its own.

use desk::drawing::{Drawing, Drawn, Layout, Purpose};
use engrave::{Engraver, Head, Margins, PageLayout, Pages, Paper, Percent, StaffHeight};

/// An engraver that is kept open.
pub struct Warm {
    engraver: Engraver,
}

impl Warm {
    pub fn start() -> Warm {
        Warm { engraver: Engraver::start() }
    }

    fn pages(&self, musicxml: &str, layout: &Layout) -> Result<Pages, String> {
        self.engraver.pages(musicxml, &page_layout(layout)).map_err(|error| error.to_string())
    }
}

/// Free paper on a screen, in millimetres.
const SCREEN: Margins = Margins { top: 6.0, bottom: 6.0, left: 6.0, right: 6.0 };

fn page_layout(layout: &Layout) -> PageLayout {
    let usual = PageLayout::default();
    let staff = StaffHeight::millimetres(layout.staff);
    // A size that was chosen stays, and so does one on a screen, where a page more costs no paper.
    let as_wished = layout.purpose != Purpose::Print || staff != usual.staff;
    PageLayout {
        staff,
        smallest_staff: if as_wished { staff } else { usual.smallest_staff },
        paper: layout.paper.map_or(usual.paper, |(width, height)| Paper::Other { width, height }),
        margins: if layout.paper.is_some() { SCREEN } else { usual.margins },
        text: Percent::of(layout.text),
        fingers: Percent::of(layout.fingers),
        head: if layout.purpose == Purpose::Stand { Head::Low } else { Head::Usual },
    }
}

impl Drawing for Warm {
    fn draw(&self, musicxml: &str, layout: &Layout) -> Result<Drawn, String> {
        let pages = self.pages(musicxml, layout)?;
        let mut places = vec![1; pages.measures.iter().map(|m| m.index + 1).max().unwrap_or(0)];
        for measure in &pages.measures {
            places[measure.index] = measure.page;
        }
        Ok(Drawn { svgs: pages.svgs, pages: places })
    }

    fn pdf(&self, musicxml: &str, layout: &Layout) -> Result<Vec<u8>, String> {
        Ok(self.pages(musicxml, layout)?.pdf())
    }
}
