//! A font that comes with the program: outlines, widths, and where the letters of a text stand. What reads and shapes fonts is known here alone.

use harfrust::font::Font as Opened;
use harfrust::font::glyph::outline::{DrawMemory, DrawOptions, PathSink};
use harfrust::{Buffer, ClusterLevel, Direction, Feature, GlyphId, ShapeOptions, ShaperFont, Tag};

pub(crate) struct Font {
    pub data: &'static [u8],
    opened: Opened,
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

/// One letter of a shaped text, in font units, y upwards.
pub(crate) struct Placed {
    pub glyph: u16,
    /// The byte of the text that its characters begin at.
    pub from: usize,
    pub x: f64,
    pub y: f64,
    pub advance: f64,
}

impl Font {
    /// A font that is kept for as long as the program runs.
    pub fn open(data: Vec<u8>) -> Font {
        let data: &'static [u8] = Box::leak(data.into_boxed_slice());
        let opened = Opened::new(data, 0).expect("the fonts that come with the program are OpenType");
        let em = f64::from(opened.units_per_em());
        Font { data, opened, em }
    }

    /// The outline of a glyph in font units, y upwards; empty for a space.
    pub fn outline(&self, glyph: u16) -> Vec<Segment> {
        let mut pen = Pen { segments: Vec::new(), at: (0.0, 0.0) };
        if let Some(outline) = self.opened.outline_glyphs().get(glyph.into()) {
            outline.draw(&DrawOptions::new(), DrawMemory::Scratch, &mut pen).expect("the fonts that come with the program can be drawn");
        }
        pen.segments
    }

    /// The glyph for a character, if the font has one.
    pub fn glyph(&self, character: char) -> Option<u16> {
        self.opened.charmap().map_unicode(character).map(number)
    }

    /// Whether the font has a letter together with all marks on it.
    pub fn has(&self, letter: &str) -> bool {
        let mut characters = letter.chars();
        match (characters.next(), characters.next()) {
            (Some(only), None) => self.glyph(only).is_some(),
            _ => self.shape(letter).iter().all(|placed| placed.glyph != 0),
        }
    }

    /// Left, bottom, right, top of a glyph's ink, in font units, y upwards.
    pub fn ink(&self, glyph: u16) -> Option<[f64; 4]> {
        let ink = ShaperFont::new(&self.opened).glyph_extents(glyph.into())?;
        let [left, top, width, height] = [ink.x_bearing, ink.y_bearing, ink.width, ink.height].map(f64::from);
        (width != 0.0 || height != 0.0).then_some([left, top + height, left + width, top])
    }

    /// How far a glyph takes the pen, in font units.
    pub fn advance(&self, glyph: u16) -> f64 {
        self.opened.glyph_metrics().h_advance(glyph.into()).into()
    }

    /// Left, bottom, right, top of all glyphs together, in font units, y upwards.
    pub fn bounds(&self) -> [f64; 4] {
        let all = self.opened.metrics().bounds;
        [all.x_min, all.y_min, all.x_max, all.y_max].map(|v| v.to_f64())
    }

    /// How far letters reach up and down, in font units, y upwards.
    pub fn reach(&self) -> [f64; 2] {
        self.opened.metrics().h_line().map_or([0.0; 2], |line| [line.ascender.to_f64(), line.descender.to_f64()])
    }

    /// The letters of a text one after the other, with kerning and without ligatures.
    pub fn shape(&self, text: &str) -> Vec<Placed> {
        let mut buffer = Buffer::new();
        buffer.push_str(text);
        buffer.set_direction(Direction::LeftToRight);
        // A mark knows its own character, apart from that of its letter.
        buffer.set_cluster_level(ClusterLevel::MonotoneCharacters);
        buffer.guess_segment_properties();
        let plain = [Feature::new(Tag::new(b"liga"), 0, ..)];
        harfrust::shape(&ShaperFont::new(&self.opened), &mut buffer, ShapeOptions::new().features(&plain))
            .expect("a text with a direction can be shaped");
        let letters = buffer.glyph_infos().iter().zip(buffer.glyph_positions());
        letters
            .map(|(info, place)| Placed {
                glyph: number(GlyphId::new(info.glyph_id)),
                from: info.cluster as usize,
                x: place.x_offset.into(),
                y: place.y_offset.into(),
                advance: place.x_advance.into(),
            })
            .collect()
    }
}

/// The number of a glyph of ours: no font of these has more than sixty thousand.
fn number(glyph: GlyphId) -> u16 {
    u16::try_from(glyph.to_u32()).expect("a font that comes with the program is small")
}

struct Pen {
    segments: Vec<Segment>,
    at: (f64, f64),
}

impl PathSink for Pen {
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
