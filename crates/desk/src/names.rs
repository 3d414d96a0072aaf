//! File names from titles: safe on every system, readable, each used once in a run.

use std::collections::BTreeSet;

/// The longest name in characters and in bytes, endings like `-12.musicxml` not counted; file systems take 255 bytes.
const MOST_CHARACTERS: usize = 80;
const MOST_BYTES: usize = 200;

/// The names given out so far.
#[derive(Default)]
pub struct Names {
    used: BTreeSet<String>,
}

impl Names {
    /// A file name for a title, without an ending; a second tune of the same name gets " 2" behind it.
    pub fn unused(&mut self, title: &str) -> String {
        let plain = safe(title);
        let candidates = std::iter::once(plain.clone()).chain((2..).map(|n| format!("{plain} {n}")));
        let mut free = candidates.filter(|name| self.used.insert(name.to_lowercase()));
        free.next().unwrap_or(plain)
    }
}

/// A title as a file name: no path separators, no control characters, no signs that some system forbids, not too long, never empty.
pub fn safe(title: &str) -> String {
    let letters = title.chars().filter(|c| !is_unseen(*c)).map(|c| if c.is_control() || "/\\:*?\"<>|".contains(c) { ' ' } else { c });
    let one_line: String = letters.collect();
    let words = one_line.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut name = String::new();
    for letter in words.trim_start_matches(['.', '-', ' ']).chars().take(MOST_CHARACTERS) {
        if name.len() + letter.len_utf8() > MOST_BYTES {
            break;
        }
        name.push(letter);
    }
    let name = name.trim_end_matches(['.', ' ']);
    if name.is_empty() || is_device(name) { format!("tune {name}").trim_end().to_owned() } else { name.to_owned() }
}

/// Marks that change how a name looks without being seen: zero width, direction marks.
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// Names that are devices on some systems, whatever their ending.
fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().trim().to_uppercase();
    let numbered = stem.strip_prefix("COM").or_else(|| stem.strip_prefix("LPT"));
    ["CON", "PRN", "AUX", "NUL"].contains(&stem.as_str()) || numbered.is_some_and(|n| n.len() == 1 && n.chars().all(|c| c.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_become_safe_names() {
        assert_eq!(safe("The Ferry Reel"), "The Ferry Reel");
        assert_eq!(safe("../../harbour/light: \"two\"?"), "harbour light two");
        assert_eq!(safe("Aisling Gheal – Ò hì\u{202e}"), "Aisling Gheal – Ò hì");
        assert_eq!(safe("one\ntwo\u{7}"), "one two");
        assert_eq!(safe("..."), "tune");
        assert_eq!(safe("Nul.a"), "tune Nul.a");
        assert_eq!(safe(&"ä".repeat(300)).chars().count(), MOST_CHARACTERS);
        assert!(safe(&"𝄞".repeat(300)).len() <= MOST_BYTES);
    }

    #[test]
    fn a_name_is_used_once() {
        let mut names = Names::default();
        let given: Vec<String> = ["Tide", "tide", "Tide"].iter().map(|t| names.unused(t)).collect();
        assert_eq!(given, ["Tide", "tide 2", "Tide 3"]);
    }
}
