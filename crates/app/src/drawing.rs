//! The engraver, lent to the desk: [`child`] is a process of its own that draws, [`process`] keeps it, [`order`] and [`frames`] are what is said between them. [`book`] binds what they drew.

pub mod child;
mod book;
mod frames;
pub mod order;
pub mod process;
mod sheet;

use desk::book::bound::{Book, Bound, Leaf};
use desk::drawing::{Drawing, Drawn, Layout, Leaves, NoPage, Sheet};
use order::Wanted;
use process::DrawingProcess;

impl Drawing for DrawingProcess {
    fn draw(&self, musicxml: &str, layout: &Layout) -> Result<Drawn, NoPage> {
        let sheets = self.sheets(musicxml, layout, Wanted::Pages)?;
        Ok(Drawn { svgs: sheets.svgs, pages: sheets.pages, boxed: sheets.boxed })
    }

    fn pdf(&self, musicxml: &str, layout: &Layout) -> Result<Vec<u8>, NoPage> {
        Ok(self.sheets(musicxml, layout, Wanted::PagesAndPdf)?.pdf)
    }

    fn sheet(&self, sheet: &Sheet) -> Result<Drawn, NoPage> {
        let sheets = self.sheets(&in_json(sheet), &Layout::default(), Wanted::Sheet)?;
        Ok(Drawn { svgs: sheets.svgs, pages: sheets.pages, boxed: sheets.boxed })
    }

    fn sheet_pdf(&self, sheet: &Sheet) -> Result<Vec<u8>, NoPage> {
        Ok(self.sheets(&in_json(sheet), &Layout::default(), Wanted::SheetAndPdf)?.pdf)
    }

    fn leaves(&self, musicxml: &str) -> Result<Leaves, NoPage> {
        let sheets = self.sheets(musicxml, &Layout::default(), Wanted::Leaves)?;
        Ok(Leaves { leaves: sheets.leaves.into_iter().map(Leaf).collect(), boxed: sheets.boxed })
    }

    fn bind(&self, book: &Book) -> Result<Bound, NoPage> {
        book::bind(book)
    }
}

/// A sheet as it is sent.
pub fn in_json(sheet: &Sheet) -> String {
    serde_json::to_string(sheet).expect("numbers and texts have a JSON form")
}
