//! The letters and music signs that every page is drawn with.
//!
//! The engraving library's data carries its text font (Liberation Serif, SIL Open Font Licence 1.1) and its music font
//! (Leipzig, the same licence) as WOFF2. They are unpacked once; nothing is ever taken from the machine, so that a page
//! looks the same everywhere.

use base64::Engine;
use rustybuzz::ttf_parser::{GlyphId, OutlineBuilder};
use std::sync::OnceLock;

/// One of the five fonts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Face {
    Regular,
    Bold,
    Italic,
    BoldItalic,
    Music,
}

impl Face {
    pub const ALL: [Face; 5] = [Face::Regular, Face::Bold, Face::Italic, Face::BoldItalic, Face::Music];

    pub fn font(self) -> &'static Font {
        static FONTS: OnceLock<Vec<Font>> = OnceLock::new();
        &FONTS.get_or_init(unpack)[self as usize]
    }
}

pub(crate) struct Font {
    pub data: &'static [u8],
    pub shaper: rustybuzz::Face<'static>,
    /// Font units in an em.
    pub em: f64,
}

/// A piece of an outline; font units or library units, depending on where it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Segment {
    Move(f64, f64),
    Line(f64, f64),
    Curve([f64; 6]),
    Close,
}

impl Font {
    /// The outline of a glyph in font units, y upwards; empty for a space.
    pub fn outline(&self, glyph: u16) -> Vec<Segment> {
        let mut pen = Pen { segments: Vec::new(), at: (0.0, 0.0) };
        self.shaper.outline_glyph(GlyphId(glyph), &mut pen);
        pen.segments
    }

    /// The glyph for a character, if the font has one.
    pub fn glyph(&self, character: char) -> Option<u16> {
        self.shaper.glyph_index(character).map(|g| g.0)
    }

    /// Left, bottom, right, top of a glyph's ink, in font units, y upwards.
    pub fn ink(&self, glyph: u16) -> Option<[f64; 4]> {
        let r = self.shaper.glyph_bounding_box(GlyphId(glyph))?;
        Some([r.x_min, r.y_min, r.x_max, r.y_max].map(f64::from))
    }
}

fn unpack() -> Vec<Font> {
    let text = woff2("Liberation.css");
    let music = woff2("Leipzig.css");
    let fonts: Vec<Font> = text.into_iter().chain(music).map(open).collect();
    assert_eq!(fonts.len(), Face::ALL.len(), "the data carries four text fonts and one music font");
    fonts
}

/// The fonts embedded in one of the data's style sheets: regular, bold, italic, bold italic, in this order.
fn woff2(sheet: &str) -> Vec<Vec<u8>> {
    let sheet = verovio_data::DATA.get_file(sheet).and_then(|f| f.contents_utf8()).expect("the data carries its fonts");
    let packed = sheet.split("base64,").skip(1).map(|rest| rest.split(')').next().unwrap_or_default().trim());
    packed
        .map(|text| base64::engine::general_purpose::STANDARD.decode(text).expect("the data's fonts are base64"))
        .map(|bytes| wuff::decompress_woff2(&bytes).expect("the data's fonts are WOFF2"))
        .collect()
}

fn open(data: Vec<u8>) -> Font {
    let data: &'static [u8] = Box::leak(data.into_boxed_slice());
    let shaper = rustybuzz::Face::from_slice(data, 0).expect("the data's fonts are OpenType");
    let em = f64::from(shaper.units_per_em());
    Font { data, shaper, em }
}

struct Pen {
    segments: Vec<Segment>,
    at: (f64, f64),
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = (x.into(), y.into());
        self.segments.push(Segment::Move(x.into(), y.into()));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.at = (x.into(), y.into());
        self.segments.push(Segment::Line(x.into(), y.into()));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.segments.push(quadratic(self.at, (x1.into(), y1.into()), (x.into(), y.into())));
        self.at = (x.into(), y.into());
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.at = (x.into(), y.into());
        self.segments.push(Segment::Curve([x1, y1, x2, y2, x, y].map(f64::from)));
    }

    fn close(&mut self) {
        self.segments.push(Segment::Close);
    }
}

/// A quadratic curve as the cubic one that draws the same line.
pub(crate) fn quadratic(from: (f64, f64), by: (f64, f64), to: (f64, f64)) -> Segment {
    let third = |a: f64, b: f64| a + (b - a) * 2.0 / 3.0;
    Segment::Curve([third(from.0, by.0), third(from.1, by.1), third(to.0, by.0), third(to.1, by.1), to.0, to.1])
}
