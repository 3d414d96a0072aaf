//! What is printed around the music of a page of two hands: the lines at its top left, verses and signs below, and what has a field of its own.

use super::super::element::{Element, child, child_text, children};
use super::super::titles;
use super::super::write::header::{LEVERS_DOWN, LEVERS_UP};
use music::{Lever, LeverString, Pitch, Preparation, Setting, Words};

/// Titles and people as for any score, and the verses, origin and kind of tune where the page gives them.
pub fn read(root: Element) -> Words {
    let mut words = titles::read(root);
    words.verses = credit(root, "verses").unwrap_or_default();
    words.signs = credit(root, "signs").unwrap_or_default();
    if let Some(subtitles) = credit(root, "subtitle") {
        words.subtitles = subtitles;
    }
    words.origin = field(root, "origin").map(|lines| lines.join(" "));
    words.rhythm = field(root, "rhythm").map(|lines| lines.join(" "));
    words
}

/// Strings needed and tuning, and how the levers stand. The words of the credit are read only where no field says it better; how pedals stand is told at the
/// first note.
pub fn preparation(root: Element) -> Preparation {
    let setting = levers(root);
    let said = || if setting.is_none() { credit(root, "preparation") } else { None };
    Preparation { lines: field(root, "preparation").or_else(said).unwrap_or_default(), setting }
}

/// `None` unless every name is a string and no string is named twice.
fn levers(root: Element) -> Option<Setting> {
    let names = |name: &str| field(root, name).map(|lines| lines.join(" "));
    let (up, down) = (names(LEVERS_UP), names(LEVERS_DOWN));
    if up.is_none() && down.is_none() {
        return None;
    }
    let mut strings: Vec<LeverString> = Vec::new();
    for (text, lever) in [(up, Lever::Up), (down, Lever::Down)] {
        for name in text.unwrap_or_default().split_whitespace() {
            strings.push(LeverString { sounds: Pitch::parse(name)?, lever });
        }
    }
    strings.sort_by_key(|s| s.sounds.position());
    let alone = strings.windows(2).all(|pair| pair[0].sounds.position() < pair[1].sounds.position());
    alone.then_some(Setting::Levers(strings))
}

fn credit(root: Element, kind: &str) -> Option<Vec<String>> {
    let found = children(root, "credit").find(|c| child_text(*c, "credit-type").as_deref() == Some(kind))?;
    child(found, "credit-words").map(lines)
}

fn field(root: Element, name: &str) -> Option<Vec<String>> {
    let fields = child(root, "identification").and_then(|i| child(i, "miscellaneous"))?;
    let field = children(fields, "miscellaneous-field").find(|f| f.attribute("name") == Some(name))?;
    Some(lines(field))
}

/// The element's text line by line.
fn lines(element: Element) -> Vec<String> {
    let whole: String = element.children().filter_map(|c| if c.is_text() { c.text() } else { None }).collect();
    whole.trim().lines().map(|l| l.trim().to_owned()).collect()
}
