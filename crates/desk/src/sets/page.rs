//! The set page: one page in large print with titles, keys, lengths, settings, what is moved between tunes, links and ways out. It is as large as one page lets it be.
//!
//! What cannot stand at a readable size is told less: first the ways out go, then how everything stands, which follows from what is moved; then all of it shrinks.

use super::fill::counted;
use super::laid::{InPlace, Laid, Row, Step};
use super::words;
use crate::drawing::Sheet;
use crate::practice::pen::{Hand, POINT, Pen, about};

/// A4.
const PAPER: (f64, f64) = (210.0, 297.0);
const LEFT: f64 = 13.0;
const RIGHT: f64 = 197.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 12.0;
/// Where a tune's title begins, behind its number.
const INDENT: f64 = 11.0;
/// What the legend takes.
const LEGEND: f64 = 8.0;

/// The sizes that are tried, the largest first.
const SIZES: [f64; 15] = [1.4, 1.3, 1.2, 1.1, 1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.7, 0.65, 0.6, 0.55, 0.5];
/// Letters of a title at size 1: set lists are read in 16 to 18 points.
const TITLE: f64 = 18.0;
/// From here down a page says less rather than shrinking further.
const READABLE: f64 = 0.9;
/// The smallest size of sixty tunes.
const SMALLEST: f64 = 0.16;

/// How much is told.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Told {
    All,
    NoWaysOut,
    FewSettings,
}

/// One line of the page.
struct Line {
    text: String,
    /// At the right end.
    beside: String,
    number: Option<usize>,
    points: f64,
    look: Look,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Look {
    Title,
    Plain,
    Bold,
    Italic,
    /// In a frame: something is done here.
    Framed,
}

/// The set as a page.
pub fn page(laid: &Laid, title: &str) -> Sheet {
    let mut pen = Pen::default();
    let first = heading(&mut pen, laid, title);
    let room = PAPER.1 - BOTTOM - LEGEND - first;
    let (told, size) = fitted(laid, room);
    let blocks: Vec<Vec<Line>> = laid.rows.iter().enumerate().map(|(at, row)| block(at, row, told)).collect();
    let used: f64 = blocks.iter().flatten().map(|l| l.height(size)).sum();
    let gap = ((room - used) / blocks.len().max(1) as f64).clamp(0.0, 9.0);
    let mut y = first;
    for line_of in &blocks {
        for line in line_of {
            line.draw(&mut pen, y, size);
            y += line.height(size);
        }
        y += gap;
    }
    legend(&mut pen);
    Sheet { title: title.to_owned(), author: String::new(), paper: PAPER, items: pen.items }
}

/// How much is told, and how large, so that it stands in the room.
fn fitted(laid: &Laid, room: f64) -> (Told, f64) {
    let whole = |told: Told, size: f64| -> f64 {
        let lines = laid.rows.iter().enumerate().flat_map(|(at, row)| block(at, row, told));
        lines.map(|l| l.height(size)).sum()
    };
    let size = |told: Told| SIZES.into_iter().find(|size| whole(told, *size) <= room);
    let all = [Told::All, Told::NoWaysOut, Told::FewSettings];
    let readable = all.into_iter().find_map(|told| size(told).filter(|s| *s >= READABLE).map(|s| (told, s)));
    readable.unwrap_or_else(|| {
        let least = Told::FewSettings;
        (least, size(least).unwrap_or_else(|| (room / whole(least, 1.0)).max(SMALLEST)))
    })
}

fn heading(pen: &mut Pen, laid: &Laid, title: &str) -> f64 {
    pen.words((LEFT, TOP + 8.0), title, Hand::bold(26.0).within(RIGHT - LEFT - 52.0));
    let facts = format!("{}, {}", counted(laid.rows.len(), "tune"), words::length_of(laid.seconds()));
    pen.words((RIGHT, TOP + 8.0), facts, Hand::plain(15.0).right().within(50.0));
    let mut y = TOP + 15.5;
    if let Some(before) = words::before(laid) {
        pen.words((LEFT, y), format!("Before the first note: {before}"), Hand::bold(13.0).within(RIGHT - LEFT));
        y += 3.2;
    }
    pen.line((LEFT, y), (RIGHT, y), 0.5);
    y + 2.5
}

fn legend(pen: &mut Pen) {
    let y = PAPER.1 - BOTTOM;
    pen.line((LEFT, y - 5.2), (RIGHT, y - 5.2), 0.3);
    let text = "In a frame: what is moved between two tunes; what a tune does not pluck may stay as it is. out: how to close early, by the numbers of the tune's own page.";
    pen.words((LEFT, y - 1.0), text, Hand::plain(9.0).within(RIGHT - LEFT));
}

fn block(at: usize, row: &Row, told: Told) -> Vec<Line> {
    let mut lines = Vec::new();
    let tune = match &row.tune {
        Ok(tune) => tune,
        Err(why) => {
            let title = Line { number: Some(at + 1), ..Line::of(&row.entry.tune, TITLE, Look::Title) };
            return vec![title, Line::of(why, 12.0, Look::Italic)];
        }
    };
    if let Some(step) = &row.between {
        lines.extend(between(step, tune));
    }
    let mut facts = words::facts(tune, row.entry.times);
    let (key, rest) = (facts.remove(0), facts);
    let whole = told < Told::FewSettings;
    let beside = if whole { key } else { format!("{}   {key}", rest[1..].join(" · ")) };
    lines.push(Line { number: Some(at + 1), beside, ..Line::of(&tune.known.title, TITLE, Look::Title) });
    if whole {
        lines.push(Line::of(&rest.join(" · "), 12.5, Look::Plain));
    }
    if whole && at > 0 {
        lines.push(Line::of(&tune.stands.setting(&tune.known.harp).line(), 12.5, Look::Plain));
    }
    if !tune.again.is_empty() {
        lines.push(Line::of(&format!("before it is played again: {}", words::changes(&tune.again)), 12.5, Look::Bold));
    }
    lines.extend(tune.known.lacks.as_ref().map(|why| Line::of(why, 12.0, Look::Italic)));
    if told == Told::All && !tune.known.ways_out.is_empty() {
        lines.push(Line::of(&format!("out: {}", tune.known.ways_out), 11.0, Look::Italic));
    }
    lines
}

fn between(step: &Step, tune: &InPlace) -> Vec<Line> {
    let mut said = words::moves(&step.changes);
    match &step.link {
        Some(Ok(link)) => said = format!("{}, {said}", words::link(link)),
        Some(Err(no)) => said = format!("{said}, {}", words::no_link_short(*no)),
        None => {}
    }
    let moved = !step.changes.is_empty() || step.link.is_some();
    let key = words::reasons(step, tune);
    if moved {
        vec![Line::of(&said, 13.5, Look::Framed)]
    } else {
        vec![Line::of(&[vec![said], key].concat().join("; "), 12.0, Look::Italic)]
    }
}

impl Line {
    fn of(text: &str, points: f64, look: Look) -> Line {
        Line { text: text.to_owned(), beside: String::new(), number: None, points, look }
    }

