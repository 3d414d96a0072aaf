//! What is printed around the music of a page of two hands: the lines at its top left, the verses below, and what has a field of its own.

use super::super::element::{Element, child, child_text, children};
use super::super::titles;
use music::Words;

/// Titles and people as for any score, and the verses, origin and kind of tune where the page gives them.
pub fn read(root: Element) -> Words {
    let mut words = titles::read(root);
    words.verses = credit(root, "verses").unwrap_or_default();
    if let Some(subtitles) = credit(root, "subtitle") {
        words.subtitles = subtitles;
    }
    words.origin = field(root, "origin").map(|lines| lines.join(" "));
    words.rhythm = field(root, "rhythm").map(|lines| lines.join(" "));
    words
}

/// Strings needed, tuning, opening setting; a line each.
pub fn preparation(root: Element) -> Vec<String> {
    field(root, "preparation").or_else(|| credit(root, "preparation")).unwrap_or_default()
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
