//! The words around the music: title, names, preparation at the head; source, rights and page numbers at the foot.

use crate::drawing::Shape;
use crate::face::Face;
use crate::harp::diagram;
use crate::layout::{Foot, Head, POINT};
use crate::source::{PEDALS, Prepared, Words};
use crate::text::{Anchor, Run, TextLine, width};

/// A page's measures in library units.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    /// Library units in a millimetre.
    pub unit: f64,
    pub width: f64,
    pub height: f64,
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    /// The size of letters beside the usual one.
    pub letters: f64,
}

impl Frame {
    pub fn point(&self, points: f64) -> f64 {
        points * POINT * self.unit * self.letters
    }

    pub fn inner(&self) -> f64 {
        self.width - self.left - self.right
    }

    fn line(&self, text: &str, face: Face, points: f64, anchor: Anchor, y: f64) -> Shape {
        let x = match anchor {
            Anchor::Start => self.left,
            Anchor::Middle => self.left + self.inner() / 2.0,
            Anchor::End => self.width - self.right,
        };
        self.text_at(text, face, points, anchor, (x, y))
    }

    /// A line of text in a size given in points.
    pub fn text_at(&self, text: &str, face: Face, points: f64, anchor: Anchor, (x, y): (f64, f64)) -> Shape {
        Shape::Text(TextLine { x, y, anchor, runs: vec![Run::new(text, face, self.point(points))] })
    }
}

/// Lines set one under another, and where the next one would go.
struct Column {
    shapes: Vec<Shape>,
    y: f64,
}

impl Column {
    fn add(&mut self, frame: &Frame, text: &str, face: Face, points: f64, anchor: Anchor) {
        self.y += frame.point(points * 1.22);
        self.shapes.push(frame.line(text, face, points, anchor, self.y - frame.point(points * 0.28)));
    }
}

/// The pedal diagram beside letters: its em is this times theirs.
const DIAGRAM: f64 = 1.5;

impl Column {
    /// The diagram of a pedal setting at the left, with its letters.
    fn add_pedals(&mut self, frame: &Frame, alters: &[i32; 7], points: f64) {
        let em = frame.point(points);
        self.y += frame.point(points * 1.9);
        let base = self.y - frame.point(points * 0.5);
        let word = format!("{PEDALS} ");
        let x = frame.left + width(&word, Face::Regular, em);
        self.shapes.push(frame.text_at(PEDALS, Face::Regular, points, Anchor::Start, (frame.left, base)));
        self.shapes.push(diagram::draw(alters, DIAGRAM * em, x, base - 0.33 * em));
        let letters = x + diagram::width(DIAGRAM * em) + em * 0.6;
        self.shapes.push(frame.text_at(&diagram::letters(alters), Face::Regular, points, Anchor::Start, (letters, base)));
    }
}

/// The head of the first page: what to draw, and where the music may begin.
pub(crate) fn head(words: &Words, frame: &Frame, head: Head) -> (Vec<Shape>, f64) {
    match head {
        Head::Usual => usual(words, frame),
        Head::Low => low(words, frame),
    }
}

/// The size of the title in a low head, in points, and the share of the width that it may take with preparation and names beside it.
const LOW_TITLE: f64 = 15.0;
const LOW_WIDTH: f64 = 0.44;

/// The title in the middle, preparation at its left, names at its right; subtitles are left to the usual head.
fn low(words: &Words, frame: &Frame) -> (Vec<Shape>, f64) {
    let mut middle = Column { shapes: Vec::new(), y: frame.top };
    for line in wrapped(&words.title, Face::Bold, frame.point(LOW_TITLE), frame.inner() * LOW_WIDTH) {
        middle.add(frame, &line, Face::Bold, LOW_TITLE, Anchor::Middle);
    }
    let mut left = Column { shapes: Vec::new(), y: frame.top };
    let mut right = Column { shapes: Vec::new(), y: frame.top };
    let beside = frame.inner() * (0.98 - LOW_WIDTH) / 2.0;
    words.preparation.iter().for_each(|line| prepared(&mut left, frame, line, (9.0, beside)));
    for line in words.right.iter().chain(&words.left).flat_map(|line| wrapped(line, Face::Regular, frame.point(9.0), beside)) {
        right.add(frame, &line, Face::Regular, 9.0, Anchor::End);
    }
    let y = left.y.max(right.y).max(middle.y);
    let gap = if y > frame.top + 1.0 { frame.point(5.0) } else { 0.0 };
    ([middle.shapes, left.shapes, right.shapes].concat(), y + gap)
}

