//! Writing an arrangement: which kinds of file ([`kinds`]), saved whole or not at all ([`save`]), and
//! never over a file that is not this program's own ([`written`]). [`leaves`] does the same for what is practised.

pub mod kinds;
pub mod leaves;
pub mod print;
pub mod save;
pub mod sound;
pub mod written;

use crate::arguments::choices;
use crate::drawing::order::{Sheets, Wanted};
use crate::drawing::process::DrawingProcess;
use crate::failure::Failure;
use crate::job::{Job, Setup};
use crate::report::{Report, decisions};
use desk::drawing::{NoPage, boxes};
use desk::lesson::speech::Voice;
use desk::plain_text::Order;
use desk::{lesson, names, plain_text};
use engrave::png;
use formats::{midi, musicxml};
use kinds::Kinds;
use print::Print;
use sound::Sounding;
use std::path::{Path, PathBuf};
use written::{Others, Written};

/// The resolution of PNG pages.
const DOTS_PER_INCH: u16 = 150;

/// Where and what to write, and the drawing process, started only if there are pages to draw: a tune on which the engraver fails does not stop the others.
pub struct Writer {
    folder: PathBuf,
    kinds: Kinds,
    drawing: Option<DrawingProcess>,
    names: names::Names,
    sounding: Sounding,
    written: Written,
    print: Print,
    order: Order,
}

impl Writer {
    /// For these tunes, which are never written over.
    pub fn new(folder: &Path, kinds: Kinds, sounding: Sounding, tunes: &[PathBuf], others: Others) -> Result<Writer, Failure> {
        let drawing = kinds.pages().then(DrawingProcess::start);
        let written = Written::open(folder, tunes, others);
        Ok(Writer {
            folder: folder.to_owned(),
            kinds,
            drawing,
            names: names::Names::default(),
            sounding,
            written,
            print: Print::default(),
            order: Order::default(),
        })
    }

    /// In another size or order. Errors: a word that is none.
    pub fn wished(self, wished: &choices::Written) -> Result<Writer, Failure> {
        let print = wished.print.parse().map_err(Failure::wrong)?;
        let order = wished.text_order.parse().map_err(Failure::wrong)?;
        Ok(Writer { print, order, ..self })
    }

    /// Writes all files of a tune and puts them into the report: the page first.
    pub fn write(&mut self, job: &Job, setup: &Setup, report: &mut Report) -> Result<(), Failure> {
        save::folder(&self.folder)?;
        let name = self.names.unused(&job.title());
        let score = &job.arrangement.score;
        let from = &job.path;
        let music = (self.kinds.musicxml || self.drawing.is_some()).then(|| musicxml::write::write(score));
        if let (Some(drawing), Some(music)) = (&self.drawing, &music) {
            let wanted = if self.kinds.pdf { Wanted::PagesAndPdf } else { Wanted::Pages };
            let sheets = drawing.sheets(music, &self.print.layout(), wanted).map_err(no_page(job))?;
            report.remarks.extend(boxes(&sheets.boxed));
            self.pages(&format!("{name}{}", self.print.suffix()), &sheets, job, report)?;
        }
        if let Some(music) = music.filter(|_| self.kinds.musicxml) {
            self.save(&format!("{name}.musicxml"), music.as_bytes(), from, report)?;
        }
        if self.kinds.midi {
            self.save(&format!("{name}.mid"), &midi::write(score), from, report)?;
        }
        if self.kinds.wav {
            self.save(&format!("{name}.wav"), &self.sounding.wav(job)?, from, report)?;
        }
        if self.kinds.text {
            let text = plain_text::write(score, &phrases(job), self.order);
            self.save(&format!("{name}.txt"), text.as_bytes(), from, report)?;
        }
        if self.kinds.lesson {
            self.lesson(&name, job, report)?;
        }
        if self.kinds.json {
            let file = format!("{name}.json");
            let mut with_itself = report.clone();
            with_itself.files.push(self.path(&file));
            // The report in the file names the files without their folder, so that it reads the same wherever it is written.
            with_itself.files.iter_mut().for_each(|f| *f = file_name(f));
            let text = decisions::json(&decisions::file(&with_itself, &setup.decisions(job)));
            self.save(&file, text.as_bytes(), from, report)?;
        }
        Ok(())
    }

    /// The sound and the order of its parts in words.
    fn lesson(&mut self, name: &str, job: &Job, report: &mut Report) -> Result<(), Failure> {
        let voice = Voice::of_the_system();
        if !voice.is_there() {
            report.remarks.push(voice.in_words());
        }
        let spoken = lesson::lesson(&job.arrangement.score, &phrases(job), &voice);
        self.save(&format!("{name}-lesson.wav"), &self.sounding.lesson(&spoken, job)?, &job.path, report)?;
        self.save(&format!("{name}-lesson.txt"), spoken.text(&job.title(), &voice).as_bytes(), &job.path, report)
    }

    fn pages(&mut self, name: &str, sheets: &Sheets, job: &Job, report: &mut Report) -> Result<(), Failure> {
        if self.kinds.pdf {
            self.save(&format!("{name}.pdf"), &sheets.pdf, &job.path, report)?;
        }
        for (number, svg) in (1..).zip(&sheets.svgs) {
            if self.kinds.svg {
                self.save(&format!("{name}-{number}.svg"), svg.as_bytes(), &job.path, report)?;
            }
            if self.kinds.png {
                let picture = png::draw(svg, DOTS_PER_INCH).map_err(|error| no_page(job)(NoPage::Refused(error.to_string())))?;
                self.save(&format!("{name}-{number}.png"), &picture, &job.path, report)?;
            }
        }
        Ok(())
    }

    fn save(&mut self, file: &str, bytes: &[u8], from: &Path, report: &mut Report) -> Result<(), Failure> {
        self.written.save(file, bytes, from)?;
        report.files.push(self.path(file));
        Ok(())
    }

    fn path(&self, file: &str) -> String {
        let folder = self.folder.strip_prefix(".").unwrap_or(&self.folder);
        folder.join(file).display().to_string()
    }
}

/// The phrase of each measure.
fn phrases(job: &Job) -> Vec<usize> {
    job.arrangement.phrases.measures.iter().map(|place| place.phrase).collect()
}

fn file_name(path: &str) -> String {
    Path::new(path).file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default()
}

fn no_page(job: &Job) -> impl Fn(NoPage) -> Failure + '_ {
    |no_page| Failure::World(format!("{}: {no_page}", job.path.display()))
}
