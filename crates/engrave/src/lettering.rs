//! How each kind of text on the music looks: its face and size.
//!
//! The engraving library says where a text stands and what it is; publishers' habits decide the rest (common practice:
//! chord symbols bold, measure numbers small, tempo words bold, other directions italic).

use crate::face::Face;
use crate::text::{Anchor, Run, TextLine};

/// A stretch of text as the library wrote it. `None` is: not said.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct RawRun {
    pub text: String,
    pub size: f64,
    pub bold: Option<bool>,
    pub italic: Option<bool>,
    pub music: bool,
    pub x: Option<f64>,
    pub y: Option<f64>,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct RawText {
    pub anchor: Anchor,
    pub runs: Vec<RawRun>,
}

impl Default for RawText {
    fn default() -> RawText {
        RawText { anchor: Anchor::Start, runs: Vec::new() }
    }
}

/// Chord symbols' em in library units: 2.4 staff spaces, a little more than lyrics.
pub(crate) const CHORD_SIZE: f64 = 440.0;

/// A chord symbol that is not of the source: as large and bold as the others, in italics.
pub(crate) const ITALIC_CHORD: &str = "italic harm";

/// Whether a group of this class says how the text in it looks.
pub(crate) fn decides(class: &str) -> bool {
    matches!(class, "harm" | "tempo" | "dir" | "fing" | "syl" | "mNum" | "ending" | "reh" | "dynam" | "label" | "tupletNum" | "octave")
}

/// The lines of a text: a run at a new height starts a new line.
pub(crate) fn lines(class: &str, raw: &RawText) -> Vec<TextLine> {
    let mut lines: Vec<TextLine> = Vec::new();
    for run in &raw.runs {
        let (x, y) = (run.x.unwrap_or(0.0), run.y.unwrap_or(0.0));
        let runs = restyled(class, run);
        match lines.last_mut() {
            Some(line) if (line.y - y).abs() < 0.5 => line.runs.extend(runs),
            _ => lines.push(TextLine { x, y, anchor: raw.anchor, runs }),
        }
    }
    lines.retain(|line| !line.words().trim().is_empty());
    lines
}

fn restyled(class: &str, run: &RawRun) -> Vec<Run> {
    if run.music {
        return vec![music(class, run)];
    }
    let (face, size) = match class {
        "harm" => (Face::Bold, CHORD_SIZE),
        ITALIC_CHORD => (Face::BoldItalic, CHORD_SIZE),
        "mNum" => (Face::Italic, 300.0),
        "fing" => (Face::Regular, run.size),
        "tempo" => (said(run, Face::Bold), run.size),
        "ending" => (Face::Regular, 340.0),
        "reh" => (Face::Regular, 440.0),
        // A bold direction is a heading over the music ("Verse 2"): upright and a little larger.
        "dir" if run.bold == Some(true) => (said(run, Face::Bold), 440.0),
        // A lever or pedal change names a string.
        "dir" if names_string(&run.text) => (said(run, Face::Regular), run.size),
        "dir" => (said(run, Face::Italic), run.size * 0.95),
        _ => (said(run, Face::Regular), run.size),
    };
    let number = class == "ending" && run.text.chars().all(|c| c.is_ascii_digit());
    let text = if number { format!("{}.", run.text) } else { run.text.clone() };
    vec![Run::new(text, face, size)]
}

/// A letter from A to G with nothing but accidentals and an octave: `G♯2`, `B♭`.
fn names_string(text: &str) -> bool {
    let mut letters = text.trim().chars();
    letters.next().is_some_and(|c| ('A'..='G').contains(&c)) && letters.all(|c| c.is_ascii_digit() || "♭♮♯𝄪𝄫".contains(c))
}

/// The face that the source asks for, else the usual one.
fn said(run: &RawRun, usual: Face) -> Face {
    match (run.bold, run.italic) {
        (Some(true), Some(true)) => Face::BoldItalic,
        (Some(true), _) => Face::Bold,
        (_, Some(true)) => Face::Italic,
        (Some(false), Some(false)) => Face::Regular,
        _ => usual,
    }
}

/// A music sign in a text: an accidental becomes the character (drawn to fit the letters), a note is made smaller.
fn music(class: &str, run: &RawRun) -> Run {
    let plain: Option<String> = run.text.chars().map(in_words).collect();
    match plain {
        Some(text) if class == "harm" => Run::new(text, Face::Bold, CHORD_SIZE),
        Some(text) if class == ITALIC_CHORD => Run::new(text, Face::BoldItalic, CHORD_SIZE),
        Some(text) => Run::new(text, Face::Regular, run.size * 405.0 / 720.0),
        None => Run::new(run.text.clone(), Face::Music, run.size * 0.78),
    }
}

/// The character for an accidental, standing alone, or made for chord symbols or figured bass (SMuFL).
fn in_words(sign: char) -> Option<char> {
    Some(match sign {
        '\u{E260}' | '\u{ED60}' | '\u{EA64}' => '♭',
        '\u{E261}' | '\u{ED61}' | '\u{EA65}' => '♮',
        '\u{E262}' | '\u{ED62}' | '\u{EA66}' => '♯',
        '\u{E263}' | '\u{ED63}' | '\u{EA67}' => '𝄪',
        '\u{E264}' | '\u{ED64}' | '\u{EA63}' => '𝄫',
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(text: &str) -> RawRun {
        RawRun { text: text.into(), size: 400.0, ..RawRun::default() }
    }

    fn face(class: &str, run: RawRun) -> Face {
        lines(class, &RawText { anchor: Anchor::Start, runs: vec![run] })[0].runs[0].face
    }

    #[test]
    fn each_kind_of_text_has_its_face() {
        assert_eq!(face("harm", run("Am")), Face::Bold);
        assert_eq!(face(ITALIC_CHORD, run("Am")), Face::BoldItalic);
        assert_eq!(face("syl", run("ring")), Face::Regular);
        assert_eq!(face("dir", run("rit.")), Face::Italic);
        assert_eq!(face("dir", run("G♯2")), Face::Regular);
        assert_eq!(face("dir", run("Gently")), Face::Italic);
        assert_eq!(face("dir", RawRun { bold: Some(true), ..run("Verse 2") }), Face::Bold);
    }

    #[test]
    fn accidentals_of_chord_symbols_become_characters() {
        let raw = RawText { anchor: Anchor::Start, runs: vec![run("E"), RawRun { music: true, ..run("\u{EA64}") }, run("m")] };
        assert_eq!(lines("harm", &raw)[0].words(), "E♭m");
    }

    #[test]
    fn a_new_height_is_a_new_line_and_blank_lines_are_left_out() {
        let at = |text: &str, y: f64| RawRun { y: Some(y), ..run(text) };
        let raw = RawText { anchor: Anchor::Start, runs: vec![at("slow", 0.0), at("and free", 0.0), at("  ", 300.0), at("again", 600.0)] };
        let words: Vec<String> = lines("dir", &raw).iter().map(TextLine::words).collect();
        assert_eq!(words, ["slowand free", "again"]);
    }

    #[test]
    fn endings_have_a_full_stop() {
        assert_eq!(lines("ending", &RawText { anchor: Anchor::Start, runs: vec![run("1")] })[0].words(), "1.");
    }
}
