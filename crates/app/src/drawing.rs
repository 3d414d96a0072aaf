//! The engraver, lent to the desk: opened once, on a thread of its own.

use desk::drawing::{Drawing, Drawn, Layout};
use engrave::{Engraver, PageLayout, Pages, StaffHeight};

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

fn page_layout(layout: &Layout) -> PageLayout {
    let staff = StaffHeight::millimetres(layout.staff);
    let usual = PageLayout::default();
    PageLayout { staff, smallest_staff: if staff < usual.smallest_staff { staff } else { usual.smallest_staff }, ..usual }
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
