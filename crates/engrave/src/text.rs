//! Lines of text: which letters stand where.
//!
//! A line is runs in one face and size each. Accidentals in words are drawn with the music font, larger than the letters
//! and lifted, as in printed chord symbols.

use crate::face::Face;

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
                Drawn::Letters(face) => push_letters(&mut shaped, &stretch, face, run.size, run.lift),
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
    Letters(Face),
    /// An accidental: the sign of the music font.
    Sign(char),
    /// A letter that no font has: the one that stands for it, or nothing for what is never seen.
    Instead(&'static str),
}

/// A box, so that it is seen that a letter stands there.
const BOX: &str = "□";

/// The letters of a text that no font has, in its order: each is drawn as a box.
pub(crate) fn boxed(run: &Run) -> impl Iterator<Item = char> {
    let stretches = stretches(&run.text, run.face).into_iter();
    stretches.filter(|(_, drawn)| *drawn == Drawn::Instead(BOX)).flat_map(|(text, _)| text.chars().collect::<Vec<_>>())
}

/// A text cut where another font begins, where accidentals stand and letters that no font has: the characters, and what is drawn for them.
fn stretches(text: &str, face: Face) -> Vec<(String, Drawn)> {
    let mut out: Vec<(String, Drawn)> = Vec::new();
    let mut add = |letter: &str, drawn: Drawn| match out.last_mut() {
        Some((last, Drawn::Letters(before))) if drawn == Drawn::Letters(*before) => last.push_str(letter),
        _ => out.push((letter.to_owned(), drawn)),
    };
    for letter in letters(text) {
        match drawn(letter, face) {
            // No font has these marks on this letter: each is drawn alone, so that none is lost.
            Drawn::Instead(_) if letter.chars().nth(1).is_some() => {
                let mut alone = [0; 4];
                letter.chars().for_each(|c| add(c.encode_utf8(&mut alone), drawn(c.encode_utf8(&mut [0; 4]), face)));
            }
            drawn => add(letter, drawn),
        }
    }
    out
}

/// The letters of a text, each with the marks that stand on it.
fn letters(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let end = rest.char_indices().skip(1).find(|(_, c)| !is_mark(*c)).map_or(rest.len(), |(at, _)| at);
        let (letter, after) = rest.split_at(end);
        rest = after;
        (!letter.is_empty()).then_some(letter)
    })
}

/// A mark that stands on the letter before it (the blocks of combining marks of Unicode 16, chapter 7.9).
fn is_mark(character: char) -> bool {
    matches!(character, '\u{300}'..='\u{36F}' | '\u{483}'..='\u{489}' | '\u{1AB0}'..='\u{1AFF}' | '\u{1DC0}'..='\u{1DFF}' | '\u{20D0}'..='\u{20FF}' | '\u{FE20}'..='\u{FE2F}')
}

fn drawn(letter: &str, face: Face) -> Drawn {
    let first = letter.chars().next().unwrap_or(' ');
    let alone = letter.len() == first.len_utf8();
    match accidental(first).filter(|_| alone) {
        _ if face == Face::Music || first.is_control() => Drawn::Letters(face),
        Some(sign) => Drawn::Sign(sign),
        None => face.of(letter).map_or_else(|| Drawn::Instead(instead(first)), Drawn::Letters),
    }
}

/// What stands for a letter that no font has: spaces for spaces, nothing for what is never seen, else a box.
fn instead(character: char) -> &'static str {
    match character {
        // A space is a quarter of an em wide.
        '\u{2003}' => "    ",
        '\u{2002}' => "  ",
        _ if character.is_whitespace() => " ",
        // Joiners, marks of direction and of the order of bytes, and variants of signs.
        '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{2064}' | '\u{FEFF}' | '\u{FE00}'..='\u{FE0F}' => "",
        _ => BOX,
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

    /// What the text font has not is drawn with the fonts beside it, in the same style where they have one; a script that none of them has is a box, and is told.
    #[test]
    fn letters_that_the_text_font_does_not_have_are_not_lost() {
        for face in [Face::Regular, Face::Bold, Face::Italic, Face::BoldItalic] {
            let run = |text: &str| Run::new(text, face, 400.0);
            let drawn = |text: &str| shape(&[run(text)]);
            // Hawaiian, Vietnamese, Greek with its old accents, Cyrillic with a stress, Armenian, Georgian, an arrow, signs.
            for text in ["Hawaiʻi", "Tiếng sóng vỗ", "Ἀρχὴ τῆς ᾠδῆς", "Шуме\u{301}л камы\u{301}ш", "Ծիծեռնակ", "სულიკო", "⇒", "♪ ★ ☀"]
            {
                let (shaped, run) = (drawn(text), run(text));
                assert!(shaped.letters.iter().all(|l| l.glyph != 0), "{text} in {face:?}");
                assert_eq!(shaped.letters.iter().map(|l| l.text.as_str()).collect::<String>(), text);
                assert_eq!(boxed(&run).count(), 0, "{text} in {face:?}");
            }
            let rain = TextLine { x: 0.0, y: 0.0, anchor: Anchor::Start, runs: vec![run("雨")] };
            assert!(rain.ink().is_some_and(|ink| ink[2] - ink[0] > 50.0), "a box stands there");
            assert!(drawn("雨").letters.iter().all(|l| l.glyph != 0 && l.text == "雨"));
            assert_eq!(boxed(&run("a雨 שb")).collect::<String>(), "雨ש");
            assert!((drawn("\u{2003}").width - 400.0).abs() < 1.0, "an em");
            assert_eq!(drawn("a\u{200B}\u{FE0F}b").letters.len(), 2, "what is never seen takes no room");
        }
    }

    /// A mark is drawn with the font of its letter, and over it: one whose width it has not.
    #[test]
    fn marks_stand_on_their_letters() {
        let run = |text: &str| shape(&[Run::new(text, Face::Regular, 400.0)]);
        for (bare, marked) in [("а", "а\u{301}"), ("m", "m\u{303}"), ("e", "e\u{301}")] {
            assert!((run(marked).width - run(bare).width).abs() < 1.0, "{marked}");
            assert_eq!(run(marked).letters.iter().map(|l| l.text.as_str()).collect::<String>(), marked);
            assert!(run(marked).letters.iter().all(|l| !l.text.is_empty()), "{marked}: each glyph has its own characters");
        }
        assert_eq!(run("雨\u{301}").letters.iter().filter(|l| l.text == "雨").count(), 1, "a mark on a letter that no font has");
    }

    #[test]
    fn anchors() {
        let line = |anchor| TextLine { x: 1000.0, y: 0.0, anchor, runs: Vec::new() };
        assert_eq!(line(Anchor::Start).start(300.0), 1000.0);
        assert_eq!(line(Anchor::Middle).start(300.0), 850.0);
        assert_eq!(line(Anchor::End).start(300.0), 700.0);
    }
}
