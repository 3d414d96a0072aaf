//! Tuplets: the ratio from `time-modification`, the bracket from `tuplet`, or, where there is no bracket, from the lengths.

use super::element::{Element, child, child_text, children};
use super::measure::PlacedNote;
use super::note::{time_modification, type_length};
use music::{Beats, Note, Tuplet, TupletEdge};

/// Two-note tremolos have a time modification too, but are no tuplets.
fn ratio(element: Element) -> Option<(u32, u32)> {
    let tremolo =
        signs(element, "ornaments").flat_map(|o| children(o, "tremolo")).any(|t| matches!(t.attribute("type"), Some("start" | "stop")));
    time_modification(element).filter(|(actual, normal)| !tremolo && actual != normal)
}

fn signs<'a>(element: Element<'a>, name: &'a str) -> impl Iterator<Item = Element<'a>> {
    children(element, "notations").flat_map(move |n| children(n, name))
}

/// Puts the tuplets on one measure's notes; `written` has the source of each note, where it has one.
pub fn put(notes: &mut [Note], written: &[Option<&PlacedNote>]) {
    let sources: Vec<Option<Element>> = written.iter().map(|w| w.map(|p| p.members[0])).collect();
    let mut at = 0;
    while at < notes.len() {
        let Some(source) = sources[at].filter(|s| ratio(*s).is_some()) else {
            at += 1;
            continue;
        };
        let end = bracket_end(&sources, at).unwrap_or_else(|| natural_end(notes, &sources, at, source));
        if end == at && is_plain(notes[at].length) {
            at += 1;
            continue;
        }
        for (i, note) in notes.iter_mut().enumerate().take(end + 1).skip(at) {
            let edge = if i == at && end > at {
                TupletEdge::Start
            } else if i == end {
                TupletEdge::Stop
            } else {
                TupletEdge::Inside
            };
            note.tuplet = sources[i].and_then(ratio).map(|(actual, normal)| Tuplet { actual, normal, edge });
        }
        at = end + 1;
    }
}

/// A length that a note without a tuplet has; a lone note of such a length needs none.
fn is_plain(length: Beats) -> bool {
    length.fraction().1.count_ones() == 1
}

/// The note on which the bracket that starts here stops, nested brackets passed over.
fn bracket_end(sources: &[Option<Element>], from: usize) -> Option<usize> {
    let mut open = 0;
    for (i, source) in sources.iter().enumerate().skip(from) {
        let source = source.filter(|s| ratio(*s).is_some())?;
        let count = |kind: &str| signs(source, "tuplet").filter(|t| t.attribute("type") == Some(kind)).count();
        open += count("start");
        if open == 0 {
            return None;
        }
        open = open.saturating_sub(count("stop"));
        if open == 0 {
            return Some(i);
        }
    }
    None
}

/// Without brackets: where the notes of one ratio fill a whole tuplet, or where they end.
fn natural_end(notes: &[Note], sources: &[Option<Element>], from: usize, first: Element) -> usize {
    let wanted = ratio(first);
    let unit = child(first, "time-modification")
        .and_then(|m| child_text(m, "normal-type"))
        .or_else(|| child_text(first, "type"))
        .and_then(|t| type_length(&t));
    let full = unit.map(|u| u * i64::from(wanted.map_or(1, |(_, normal)| normal)));
    let mut filled = Beats::ZERO;
    let mut end = from;
    for i in from..notes.len() {
        if sources[i].and_then(ratio) != wanted {
            break;
        }
        end = i;
        filled += notes[i].length;
        if full.is_some_and(|f| filled >= f) {
            break;
        }
    }
    end
}
