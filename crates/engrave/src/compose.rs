//! Systems → pages: how many to a page, and how far apart.
//!
//! Systems are as tall as their ink. Between two there is at least [`Gaps::least`]; a page is filled by letting the gaps
//! grow up to [`Gaps::most`]. Which systems stand on a page is chosen as lines are in `breaks`: every way of cutting has a
//! cost (gaps far from the usual one, a page with one system or half empty), and the cheapest is taken.

use crate::drawing::{Group, Place, Shape};
use crate::layout::{PageLayout, StaffHeight};
use crate::pages::{MeasurePlace, Page};
use crate::parse::System;
use crate::source::Words;
use crate::titles::{self, Frame};

/// Distances between the ink of two systems.
#[derive(Clone, Copy, Debug)]
struct Gaps {
    least: f64,
    usual: f64,
    most: f64,
}

/// Pages, and how well they are used.
pub(crate) struct Composition {
    pub pages: Vec<Page>,
    /// What the music needs at the least distances over what one page fewer would offer; infinite for one page.
    pub excess: f64,
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
    Frame { unit, width: width * unit, height: height * unit, left: m.left * unit, right: m.right * unit, top: m.top * unit, bottom: m.bottom * unit }
}

pub(crate) fn compose(systems: &[System], words: &Words, layout: &PageLayout, staff: StaffHeight, brace: f64) -> Composition {
    let frame = frame(layout, staff);
    let gaps = Gaps { least: 3.2 * frame.unit, usual: 7.0 * frame.unit, most: 13.0 * frame.unit };
    let (head, top) = titles::head(words, &frame);
    let heights: Vec<f64> = systems.iter().map(|s| s.ink[3] - s.ink[1]).collect();
    let foot = titles::foot(words, &frame, 1, 2).1;
    let end = frame.height - frame.bottom - foot;
    let room = Room { first: end - top, later: end - frame.top };
    let cuts = cuts(&heights, room, gaps);
    let count = cuts.len();
    let need: f64 = heights.iter().sum::<f64>() + gaps.least * heights.len().saturating_sub(count - 1).saturating_sub(1) as f64;
    let offer = room.first + room.later * (count as f64 - 2.0);
    let excess = if count > 1 { need / offer } else { f64::INFINITY };
    let mut pages = Vec::new();
    let mut from = 0;
    for (number, &to) in cuts.iter().enumerate() {
        let start = if number == 0 { top } else { frame.top };
        let last = number + 1 == count;
        let gap = gap(&heights[from..to], room.on(number), gaps, if last { Fullness::Part } else { Fullness::Whole });
        let mut page = Page::new(frame.width, frame.height, frame.unit);
        if number == 0 {
            page.shapes.extend(head.iter().cloned());
        }
        place(&mut page, systems, from..to, Spot { x: frame.left + brace, y: start, gap });
        page.shapes.extend(titles::foot(words, &frame, number + 1, count).0);
        pages.push(page);
        from = to;
    }
    Composition { pages, excess }
}

/// Whether a page is to be filled to the foot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Fullness {
    Whole,
    Part,
}

fn gap(heights: &[f64], room: f64, gaps: Gaps, fullness: Fullness) -> f64 {
    let spare = room - heights.iter().sum::<f64>();
    let between = heights.len().saturating_sub(1).max(1) as f64;
    let full = (spare / between).clamp(gaps.least, gaps.most);
    // A page that cannot be filled is set in the usual distance, or a little more.
    match fullness {
        Fullness::Part if spare / between > gaps.most => gaps.usual * 1.25,
        _ => full,
    }
}

struct Spot {
    x: f64,
    y: f64,
    gap: f64,
}

fn place(page: &mut Page, systems: &[System], range: std::ops::Range<usize>, spot: Spot) {
    let mut y = spot.y;
    let first: usize = systems[..range.start].iter().map(|s| s.measures.len()).sum();
    let mut index = first;
    for system in &systems[range] {
        let shift = y - system.ink[1];
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
        let group = Group { place: Place::Shifted { x: spot.x, y: shift }, ..system.group.clone() };
        page.shapes.push(Shape::Group(group));
        y += system.ink[3] - system.ink[1] + spot.gap;
    }
}

/// Where each page ends: best(page, end) = min over start of best(page − 1, start) + cost(start..end).
fn cuts(heights: &[f64], room: Room, gaps: Gaps) -> Vec<usize> {
    let count = heights.len();
    let mut layers: Vec<Vec<(f64, usize)>> = Vec::new();
    for page in 0..count {
        let layer = (0..=count).map(|end| {
            let starts = if page == 0 { 0..1 } else { page..end.max(page) };
            let choice = |start: usize| {
                let before = if page == 0 { 0.0 } else { layers[page - 1][start].0 };
                (before + cost(&heights[start..end.max(start)], room.on(page), gaps, if end == count { Fullness::Part } else { Fullness::Whole }), start)
            };
            starts.map(choice).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::INFINITY, page))
        });
        let layer: Vec<_> = layer.collect();
        let reached = layer[count].0.is_finite();
        layers.push(layer);
        if reached {
            return back(&layers, count);
        }
    }
    back(&layers, count)
}

fn back(layers: &[Vec<(f64, usize)>], count: usize) -> Vec<usize> {
    let mut ends = vec![count];
    for layer in layers[1..].iter().rev() {
        let end = *ends.last().unwrap_or(&count);
        ends.push(layer[end].1);
    }
    ends.reverse();
    ends
}

fn cost(heights: &[f64], room: f64, gaps: Gaps, fullness: Fullness) -> f64 {
    let spare = room - heights.iter().sum::<f64>();
    let between = heights.len().saturating_sub(1) as f64;
    if heights.is_empty() || (heights.len() > 1 && spare < gaps.least * between) {
        return f64::INFINITY;
    }
    let gap = spare / between.max(1.0);
    let off = (gap - gaps.usual) / gaps.usual;
    let lonely = if heights.len() == 1 { 4.0 } else { 0.0 };
    match fullness {
        Fullness::Whole => off * off + lonely,
        Fullness::Part if gap < gaps.usual => off * off + lonely,
        Fullness::Part => (spare / room - 0.5).max(0.0) * 3.0 + lonely,
    }
}