/// A line of preparation at the left, in letters of some points and no wider than asked.
fn prepared(column: &mut Column, frame: &Frame, line: &Prepared, (points, most): (f64, f64)) {
    match line {
        Prepared::Pedals(alters) => column.add_pedals(frame, alters, points),
        Prepared::Line(line) => {
            let lines = wrapped(line, Face::Regular, frame.point(points), most);
            lines.iter().for_each(|l| column.add(frame, l, Face::Regular, points, Anchor::Start));
        }
    }
}

fn usual(words: &Words, frame: &Frame) -> (Vec<Shape>, f64) {
    let mut middle = Column { shapes: Vec::new(), y: frame.top };
    title(&mut middle, frame, &words.title);
    for subtitle in &words.subtitles {
        for line in wrapped(subtitle, Face::Italic, frame.point(13.0), frame.inner() * 0.8) {
            middle.add(frame, &line, Face::Italic, 13.0, Anchor::Middle);
        }
    }
    let sides = middle.y + frame.point(3.0);
    let mut left = Column { shapes: Vec::new(), y: sides };
    let mut right = Column { shapes: Vec::new(), y: sides };
    let half = frame.inner() * 0.48;
    for (column, anchor, lines) in [(&mut left, Anchor::Start, &words.left), (&mut right, Anchor::End, &words.right)] {
        for line in lines.iter().flat_map(|line| wrapped(line, Face::Regular, frame.point(11.0), half)) {
            column.add(frame, &line, Face::Regular, 11.0, anchor);
        }
    }
    words.preparation.iter().for_each(|line| prepared(&mut left, frame, line, (10.0, half)));
    let y = left.y.max(right.y);
    let gap = if y > frame.top + 1.0 { frame.point(9.0) } else { 0.0 };
    let shapes = [middle.shapes, left.shapes, right.shapes].concat();
    (shapes, y + gap)
}

/// As large as fits on one line, from 24 points down to 18; a longer title takes two lines or more.
fn title(column: &mut Column, frame: &Frame, title: &str) {
    if title.is_empty() {
        return;
    }
    let fits = |points: &f64| width(title, Face::Bold, frame.point(*points)) <= frame.inner();
    let points = [24.0, 22.0, 20.0, 18.0].into_iter().find(fits).unwrap_or(19.0);
    for line in wrapped(title, Face::Bold, frame.point(points), frame.inner()) {
        column.add(frame, &line, Face::Bold, points, Anchor::Middle);
    }
    column.y += frame.point(1.0);
}

