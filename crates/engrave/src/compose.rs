//! Systems → pages: how many to a page, and how far apart.
//!
//! Between the ink of two systems there is at least [`Gaps::least`], measured where they come nearest; a page is filled by
//! letting the gaps grow up to [`Gaps::most`]. Which systems stand on a page is chosen as lines are in `breaks`: every way
//! of cutting has a price (gaps far from the usual one, a page with one system or half empty, a turn for which no hand is free), and the cheapest is taken.

use crate::drawing::{Group, Shape, Transform};
use crate::face::Face;
use crate::layout::{PageLayout, StaffHeight};
use crate::pages::{MeasurePlace, Page};
use crate::parse::System;
use crate::skyline::Skyline;
use crate::source::Source;
use crate::titles::{self, Frame, Numbered};
use crate::verses::Verses;
use std::collections::BTreeSet;
use std::ops::Range;

/// Distances between the ink of two systems.
#[derive(Clone, Copy, Debug)]
struct Gaps {
    least: f64,
    usual: f64,
    most: f64,
    /// On a last page with few systems, if that fills it.
    widest: f64,
}

/// The least distance between the ink of two systems, in millimetres.
const LEAST_GAP: f64 = 2.6;

/// The time in which a hand turns a page without haste, in quarter notes. Ours: about two seconds.
const TIME_TO_TURN: f64 = 4.0;

/// What a turn costs for which there is no time at all: as much as a page with one system less than it could hold. Ours.
const HURRIED_TURN: f64 = 3.0;

/// The distance of verses from the music above them, in millimetres.
const VERSES_GAP: f64 = 9.0;

/// Pages, and how well they are used.
pub(crate) struct Composition {
    pub pages: Vec<Page>,
    /// Of one system, with the least gap below it, in library units.
    pub system_height: f64,
    /// What the pages offer to music, in millimetres: the first one, and each later one.
    pub offer: (f64, f64),
}

/// The paper for the music on the first page and on the later ones.
#[derive(Clone, Copy, Debug)]
struct Room {
    first: f64,
    later: f64,
}

impl Room {
    fn on(&self, page: usize) -> f64 {
        if page == 0 { self.first } else { self.later }
    }
}

/// How wide a line of music is on the page, in library units; the brace before it takes the rest.
pub(crate) fn line_width(layout: &PageLayout, staff: StaffHeight, brace: f64) -> f64 {
    let frame = frame(layout, staff);
    frame.width - frame.left - frame.right - brace
}

fn frame(layout: &PageLayout, staff: StaffHeight) -> Frame {
    let unit = PageLayout::units(staff, 1.0);
    let (width, height) = layout.paper.size();
    let m = layout.margins;
    let [left, right, top, bottom] = [m.left, m.right, m.top, m.bottom].map(|v| v * unit);
    Frame {
        unit,
        width: width * unit,
        height: height * unit,
        left,
        right,
        top,
        bottom,
        letters: layout.around.unwrap_or(layout.text).factor(),
    }
}

/// The systems' heights when they are stacked; the place of a system is its uppermost staff line.
struct Stack {
    /// From the top of the ink to the place.
    up: Vec<f64>,
    /// From the place to the bottom of the ink.
    down: Vec<f64>,
    /// From one place to the next when the ink of the two just touches.
    step: Vec<f64>,
}

impl Stack {
    fn of(systems: &[System]) -> Stack {
        let skylines: Vec<Skyline> = systems.iter().map(|s| Skyline::of(&s.group)).collect();
        let places: Vec<f64> = systems.iter().map(System::place).collect();
        let up = skylines.iter().zip(&places).map(|(s, place)| place - s.ends().0).collect();
        let down = skylines.iter().zip(&places).map(|(s, place)| s.ends().1 - place).collect();
        let pairs = skylines.windows(2).zip(places.windows(2));
        let step = pairs.map(|(s, place)| s[0].contact(&s[1]) + place[1] - place[0]).collect();
        Stack { up, down, step }
    }

    fn height(&self, range: Range<usize>) -> f64 {
        match range.len() {
            0 => 0.0,
            _ => self.up[range.start] + self.step[range.start..range.end - 1].iter().sum::<f64>() + self.down[range.end - 1],
        }
    }
}

/// Whether a page is to be filled to the foot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Fullness {
    Whole,
    Part,
}

