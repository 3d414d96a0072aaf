//! What stands on a cue sheet for one phrase: its letter, the beginning of its melody, its measures with chords and moves, the figure with its picture.
//!
//! All lengths grow and shrink with the room there is on the page, `size` times the usual.

use super::pen::{Hand, Pen, about, chord_width};
use super::snippet;
use crate::drawing::Item;
use music::{Beats, Jump, LeadSheet, Step, Tempo};
use practice::cues::{CueMeasure, PhraseCue, ShapePicture, VerseCue};

/// The columns of the page, in millimetres.
pub const LEFT: f64 = 13.0;
const CELLS: f64 = 24.0;
const CELLS_END: f64 = 149.0;
const FIGURE: f64 = 154.0;
pub const RIGHT: f64 = 198.0;

/// One phrase to be drawn.
#[derive(Clone, Copy)]
pub struct Block<'a> {
    pub phrase: &'a PhraseCue,
    pub sheet: &'a LeadSheet,
    pub tempo: Tempo,
    /// The beginning of the melody is shown.
    pub incipit: bool,
    /// The picture of the figure is shown; else its name stands alone.
    pub picture: bool,
    pub meter: snippet::Meter,
}

/// Heights at the usual size.
const HEADING: f64 = 6.0;
const INCIPIT: f64 = 12.0;
const CELL: f64 = 11.0;
const BETWEEN_LINES: f64 = 2.2;
const UNDER: f64 = 5.4;
const NAME: f64 = 4.6;
const VERSE: f64 = 4.2;
const PICTURE: f64 = 19.0;