/// A text in lines no wider than asked, of about equal length.
pub(crate) fn wrapped(text: &str, face: Face, size: f64, most: f64) -> Vec<String> {
    let whole = width(text, face, size);
    let lines = (whole / most).ceil().max(1.0);
    let fair = if lines > 1.0 { (whole / lines * 1.12).min(most) } else { most };
    let mut out: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match out.last_mut() {
            Some(line) if width(&format!("{line} {word}"), face, size) <= fair => {
                line.push(' ');
                line.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

/// The size of the lines that say what a sign means, in points: they are read at the stand.
const SIGNS: f64 = 9.5;

/// A page's number, counted from 1, of how many, and what stands at its foot.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Numbered {
    pub page: usize,
    pub pages: usize,
    pub foot: Foot,
}

/// The foot of a page: what to draw, and how much paper it takes above the margin. `signs` say what signs on it mean.
pub(crate) fn foot(words: &Words, signs: &[String], frame: &Frame, numbered: Numbered) -> (Vec<Shape>, f64) {
    let Numbered { page, pages, foot } = numbered;
    let base = frame.height - frame.bottom;
    let mut shapes = Vec::new();
    let wrap = |l: &String| wrapped(l, Face::Regular, frame.point(8.5), frame.inner() * 0.7);
    let mut lines: Vec<String> = Vec::new();
    if page == 1 {
        lines.extend(words.foot.iter().flat_map(wrap));
    } else if foot == Foot::Alone {
        shapes.push(frame.line(&words.title, Face::Italic, 9.5, Anchor::Start, base));
    }
    if pages > 1 && foot == Foot::Alone {
        shapes.push(frame.line(&format!("page {page} of {pages}"), Face::Regular, 9.5, Anchor::End, base));
    }
    let height_of = |row: usize| base - row as f64 * frame.point(10.5);
    for (i, line) in lines.iter().rev().enumerate() {
        shapes.push(frame.line(line, Face::Regular, 8.5, Anchor::Middle, height_of(i)));
    }
    let first = lines.len().max(usize::from(pages > 1 || foot == Foot::InBook));
    let signs: Vec<String> = signs.iter().flat_map(|l| wrapped(l, Face::Regular, frame.point(SIGNS), frame.inner())).collect();
    for (i, line) in signs.iter().rev().enumerate() {
        shapes.push(frame.line(line, Face::Regular, SIGNS, Anchor::Start, height_of(first + i)));
    }
    let rows = (first + signs.len()) as f64;
    let height = if rows > 0.0 { rows * frame.point(10.5) + frame.point(6.0) } else { 0.0 };
    (shapes, height)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_title_is_cut_into_lines_of_about_equal_length() {
        let title = "The Bakery at Five in the Morning, When the First Ferry Has Not Yet Come In";
        let most = width(title, Face::Bold, 100.0) * 0.7;
        let lines = wrapped(title, Face::Bold, 100.0, most);
        assert_eq!(lines.len(), 2);
        assert_eq!(lines.join(" "), title);
        let lengths: Vec<f64> = lines.iter().map(|l| width(l, Face::Bold, 100.0)).collect();
        assert!(lengths.iter().all(|l| *l <= most) && lengths[1] / lengths[0] > 0.7, "{lengths:?}");
    }

    /// The texts of a head, in order of the alphabet, and where the music may begin.
    fn texts(head_: Head) -> (Vec<String>, f64) {
        let lines = |all: &[&str]| all.iter().map(|l| (*l).to_owned()).collect();
        let words = Words {
            title: "The Harbour Wall".into(),
            right: lines(&["A. Composer"]),
            left: lines(&["A. Poet"]),
            preparation: ["34 strings, C2 to A6", "Levers up: F♯"].map(|l| Prepared::Line(l.to_owned())).to_vec(),
            ..Words::default()
        };
        let frame =
            Frame { unit: 100.0, width: 29_700.0, height: 12_000.0, left: 600.0, right: 600.0, top: 600.0, bottom: 600.0, letters: 1.0 };
        let (shapes, y) = head(&words, &frame, head_);
        let text = |shape: Shape| match shape {
            Shape::Text(line) => line.runs.into_iter().map(|r| r.text).collect::<String>(),
            other => panic!("{other:?} is no text"),
        };
        let mut texts: Vec<String> = shapes.into_iter().map(text).collect();
        texts.sort();
        (texts, y)
    }

    #[test]
    fn a_low_head_says_the_same_on_half_the_paper() {
        let ((usual, first), (low, second)) = (texts(Head::Usual), texts(Head::Low));
        assert_eq!(usual, low);
        assert_eq!(usual.len(), 5);
        assert!((second - 600.0) * 2.0 < first - 600.0, "{second} beside {first}");
    }

    #[test]
    fn a_word_wider_than_the_page_stays_whole() {
        assert_eq!(wrapped("Donaudampfschiff", Face::Regular, 100.0, 50.0), ["Donaudampfschiff"]);
        assert_eq!(wrapped("", Face::Regular, 100.0, 50.0), Vec::<String>::new());
    }
}
