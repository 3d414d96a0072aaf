//! Fingers, brackets and marks set on the systems, each clear of all that is there already.

use super::column::{self, DIAGRAM, HarpMark, Line, SIZE};
use super::outline::{Outline, Which};
use super::read::{End, Fingers, Measure};
use super::{Side, diagram, heads, outer};
use crate::drawing::{self, Ends, Fill, Group, Ink, Path, Shape, Stroke};
use crate::face::Face;
use crate::font::Segment;
use crate::layout::PageLayout;
use crate::parse::System;
use crate::text::{Anchor, Run, TextLine, shape};
use std::collections::BTreeMap;

/// The em of fingers, in library units: figures a little taller than a staff space.
const FINGER: f64 = 330.0;
/// The height of its figures beside their em, and what is free from one to the next in a chord.
const FIGURE: f64 = 0.66;
const FIGURES_APART: f64 = 55.0;
/// Least distance of a finger from what it stands over, upright and sideways: a stem at the side of the head is counted in.
const FINGER_GAP: f64 = 60.0;
const FINGER_SIDE: f64 = 45.0;

/// The width and the stroke of the sign of a note that cannot be played, beside the em of fingers: larger and bolder than any finger.
const CROSS: f64 = 0.8;
const CROSS_LINE: f64 = 0.14;

/// Distance of a bracket from what it stands over, and the length of its hooks.
const BRACKET_GAP: f64 = 70.0;
const HOOK: f64 = 95.0;
const LONGEST_HOOK: f64 = 400.0;
const BRACKET_LINE: f64 = 22.0;

/// Distance of marks from what they stand over; from row to row, beside their em; between neighbours of a row.
const MARK_GAP: f64 = 150.0;
const ROW: f64 = 1.2;
const APART: f64 = 130.0;
/// From the letters of what is moved to the frame round them, and the height of a capital, beside their em.
const ROOM: f64 = 0.17;
const CAPITAL: f64 = 0.66;
/// Marks stand lower than what is so near beside them, lest a finger be read with them.
const NEAR: f64 = 350.0;
/// A column wider than this begins with its note instead of standing in the middle under it.
const WIDE: f64 = 640.0;

/// Sets what belongs to each system of a piece, whose measures have these marks. A bracket over a line's end goes on in the next.
pub(crate) fn place(systems: &mut [System], marks: &[Measure], layout: &PageLayout) {
    let sizes = Sizes { finger: FINGER * layout.fingers.factor(), letters: layout.text.factor() };
    let mut open = BTreeMap::from([(Side::Above, false), (Side::Below, false)]);
    let mut first = 0;
    for system in systems {
        let last = (first + system.measures.len()).min(marks.len());
        let mut stage = Stage::new(system, &marks[first.min(last)..last], sizes);
        for (side, open) in &mut open {
            stage.which = Which::Inner;
            stage.fingers(*side);
            stage.crosses(*side);
            stage.brackets(*side, open);
            if *side == Side::Above {
                stage.marks(*side);
            }
            stage.move_outer(*side);
            if *side == Side::Below {
                stage.marks(*side);
            }
        }
        system.ink = system.group.ink().unwrap_or(system.ink);
        first = last;
    }
}

/// The em of fingers, and how large letters are beside the usual.
#[derive(Clone, Copy, Debug)]
struct Sizes {
    finger: f64,
    letters: f64,
}

/// A system while its marks are set.
struct Stage<'a> {
    system: &'a mut System,
    measures: &'a [Measure],
    heads: BTreeMap<String, (f64, f64)>,
    /// The first and last staff line.
    top: f64,
    bottom: f64,
    /// The ink of what was set on the side that is being filled.
    set: Vec<Ink>,
    outline: Outline,
    /// Whether the library's own things on this side have their places.
    which: Which,
    sizes: Sizes,
}