impl Block<'_> {
    fn moves(&self) -> bool {
        self.phrase.measures.iter().any(|m| !m.moves.is_empty() || m.otherwise.is_some())
    }

    fn endings(&self) -> bool {
        self.phrase.measures.iter().any(|m| m.ending.is_some())
    }

    fn line_height(&self) -> f64 {
        CELL + if self.moves() { 3.6 } else { 0.0 } + if self.endings() { 2.6 } else { 0.0 }
    }

    /// How high it is at the usual size.
    pub fn height(&self) -> f64 {
        let lines = self.phrase.lines().len() as f64;
        let own = lines * self.line_height() + (lines - 1.0) * BETWEEN_LINES + if self.incipit { INCIPIT } else { 1.0 };
        let verses = self.phrase.verses.len() as f64;
        let figure = NAME + VERSE * verses + if self.picture { PICTURE } else { 0.0 };
        let heading = if self.phrase.heading.is_some() { HEADING } else { 0.0 };
        heading + own.max(figure) + UNDER
    }

    /// Draws it from `top` downwards.
    pub fn draw(&self, pen: &mut Pen, top: f64, size: f64) {
        let mut y = top;
        if let Some(heading) = &self.phrase.heading {
            pen.words((LEFT, y + 4.0 * size), heading.clone(), Hand::bold(12.0 * size.min(1.1)).within(CELLS_END - LEFT));
            y += HEADING * size;
        }
        let cells_top = y + if self.incipit { INCIPIT } else { 1.0 } * size;
        self.letter(pen, y, cells_top, size);
        if self.incipit {
            self.incipit(pen, y, size);
        }
        let mut line_top = cells_top;
        for line in self.phrase.lines() {
            self.line(pen, line, line_top, size);
            line_top += (self.line_height() + BETWEEN_LINES) * size;
        }
        if let Some(out) = &self.phrase.out {
            let base = line_top - BETWEEN_LINES * size + 3.4 * size;
            pen.words((CELLS_END, base), format!("out: {out}"), Hand::italic(9.5 * size.min(1.15)).right().within(CELLS_END - CELLS));
        }
        self.figure(pen, y, size);
    }

    fn letter(&self, pen: &mut Pen, top: f64, cells_top: f64, size: f64) {
        let high = 7.6 * size.min(1.2);
        let at = if self.incipit { top + 1.2 * size } else { cells_top + 1.0 * size };
        pen.frame((LEFT, at), (LEFT + high, at + high), 0.45);
        let points = if self.phrase.letter.len() > 1 { 12.0 } else { 17.0 };
        pen.words((LEFT + high / 2.0, at + high * 0.76), self.phrase.letter.clone(), Hand::bold(points * size.min(1.2)).middle());
    }

    fn incipit(&self, pen: &mut Pen, top: f64, size: f64) {
        let musicxml = snippet::melody(self.sheet, self.tempo, &self.phrase.incipit, self.meter);
        let staff = 5.0 * size.min(1.25);
        pen.items.push(Item::Music { at: (CELLS, top + 3.2 * size), staff, most: CELLS_END - CELLS, musicxml });
    }

    /// A line of measures: bar lines, chords at their beats, moves and other figures below.
    fn line(&self, pen: &mut Pen, line: &[CueMeasure], top: f64, size: f64) {
        let pickups: Vec<&CueMeasure> = line.iter().filter(|m| m.pickup).collect();
        let whole: Vec<&CueMeasure> = line.iter().filter(|m| !m.pickup).collect();
        let endings = if self.endings() { 2.6 * size } else { 0.0 };
        let (upper, lower) = (top + endings, top + endings + CELL * size);
        let columns = whole.len().max(practice::cues::IN_A_LINE) as f64;
        let wide = (CELLS_END - CELLS) / columns;
        let words = |points: f64| points * size.clamp(0.8, 1.35);
        if let Some(first) = whole.first() {
            let opens = first.repeat_start || pickups.iter().any(|m| m.repeat_start);
            pen.words((CELLS + if opens { 2.0 } else { 0.9 }, lower - 0.7), number(first), Hand::plain((7.0 * size).clamp(6.2, 9.0)));
        }
        for pickup in &pickups {
            // A chord over a pickup stands before the first bar line.
            let text: Vec<String> = pickup.chords.iter().map(|c| c.text.clone()).collect();
            pen.words((CELLS - 1.4, upper + 5.2 * size), text.join(" "), Hand::bold(words(10.0)).right().within(CELLS - LEFT - 1.0));
        }
        let repeat_before = pickups.iter().any(|m| m.repeat_start);
        for (column, measure) in whole.iter().enumerate() {
            let (from, to) = (CELLS + wide * column as f64, CELLS + wide * (column + 1) as f64);
            bar(pen, (from, upper, lower), if measure.repeat_start || column == 0 && repeat_before { Bar::Begins } else { Bar::Plain });
            let ends = if measure.repeat_end { Bar::Ends } else { Bar::Plain };
            if measure.repeat_end || column + 1 == whole.len() {
                bar(pen, (to, upper, lower), ends);
            }
            self.ending(pen, measure, (from, to, top), size);
            let opens = if column == 0 && repeat_before { 1.4 } else { 0.0 };
            let place = if column == 0 { InLine::First } else { InLine::Later };
            chords(pen, measure, (from + opens, to, lower - (3.4 * size).max(2.8)), words(18.0), place);
            moves(pen, measure, (from, to, lower + 3.0 * size), size);
            jumps(pen, measure, (from, to, upper + 2.6 * size), words(8.0));
        }
        pen.line((CELLS, lower), (CELLS + wide * whole.len() as f64, lower), 0.2);
    }

    fn ending(&self, pen: &mut Pen, measure: &CueMeasure, (from, to, top): (f64, f64, f64), size: f64) {
        let Some(ending) = &measure.ending else { return };
        let y = top + 0.4;
        pen.line((from + 0.8, y), (to - 0.8, y), 0.3);
        if ending.starts {
            pen.line((from + 0.8, y), (from + 0.8, y + 2.2 * size), 0.3);
            let passes: Vec<String> = ending.passes.iter().map(u32::to_string).collect();
            pen.words((from + 1.8, y + 2.7 * size), format!("{}.", passes.join(", ")), Hand::plain(8.0 * size.min(1.3)));
        }
    }

    /// The figure's name, how full it is, verse by verse, and its picture.
    fn figure(&self, pen: &mut Pen, top: f64, size: f64) {
        let mut y = top + 3.6 * size;
        let verses = &self.phrase.verses;
        let Some(first) = verses.first() else { return };
        let points = |p: f64| p * size.clamp(0.88, 1.2);
        if verses.len() == 1 {
            pen.words((FIGURE, y), name(first), Hand::bold(points(11.5)).within(RIGHT - FIGURE));
            pen.fullness((FIGURE + 1.2, y + 3.2 * size), first.fullness, 1.05 * size.min(1.2));
            y += (NAME + VERSE - 3.4) * size;
        } else {
            for (verse, cue) in verses.iter().enumerate() {
                pen.words((FIGURE, y), format!("{} {}", verse + 1, name(cue)), Hand::bold(points(10.5)).within(RIGHT - FIGURE - 17.0));
                pen.fullness((RIGHT - 14.6, y - 1.2 * size), cue.fullness, 0.95 * size.min(1.1));
                y += VERSE * size;
            }
            y -= 1.0 * size;
        }
        if let Some(picture) = first.picture.as_ref().filter(|_| self.picture) {
            let base = if verses.len() == 1 { top + 7.7 * size } else { y + 1.2 };
            pen.words((RIGHT, base), format!("on {}", picture.chord), Hand::italic(points(9.0)).right().within(22.0));
            let under = if verses.len() == 1 { 2.4 } else { 3.2 };
            shape(pen, picture, (FIGURE, y + under, RIGHT, y + PICTURE * size));
        }
    }
}

