//! Lines of text: which letters stand where.
//!
//! A line is runs in one face and size each. Accidentals in words are drawn with the music font, larger than the letters
//! and lifted, as in printed chord symbols.

use crate::font::Face;

/// A stretch of text in one face and size (the em, in library units).
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Run {
    pub text: String,
    pub face: Face,
    pub size: f64,
    /// How far the run is lifted above the base line.
    pub lift: f64,
}

impl Run {
    pub fn new(text: impl Into<String>, face: Face, size: f64) -> Run {
        Run { text: text.into(), face, size, lift: 0.0 }
    }
}

/// Which point of the line stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A line of text at a place on the page, y downwards.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TextLine {
    pub x: f64,
    pub y: f64,
    pub anchor: Anchor,
    pub runs: Vec<Run>,
}

/// One letter: where it starts, relative to the line's start and base line (`lift` upwards).
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Letter {
    pub face: Face,
    pub glyph: u16,
    pub x: f64,
    pub lift: f64,
    pub size: f64,
    /// The characters that the letter stands for.
    pub text: String,
}

/// A line with every letter placed.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Shaped {
    pub letters: Vec<Letter>,
    pub width: f64,
}

impl TextLine {
    /// The words without their faces.
    pub fn words(&self) -> String {
        self.runs.iter().map(|r| r.text.as_str()).collect()
    }

    /// Where the line starts once its anchor is taken into account.
    pub fn start(&self, width: f64) -> f64 {
        match self.anchor {
            Anchor::Start => self.x,
            Anchor::Middle => self.x - width / 2.0,
            Anchor::End => self.x - width,
        }
    }

    /// Left, top, right, bottom of the ink.
    pub fn ink(&self) -> Option<[f64; 4]> {
        let shaped = shape(&self.runs);
        let start = self.start(shaped.width);
        let boxes = shaped.letters.iter().filter_map(|l| {
            let scale = l.size / l.face.font().em;
            let [x0, y0, x1, y1] = l.face.font().ink(l.glyph)?.map(|v| v * scale);
            let (x, y) = (start + l.x, self.y - l.lift);
            Some([x + x0, y - y1, x + x1, y - y0])
        });
        boxes.reduce(crate::drawing::join)
    }
}

/// The width of a text in one face.
pub(crate) fn width(text: &str, face: Face, size: f64) -> f64 {
    shape(&[Run::new(text, face, size)]).width
}

/// Places the letters of a line, with kerning.
pub(crate) fn shape(runs: &[Run]) -> Shaped {
    let mut shaped = Shaped::default();
    for run in runs {
        for (stretch, sign) in stretches(&run.text, run.face) {
            match sign {
                Drawn::Sign(music) => push_sign(&mut shaped, run, &stretch, music),
                Drawn::Letters => push_letters(&mut shaped, &stretch, run.face, run.size, run.lift),
                Drawn::Instead(other) => push_instead(&mut shaped, run, &stretch, other),
            }
        }
    }
    shaped
}

/// The music sign for an accidental in a text.
fn accidental(character: char) -> Option<char> {
    Some(match character {
        '♭' => '\u{E260}',
        '♮' => '\u{E261}',
        '♯' => '\u{E262}',
        '𝄪' => '\u{E263}',
        '𝄫' => '\u{E264}',
        _ => return None,
    })
}

/// How a stretch of text is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Drawn {
    Letters,
    /// An accidental: the sign of the music font.
    Sign(char),
    /// A letter that the font does not have: the one that stands for it, or nothing for what is never seen.
    Instead(&'static str),
}

/// A text cut where accidentals stand and letters that the font does not have: the characters, and what is drawn for them.
fn stretches(text: &str, face: Face) -> Vec<(String, Drawn)> {
    let mut out: Vec<(String, Drawn)> = Vec::new();
    for c in text.chars() {
        let drawn = drawn(c, face);
        match out.last_mut() {
            Some((last, Drawn::Letters)) if drawn == Drawn::Letters => last.push(c),
            _ => out.push((c.to_string(), drawn)),
        }
    }
    out
}

fn drawn(character: char, face: Face) -> Drawn {
    match accidental(character) {
        _ if face == Face::Music => Drawn::Letters,
        Some(sign) => Drawn::Sign(sign),
        None if face.font().glyph(character).is_some() || character.is_control() => Drawn::Letters,
        None => Drawn::Instead(instead(character, face)),
    }
}

/// What stands for a letter that the font does not have: the sign that looks the same (the ʻokina as it is printed without its own letter, a single opening
/// quotation mark), else a box, so that it is seen that a letter stands there.
fn instead(character: char, face: Face) -> &'static str {
    let has = |sign| face.font().glyph(sign).is_some();
    match character {
        '\u{2BB}' | '\u{2BD}' | '\u{2BF}' if has('‘') => "‘",
        '\u{2BC}' | '\u{2BE}' | '\u{2C8}' if has('’') => "’",
        '\u{2010}' | '\u{2011}' => "-",
        // A space is a quarter of an em wide.
        '\u{2003}' => "    ",
        '\u{2002}' => "  ",
        _ if character.is_whitespace() => " ",
        // Joiners, marks of direction and of the order of bytes, and variants of signs.
        '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{2064}' | '\u{FEFF}' | '\u{FE00}'..='\u{FE0F}' => "",
        _ if has('□') => "□",
        _ => "?",
    }
}

