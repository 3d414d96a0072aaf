//! A PDF read back with a library that has nothing to do with the one it was written with: the words of each page, where its links lead, the outline.

use hayro_syntax::Pdf;
use hayro_syntax::content::ops::TypedInstruction;
use hayro_syntax::object::{Array, Dict, Name, Object, ObjectIdentifier, Stream, String as PdfString};
use std::collections::BTreeMap;

/// A document as a reader has it.
#[derive(Debug, PartialEq, Eq)]
pub struct Read {
    pub pages: Vec<ReadPage>,
    /// What stands in the outline, with how deep it stands and the page it leads to, counted from 1.
    pub outline: Vec<(usize, String, usize)>,
    /// How many fonts there are.
    pub fonts: usize,
}

#[derive(Debug, PartialEq, Eq)]
pub struct ReadPage {
    /// Lines of words in the order in which they are drawn.
    pub words: Vec<String>,
    /// The pages that its links lead to, counted from 1.
    pub links: Vec<usize>,
}

impl ReadPage {
    pub fn says(&self, words: &str) -> bool {
        self.words.iter().any(|line| line == words)
    }
}

pub fn read(bytes: &[u8]) -> Read {
    let pdf = Pdf::new(bytes.to_vec()).expect("a PDF");
    let ids: Vec<ObjectIdentifier> = pdf.pages().iter().map(|page| page.raw().obj_id().expect("a page has a number")).collect();
    let fonts = |page: &hayro_syntax::page::Page| page.resources().fonts.keys().count();
    let pages = pdf.pages().iter().map(|page| ReadPage {
        words: words(page),
        links: page
            .raw()
            .get::<Array>(b"Annots")
            .map(|all| all.iter::<Dict>().map(|link| leads(&link, &ids)).collect())
            .unwrap_or_default(),
    });
    let catalog: Dict = pdf.xref().get(pdf.xref().root_id()).expect("a catalog");
    let mut outline = Vec::new();
    if let Some(top) = catalog.get::<Dict>(b"Outlines") {
        marks(&top, 0, &ids, &mut outline);
    }
    Read { pages: pages.collect(), outline, fonts: pdf.pages().iter().map(fonts).max().unwrap_or(0) }
}

/// The page that a link or an entry of the outline leads to.
fn leads(from: &Dict, pages: &[ObjectIdentifier]) -> usize {
    let place = from.get::<Array>(b"Dest").expect("it leads somewhere");
    let to = place.raw_iter().next().and_then(|first| first.as_obj_ref()).expect("a page").into();
    pages.iter().position(|page| *page == to).expect("a page of this document") + 1
}

fn marks(parent: &Dict, depth: usize, pages: &[ObjectIdentifier], out: &mut Vec<(usize, String, usize)>) {
    let mut next = parent.get::<Dict>(b"First");
    while let Some(mark) = next {
        let title = mark.get::<PdfString>(b"Title").expect("a title");
        out.push((depth, text(title.as_bytes()), leads(&mark, pages)));
        marks(&mark, depth + 1, pages, out);
        next = mark.get::<Dict>(b"Next");
    }
}

/// A text of the document's own: UTF-16 where it begins so, else plain letters.
fn text(bytes: &[u8]) -> String {
    match bytes {
        [0xfe, 0xff, rest @ ..] => utf_16(rest),
        plain => plain.iter().map(|byte| char::from(*byte)).collect(),
    }
}

fn utf_16(bytes: &[u8]) -> String {
    let units: Vec<u16> = bytes.chunks(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
    String::from_utf16(&units).expect("UTF-16")
}

fn words(page: &hayro_syntax::page::Page) -> Vec<String> {
    let mut fonts: BTreeMap<Vec<u8>, BTreeMap<u16, String>> = BTreeMap::new();
    let (mut lines, mut font) = (Vec::new(), Vec::new());
    let mut operations = page.typed_operations();
    while let Some(operation) = operations.next() {
        match operation {
            TypedInstruction::BeginText(_) => lines.push(String::new()),
            TypedInstruction::TextFont(chosen) => {
                let name: &Name = chosen.0;
                font = name.as_ref().to_vec();
                fonts.entry(font.clone()).or_insert_with(|| letters(&page.resources().get_font(name).expect("a font of the page")));
            }
            TypedInstruction::ShowTexts(shown) => {
                // Between the strings stand numbers, by which letters are moved together.
                for object in shown.0.iter::<Object>() {
                    let Object::String(string) = object else { continue };
                    let codes = string.as_bytes().chunks(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]]));
                    let letters = codes.map(|code| fonts[&font].get(&code).map_or("?", String::as_str));
                    lines.last_mut().expect("text stands between its beginning and its end").extend(letters);
                }
            }
            _ => {}
        }
    }
    lines
}

/// What the codes of a font stand for, by its map to Unicode.
fn letters(font: &Dict) -> BTreeMap<u16, String> {
    let map = font.get::<Stream>(b"ToUnicode").expect("the words can be copied");
    let map = String::from_utf8(map.decoded().expect("a stream that can be unpacked").into_owned()).expect("a map is plain text");
    let hex = |text: &str| {
        (0..text.len() / 2).map(|at| u8::from_str_radix(&text[2 * at..2 * at + 2], 16).expect("hexadecimal")).collect::<Vec<u8>>()
    };
    let pairs = map.split("beginbfchar").skip(1).filter_map(|part| part.split("endbfchar").next());
    let line = |line: &str| {
        let mut parts = line.split(['<', '>']).filter(|part| !part.trim().is_empty());
        let code = hex(parts.next()?);
        Some((u16::from_be_bytes([code[0], code[1]]), utf_16(&hex(parts.next()?))))
    };
    pairs.flat_map(str::lines).filter_map(line).collect()
}