pub(crate) fn compose(systems: &[System], source: &Source, layout: &PageLayout, staff: StaffHeight, brace: f64) -> Composition {
    let (frame, words) = (frame(layout, staff), &source.words);
    let gaps = Gaps { least: LEAST_GAP * frame.unit, usual: 7.0 * frame.unit, most: 13.0 * frame.unit, widest: 24.0 * frame.unit };
    let (head, top) = titles::head(words, &frame, layout.head);
    let end = frame.height - frame.bottom - titles::foot(words, &words.signs, &frame, Numbered { page: 1, pages: 2, foot: layout.foot }).1;
    let stack = Stack::of(systems);
    let turns = turns(systems, &source.free);
    let plan = Plan { stack: &stack, room: Room { first: end - top, later: end - frame.top }, gaps, turns: &turns };
    let ends = plan.ends();
    let verses = Verses::of(&words.verses, &frame);
    let mut pages = Vec::new();
    let mut from = 0;
    let with_signs = with_signs(systems, source);
    // The pages with a sign whose meaning is said at the foot.
    let mut signed: BTreeSet<usize> = BTreeSet::new();
    // Where the music of the last page ends.
    let mut y = 0.0;
    for (number, &to) in ends.iter().enumerate() {
        let mut page = Page::new(frame.width, frame.height, frame.unit);
        let start = if number == 0 { top } else { frame.top };
        page.shapes.extend(head.iter().filter(|_| number == 0).cloned());
        let (fullness, below) = if to == systems.len() { (Fullness::Part, verses_room(&verses, &frame)) } else { (Fullness::Whole, 0.0) };
        let spot = Spot { x: frame.left + brace, y: start, gap: plan.gap(from..to, number, fullness, below) };
        y = start + plan.stack.height(from..to) + spot.gap * (to - from - 1) as f64;
        place(&mut page, systems, &stack, from..to, spot);
        pages.push(page);
        signed.extend(with_signs[from..to].contains(&true).then_some(number + 1));
        from = to;
    }
    add_verses(&mut pages, verses, &frame, y, end);
    let count = pages.len();
    for (number, page) in (1..).zip(&mut pages) {
        let signs = if signed.contains(&number) { &words.signs[..] } else { &[] };
        page.shapes.extend(titles::foot(words, signs, &frame, Numbered { page: number, pages: count, foot: layout.foot }).0);
    }
    let system_height = stack.height(0..systems.len()) / systems.len().max(1) as f64;
    Composition { pages, system_height, offer: (plan.room.first / frame.unit, plan.room.later / frame.unit) }
}

/// For each system whether it has a sign whose meaning is said: a note that cannot be played, a chord symbol in italics.
fn with_signs(systems: &[System], source: &Source) -> Vec<bool> {
    let mut from = 0;
    let signed = |system: &System| {
        let mut here = source.harp.measures.iter().skip(from).take(system.measures.len());
        from += system.measures.len();
        here.any(|m| !m.crosses.is_empty()) || has_italic_chord(&system.group)
    };
    systems.iter().map(signed).collect()
}

fn has_italic_chord(group: &Group) -> bool {
    let here = group.class == "harm";
    group.shapes.iter().any(|shape| match shape {
        Shape::Text(line) => here && line.runs.iter().any(|run| run.face == Face::BoldItalic),
        Shape::Group(inner) => has_italic_chord(inner),
        _ => false,
    })
}

/// What a turn of the page costs after each system: nothing where the left hand has time for it.
fn turns(systems: &[System], free: &[f64]) -> Vec<f64> {
    let mut measures = 0;
    let price = |system: &System| {
        measures += system.measures.len();
        let time = measures.checked_sub(1).and_then(|last| free.get(last)).copied().unwrap_or(TIME_TO_TURN);
        HURRIED_TURN * (1.0 - time / TIME_TO_TURN).max(0.0)
    };
    systems.iter().map(price).collect()
}

/// The paper that verses take below the music, in library units.
fn verses_room(verses: &Verses, frame: &Frame) -> f64 {
    if verses.is_empty() { 0.0 } else { verses.height(frame) + VERSES_GAP * frame.unit }
}

/// Verses go below the music if they all fit there, else on pages of their own.
fn add_verses(pages: &mut Vec<Page>, verses: Verses, frame: &Frame, y: f64, end: f64) {
    let fits = y + verses_room(&verses, frame) <= end + 1.0;
    let mut rest = Some(verses).filter(|v| !v.is_empty());
    let mut top = y + VERSES_GAP * frame.unit;
    if !fits {
        top = end;
    }
    while let Some(verses) = rest {
        if top >= end {
            pages.push(Page::new(frame.width, frame.height, frame.unit));
            top = frame.top;
        }
        let (shapes, left) = verses.draw(frame, top, end);
        if let Some(page) = pages.last_mut() {
            page.shapes.extend(shapes);
        }
        rest = left;
        top = end;
    }
}

struct Spot {
    x: f64,
    y: f64,
    gap: f64,
}

fn place(page: &mut Page, systems: &[System], stack: &Stack, range: Range<usize>, spot: Spot) {
    let mut y = spot.y + stack.up[range.start];
    let mut index: usize = systems[..range.start].iter().map(|s| s.measures.len()).sum();
    for number in range {
        let system = &systems[number];
        let shift = y - system.place();
        for span in &system.measures {
            page.measures.push(MeasurePlace {
                index,
                id: span.id.clone(),
                left: (spot.x + span.left) / page.unit,
                right: (spot.x + span.right) / page.unit,
                top: (span.top + shift) / page.unit,
                bottom: (span.bottom + shift) / page.unit,
            });
            index += 1;
        }
        let group = Group { place: Transform::Shifted { x: spot.x, y: shift }, ..system.group.clone() };
        page.shapes.push(Shape::Group(group));
        y += stack.step.get(number).copied().unwrap_or_default() + spot.gap;
    }
}

