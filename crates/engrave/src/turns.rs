//! Where a page is best turned: after a measure in which the left hand has plucked its last and the next one gives it time (common practice; Gould, Behind
//! Bars, on page turns).

use crate::source::{child, text};
use roxmltree::Node;

/// For each measure of the first part the quarter notes from the last pluck of its lowest staff to the next one, across the bar line.
pub(crate) fn free_after(root: Node) -> Vec<f64> {
    let Some(part) = child(root, "part") else { return Vec::new() };
    let staves = part.descendants().filter(|n| n.has_tag_name("staves")).filter_map(|n| text(n).parse().ok()).max().unwrap_or(1);
    let mut divisions = 1.0;
    let measures = part.children().filter(|n| n.has_tag_name("measure"));
    let plucked: Vec<Plucked> = measures.map(|measure| plucked(measure, staves, &mut divisions)).collect();
    let until_pluck = |from: usize| {
        let rest = plucked.get(from..).unwrap_or(&[]);
        let bare: f64 = rest.iter().take_while(|p| p.ends.is_none()).map(|p| p.length).sum();
        bare + rest.iter().find_map(|p| p.ends).map_or(0.0, |(first, _)| first)
    };
    let after = |(index, p): (usize, &Plucked)| p.ends.map_or(p.length, |(_, last)| p.length - last) + until_pluck(index + 1);
    plucked.iter().enumerate().map(after).collect()
}

/// A measure in quarter notes: its length, and where its first and last pluck stand.
struct Plucked {
    length: f64,
    ends: Option<(f64, f64)>,
}

fn plucked(measure: Node, staves: u32, divisions: &mut f64) -> Plucked {
    let number = |node: Node, name: &str| child(node, name).map(text).and_then(|t| t.parse::<f64>().ok());
    let (mut now, mut length) = (0.0f64, 0.0f64);
    let mut ends: Option<(f64, f64)> = None;
    for node in measure.children().filter(Node::is_element) {
        let quarters = number(node, "duration").unwrap_or(0.0) / *divisions;
        match node.tag_name().name() {
            "attributes" => *divisions = number(node, "divisions").filter(|d| *d > 0.0).unwrap_or(*divisions),
            "backup" => now -= quarters,
            "forward" => now += quarters,
            "note" => {
                let at = if child(node, "chord").is_some() { None } else { Some(now) };
                if let Some(at) = at.filter(|_| is_pluck(node) && staff(node) == staves) {
                    ends = Some(ends.map_or((at, at), |(first, last)| (first.min(at), last.max(at))));
                }
                now += at.map_or(0.0, |_| quarters);
            }
            _ => {}
        }
        length = length.max(now);
    }
    Plucked { length, ends }
}

fn staff(note: Node) -> u32 {
    child(note, "staff").map(text).and_then(|t| t.parse().ok()).unwrap_or(1)
}

fn is_pluck(note: Node) -> bool {
    let held = note.children().any(|n| n.has_tag_name("tie") && n.attribute("type") == Some("stop"));
    child(note, "rest").is_none() && !held
}

#[cfg(test)]
mod tests {
    use super::*;
    use roxmltree::Document;

    fn note(what: &str, duration: u32, staff: u32) -> String {
        format!("<note>{what}<duration>{duration}</duration><staff>{staff}</staff></note>")
    }

    /// Counted by hand: 4/4 in eighths. The left hand plucks on 1 and 3, then holds a whole note over the bar line, then rests a measure, then plucks on 2.
    #[test]
    fn time_is_counted_across_bar_lines() {
        let pitch = "<pitch><step>C</step><octave>3</octave></pitch>";
        let held = format!("{pitch}<tie type=\"stop\"/>");
        let tune = note(pitch, 8, 1) + "<backup><duration>8</duration></backup>";
        let lefts = [
            note(pitch, 4, 2) + &note(pitch, 4, 2),
            note(pitch, 8, 2),
            note(&held, 8, 2),
            note("<rest/>", 8, 2),
            note("<rest/>", 2, 2) + &note(pitch, 6, 2),
        ];
        let measures: String = lefts.iter().map(|left| format!("<measure>{tune}{left}</measure>")).collect();
        let head = "<measure><attributes><divisions>2</divisions><staves>2</staves></attributes>";
        let score = format!("<score-partwise><part>{}</part></score-partwise>", measures.replacen("<measure>", head, 1));
        let document = Document::parse(&score).expect("a score");
        assert_eq!(free_after(document.root_element()), [2.0, 13.0, 9.0, 5.0, 3.0]);
    }
}
