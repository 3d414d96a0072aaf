//! Writing what is practised: cue sheets, the pages of steps, sheets to read; saved like arrangements, whole or not at all and never over anything else.

use super::kinds::Kinds;
use super::save;
use super::written::{Others, Written};
use crate::drawing::in_json;
use crate::drawing::order::{Sheets, Wanted};
use crate::drawing::process::DrawingProcess;
use crate::failure::Failure;
use desk::drawing::{Layout, Sheet};
use desk::names;
use engrave::png;
use std::path::{Path, PathBuf};

/// The resolution of PNG pages.
const DOTS_PER_INCH: u16 = 150;

/// Where and what to write.
pub struct Leaves {
    folder: PathBuf,
    kinds: Kinds,
    drawing: Option<DrawingProcess>,
    names: names::Names,
    written: Written,
    /// What has been written, with its folder.
    pub files: Vec<String>,
}

impl Leaves {
    /// For these tunes, which are never written over.
    pub fn new(folder: &Path, kinds: Kinds, tunes: &[PathBuf], others: Others) -> Leaves {
        let drawing = kinds.pages().then(DrawingProcess::start);
        let written = Written::open(folder, tunes, others);
        Leaves { folder: folder.to_owned(), kinds, drawing, names: names::Names::default(), written, files: Vec::new() }
    }

    /// A name for a title that no other file of this run has.
    pub fn name(&mut self, title: &str) -> String {
        self.names.unused(title)
    }

    /// A sheet as a page.
    pub fn sheet(&mut self, name: &str, sheet: &Sheet, from: &Path) -> Result<(), Failure> {
        let wanted = if self.kinds.pdf { Wanted::SheetAndPdf } else { Wanted::Sheet };
        self.drawn(name, &in_json(sheet), wanted, from)
    }

    /// A score as pages, and as MusicXML where that is wished.
    pub fn score(&mut self, name: &str, musicxml: &str, from: &Path) -> Result<(), Failure> {
        let wanted = if self.kinds.pdf { Wanted::PagesAndPdf } else { Wanted::Pages };
        self.drawn(name, musicxml, wanted, from)?;
        if self.kinds.musicxml { self.save(&format!("{name}.musicxml"), musicxml.as_bytes(), from) } else { Ok(()) }
    }

    /// A file that is made otherwise.
    pub fn save(&mut self, file: &str, bytes: &[u8], from: &Path) -> Result<(), Failure> {
        save::folder(&self.folder)?;
        self.written.save(file, bytes, from)?;
        let folder = self.folder.strip_prefix(".").unwrap_or(&self.folder);
        self.files.push(folder.join(file).display().to_string());
        Ok(())
    }

    fn drawn(&mut self, name: &str, text: &str, wanted: Wanted, from: &Path) -> Result<(), Failure> {
        let Some(drawing) = &self.drawing else { return Ok(()) };
        let no_page = |why: &dyn std::fmt::Display| Failure::World(format!("{}: {why}", from.display()));
        let Sheets { svgs, pdf, .. } = drawing.sheets(text, &Layout::default(), wanted).map_err(|why| no_page(&why))?;
        if self.kinds.pdf {
            self.save(&format!("{name}.pdf"), &pdf, from)?;
        }
        for (number, svg) in (1..).zip(&svgs) {
            let numbered = if svgs.len() == 1 { name.to_owned() } else { format!("{name}-{number}") };
            if self.kinds.svg {
                self.save(&format!("{numbered}.svg"), svg.as_bytes(), from)?;
            }
            if self.kinds.png {
                let picture = png::draw(svg, DOTS_PER_INCH).map_err(|why| no_page(&why))?;
                self.save(&format!("{numbered}.png"), &picture, from)?;
            }
        }
        Ok(())
    }

    /// The files in words, for the end of a report.
    pub fn in_words(&self) -> String {
        if self.files.is_empty() { String::new() } else { format!("\nWritten: {}\n", self.files.join(", ")) }
    }
}