struct Plan<'a> {
    stack: &'a Stack,
    room: Room,
    gaps: Gaps,
    /// What a turn after each system costs.
    turns: &'a [f64],
}

impl Plan<'_> {
    /// Where each page ends: best(page, end) = min over start of best(page − 1, start) + price(start..end), for the fewest
    /// pages that hold everything.
    fn ends(&self) -> Vec<usize> {
        let count = self.stack.up.len();
        let mut layers: Vec<Vec<(f64, usize)>> = Vec::new();
        for page in 0..count {
            let layer: Vec<_> = (0..=count).map(|end| self.best(&layers, page, end)).collect();
            let reached = layer[count].0.is_finite();
            layers.push(layer);
            if reached {
                break;
            }
        }
        let mut ends = vec![count];
        for layer in layers[1..].iter().rev() {
            ends.push(layer[ends[ends.len() - 1]].1);
        }
        ends.reverse();
        ends
    }

    fn best(&self, layers: &[Vec<(f64, usize)>], page: usize, end: usize) -> (f64, usize) {
        let fullness = if end == self.stack.up.len() { Fullness::Part } else { Fullness::Whole };
        let choice = |start: usize| {
            let before = page.checked_sub(1).map_or(0.0, |p| layers[p][start].0);
            (before + self.price(start..end, page, fullness), start)
        };
        let starts = if page == 0 { 0..1 } else { page..end.max(page) };
        starts.map(choice).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::INFINITY, page))
    }

    /// What is left of a page, for each gap on it.
    fn spare(&self, range: Range<usize>, page: usize) -> f64 {
        let between = range.len().saturating_sub(1).max(1) as f64;
        (self.room.on(page) - self.stack.height(range)) / between
    }

    /// `below` is wanted for verses under the music; if there is not so much, they go elsewhere.
    fn gap(&self, range: Range<usize>, page: usize, fullness: Fullness, below: f64) -> f64 {
        let between = range.len().saturating_sub(1).max(1) as f64;
        let whole = self.spare(range, page);
        let spare = Some(whole - below / between).filter(|s| *s >= self.gaps.least).unwrap_or(whole);
        // The last page is filled too where that leaves its systems together; else it is set wider than usual.
        match fullness {
            Fullness::Part if spare > self.gaps.widest => self.gaps.most,
            Fullness::Part => spare.max(self.gaps.least),
            _ => spare.clamp(self.gaps.least, self.gaps.most),
        }
    }

    fn price(&self, range: Range<usize>, page: usize, fullness: Fullness) -> f64 {
        let spare = self.spare(range.clone(), page);
        if range.is_empty() || (range.len() > 1 && spare < self.gaps.least) {
            return f64::INFINITY;
        }
        let off = (spare - self.gaps.usual) / self.gaps.usual;
        let lonely = if range.len() == 1 { 4.0 } else { 0.0 };
        let empty = 1.0 - self.stack.height(range.clone()) / self.room.on(page);
        let turn = if fullness == Fullness::Whole { self.turns[range.end - 1] } else { 0.0 };
        let set = match fullness {
            Fullness::Part if off > 0.0 => (empty - 0.4).max(0.0) * 8.0 + lonely,
            _ if off > 0.0 => off * off * 0.5 + lonely,
            _ => off * off + lonely,
        };
        set + turn
    }
}

impl Composition {
    /// Whether so many lines of music like these would probably fit on one page fewer, at a smaller staff height.
    pub fn saves_a_page(&self, lines: usize, staff: StaffHeight) -> bool {
        let height = self.system_height / PageLayout::units(staff, 1.0) + LEAST_GAP;
        let held = |offer: f64| ((offer + LEAST_GAP) / height) as usize;
        match self.pages.len().saturating_sub(1) {
            0 => false,
            fewer => held(self.offer.0) + (fewer - 1) * held(self.offer.1) >= lines,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Five systems as high as ten, on pages for three of them: the first page ends after the second or after the third.
    fn ends(turns: [f64; 5]) -> Vec<usize> {
        let stack = Stack { up: vec![5.0; 5], down: vec![5.0; 5], step: vec![10.0; 4] };
        let gaps = Gaps { least: 1.0, usual: 8.0, most: 16.0, widest: 30.0 };
        Plan { stack: &stack, room: Room { first: 40.0, later: 40.0 }, gaps, turns: &turns }.ends()
    }

    #[test]
    fn a_page_ends_where_a_hand_is_free_to_turn() {
        assert_eq!(ends([3.0, 3.0, 0.0, 3.0, 0.0]), [3, 5]);
        assert_eq!(ends([3.0, 0.0, 3.0, 3.0, 0.0]), [2, 5]);
    }
}