    fn height(&self, size: f64) -> f64 {
        let leading = match self.look {
            Look::Title => 1.5,
            Look::Framed => 1.9,
            _ => 1.3,
        };
        self.points * size * POINT * leading
    }

    fn draw(&self, pen: &mut Pen, top: f64, size: f64) {
        let points = self.points * size;
        let em = points * POINT;
        let left = LEFT + INDENT * size.max(0.5);
        let base = top + em * if self.look == Look::Framed { 1.25 } else { 1.05 };
        let most = RIGHT - left;
        let hand = match self.look {
            Look::Title | Look::Bold | Look::Framed => Hand::bold(points),
            Look::Plain => Hand::plain(points),
            Look::Italic => Hand::italic(points),
        };
        if let Some(number) = self.number {
            pen.words((LEFT, base), number.to_string(), Hand::bold(points));
        }
        let beside = if self.beside.is_empty() { 0.0 } else { about(&self.beside, points) * 1.15 + 4.0 };
        pen.words((RIGHT, base), self.beside.clone(), Hand::bold(points).right());
        if self.look == Look::Framed {
            let wide = (about(&self.text, points) * 1.2 + 2.0 * em).min(most);
            pen.frame((left, top + em * 0.2), (left + wide, top + em * 1.65), 0.4);
            pen.words((left + em * 0.6, base), self.text.clone(), hand.within(wide - em * 1.2));
        } else {
            pen.words((left, base), self.text.clone(), hand.within(most - beside));
        }
    }
}
