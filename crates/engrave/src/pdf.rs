//! Pages as one PDF document.
//!
//! Words are real text in embedded subsets of the fonts, music signs are small drawings used again and again. There is
//! no date and no chance in the file: the same pages give the same bytes.

use crate::drawing::{Ends, Fill, Group, Path, Shape, Sign, Transform};
use crate::face::Face;
use crate::font::Segment;
use crate::pages::Page;
use crate::text::{Letter, TextLine, shape};
use pdf_writer::types::{CidFontType, FontFlags, LineCapStyle, LineJoinStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use std::collections::{BTreeMap, BTreeSet};
use subsetter::GlyphRemapper;

/// Printer's points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;

pub(crate) fn write(pages: &[Page], title: &str, author: &str) -> Vec<u8> {
    let mut used = Used::default();
    let contents: Vec<Vec<u8>> = pages.iter().map(|page| content(page, &mut used)).collect();
    let mut book = Book { pdf: Pdf::new(), next: Ref::new(1) };
    let (catalog, tree) = (book.next.bump(), book.next.bump());
    book.pdf.catalog(catalog).pages(tree);
    let fonts: Vec<(String, Ref)> = used.letters.iter().map(|(face, glyphs)| (font_name(*face), book.font(*face, glyphs))).collect();
    let signs: Vec<(String, Ref)> = used.signs.iter().map(|&glyph| (sign_name(glyph), book.sign(glyph))).collect();
    let kids: Vec<Ref> = pages.iter().map(|_| book.next.bump()).collect();
    book.pdf.pages(tree).kids(kids.iter().copied()).count(kids.len() as i32);
    for ((page, content), id) in pages.iter().zip(&contents).zip(kids) {
        book.page(page, content, id, tree, &fonts, &signs);
    }
    let info = book.next.bump();
    let mut document = book.pdf.document_info(info);
    document.title(TextStr(title)).producer(TextStr("Undersong"));
    if !author.is_empty() {
        document.author(TextStr(author));
    }
    document.finish();
    book.pdf.finish()
}

fn font_name(face: Face) -> String {
    format!("F{}", face as usize)
}

fn sign_name(glyph: u16) -> String {
    format!("S{glyph}")
}

fn packed(data: &[u8]) -> Vec<u8> {
    miniz_oxide::deflate::compress_to_vec_zlib(data, 7)
}

/// What the pages draw with: glyphs with the characters they stand for, in the order they first appear in the subset.
#[derive(Default)]
struct Used {
    letters: BTreeMap<Face, Glyphs>,
    signs: BTreeSet<u16>,
}

#[derive(Default)]
struct Glyphs {
    remapper: GlyphRemapper,
    text: BTreeMap<u16, String>,
    old: BTreeMap<u16, u16>,
}

impl Glyphs {
    fn number(&mut self, letter: &Letter) -> u16 {
        let new = self.remapper.remap(letter.glyph);
        self.old.insert(new, letter.glyph);
        if !letter.text.is_empty() {
            self.text.entry(new).or_insert_with(|| letter.text.clone());
        }
        new
    }
}

struct Book {
    pdf: Pdf,
    next: Ref,
}

impl Book {
    fn page(&mut self, page: &Page, content: &[u8], id: Ref, tree: Ref, fonts: &[(String, Ref)], signs: &[(String, Ref)]) {
        let stream = self.next.bump();
        let (width, height) = (page.width / page.unit * POINTS, page.height / page.unit * POINTS);
        let mut written = self.pdf.page(id);
        written.parent(tree).media_box(Rect::new(0.0, 0.0, width as f32, height as f32)).contents(stream);
        let mut resources = written.resources();
        let mut dictionary = resources.fonts();
        for (name, font) in fonts {
            dictionary.pair(Name(name.as_bytes()), font);
        }
        dictionary.finish();
        let mut dictionary = resources.x_objects();
        for (name, sign) in signs {
            dictionary.pair(Name(name.as_bytes()), sign);
        }
        dictionary.finish();
        resources.finish();
        written.finish();
        self.pdf.stream(stream, &packed(content)).filter(Filter::FlateDecode);
    }

    /// A music sign in font units.
    fn sign(&mut self, glyph: u16) -> Ref {
        let id = self.next.bump();
        let font = Face::Music.font();
        let mut content = Content::new();
        draw(&mut content, &font.outline(glyph));
        content.fill_nonzero();
        let [x0, y0, x1, y1] = font.ink(glyph).unwrap_or([0.0; 4]).map(|v| v as f32);
        let data = packed(&content.finish());
        let mut form = self.pdf.form_xobject(id, &data);
        form.bbox(Rect::new(x0, y0, x1, y1)).filter(Filter::FlateDecode);
        form.finish();
        id
    }

    fn font(&mut self, face: Face, glyphs: &Glyphs) -> Ref {
        let [type0, cid, descriptor, unicode, file] = std::array::from_fn(|_| self.next.bump());
        let name = format!("UNDSNG+{face:?}");
        let system = || SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
        let mut font = self.pdf.type0_font(type0);
        font.base_font(Name(name.as_bytes())).encoding_predefined(Name(b"Identity-H")).descendant_font(cid).to_unicode(unicode);
        font.finish();
        let open = face.font();
        let thousandths = 1000.0 / open.em;
        let scaled = |v: f64| (v * thousandths) as f32;
        let mut written = self.pdf.cid_font(cid);
        written.subtype(CidFontType::Type2).base_font(Name(name.as_bytes())).system_info(system()).font_descriptor(descriptor);
        written.default_width(0.0).cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = written.widths();
        for (new, old) in &glyphs.old {
            widths.same(*new, *new, scaled(open.advance(*old)));
        }
        widths.finish();
        written.finish();
        let mut map = UnicodeCmap::new(Name(b"Custom"), system());
        for (new, text) in glyphs.text.iter().filter(|(_, text)| !text.is_empty()) {
            map.pair_with_multiple(*new, text.chars());
        }
        self.pdf.cmap(unicode, &map.finish());
        let [left, bottom, right, top] = open.bounds().map(scaled);
        let [ascent, descent] = open.reach().map(scaled);
        let mut described = self.pdf.font_descriptor(descriptor);
        described.name(Name(name.as_bytes())).flags(FontFlags::SYMBOLIC | FontFlags::SERIF).italic_angle(0.0).stem_v(80.0);
        described.bbox(Rect::new(left, bottom, right, top));
        described.ascent(ascent).descent(descent).cap_height(660.0);
        described.font_file2(file);
        described.finish();
        let subset = subsetter::subset(open.data, 0, &glyphs.remapper).expect("our own fonts can be subset");
        self.pdf.stream(file, &packed(&subset)).filter(Filter::FlateDecode);
        type0
    }
}

fn content(page: &Page, used: &mut Used) -> Vec<u8> {
    let mut content = Content::new();
    // Library units, y downwards, from the top left corner.
    let scale = POINTS / page.unit;
    content.transform([scale as f32, 0.0, 0.0, -scale as f32, 0.0, (page.height * scale) as f32]);
    for shape in &page.shapes {
        add(&mut content, shape, used);
    }
    content.finish().into_vec()
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

fn draw(content: &mut Content, segments: &[Segment]) {
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
        let glyphs = used.letters.entry(first.face).or_default();
        content.set_font(Name(font_name(first.face).as_bytes()), short(first.size));
        content.set_text_matrix([1.0, 0.0, 0.0, -1.0, short(start + first.x), short(text.y - first.lift)]);
        add_letters(content, letters, glyphs);
    }
    content.end_text();
}

/// The letters of one face and size; kerning is written as adjustments in thousandths of the em.
fn add_letters(content: &mut Content, letters: &[Letter], glyphs: &mut Glyphs) {
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
        items.show(Str(&glyphs.number(letter).to_be_bytes()));
        expected += font.advance(letter.glyph) * letter.size / font.em;
    }
}
