//! Leaves as one PDF document.
//!
//! Words are real text in embedded subsets of the fonts, music signs are small drawings used again and again; both are there once, however many pages there are. There is
//! no date and no chance in the file: the same pages give the same bytes.

use crate::face::Face;
use crate::leaf::{Leaf, Used, draw, font_name, packed, sign_name};
use pdf_writer::types::{AnnotationType, CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use std::collections::BTreeMap;
use subsetter::GlyphRemapper;

/// A document before it is written.
#[derive(Default)]
pub(crate) struct Document<'a> {
    pub title: &'a str,
    pub author: &'a str,
    pub pages: Vec<Sheet<'a>>,
    /// What a reader shows beside the pages, to go to them.
    pub outline: Vec<OutlineEntry>,
}

/// One page of it.
#[derive(Default)]
pub(crate) struct Sheet<'a> {
    /// Drawn one over the other; the first says how large the paper is.
    pub leaves: Vec<&'a Leaf>,
    pub links: Vec<Link>,
}

/// A place on a page that leads to another page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Link {
    /// Left, top, right, bottom in printer's points, y downwards from the top of the paper.
    pub place: [f64; 4],
    /// The page, counted from 0.
    pub to: usize,
}

/// An entry of the outline, with those below it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct OutlineEntry {
    pub title: String,
    /// The page, counted from 0.
    pub to: usize,
    pub below: Vec<OutlineEntry>,
}

/// Pages one after the other, and nothing else.
pub(crate) fn write(leaves: &[Leaf], title: &str, author: &str) -> Vec<u8> {
    let pages = leaves.iter().map(|leaf| Sheet { leaves: vec![leaf], links: Vec::new() }).collect();
    Document { title, author, pages, outline: Vec::new() }.write()
}

impl Document<'_> {
    pub fn write(&self) -> Vec<u8> {
        let mut used = Used::default();
        self.pages.iter().flat_map(|page| &page.leaves).for_each(|leaf| used.add(&leaf.used));
        let mut out = Out { pdf: Pdf::new(), next: Ref::new(1) };
        let (catalog, tree) = (out.next.bump(), out.next.bump());
        let fonts: Vec<(String, Ref)> = used.letters.iter().map(|(face, letters)| (font_name(*face), out.font(*face, letters))).collect();
        let signs: Vec<(String, Ref)> = used.signs.iter().map(|&glyph| (sign_name(glyph), out.sign(glyph))).collect();
        let pages: Vec<Ref> = self.pages.iter().map(|_| out.next.bump()).collect();
        out.tree(tree, &pages, &fonts, &signs);
        for (page, id) in self.pages.iter().zip(&pages) {
            out.page(page, *id, tree, &pages);
        }
        let outline = (!self.outline.is_empty()).then(|| out.outline(&self.outline, &pages));
        let mut written = out.pdf.catalog(catalog);
        written.pages(tree);
        if let Some(outline) = outline {
            written.outlines(outline);
        }
        written.finish();
        out.information(self.title, self.author);
        out.pdf.finish()
    }
}

struct Out {
    pdf: Pdf,
    next: Ref,
}

impl Out {
    /// All pages, with the fonts and signs that each may use.
    fn tree(&mut self, id: Ref, pages: &[Ref], fonts: &[(String, Ref)], signs: &[(String, Ref)]) {
        let mut tree = self.pdf.pages(id);
        tree.kids(pages.iter().copied()).count(pages.len() as i32);
        let mut resources = tree.resources();
        let mut dictionary = resources.fonts();
        for (name, font) in fonts {
            dictionary.pair(Name(name.as_bytes()), font);
        }
        dictionary.finish();
        let mut dictionary = resources.x_objects();
        for (name, sign) in signs {
            dictionary.pair(Name(name.as_bytes()), sign);
        }
    }

    fn page(&mut self, page: &Sheet, id: Ref, tree: Ref, pages: &[Ref]) {
        let streams: Vec<Ref> = page.leaves.iter().map(|_| self.next.bump()).collect();
        let links: Vec<Ref> = page.links.iter().map(|_| self.next.bump()).collect();
        let (width, height) = page.leaves.first().map_or((0.0, 0.0), |leaf| leaf.paper);
        let mut written = self.pdf.page(id);
        written.parent(tree).media_box(Rect::new(0.0, 0.0, width as f32, height as f32));
        match streams[..] {
            [only] => written.contents(only),
            _ => written.contents_array(streams.iter().copied()),
        };
        if !links.is_empty() {
            written.annotations(links.iter().copied());
        }
        written.finish();
        for (leaf, stream) in page.leaves.iter().zip(streams) {
            self.pdf.stream(stream, &leaf.content).filter(Filter::FlateDecode);
        }
        for (link, id) in page.links.iter().zip(links) {
            let [left, top, right, bottom] = link.place;
            let mut written = self.pdf.annotation(id);
            written.subtype(AnnotationType::Link).border(0.0, 0.0, 0.0, None);
            written.rect(Rect::new(left as f32, (height - bottom) as f32, right as f32, (height - top) as f32));
            written.insert(Name(b"Dest")).array().item(pages[link.to]).item(Name(b"Fit"));
        }
    }

