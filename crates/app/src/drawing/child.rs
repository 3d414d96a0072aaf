//! The drawing process itself: draws what it is told on its standard input until that ends. The engraver is a large library of another language; whatever befalls it here befalls this
//! process alone.

use super::frames;
use super::order::{Order, Sheets, Wanted, written};
use super::sheet::engraved;
use crate::failure::Failure;
use desk::drawing::{Layout, Purpose, Sheet};
use engrave::{Engraver, Foot, Head, Leaf, Margins, PageLayout, Paper, Percent, StaffHeight};
use std::io::{BufReader, stdin, stdout};
use std::sync::mpsc::channel;

/// The command that is not for typing.
pub const COMMAND: &str = "draw-pages";

/// The most memory that this process may have, in bytes: the longest tune takes a tenth of it, and a machine that has no more left ends other programs.
#[cfg(unix)]
const MEMORY: u64 = 4 << 30;

/// Letters around the music in large print, in percent: verses of 10.5 points become 18.
const AROUND: u32 = 175;

/// Free paper on a screen, in millimetres.
const SCREEN: Margins = Margins { top: 6.0, bottom: 6.0, left: 6.0, right: 6.0 };

/// Answers orders until there are no more. Errors: what came is no order.
pub fn run() -> Result<(), Failure> {
    keep_memory();
    let engraver = Engraver::start();
    let (orders, ordered) = channel();
    std::thread::spawn(move || {
        let mut from = BufReader::new(stdin());
        while let Ok(parts) = frames::read(&mut from) {
            if orders.send(parts).is_err() {
                break;
            }
        }
        // Who asked is gone, and nobody waits for what is being drawn.
        std::process::exit(0);
    });
    for parts in ordered {
        let no_order = || Failure::wrong(format!("{COMMAND} is for the program itself"));
        let [order, musicxml] = &parts[..] else { return Err(no_order()) };
        let order: Order = serde_json::from_slice(order).map_err(|_| no_order())?;
        let musicxml = std::str::from_utf8(musicxml).map_err(|_| no_order())?;
        let answer = written(&drawn(&engraver, musicxml, &order));
        let parts: Vec<&[u8]> = answer.iter().map(Vec::as_slice).collect();
        frames::write(&mut stdout().lock(), &parts).map_err(|error| Failure::World(error.to_string()))?;
    }
    Ok(())
}

#[cfg(unix)]
fn keep_memory() {
    use rustix::process::{Resource, Rlimit, setrlimit};
    // Where the system keeps no such limit there is none.
    let _ = setrlimit(Resource::As, Rlimit { current: Some(MEMORY), maximum: Some(MEMORY) });
}

#[cfg(not(unix))]
fn keep_memory() {}

fn drawn(engraver: &Engraver, text: &str, order: &Order) -> Result<Sheets, String> {
    let pages = match order.wanted {
        Wanted::Leaves => return leaves(engraver, text, order),
        Wanted::Pages | Wanted::PagesAndPdf => engraver.pages(text, &page_layout(&order.layout())),
        Wanted::Sheet | Wanted::SheetAndPdf => {
            let sheet: Sheet = serde_json::from_str(text).map_err(|error| error.to_string())?;
            engraver.sheet(&engraved(&sheet))
        }
    };
    let pages = pages.map_err(|error| error.to_string())?;
    let mut places = vec![1; pages.measures.iter().map(|m| m.index + 1).max().unwrap_or(0)];
    for measure in &pages.measures {
        places[measure.index] = measure.page;
    }
    let pdf = if matches!(order.wanted, Wanted::PagesAndPdf | Wanted::SheetAndPdf) { pages.pdf() } else { Vec::new() };
    Ok(Sheets { svgs: pages.svgs, pages: places, pdf, boxed: pages.boxed, leaves: Vec::new() })
}

fn leaves(engraver: &Engraver, musicxml: &str, order: &Order) -> Result<Sheets, String> {
    let layout = PageLayout { foot: Foot::InBook, ..page_layout(&order.layout()) };
    let drawn = engraver.leaves(musicxml, &layout).map_err(|error| error.to_string())?;
    let leaves = drawn.leaves.iter().map(Leaf::bytes).collect();
    Ok(Sheets { leaves, boxed: drawn.boxed, ..Sheets::default() })
}

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
        around: (layout.purpose == Purpose::LargePrint).then(|| Percent::of(AROUND)),
        fingers: Percent::of(layout.fingers),
        head: if layout.purpose == Purpose::Stand { Head::Low } else { Head::Usual },
        foot: Foot::Alone,
    }
}