fn name(cue: &VerseCue) -> String {
    cue.figure.clone()
}

fn number(measure: &CueMeasure) -> String {
    measure.number.in_the_tune().map(|n| n.to_string()).unwrap_or_default()
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Bar {
    Plain,
    Begins,
    Ends,
}

fn bar(pen: &mut Pen, (x, upper, lower): (f64, f64, f64), bar: Bar) {
    match bar {
        Bar::Plain => pen.line((x, upper), (x, lower), 0.3),
        Bar::Begins | Bar::Ends => {
            let side = if bar == Bar::Begins { 1.0 } else { -1.0 };
            pen.line((x, upper), (x, lower), 1.0);
            pen.line((x + side * 1.2, upper), (x + side * 1.2, lower), 0.3);
            let middle = f64::midpoint(upper, lower);
            for up in [-1.3, 1.3] {
                pen.dot((x + side * 2.2, middle + up), 0.45);
            }
        }
    }
}

/// Where a measure stands in its line.
#[derive(Clone, Copy, PartialEq, Eq)]
enum InLine {
    First,
    Later,
}

/// Chords at their beats, all of a measure in one size: a small one would seem to matter less. Where they stand close they give way, and then are made smaller.
fn chords(pen: &mut Pen, measure: &CueMeasure, (from, to, base): (f64, f64, f64), largest: f64, place: InLine) {
    let opens = if measure.repeat_start { 1.4 } else { 0.0 };
    let (first, last) = (from + 2.6 + opens, to - 0.8);
    let mut all: Vec<(Beats, String)> = measure.chords.iter().map(|c| (c.at, c.text.clone())).collect();
    match &measure.goes_on {
        Some(chord) if place == InLine::First => all.insert(0, (Beats::ZERO, format!("({chord})"))),
        _ if all.is_empty() => pen.line((from + 5.0, base - 2.0), (from + 9.0, base - 2.0), 0.35),
        _ => {}
    }
    let seats = |points: f64| -> Option<Vec<f64>> {
        let (gap, wide) = (points * 0.1, |text: &str| chord_width(text, points));
        let mut free = first;
        let mut seats: Vec<f64> = Vec::new();
        for (at, text) in &all {
            let x = (first + (last - first) * share(*at, measure.length)).max(free);
            seats.push(x);
            free = x + wide(text) + gap;
        }
        let mut limit = last;
        for (x, (_, text)) in seats.iter_mut().zip(&all).rev() {
            *x = x.min(limit - wide(text));
            limit = *x - gap;
        }
        seats.first().is_none_or(|x| *x >= first - 0.01).then_some(seats)
    };
    let sizes = (0..).map(|step| largest - f64::from(step) * 0.5).take_while(|points| *points >= 8.0);
    let found = sizes.filter_map(|points| Some((points, seats(points)?))).next();
    let (points, seats) =
        found.unwrap_or_else(|| (8.0, all.iter().map(|(at, _)| first + (last - first) * share(*at, measure.length)).collect()));
    for (index, ((_, text), x)) in all.into_iter().zip(&seats).enumerate() {
        let room = seats.get(index + 1).map_or(last, |next| next - 0.6) - x;
        pen.words((*x, base), text, Hand::bold(points).within(room.max(2.0)));
    }
}

/// How far along a measure a place is, from 0 to 1.
fn share(at: Beats, length: Beats) -> f64 {
    at.as_f64() / length.as_f64().max(0.25)
}

/// Lever and pedal moves in boxes at their beats, and another figure's name.
fn moves(pen: &mut Pen, measure: &CueMeasure, (from, to, base): (f64, f64, f64), size: f64) {
    let points = 9.0 * size.min(1.2);
    let mut free = from + 1.0;
    for change in &measure.moves {
        let wide = about(&change.text, points) + 2.4;
        let left = (from + 1.4 + (to - from - 3.0) * share(change.at, measure.length)).max(free).min((to - wide).max(free));
        pen.frame((left, base - 3.0 * size), (left + wide, base + 0.9 * size), 0.4);
        pen.words((left + wide / 2.0, base), change.text.clone(), Hand::bold(points).middle().within(wide - 1.2));
        free = left + wide + 0.8;
    }
    if let Some(other) = measure.otherwise.as_ref().filter(|_| to - free > 6.0) {
        pen.words((free + 0.4, base), other.clone(), Hand::italic(8.5 * size.min(1.2)).within(to - free - 1.0));
    }
}

fn jumps(pen: &mut Pen, measure: &CueMeasure, (from, to, base): (f64, f64, f64), points: f64) {
    for jump in &measure.jumps {
        let (text, begins) = match jump {
            Jump::Segno => ("sign", true),
            Jump::Coda => ("coda", true),
            Jump::ToCoda => ("to coda", false),
            Jump::Fine => ("Fine", false),
            Jump::DaCapo => ("D.C.", false),
            Jump::DalSegno => ("D.S.", false),
        };
        let (at, hand) = if begins { (from + 1.0, Hand::bold(points)) } else { (to - 1.0, Hand::bold(points).right()) };
        pen.words((at, base), text, hand);
    }
}

/// The picture of a shape: strings upright as they stand before her, the low ones at the left; a ring with a finger for each string that is plucked, what is
/// plucked first on top, with its count at the side.
fn shape(pen: &mut Pen, picture: &ShapePicture, (left, top, right, bottom): (f64, f64, f64, f64)) {
    let strings = f64::from(picture.highest - picture.lowest);
    let step = ((right - left - 8.0) / strings.max(1.0)).min(4.4);
    let x = |string: i32| left + 6.5 + f64::from(string - picture.lowest) * step;
    let rows = picture.plucks.len().max(1) as f64;
    let (first, last) = (top, bottom - 3.4);
    let down = ((last - first) / rows).min(4.8);
    let y = |row: usize| first + down * (row as f64 + 0.5);
    let end = first + down * rows;
    let radius = (down * 0.5).clamp(1.2, 2.0).min(step * 0.48);
    for string in picture.lowest..=picture.highest {
        let on = |p: &practice::cues::picture::PicturePluck| p.touches.iter().any(|t| t.pitch.position() == string);
        let rings = picture.plucks.iter().enumerate().filter(|(_, p)| on(p)).map(|(row, _)| y(row)).chain([end + radius]);
        let mut begin = first - 0.6;
        for ring in rings {
            if ring - radius > begin {
                one_string(pen, string, (x(string), begin, ring - radius));
            }
            begin = ring + radius;
        }
    }
    let plucked: std::collections::BTreeMap<i32, music::Pitch> =
        picture.plucks.iter().flat_map(|p| &p.touches).map(|t| (t.pitch.position(), t.pitch)).collect();
    for (index, (string, pitch)) in plucked.iter().enumerate() {
        let name = if index == 0 { format!("{pitch:#}") } else { format!("{:#}", pitch.name()) };
        pen.words((x(*string), end + 2.9), name, Hand::bold(7.6).middle());
    }
    for (row, pluck) in picture.plucks.iter().enumerate() {
        pen.words((left + 2.6, y(row) + 0.9), count(picture, pluck.at), Hand::plain((down * 3.2).clamp(5.0, 7.4)).middle());
        for touch in &pluck.touches {
            let at = (x(touch.pitch.position()), y(row));
            pen.ring(at, radius);
            let finger = touch.finger.map(|f| f.to_string()).unwrap_or_default();
            pen.words((at.0, at.1 + radius * 0.58), finger, Hand::bold(radius * 4.7).middle());
        }
        if pluck.rolled {
            rolled(pen, y(row) - radius - 0.6, pluck.touches.iter().map(|t| x(t.pitch.position())).collect());
        }
    }
}

/// The beat that is counted at a place, from 1; between beats "+".
fn count(picture: &ShapePicture, at: Beats) -> String {
    picture.beats.iter().position(|beat| *beat == at).map_or_else(|| "+".to_owned(), |beat| (beat + 1).to_string())
}

/// C strings are thick and F strings dashed, as on the harp they are red and black.
fn one_string(pen: &mut Pen, string: i32, (x, from, to): (f64, f64, f64)) {
    match Step::from_index(string) {
        Step::C => pen.line((x, from), (x, to), 0.6),
        Step::F => pen.dashed((x, from), (x, to), 0.4),
        _ => pen.line((x, from), (x, to), 0.16),
    }
}

/// A waved line over strings that are spread from the bottom.
fn rolled(pen: &mut Pen, y: f64, strings: Vec<f64>) {
    let (low, high) = (strings.iter().copied().fold(f64::MAX, f64::min), strings.iter().copied().fold(f64::MIN, f64::max));
    let (mut x, mut side) = (low, 0.4);
    while x < high {
        pen.line((x, y + side), (x + 0.9, y - side), 0.28);
        (x, side) = (x + 0.9, -side);
    }
}