    /// Writes the outline and says where it stands.
    fn outline(&mut self, marks: &[OutlineEntry], pages: &[Ref]) -> Ref {
        let id = self.next.bump();
        let items = self.marks(marks, id, pages);
        let mut outline = self.pdf.outline(id);
        if let (Some(first), Some(last)) = (items.first(), items.last()) {
            outline.first(*first).last(*last).count(items.len() as i32);
        }
        id
    }

    /// Entries beside each other, those below each closed at first.
    fn marks(&mut self, marks: &[OutlineEntry], parent: Ref, pages: &[Ref]) -> Vec<Ref> {
        let ids: Vec<Ref> = marks.iter().map(|_| self.next.bump()).collect();
        for (at, mark) in marks.iter().enumerate() {
            let below = self.marks(&mark.below, ids[at], pages);
            let mut item = self.pdf.outline_item(ids[at]);
            item.title(TextStr(&mark.title)).parent(parent);
            if let Some(before) = at.checked_sub(1) {
                item.prev(ids[before]);
            }
            if let Some(next) = ids.get(at + 1) {
                item.next(*next);
            }
            if let (Some(first), Some(last)) = (below.first(), below.last()) {
                item.first(*first).last(*last).count(-(below.len() as i32));
            }
            item.dest().page(pages[mark.to]).fit();
        }
        ids
    }

    fn information(&mut self, title: &str, author: &str) {
        let info = self.next.bump();
        let mut document = self.pdf.document_info(info);
        document.title(TextStr(title)).producer(TextStr("Undersong"));
        if !author.is_empty() {
            document.author(TextStr(author));
        }
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

    /// The letters of a font that are used. Pages name them by their numbers in the whole font; a map leads from those to the numbers in what is embedded.
    fn font(&mut self, face: Face, letters: &BTreeMap<u16, String>) -> Ref {
        let [type0, cid, descriptor, unicode, map, file] = std::array::from_fn(|_| self.next.bump());
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
        written.default_width(0.0).cid_to_gid_map_stream(map);
        let mut widths = written.widths();
        for glyph in letters.keys() {
            widths.same(*glyph, *glyph, scaled(open.advance(*glyph)));
        }
        widths.finish();
        written.finish();
        let mut characters = UnicodeCmap::new(Name(b"Custom"), system());
        for (glyph, text) in letters.iter().filter(|(_, text)| !text.is_empty()) {
            characters.pair_with_multiple(*glyph, text.chars());
        }
        self.pdf.cmap(unicode, &characters.finish());
        let [left, bottom, right, top] = open.bounds().map(scaled);
        let [ascent, descent] = open.reach().map(scaled);
        let mut described = self.pdf.font_descriptor(descriptor);
        described.name(Name(name.as_bytes())).flags(FontFlags::SYMBOLIC | FontFlags::SERIF).italic_angle(0.0).stem_v(80.0);
        described.bbox(Rect::new(left, bottom, right, top));
        described.ascent(ascent).descent(descent).cap_height(660.0);
        described.font_file2(file);
        described.finish();
        let (subset, numbers) = subset(face, letters);
        self.pdf.stream(map, &packed(&numbers)).filter(Filter::FlateDecode);
        self.pdf.stream(file, &packed(&subset)).filter(Filter::FlateDecode);
        type0
    }
}

/// A font with these letters alone, and for each number of the whole font the one that its letter has there, two bytes each.
fn subset(face: Face, letters: &BTreeMap<u16, String>) -> (Vec<u8>, Vec<u8>) {
    let mut remapper = GlyphRemapper::new();
    let mut numbers = vec![0_u8; 2 * letters.keys().next_back().map_or(0, |last| usize::from(*last) + 1)];
    for glyph in letters.keys() {
        let at = 2 * usize::from(*glyph);
        numbers[at..at + 2].copy_from_slice(&remapper.remap(*glyph).to_be_bytes());
    }
    (subsetter::subset(face.font().data, 0, &remapper).expect("our own fonts can be subset"), numbers)
}
