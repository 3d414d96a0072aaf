//! Which fonts a page is drawn with, and in which a letter is looked for.
//!
//! The engraving library's data carries its text font (Liberation Serif, SIL Open Font Licence 1.1) and its music font (Leipzig, the same licence) as WOFF2. What
//! that text font lacks of its letters stands in `letters` beside these sources, made by `scripts/letters`: the rest of the same typeface in the same styles, and
//! scripts and signs from another. Each is unpacked when it is first drawn with; nothing is ever taken from the machine, so that a page looks the same everywhere.

use crate::font::Font;
use base64::Engine;
use std::sync::OnceLock;

/// One of the fonts. Text is written in the first four; letters that these lack are drawn with the others ([`Face::of`]).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Face {
    Regular,
    Bold,
    Italic,
    BoldItalic,
    Music,
    /// More letters of the text font: Greek and Cyrillic with all their accents, Vietnamese, phonetics.
    MoreRegular,
    MoreBold,
    MoreItalic,
    MoreBoldItalic,
    /// Armenian and Georgian, arrows.
    Scripts,
    /// Stars, hearts and the like.
    Signs,
}

/// How many there are.
const FACES: usize = Face::Signs as usize + 1;

impl Face {
    /// Each at the place of its number.
    pub const ALL: [Face; FACES] = [
        Face::Regular,
        Face::Bold,
        Face::Italic,
        Face::BoldItalic,
        Face::Music,
        Face::MoreRegular,
        Face::MoreBold,
        Face::MoreItalic,
        Face::MoreBoldItalic,
        Face::Scripts,
        Face::Signs,
    ];
}

impl Face {
    pub fn font(self) -> &'static Font {
        static FONTS: [OnceLock<Font>; FACES] = [const { OnceLock::new() }; FACES];
        FONTS[self as usize]
            .get_or_init(|| Font::open(wuff::decompress_woff2(&self.packed()).expect("the fonts that come with the program are WOFF2")))
    }

    /// The face that a letter (with the marks on it) of a text in this face is drawn in, if any has it.
    pub fn of(self, letter: &str) -> Option<Face> {
        let more = match self {
            Face::Regular => Face::MoreRegular,
            Face::Bold => Face::MoreBold,
            Face::Italic => Face::MoreItalic,
            Face::BoldItalic => Face::MoreBoldItalic,
            other => return other.font().has(letter).then_some(other),
        };
        [self, more, Face::Scripts, Face::Signs].into_iter().find(|face| face.font().has(letter))
    }

    fn packed(self) -> Vec<u8> {
        match self {
            Face::Regular => in_data("Liberation.css", 0),
            Face::Bold => in_data("Liberation.css", 1),
            Face::Italic => in_data("Liberation.css", 2),
            Face::BoldItalic => in_data("Liberation.css", 3),
            Face::Music => in_data("Leipzig.css", 0),
            Face::MoreRegular => include_bytes!("../letters/Regular.woff2").to_vec(),
            Face::MoreBold => include_bytes!("../letters/Bold.woff2").to_vec(),
            Face::MoreItalic => include_bytes!("../letters/Italic.woff2").to_vec(),
            Face::MoreBoldItalic => include_bytes!("../letters/BoldItalic.woff2").to_vec(),
            Face::Scripts => include_bytes!("../letters/Scripts.woff2").to_vec(),
            Face::Signs => include_bytes!("../letters/Signs.woff2").to_vec(),
        }
    }
}

/// A font embedded in one of the engraving library's style sheets, by its place there.
fn in_data(sheet: &str, place: usize) -> Vec<u8> {
    let sheet = verovio_data::DATA.get_file(sheet).and_then(|f| f.contents_utf8()).expect("the data carries its fonts");
    let text = sheet
        .split("base64,")
        .nth(place + 1)
        .and_then(|rest| rest.split(')').next())
        .expect("the data carries four text fonts and one music font");
    base64::engine::general_purpose::STANDARD.decode(text.trim()).expect("the data's fonts are base64")
}
