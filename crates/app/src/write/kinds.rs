//! The kinds of file that can be written.

use crate::failure::Failure;

/// What is to be written; nothing by default.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Kinds {
    pub pdf: bool,
    pub svg: bool,
    pub png: bool,
    pub musicxml: bool,
    pub midi: bool,
    pub json: bool,
    pub wav: bool,
    /// Plain text, for a voice that reads or a braille display.
    pub text: bool,
    /// A lesson for the ear.
    pub lesson: bool,
}

impl Kinds {
    /// From the words on the command line.
    pub fn read(words: &[String]) -> Result<Kinds, Failure> {
        let mut kinds = Kinds::default();
        for word in words {
            match word.trim().to_lowercase().as_str() {
                "pdf" => kinds.pdf = true,
                "svg" => kinds.svg = true,
                "png" => kinds.png = true,
                "musicxml" => kinds.musicxml = true,
                "midi" | "mid" => kinds.midi = true,
                "json" => kinds.json = true,
                "wav" => kinds.wav = true,
                "text" | "txt" => kinds.text = true,
                "lesson" => kinds.lesson = true,
                other => {
                    return Err(Failure::wrong(format!(
                        "\"{other}\" cannot be written: expected pdf, svg, png, musicxml, midi, wav, json, text or lesson, with commas between"
                    )));
                }
            }
        }
        Ok(kinds)
    }

    /// From the words on the command line, where only some kinds can be written.
    pub fn of(words: &[String], some: &[&str]) -> Result<Kinds, Failure> {
        let unknown = words.iter().find(|w| !some.contains(&w.trim().to_lowercase().as_str()));
        match unknown {
            Some(other) => {
                let (last, others) = some.split_last().unwrap_or((&"", &[]));
                let others = others.join(", ");
                Err(Failure::wrong(format!(
                    "\"{}\" cannot be written here: expected {others} or {last}, with commas between",
                    other.trim()
                )))
            }
            None => Kinds::read(words),
        }
    }

    /// Whether pages are to be drawn.
    pub fn pages(self) -> bool {
        self.pdf || self.svg || self.png
    }
}
