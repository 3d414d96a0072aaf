//! Title, people and rights from the head of the score.
//!
//! The movement is the piece itself and the work what it belongs to; a score with only one of them has that as its title. Without either, the
//! credit marked as title, else the largest words on the first page.

use super::element::{Element, child, child_text, children, decimal, text};
use music::Words;

pub fn read(root: Element) -> Words {
    let work = child(root, "work").and_then(|w| child_text(w, "work-title"));
    let movement = child_text(root, "movement-title");
    let mut words = Words::default();
    match (work, movement) {
        (Some(work), Some(movement)) if work != movement => {
            words.title = movement;
            words.subtitles.push(work);
        }
        (work, movement) => words.title = work.or(movement).or_else(|| credit_title(root)).unwrap_or_default(),
    }
    words.subtitles.extend(credits_of(root, "subtitle"));
    if let Some(identification) = child(root, "identification") {
        people(identification, &mut words);
    }
    words.composer = words.composer.or_else(|| credits_of(root, "composer").into_iter().next());
    words.lyricist = words.lyricist.or_else(|| credits_of(root, "lyricist").into_iter().next());
    words
}

fn people(identification: Element, words: &mut Words) {
    for creator in children(identification, "creator") {
        let name = text(creator);
        if name.is_empty() {
            continue;
        }
        match creator.attribute("type").map(str::to_lowercase).as_deref() {
            Some("composer") => add(&mut words.composer, name),
            Some("lyricist" | "poet" | "translator") => add(&mut words.lyricist, name),
            Some("arranger") if says_what_was_done(&name) => words.subtitles.push(name),
            Some("arranger") => words.subtitles.push(format!("arranged by {name}")),
            None if words.composer.is_none() => words.composer = Some(name),
            _ => {}
        }
    }
    let rights: Vec<String> = children(identification, "rights").map(text).filter(|t| !t.is_empty()).collect();
    words.rights = (!rights.is_empty()).then(|| rights.join("; "));
    words.source = child_text(identification, "source");
}

/// "arr. …", "Transcribed by …": no word needs to go before.
fn says_what_was_done(name: &str) -> bool {
    let name = name.to_lowercase();
    name.starts_with("arr") || name.contains(" by ")
}

fn add(names: &mut Option<String>, name: String) {
    match names {
        Some(before) => before.extend([", ", &name]),
        None => *names = Some(name),
    }
}

fn credits_of(root: Element, kind: &str) -> Vec<String> {
    let of_kind = children(root, "credit").filter(|c| child_text(*c, "credit-type").as_deref() == Some(kind));
    of_kind.filter_map(|c| child_text(c, "credit-words")).collect()
}

/// The credit that says it is the title, else the largest on the first page.
fn credit_title(root: Element) -> Option<String> {
    if let Some(title) = credits_of(root, "title").into_iter().next() {
        return Some(title);
    }
    let first_page = children(root, "credit").filter(|c| matches!(c.attribute("page"), None | Some("1")));
    let mut best: Option<(i64, String)> = None;
    for words in first_page.filter_map(|c| child(c, "credit-words")) {
        let size = words.attribute("font-size").and_then(decimal).map_or(0, |(n, d)| n.saturating_mul(1000) / d);
        let title = text(words);
        if !title.is_empty() && best.as_ref().is_none_or(|(largest, _)| size > *largest) {
            best = Some((size, title));
        }
    }
    best.map(|(_, title)| title)
}
