//! The engraver: one warm engraving library on a thread of its own, and the way from MusicXML to pages.

use crate::breaks::{self, Line, Paragraph};
use crate::compose::{self, Composition};
use crate::drawing::Shape;
use crate::drawn::{Drawn, Key};
use crate::error::EngraveError;
use crate::heading::Heading;
use crate::layout::{PageLayout, Percent, StaffHeight};
use crate::leaf::Leaf;
use crate::library::{Breaks, LastLine, Library};
use crate::pages::{Page, Pages, boxed};
use crate::parse::{self, System};
use crate::source::{self, Source};
use crate::{clear, harp, heading, holds, rewrite, syllables};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;

/// Keeps the engraving library open. Opening takes about a tenth of a second, so make one and keep it; it may be shared
/// between threads, which then take turns.
pub struct Engraver {
    requests: Option<Sender<Request>>,
    thread: Option<JoinHandle<()>>,
    drawn: Drawn,
}

/// A score's pages for a document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Leaves {
    pub leaves: Vec<Leaf>,
    /// The letters that no font of the program has, each once: boxes stand for them.
    pub boxed: Vec<char>,
}

struct Request {
    musicxml: String,
    breaks: Breaks,
    answer: Sender<Result<Vec<String>, EngraveError>>,
}

impl Engraver {
    /// Opens the library on a thread of its own and returns at once; the first page waits for it.
    pub fn start() -> Engraver {
        let (sender, receiver) = channel();
        let thread = std::thread::spawn(move || serve(receiver));
        Engraver { requests: Some(sender), thread: Some(thread), drawn: Drawn::default() }
    }

    /// Engraves a score. The same text and layout give the same bytes on one machine.
    ///
    /// Errors: the text is not a partwise MusicXML score with at least one measure, or the library refuses it.
    pub fn pages(&self, musicxml: &str, layout: &PageLayout) -> Result<Pages, EngraveError> {
        let source = source::read(musicxml)?;
        let author = source.words.right.join(", ");
        Ok(Pages::new(source.words.title.clone(), author, self.composed(&source, layout)?))
    }

    /// Engraves a score for a document of several. Errors: as for [`Engraver::pages`].
    pub fn leaves(&self, musicxml: &str, layout: &PageLayout) -> Result<Leaves, EngraveError> {
        let pages = self.composed(&source::read(musicxml)?, layout)?;
        Ok(Leaves { leaves: pages.iter().map(Leaf::of).collect(), boxed: boxed(pages.iter().flat_map(|page| &page.shapes)) })
    }

    fn composed(&self, source: &Source, layout: &PageLayout) -> Result<Vec<Page>, EngraveError> {
        let measured = self.measured(source, layout.text)?;
        let set = self.set(source, &measured, layout, layout.staff)?;
        Ok(self.smaller(source, &measured, layout, set)?.pages)
    }

    /// The piece at the largest smaller staff height that saves a page, if one does.
    fn smaller(&self, source: &Source, measured: &Measured, layout: &PageLayout, set: Composition) -> Result<Composition, EngraveError> {
        let tenths = (1..).map(|n| layout.staff.get() - f64::from(n) * 0.1).take_while(|h| *h >= layout.smallest_staff.get() - 0.01);
        let heights = tenths.map(StaffHeight::millimetres);
        let likely = heights.filter(|staff| set.saves_a_page(lines(source, measured, layout, *staff).len(), *staff));
        // The guess may be a little off; a third drawing would take longer than it is worth.
        for staff in likely.step_by(2).take(2) {
            let tried = self.set(source, measured, layout, staff)?;
            if tried.pages.len() < set.pages.len() {
                return Ok(tried);
            }
        }
        Ok(set)
    }

    fn set(&self, source: &Source, measured: &Measured, layout: &PageLayout, staff: StaffHeight) -> Result<Composition, EngraveError> {
        let width = compose::line_width(layout, staff, measured.brace);
        let lines = lines(source, measured, layout, staff);
        let starts: BTreeSet<usize> = lines.iter().skip(1).map(|line| line.from).collect();
        let (last, spread) = last_line(&lines);
        let mut systems = Vec::new();
        for piece in source.seams.pieces(starts.iter().copied()) {
            let last = if piece.end == source.starts.len() { last } else { LastLine::Filled };
            let drawn = self.finished(source, piece, &starts, Breaks::Encoded { width, last, spread, words: layout.text }, layout)?;
            systems.extend(drawn.iter().cloned());
        }
        Ok(compose::compose(&systems, source, layout, staff, measured.brace))
    }

    /// The endless line, chunk by chunk.
    fn measured(&self, source: &Source, words: Percent) -> Result<Measured, EngraveError> {
        let mut measured: Option<Measured> = None;
        for (drawn, own) in source.seams.chunks() {
            let text = rewrite::rewrite(source, drawn.clone(), &BTreeSet::new());
            let breaks = Breaks::Endless { words };
            let systems = self.drawn.once(Key::of(&text, breaks, &""), || self.systems(source, text, breaks))?;
            let widths = systems.iter().flat_map(|s| &s.measures).map(|m| m.right - m.left).skip(own.start - drawn.start);
            match &mut measured {
                Some(measured) => measured.widths.extend(widths),
                None => measured = Some(Measured { widths: widths.collect(), ..Measured::of(&systems) }),
            }
        }
        measured.ok_or(EngraveError::NoMeasures)
    }

