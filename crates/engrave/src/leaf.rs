//! One page as a PDF draws it, whatever document it will stand in: its strokes, and the letters and music signs that it needs of the fonts.
//!
//! Letters are named by their numbers in the whole fonts and not in a subset of them, so that pages drawn in several processes go into one document, which has each font once.
//! Nothing here knows how a document is put together.

mod bytes;

use crate::drawing::{Ends, Fill, Group, Path, Shape, Sign, Transform};
use crate::face::Face;
use crate::font::Segment;
use crate::pages::Page;
use crate::text::{Letter, TextLine, shape};
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Name, Str};
use std::collections::{BTreeMap, BTreeSet};

/// Printer's points in a millimetre.
pub(crate) const POINTS: f64 = 72.0 / 25.4;

/// A page for a document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Leaf {
    /// Width and height in printer's points.
    pub(crate) paper: (f64, f64),
    /// The strokes, compressed.
    pub(crate) content: Vec<u8>,
    pub(crate) used: Used,
}

/// What pages draw with: letters with the characters they stand for, and music signs.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Used {
    pub letters: BTreeMap<Face, BTreeMap<u16, String>>,
    pub signs: BTreeSet<u16>,
}

impl Used {
    /// What is used here too; a letter keeps the characters that it had first.
    pub fn add(&mut self, other: &Used) {
        for (face, letters) in &other.letters {
            let here = self.letters.entry(*face).or_default();
            for (glyph, text) in letters {
                add_letter(here, *glyph, text);
            }
        }
        self.signs.extend(&other.signs);
    }
}

fn add_letter(letters: &mut BTreeMap<u16, String>, glyph: u16, text: &str) {
    let there = letters.entry(glyph).or_default();
    if there.is_empty() {
        text.clone_into(there);
    }
}

impl Leaf {
    pub(crate) fn of(page: &Page) -> Leaf {
        let (mut content, mut used) = (Content::new(), Used::default());
        // Library units, y downwards, from the top left corner. What is drawn over it later begins afresh.
        let scale = POINTS / page.unit;
        content.save_state();
        content.transform([scale as f32, 0.0, 0.0, -scale as f32, 0.0, (page.height * scale) as f32]);
        for shape in &page.shapes {
            add(&mut content, shape, &mut used);
        }
        content.restore_state();
        Leaf { paper: (page.width * scale, page.height * scale), content: packed(&content.finish()), used }
    }
}

pub(crate) fn packed(data: &[u8]) -> Vec<u8> {
    miniz_oxide::deflate::compress_to_vec_zlib(data, 7)
}

pub(crate) fn font_name(face: Face) -> String {
    format!("F{}", face as usize)
}

pub(crate) fn sign_name(glyph: u16) -> String {
    format!("S{glyph}")
}

/// Two decimals are a ten-thousandth of a millimetre.
fn short(value: f64) -> f32 {
    ((value * 100.0).round() / 100.0) as f32
}

fn add(content: &mut Content, shape: &Shape, used: &mut Used) {
    match shape {
        Shape::Group(group) => add_group(content, group, used),
        Shape::Path(path) => add_path(content, path),
        Shape::Sign(sign) => add_sign(content, sign, used),
        Shape::Text(text) => add_text(content, text, used),
    }
}

fn add_group(content: &mut Content, group: &Group, used: &mut Used) {
    if group.place != Transform::Here {
        content.save_state();
    }
    match group.place {
        Transform::Here => {}
        Transform::Shifted { x, y } => {
            content.transform([1.0, 0.0, 0.0, 1.0, short(x), short(y)]);
        }
        Transform::Turned { degrees, x, y } => {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let (dx, dy) = (x - x * cos + y * sin, y - x * sin - y * cos);
            content.transform([cos as f32, sin as f32, -sin as f32, cos as f32, short(dx), short(dy)]);
        }
    }
    for shape in &group.shapes {
        add(content, shape, used);
    }
    if group.place != Transform::Here {
        content.restore_state();
    }
}

pub(crate) fn draw(content: &mut Content, segments: &[Segment]) {
    for segment in segments {
        match *segment {
            Segment::Move(x, y) => content.move_to(short(x), short(y)),
            Segment::Line(x, y) => content.line_to(short(x), short(y)),
            Segment::Curve(c) => {
                let [a, b, c, d, x, y] = c.map(short);
                content.cubic_to(a, b, c, d, x, y)
            }
            Segment::Close => content.close_path(),
        };
    }
}

fn add_path(content: &mut Content, path: &Path) {
    if let Some(stroke) = path.stroke {
        let round = stroke.ends == Ends::Round;
        content.set_line_width(short(stroke.width));
        content.set_line_cap(if round { LineCapStyle::RoundCap } else { LineCapStyle::ButtCap });
        content.set_line_join(if round { LineJoinStyle::RoundJoin } else { LineJoinStyle::MiterJoin });
        let dash = stroke.dash.map(|(dash, gap)| [short(dash), short(gap)]);
        content.set_dash_pattern(dash.into_iter().flatten(), 0.0);
    }
    draw(content, &path.segments);
    match (path.fill, path.stroke) {
        (Fill::Solid, Some(_)) => content.fill_nonzero_and_stroke(),
        (Fill::Solid, None) => content.fill_nonzero(),
        (Fill::Empty, Some(_)) => content.stroke(),
        (Fill::Empty, None) => content.end_path(),
    };
}

fn add_sign(content: &mut Content, sign: &Sign, used: &mut Used) {
    used.signs.insert(sign.glyph);
    let em = Face::Music.font().em;
    content.save_state();
    content.transform([(sign.width / em) as f32, 0.0, 0.0, -(sign.height / em) as f32, short(sign.x), short(sign.y)]);
    content.x_object(Name(sign_name(sign.glyph).as_bytes()));
    content.restore_state();
}

fn add_text(content: &mut Content, text: &TextLine, used: &mut Used) {
    let shaped = shape(&text.runs);
    let start = text.start(shaped.width);
    content.begin_text();
    for letters in shaped.letters.chunk_by(|a, b| a.face == b.face && a.size == b.size && a.lift == b.lift) {
        let first = &letters[0];
        let used = used.letters.entry(first.face).or_default();
        content.set_font(Name(font_name(first.face).as_bytes()), short(first.size));
        content.set_text_matrix([1.0, 0.0, 0.0, -1.0, short(start + first.x), short(text.y - first.lift)]);
        add_letters(content, letters, used);
    }
    content.end_text();
}

/// The letters of one face and size; kerning is written as adjustments in thousandths of the em.
fn add_letters(content: &mut Content, letters: &[Letter], used: &mut BTreeMap<u16, String>) {
    let font = letters[0].face.font();
    let mut positioned = content.show_positioned();
    let mut items = positioned.items();
    let mut expected = letters[0].x;
    for letter in letters {
        let off = ((expected - letter.x) / letter.size * 1000.0).round();
        if off != 0.0 {
            items.adjust(off as f32);
            expected = letter.x;
        }
        add_letter(used, letter.glyph, &letter.text);
        items.show(Str(&letter.glyph.to_be_bytes()));
        expected += font.advance(letter.glyph) * letter.size / font.em;
    }
}