impl<'a> Stage<'a> {
    fn new(system: &'a mut System, measures: &'a [Measure], sizes: Sizes) -> Stage<'a> {
        let heads = heads::find(&system.group);
        let spans = &system.measures;
        let top = spans.iter().map(|s| s.top).fold(f64::INFINITY, f64::min);
        let bottom = spans.iter().map(|s| s.bottom).fold(f64::NEG_INFINITY, f64::max);
        let outline = Outline::of(&system.group, (top, bottom));
        Stage { system, measures, heads, top, bottom, set: Vec::new(), outline, which: Which::Inner, sizes }
    }

    /// How far out things reach between two places; the staves at least. What is still to be moved out of the way is left out.
    fn edge(&self, side: Side, left: f64, right: f64) -> f64 {
        let found = self.outline.reach(side, left, right, self.which);
        match side {
            Side::Above => found.map_or(self.top, |reach| reach.min(self.top)),
            Side::Below => found.map_or(self.bottom, |reach| reach.max(self.bottom)),
        }
    }

    fn put(&mut self, class: &str, shapes: Vec<Shape>) {
        let group = Group { class: class.into(), shapes, ..Group::default() };
        self.set.extend(group.ink());
        self.outline.put(&group.shapes);
        self.system.group.shapes.push(Shape::Group(group));
    }

    fn move_outer(&mut self, side: Side) {
        let set = std::mem::take(&mut self.set);
        outer::clear(&mut self.system.group, side, (self.top, self.bottom), set);
        self.outline = Outline::of(&self.system.group, (self.top, self.bottom));
        self.which = Which::All;
    }

    fn fingers(&mut self, side: Side) {
        let measures = self.measures;
        for fingers in measures.iter().flat_map(|m| &m.fingers).filter(|f| f.side == side) {
            let heads: Vec<(f64, f64)> = fingers.notes.iter().filter_map(|n| self.heads.get(n)).copied().collect();
            if !heads.is_empty() {
                let x = heads.iter().map(|(left, right)| (left + right) / 2.0).sum::<f64>() / heads.len() as f64;
                self.stack(side, x, fingers);
            }
        }
    }

    /// The fingers of one chord, the highest string's on top.
    fn stack(&mut self, side: Side, x: f64, fingers: &Fingers) {
        let em = self.sizes.finger;
        let (figure, step) = (FIGURE * em, FIGURE * em + FIGURES_APART);
        let runs = |word: &String| vec![Run::new(word.clone(), Face::Regular, em)];
        let width = fingers.words.iter().map(|w| shape(&runs(w)).width).fold(0.0, f64::max);
        let half = width / 2.0 + FINGER_SIDE;
        let edge = self.edge(side, x - half, x + half);
        let count = fingers.words.len() as f64;
        let first = match side {
            Side::Above => edge - FINGER_GAP - (count - 1.0) * step,
            Side::Below => edge + FINGER_GAP + figure,
        };
        let lines = (0..).zip(&fingers.words).map(|(i, word)| {
            let y = first + f64::from(i) * step;
            Shape::Text(TextLine { x, y, anchor: Anchor::Middle, runs: runs(word) })
        });
        self.put("fing", lines.collect());
    }

    /// The sign of notes that cannot be played, beyond their fingers.
    fn crosses(&mut self, side: Side) {
        let measures = self.measures;
        for cross in measures.iter().flat_map(|m| &m.crosses).filter(|c| c.side == side) {
            let heads: Vec<(f64, f64)> = cross.notes.iter().filter_map(|n| self.heads.get(n)).copied().collect();
            if !heads.is_empty() {
                let x = heads.iter().map(|(left, right)| (left + right) / 2.0).sum::<f64>() / heads.len() as f64;
                self.cross(side, x, &cross.names);
            }
        }
    }

    fn cross(&mut self, side: Side, x: f64, names: &[String]) {
        let half = CROSS * self.sizes.finger / 2.0;
        let em = self.sizes.finger;
        let lines: Vec<Vec<Run>> = names.iter().map(|name| vec![Run::new(name.clone(), Face::Regular, em)]).collect();
        let widest = lines.iter().map(|runs| shape(runs).width).fold(2.0 * half, f64::max) / 2.0 + FINGER_SIDE;
        let edge = self.edge(side, x - widest, x + widest);
        let out = match side {
            Side::Above => -1.0,
            Side::Below => 1.0,
        };
        let y = edge + out * (FINGER_GAP + half);
        let stroke = |rise: f64| {
            let segments = vec![Segment::Move(x - half, y - rise), Segment::Line(x + half, y + rise)];
            let stroke = Some(Stroke { width: CROSS_LINE * em, ends: Ends::Round, dash: None });
            Shape::Path(Path { segments, stroke, fill: Fill::Empty })
        };
        let step = FIGURE * em + FIGURES_APART;
        let mut shapes = vec![stroke(half), stroke(-half)];
        let count = lines.len();
        for (i, runs) in lines.into_iter().enumerate() {
            let y = match side {
                Side::Above => y - half - FIGURES_APART - (count - 1 - i) as f64 * step,
                Side::Below => y + half + (i + 1) as f64 * step,
            };
            shapes.push(Shape::Text(TextLine { x, y, anchor: Anchor::Middle, runs }));
        }
        self.put("cross", shapes);
    }

    /// The left and right end of the head at a place of a measure, or where it would stand.
    fn spot(&self, index: usize, at: f64) -> (f64, f64) {
        let (measure, span) = (&self.measures[index], &self.system.measures[index]);
        let known: Vec<(f64, (f64, f64))> = measure.onsets.iter().filter_map(|(at, id)| Some((*at, *self.heads.get(id)?))).collect();
        if let Some((_, head)) = known.iter().find(|(place, _)| (place - at).abs() < 1e-6) {
            return *head;
        }
        // Clef, key and meter stand before the first note of a line.
        let lead = if index == 0 { 1500.0 } else { 300.0 };
        let before = known.iter().filter(|k| k.0 < at).max_by(|a, b| a.0.total_cmp(&b.0));
        let after = known.iter().filter(|k| k.0 > at).min_by(|a, b| a.0.total_cmp(&b.0));
        let (from, left) = before.map_or((0.0, (span.left + lead).min(span.right)), |k| (k.0, (k.1.0 + k.1.1) / 2.0));
        let (to, right) = after.map_or((measure.length.max(from + 1e-6), span.right), |k| (k.0, (k.1.0 + k.1.1) / 2.0));
        let x = left + (right - left) * ((at - from) / (to - from)).clamp(0.0, 1.0);
        (x - 100.0, x + 100.0)
    }

    fn brackets(&mut self, side: Side, open: &mut bool) {
        let measures = self.measures;
        let ends = measures.iter().enumerate().flat_map(|(i, m)| m.brackets.iter().map(move |b| (i, b))).filter(|(_, b)| b.side == side);
        let mut from = open.then(|| (self.first_note(), Hooked::No));
        for (index, bracket) in ends {
            let (left, right) = self.spot(index, bracket.at);
            match bracket.end {
                End::Start => from = Some((left, Hooked::Yes)),
                End::Stop => from.take().into_iter().for_each(|from| self.bracket(side, from, (right, Hooked::Yes))),
            }
        }
        *open = from.is_some();
        if let (Some(from), Some(span)) = (from, self.system.measures.last()) {
            let right = span.right;
            self.bracket(side, from, (right, Hooked::No));
        }
    }

    fn first_note(&self) -> f64 {
        let ids = self.measures.iter().flat_map(|m| m.onsets.iter().filter_map(|(_, id)| self.heads.get(id)));
        ids.map(|head| head.0).fold(f64::INFINITY, f64::min) - 100.0
    }

    fn bracket(&mut self, side: Side, (left, begins): (f64, Hooked), (right, ends): (f64, Hooked)) {
        if right <= left {
            return;
        }
        let out = match side {
            Side::Above => -1.0,
            Side::Below => 1.0,
        };
        let y = self.edge(side, left - 30.0, right + 30.0) + out * (BRACKET_GAP + HOOK);
        // A hook reaches towards its own note where the others are further out.
        let hook = |from: f64, to: f64| {
            let free = (y - self.edge(side, from, to)) * out - BRACKET_GAP;
            y - out * free.clamp(HOOK, LONGEST_HOOK)
        };
        let mut points = vec![(left, y), (right, y)];
        if begins == Hooked::Yes {
            points.insert(0, (left, hook(left - 30.0, left + 230.0)));
        }
        if ends == Hooked::Yes {
            points.push((right, hook(right - 230.0, right + 30.0)));
        }
        let segments = points.iter().enumerate().map(|(i, (x, y))| if i == 0 { Segment::Move(*x, *y) } else { Segment::Line(*x, *y) });
        let stroke = Some(Stroke { width: BRACKET_LINE, ends: Ends::Flat, dash: None });
        self.put("bracket", vec![Shape::Path(Path { segments: segments.collect(), stroke, fill: Fill::Empty })]);
    }

    /// Marks stand in rows at one height, a beat's marks one under another.
    fn marks(&mut self, side: Side) {
        let columns = self.columns(side);
        let size = SIZE * self.sizes.letters;
        // A diagram and a frame reach further up and down than letters.
        let any = |kind: fn(&Line) -> bool| columns.iter().any(|c| c.lines.iter().any(kind));
        let more = match (any(|l| matches!(l, Line::Diagram(_))), any(|l| matches!(l, Line::Framed(_)))) {
            (true, _) => 0.3 * size,
            (false, true) => ROOM * size,
            (false, false) => 0.0,
        };
        let edges = columns.iter().map(|c| self.edge(side, c.left - NEAR, c.right + NEAR));
        let edge = match side {
            Side::Above => edges.fold(f64::INFINITY, f64::min) - MARK_GAP - more,
            Side::Below => edges.fold(f64::NEG_INFINITY, f64::max) + MARK_GAP + more + 0.66 * size,
        };
        let mut rows: Vec<f64> = Vec::new();
        for column in columns {
            let count = column.lines.len();
            let free = |row: &usize| (*row..row + count).all(|r| rows.get(r).is_none_or(|end| column.left >= end + APART));
            let row = (0..).find(free).unwrap_or(0);
            rows.resize(rows.len().max(row + count), f64::NEG_INFINITY);
            rows[row..row + count].fill(column.right);
            let base = |line: usize| match side {
                Side::Above => edge - (row + count - 1 - line) as f64 * ROW * size,
                Side::Below => edge + (row + line) as f64 * ROW * size,
            };
            let mut shapes: Vec<Shape> = column.lines.iter().enumerate().map(|(i, line)| column.draw(line, base(i))).collect();
            shapes.extend(column.frame(&base));
            self.put("mark", shapes);
        }
    }

    /// The marks of each beat, from left to right.
    fn columns(&self, side: Side) -> Vec<Column> {
        let end = self.system.measures.last().map_or(f64::INFINITY, |s| s.right);
        let mut columns = Vec::new();
        for (index, measure) in self.measures.iter().enumerate() {
            let mut marks: Vec<&(f64, Side, HarpMark)> = measure.marks.iter().filter(|m| m.1 == side).collect();
            marks.sort_by(|a, b| a.0.total_cmp(&b.0));
            for beat in marks.chunk_by(|a, b| (a.0 - b.0).abs() < 1e-6) {
                let marks: Vec<HarpMark> = beat.iter().map(|m| m.2.clone()).collect();
                columns.push(Column::new(column::lines(&marks), self.spot(index, beat[0].0), end, self.sizes.letters));
            }
        }
        columns.sort_by(|a, b| a.left.total_cmp(&b.left));
        columns
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Hooked {
    Yes,
    No,
}

/// The marks of one beat and the room they take.
struct Column {
    lines: Vec<Line>,
    left: f64,
    right: f64,
    anchor: Anchor,
    letters: f64,
}

impl Column {
    /// In the middle under its note if it is narrow, else beginning with it; in any case before the end of the line.
    fn new(mut lines: Vec<Line>, head: (f64, f64), end: f64, letters: f64) -> Column {
        let texts = lines.iter_mut().filter_map(|line| match line {
            Line::Text(runs) | Line::Framed(runs) => Some(runs),
            Line::Diagram(_) => None,
        });
        texts.flatten().for_each(|run| run.size *= letters);
        let width = lines.iter().map(|line| line_width(line, letters)).fold(0.0, f64::max);
        let (anchor, left) =
            if width > WIDE * letters { (Anchor::Start, head.0) } else { (Anchor::Middle, (head.0 + head.1 - width) / 2.0) };
        let left = left.min(end - width);
        Column { lines, left, right: left + width, anchor, letters }
    }

    fn draw(&self, line: &Line, y: f64) -> Shape {
        match line {
            Line::Diagram(alters) => diagram::draw(alters, DIAGRAM * self.letters, self.left, y - 0.33 * SIZE * self.letters),
            Line::Text(runs) => self.text(runs, self.left, y),
            Line::Framed(runs) => self.text(runs, self.left + self.room(), y),
        }
    }

    fn text(&self, runs: &[Run], left: f64, y: f64) -> Shape {
        let x = if self.anchor == Anchor::Middle { (self.left + self.right) / 2.0 } else { left };
        Shape::Text(TextLine { x, y, anchor: self.anchor, runs: runs.to_vec() })
    }

    fn room(&self) -> f64 {
        ROOM * SIZE * self.letters
    }

    /// The frame round what is moved, where there is anything. `base` gives the height of a line.
    fn frame(&self, base: &dyn Fn(usize) -> f64) -> Option<Shape> {
        let framed: Vec<usize> = (0..self.lines.len()).filter(|i| matches!(self.lines[*i], Line::Framed(_))).collect();
        let (first, last) = (framed.first()?, framed.last()?);
        let width = framed.iter().map(|i| line_width(&self.lines[*i], self.letters)).fold(0.0, f64::max);
        let left = if self.anchor == Anchor::Middle { (self.left + self.right - width) / 2.0 } else { self.left };
        let (top, bottom) = (base(*first) - CAPITAL * SIZE * self.letters - self.room(), base(*last) + self.room());
        Some(drawing::frame([left, top, left + width, bottom]))
    }
}

fn line_width(line: &Line, letters: f64) -> f64 {
    match line {
        Line::Diagram(_) => diagram::width(DIAGRAM * letters),
        Line::Text(runs) => shape(runs).width,
        Line::Framed(runs) => shape(runs).width + 2.0 * ROOM * SIZE * letters,
    }
}
