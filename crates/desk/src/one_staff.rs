//! A page with less on it: the upper staff alone, for a tune that has no left hand yet; no metronome mark, for a few measures of one.

use roxmltree::{Document, Node};
use std::ops::Range;

/// Whether the tempo stands in the tune; one that was only assumed for it is not drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tempo {
    Written,
    Assumed,
}

/// A score of two staves as MusicXML, without the lower one. A text that is no such score comes back as it is.
pub fn upper(musicxml: &str, tempo: Tempo) -> String {
    without(musicxml, &|node| is_lower(node) || tempo == Tempo::Assumed && is_metronome(node))
}

/// A score without its metronome marks.
pub fn without_metronome(musicxml: &str) -> String {
    without(musicxml, &is_metronome)
}

/// A score without its meters.
pub fn without_meter(musicxml: &str) -> String {
    without(musicxml, &|node| node.has_tag_name("time"))
}

fn without(musicxml: &str, unwanted: &dyn Fn(Node) -> bool) -> String {
    let Ok(document) = Document::parse(musicxml) else { return musicxml.to_owned() };
    let mut gone = Vec::new();
    left_out(document.root_element(), unwanted, &mut gone);
    let ends = gone.iter().map(|r| r.end);
    let starts = gone.iter().map(|r| r.start).chain([musicxml.len()]);
    std::iter::once(0).chain(ends).zip(starts).map(|(from, to)| &musicxml[from..to]).collect()
}

/// The places in the text of what is left out, in order.
fn left_out(node: Node, unwanted: &dyn Fn(Node) -> bool, gone: &mut Vec<Range<usize>>) {
    if unwanted(node) {
        gone.push(node.range());
    } else {
        node.children().filter(Node::is_element).for_each(|child| left_out(child, unwanted, gone));
    }
}

/// What belongs to the lower staff or only tells the two apart.
fn is_lower(node: Node) -> bool {
    let staff = || node.children().find(|c| c.has_tag_name("staff")).and_then(|s| s.text());
    match node.tag_name().name() {
        "staves" | "backup" | "staff" | "part-symbol" => true,
        "clef" | "key" | "time" => node.attribute("number") == Some("2"),
        _ => staff() == Some("2"),
    }
}

/// A metronome mark, or a direction that has nothing else.
fn is_metronome(node: Node) -> bool {
    let marks = |node: Node| node.children().any(|c| c.has_tag_name("metronome"));
    match node.tag_name().name() {
        "direction" => node.children().filter(|c| c.has_tag_name("direction-type")).all(marks),
        "direction-type" => marks(node),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lower_staff_goes_with_all_that_is_its_own() {
        let two = "<score-partwise><part id=\"P1\"><measure id=\"m0\"><attributes><staves>2</staves><clef number=\"1\"/><clef number=\"2\"/></attributes>\
            <direction><direction-type><metronome/></direction-type></direction><note id=\"a\"><staff>1</staff><lyric>&amp;</lyric></note><backup/><note id=\"b\"><staff>2</staff></note></measure></part></score-partwise>";
        let one = upper(two, Tempo::Assumed);
        assert!(upper(two, Tempo::Written).contains("<metronome/>"));
        assert!(one.ends_with("<measure id=\"m0\"><attributes><clef number=\"1\"/></attributes><note id=\"a\"><lyric>&amp;</lyric></note></measure></part></score-partwise>"), "{one}");
    }
}