/// The first letter of what is drawn keeps the character; spaces are plain ones, as a PDF knows one character for each letter.
fn push_instead(shaped: &mut Shaped, run: &Run, original: &str, other: &str) {
    let before = shaped.letters.len();
    let original = if original.trim().is_empty() { " " } else { original };
    push_letters(shaped, other, run.face, run.size, run.lift);
    for (n, letter) in shaped.letters[before..].iter_mut().enumerate() {
        letter.text = if n == 0 { original.to_owned() } else { String::new() };
    }
}

/// An accidental beside letters: its em is this times theirs, and it is lifted by this part of their em. Measured so
/// that a sharp is a little taller than a capital.
const SIGN_SIZE: f64 = 1.22;
const SIGN_LIFT: f64 = 0.32;

fn push_sign(shaped: &mut Shaped, run: &Run, original: &str, music: char) {
    // A flat is a small sign beside a sharp: it is drawn larger, and stands lower.
    let (larger, lower) = if matches!(music, '\u{E260}' | '\u{E264}') { (1.12, 0.62) } else { (1.0, 1.0) };
    let gap = run.size * 0.03;
    shaped.width += gap;
    let before = shaped.letters.len();
    let lift = run.lift + run.size * SIGN_LIFT * lower;
    push_letters(shaped, &music.to_string(), Face::Music, run.size * SIGN_SIZE * larger, lift);
    for letter in &mut shaped.letters[before..] {
        letter.text = original.to_owned();
    }
    shaped.width += gap;
}

fn push_letters(shaped: &mut Shaped, text: &str, face: Face, size: f64, lift: f64) {
    let font = face.font();
    let scale = size / font.em;
    let placed = font.shape(text);
    let ends = placed.iter().skip(1).map(|letter| letter.from).chain([text.len()]);
    for (letter, end) in placed.iter().zip(ends) {
        shaped.letters.push(Letter {
            face,
            glyph: letter.glyph,
            x: shaped.width + letter.x * scale,
            lift: lift + letter.y * scale,
            size,
            text: text.get(letter.from..end.max(letter.from)).unwrap_or_default().to_owned(),
        });
        shaped.width += letter.advance * scale;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_a_tune_may_need_is_in_the_fonts() {
        for face in [Face::Regular, Face::Bold, Face::Italic, Face::BoldItalic] {
            for character in "AzÉéøÅåßŁőžșñçæœ–—“”‘’…©°½♭♯♮".chars() {
                let shaped = shape(&[Run::new(character.to_string(), face, 400.0)]);
                assert!(shaped.letters.iter().all(|l| l.glyph != 0), "{character} is missing in {face:?}");
                assert!(shaped.width > 0.0);
            }
        }
    }

    #[test]
    fn an_accidental_is_a_music_sign_and_keeps_its_character() {
        let shaped = shape(&[Run::new("B♭7", Face::Bold, 400.0)]);
        let faces: Vec<Face> = shaped.letters.iter().map(|l| l.face).collect();
        assert_eq!(faces, [Face::Bold, Face::Music, Face::Bold]);
        assert_eq!(shaped.letters.iter().map(|l| l.text.as_str()).collect::<String>(), "B♭7");
    }

    #[test]
    fn a_sharp_is_about_as_tall_as_a_capital() {
        let ink = |text: &str| {
            TextLine { x: 0.0, y: 0.0, anchor: Anchor::Start, runs: vec![Run::new(text, Face::Bold, 400.0)] }.ink().expect("ink")
        };
        let (capital, sharp) = (ink("F"), ink("♯"));
        let ratio = (sharp[3] - sharp[1]) / (capital[3] - capital[1]);
        assert!((1.0..1.6).contains(&ratio), "{ratio}");
    }

    /// Neither blank nor left out: an ʻokina looks like the quotation mark that is printed for it, a letter of a script that the fonts do not have is a box.
    /// Both keep their own character.
    #[test]
    fn letters_that_the_fonts_do_not_have_are_not_lost() {
        for face in [Face::Regular, Face::Bold, Face::Italic, Face::BoldItalic] {
            let drawn = |text: &str| shape(&[Run::new(text, face, 400.0)]);
            let (okina, mark) = (drawn("Hawaiʻi"), drawn("Hawai‘i"));
            assert_eq!(okina.letters.iter().map(|l| l.text.as_str()).collect::<String>(), "Hawaiʻi");
            assert_eq!(okina.letters.iter().map(|l| l.glyph).collect::<Vec<_>>(), mark.letters.iter().map(|l| l.glyph).collect::<Vec<_>>());
            let rain = TextLine { x: 0.0, y: 0.0, anchor: Anchor::Start, runs: vec![Run::new("雨", face, 400.0)] };
            assert!(rain.ink().is_some_and(|ink| ink[2] - ink[0] > 50.0), "a box stands there");
            assert!(drawn("雨").letters.iter().all(|l| l.glyph != 0 && l.text == "雨"));
            assert!((drawn("\u{2003}").width - 400.0).abs() < 1.0, "an em");
            assert_eq!(drawn("a\u{200B}\u{FE0F}b").letters.len(), 2, "what is never seen takes no room");
        }
    }

    #[test]
    fn anchors() {
        let line = |anchor| TextLine { x: 1000.0, y: 0.0, anchor, runs: Vec::new() };
        assert_eq!(line(Anchor::Start).start(300.0), 1000.0);
        assert_eq!(line(Anchor::Middle).start(300.0), 850.0);
        assert_eq!(line(Anchor::End).start(300.0), 700.0);
    }
}