    /// The systems of some measures with everything that is set by us, made once.
    fn finished(
        &self,
        source: &Source,
        piece: Range<usize>,
        starts: &BTreeSet<usize>,
        breaks: Breaks,
        layout: &PageLayout,
    ) -> Result<Arc<Vec<System>>, EngraveError> {
        let text = rewrite::rewrite(source, piece.clone(), starts);
        let marks = source.harp.measures.get(piece.clone()).unwrap_or(&[]);
        let headings: Vec<&Heading> = source.headings.iter().filter(|h| piece.contains(&h.measure)).collect();
        let held = piece.clone().map(|measure| source.held.contains(&measure)).collect::<Vec<_>>();
        let key = Key::of(&text, breaks, &(marks, &headings, layout.text, layout.fingers));
        self.drawn.once(key, || {
            let mut systems = self.systems(source, text, breaks)?;
            for system in &mut systems {
                clear::enlarge(&mut system.group, layout.text);
                clear::clear(system);
                syllables::set(system);
            }
            holds::align(&mut systems, &held);
            harp::place(&mut systems, marks, layout);
            heading::place(&mut systems, &headings, piece.start, layout.text);
            Ok(systems)
        })
    }

    /// A short score as one line in its natural spacing.
    pub(crate) fn one_line(&self, source: &Source) -> Result<System, EngraveError> {
        let text = rewrite::rewrite(source, 0..source.starts.len(), &BTreeSet::new());
        let breaks = Breaks::Endless { words: Percent::USUAL };
        let mut systems = self.drawn.once(Key::of(&text, breaks, &"a line"), || self.systems(source, text, breaks))?.as_ref().clone();
        for system in &mut systems {
            clear::clear(system);
            syllables::set(system);
        }
        systems.into_iter().next().ok_or(EngraveError::NoMeasures)
    }

    fn systems(&self, source: &Source, text: String, breaks: Breaks) -> Result<Vec<System>, EngraveError> {
        let drawn = self.draw(text, breaks)?;
        let mut systems = Vec::new();
        for svg in &drawn {
            systems.extend(parse::systems(svg, &source.ids)?);
        }
        if systems.is_empty() {
            return Err(EngraveError::NoPage("no system of music on it".into()));
        }
        Ok(systems)
    }

    fn draw(&self, musicxml: String, breaks: Breaks) -> Result<Vec<String>, EngraveError> {
        let (answer, result) = channel();
        let requests = self.requests.as_ref().ok_or(EngraveError::Gone)?;
        requests.send(Request { musicxml, breaks, answer }).map_err(|_| EngraveError::Gone)?;
        result.recv().map_err(|_| EngraveError::Gone)?
    }
}

impl Drop for Engraver {
    fn drop(&mut self) {
        self.requests = None;
        if let Some(thread) = self.thread.take() {
            // The thread has nothing to say any more, whether it ended well or not.
            let _ = thread.join();
        }
    }
}

fn serve(requests: Receiver<Request>) {
    let mut library = Library::open();
    for request in requests {
        let drawn = match &mut library {
            Ok(library) => library.draw(&request.musicxml, request.breaks),
            Err(error) => Err(error.clone()),
        };
        // Whoever asked may have gone away meanwhile.
        let _ = request.answer.send(drawn);
    }
}

/// What the endless line shows.
struct Measured {
    widths: Vec<f64>,
    /// What clef and key take at the start of a line.
    lead: f64,
    /// How far the brace reaches out before the staves.
    brace: f64,
}

impl Measured {
    fn of(systems: &[System]) -> Measured {
        let widths: Vec<f64> = systems.iter().flat_map(|s| &s.measures).map(|m| m.right - m.left).collect();
        let brace = systems.first().map_or(0.0, |s| (-s.ink[0]).clamp(0.0, 4000.0));
        let note = systems.first().and_then(|s| first_note(&s.group.shapes)).unwrap_or(1400.0);
        // The meter, which later lines do not repeat, is about two and a half staff spaces wide.
        Measured { widths, lead: (note - 450.0).max(700.0), brace }
    }
}

/// Where the first note or rest begins.
fn first_note(shapes: &[Shape]) -> Option<f64> {
    shapes.iter().find_map(|shape| match shape {
        Shape::Group(group) if matches!(group.class.as_str(), "note" | "chord" | "rest") => group.ink().map(|ink| ink[0]),
        Shape::Group(group) => first_note(&group.shapes),
        _ => None,
    })
}

fn lines(source: &Source, measured: &Measured, layout: &PageLayout, staff: StaffHeight) -> Vec<Line> {
    let line = compose::line_width(layout, staff, measured.brace);
    breaks::lines(&Paragraph { widths: &measured.widths, starts: &source.starts, lead: measured.lead, line })
}

/// A last line is filled unless that would pull its notes much further apart than those before: then all notes are spread a little, and it is as long as it is.
fn last_line(lines: &[Line]) -> (LastLine, f64) {
    let Some((last, others)) = lines.split_last() else { return (LastLine::Filled, 1.0) };
    let usual = others.iter().map(|l| l.stretch).sum::<f64>() / others.len().max(1) as f64;
    let most = if others.is_empty() { 3.2 } else { (usual * 1.7).max(2.2) };
    if last.stretch <= most { (LastLine::Filled, 1.0) } else { (LastLine::Ragged, if others.is_empty() { 1.8 } else { usual * 0.9 }) }
}
