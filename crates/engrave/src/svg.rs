//! A page as a self-contained SVG document.
//!
//! Letters and music signs are outlines, defined once and used many times: nothing depends on the fonts of the machine
//! that shows the page. Every line of text keeps its words in an `aria-label`, for screen readers and for scripts.

use crate::drawing::{Ends, Fill, Group, Path, Shape, Sign, Transform};
use crate::face::Face;
use crate::font::Segment;
use crate::pages::Page;
use crate::text::{TextLine, shape};
use markup::escape_into;
use std::collections::BTreeSet;
use std::fmt::Write;

pub(crate) fn write(page: &Page, title: &str) -> String {
    let mut writer = Writer { out: String::new(), glyphs: BTreeSet::new() };
    for shape in &page.shapes {
        writer.shape(shape);
    }
    let (width, height) = (page.width / page.unit, page.height / page.unit);
    let mut out = String::new();
    let _ = write!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{}mm" height="{}mm" viewBox="0 0 {} {}" role="img"><title>"#,
        Number(width),
        Number(height),
        Number(page.width),
        Number(page.height)
    );
    escape_into(&mut out, title);
    out += "</title><defs>";
    for (face, glyph) in &writer.glyphs {
        let _ = write!(out, r#"<path id="{}" d=""#, Name(*face, *glyph));
        data(&mut out, &face.font().outline(*glyph), -1.0);
        out += "\"/>";
    }
    out += "</defs><g fill=\"currentColor\">";
    out += &writer.out;
    out += "</g></svg>\n";
    out
}

/// A number with at most two decimals.
struct Number(f64);

impl std::fmt::Display for Number {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        let hundredths = (self.0 * 100.0).round() as i64;
        let (sign, whole, part) = (if hundredths < 0 { "-" } else { "" }, hundredths.abs() / 100, hundredths.abs() % 100);
        match part {
            0 => write!(f, "{sign}{whole}"),
            p if p % 10 == 0 => write!(f, "{sign}{whole}.{}", p / 10),
            p => write!(f, "{sign}{whole}.{p:02}"),
        }
    }
}

/// The name of a glyph's outline.
struct Name(Face, u16);

impl std::fmt::Display for Name {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        let letter = match self.0 {
            Face::Regular => 'r',
            Face::Bold => 'b',
            Face::Italic => 'i',
            Face::BoldItalic => 'j',
            // A measure's id begins with m.
            Face::Music => 's',
            Face::MoreRegular => 'R',
            Face::MoreBold => 'B',
            Face::MoreItalic => 'I',
            Face::MoreBoldItalic => 'J',
            Face::Scripts => 'T',
            Face::Signs => 'S',
        };
        write!(f, "{letter}{}", self.1)
    }
}

/// A scale with as many decimals as a page needs.
struct Scale(f64);

impl std::fmt::Display for Scale {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(f, "{}", (self.0 * 1e5).round() / 1e5)
    }
}

struct Writer {
    out: String,
    glyphs: BTreeSet<(Face, u16)>,
}

impl Writer {
    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Group(group) => self.group(group),
            Shape::Path(path) => self.path(path),
            Shape::Sign(sign) => self.sign(sign),
            Shape::Text(text) => self.text(text),
        }
    }

    fn group(&mut self, group: &Group) {
        self.out += "<g";
        if !group.class.is_empty() {
            let _ = write!(self.out, r#" class="{}""#, group.class);
        }
        if let Some(id) = &group.id {
            self.out += " id=\"";
            escape_into(&mut self.out, id);
            self.out.push('"');
        }
        let _ = match group.place {
            Transform::Here => Ok(()),
            Transform::Shifted { x, y } => write!(self.out, r#" transform="translate({} {})""#, Number(x), Number(y)),
            Transform::Turned { degrees, x, y } => {
                write!(self.out, r#" transform="rotate({} {} {})""#, Number(degrees), Number(x), Number(y))
            }
        };
        self.out.push('>');
        for shape in &group.shapes {
            self.shape(shape);
        }
        self.out += "</g>";
    }

    fn path(&mut self, path: &Path) {
        self.out += "<path d=\"";
        data(&mut self.out, &path.segments, 1.0);
        self.out.push('"');
        if path.fill == Fill::Empty {
            self.out += " fill=\"none\"";
        }
        if let Some(stroke) = path.stroke {
            let _ = write!(self.out, r#" stroke="currentColor" stroke-width="{}""#, Number(stroke.width));
            if stroke.ends == Ends::Round {
                self.out += " stroke-linecap=\"round\" stroke-linejoin=\"round\"";
            }
            if let Some((dash, gap)) = stroke.dash {
                let _ = write!(self.out, r#" stroke-dasharray="{} {}""#, Number(dash), Number(gap));
            }
        }
        self.out += "/>";
    }

    fn sign(&mut self, sign: &Sign) {
        self.glyphs.insert((Face::Music, sign.glyph));
        let em = Face::Music.font().em;
        let (w, h) = (sign.width / em, sign.height / em);
        let scale = if w == h { Scale(w).to_string() } else { format!("{} {}", Scale(w), Scale(h)) };
        let _ = write!(
            self.out,
            r##"<use href="#{}" transform="translate({} {})scale({scale})"/>"##,
            Name(Face::Music, sign.glyph),
            Number(sign.x),
            Number(sign.y)
        );
    }

    /// The line's letters, grouped while face and size stay the same.
    fn text(&mut self, text: &TextLine) {
        let shaped = shape(&text.runs);
        let start = text.start(shaped.width);
        self.out += "<g aria-label=\"";
        escape_into(&mut self.out, &spoken(text));
        self.out += "\">";
        for letters in shaped.letters.chunk_by(|a, b| a.face == b.face && a.size == b.size && a.lift == b.lift) {
            let first = &letters[0];
            let scale = first.size / first.face.font().em;
            let (x, y) = (Number(start + first.x), Number(text.y - first.lift));
            let _ = write!(self.out, r#"<g transform="translate({x} {y})scale({})">"#, Scale(scale));
            for letter in letters.iter().filter(|l| l.face.font().ink(l.glyph).is_some()) {
                self.glyphs.insert((letter.face, letter.glyph));
                let along = ((letter.x - first.x) / scale).round();
                let _ = write!(self.out, r##"<use href="#{}" x="{along}"/>"##, Name(letter.face, letter.glyph));
            }
            self.out += "</g>";
        }
        self.out += "</g>";
    }
}

/// The words of a line; music signs without a spelling are left out.
fn spoken(text: &TextLine) -> String {
    let words: String = text.words().chars().filter(|c| !('\u{E000}'..='\u{F8FF}').contains(c)).collect();
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Path data; `up` is −1 to turn an outline that is drawn upwards.
fn data(out: &mut String, segments: &[Segment], up: f64) {
    for segment in segments {
        let _ = match *segment {
            Segment::Move(x, y) => write!(out, "M{} {}", Number(x), Number(up * y)),
            Segment::Line(x, y) => write!(out, "L{} {}", Number(x), Number(up * y)),
            Segment::Curve([a, b, c, d, x, y]) => {
                write!(out, "C{} {} {} {} {} {}", Number(a), Number(up * b), Number(c), Number(up * d), Number(x), Number(up * y))
            }
            Segment::Close => write!(out, "Z"),
        };
    }
}
