//! Words under the notes.
//!
//! A line of words is the number in the `number` attribute ("2", "part1verse2"); without a digit there, the place among the note's own
//! lines. Syllables sung on one note (`elision`) are joined by the sign the score gives, else by a blank.

use super::element::{Element, child, children, has, text};
use super::remarks::Remarks;
use music::{Hyphen, Note, Syllable};

/// The most lines of words under the notes.
const MOST_LINES: u32 = 99;

pub fn put(element: Element, note: &mut Note, remarks: &mut Remarks) {
    for (place, lyric) in children(element, "lyric").enumerate() {
        let Some(syllable) = syllable(lyric, place.min(MOST_LINES as usize - 1) as u32 + 1) else {
            if ["laughing", "humming"].iter().any(|n| has(lyric, n)) {
                remarks.note(lyric, "laughing or humming in place of words is left out", "");
            }
            continue;
        };
        match note.syllables.iter().any(|s| s.verse == syllable.verse) {
            true => remarks.warn(lyric, format!("a second syllable in line {} under one note is left out", syllable.verse), ""),
            false => note.syllables.push(syllable),
        }
    }
    note.syllables.sort_by_key(|s| s.verse);
}

fn syllable(lyric: Element, place: u32) -> Option<Syllable> {
    let mut words = String::new();
    for inner in lyric.children().filter(|c| c.is_element()) {
        match inner.tag_name().name() {
            "text" => words.push_str(&text(inner)),
            "elision" => {
                let sign = text(inner);
                words.push_str(if sign.is_empty() { " " } else { &sign });
            }
            _ => {}
        }
    }
    let words = words.trim().to_owned();
    let held = child(lyric, "extend").is_some_and(|e| e.attribute("type") != Some("stop"));
    (!words.is_empty()).then(|| Syllable { verse: verse(lyric, place), text: words, hyphen: hyphen(lyric), held })
}

fn verse(lyric: Element, place: u32) -> u32 {
    let number = lyric.attribute("number").unwrap_or("");
    let last_digits = number.rsplit(|c: char| !c.is_ascii_digit()).find(|d| !d.is_empty());
    last_digits.and_then(|d| d.parse().ok()).filter(|n| (1..=MOST_LINES).contains(n)).unwrap_or(place)
}

/// With several syllables on one note, the first says whether the word began before and the last whether it goes on.
fn hyphen(lyric: Element) -> Hyphen {
    let all: Vec<String> = children(lyric, "syllabic").map(text).collect();
    let continued = all.first().is_some_and(|s| s == "middle" || s == "end");
    let goes_on = all.last().is_some_and(|s| s == "begin" || s == "middle");
    match (continued, goes_on) {
        (false, false) => Hyphen::Single,
        (false, true) => Hyphen::Begin,
        (true, true) => Hyphen::Middle,
        (true, false) => Hyphen::End,
    }
}
