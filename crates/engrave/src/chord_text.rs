//! The text of a chord symbol in MusicXML: root, kind, degrees, bass, with real accidentals.

use crate::source::{child, text};
use roxmltree::Node;

/// How the symbol is printed: `F♯m7♭5/C`. An unknown kind prints nothing beside the root.
pub(crate) fn chord_text(harmony: Node) -> String {
    let kind = child(harmony, "kind");
    let word = kind.map(text).unwrap_or_default();
    let said = kind.and_then(|k| k.attribute("text"));
    if word == "none" {
        return said.filter(|t| !t.is_empty()).unwrap_or("N.C.").to_owned();
    }
    let root = child(harmony, "root").map(|r| name(r, "root")).or_else(|| child(harmony, "numeral").map(|n| name(n, "numeral")));
    let mut out = root.unwrap_or_default();
    out += &signs(said.unwrap_or_else(|| suffix(&word)));
    out += &degrees(harmony);
    if let Some(bass) = child(harmony, "bass") {
        out += "/";
        out += &name(bass, "bass");
    }
    out
}

fn name(node: Node, what: &str) -> String {
    let step = child(node, &format!("{what}-step")).or_else(|| child(node, "numeral-root"));
    let step = step.map(|s| s.attribute("text").map_or_else(|| text(s), str::to_owned)).unwrap_or_default();
    let alter = child(node, &format!("{what}-alter")).map(text).unwrap_or_default();
    step + accidental(&alter)
}

fn accidental(alter: &str) -> &'static str {
    match alter.trim() {
        "-2" => "𝄫",
        "-1" => "♭",
        "1" => "♯",
        "2" => "𝄪",
        _ => "",
    }
}

/// `b` and `#` before a figure are accidentals: `m7b5` is printed `m7♭5`.
fn signs(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let sign = |(i, &c): (usize, &char)| match (c, letters.get(i + 1)) {
        ('b', Some(next)) if next.is_ascii_digit() => '♭',
        ('#', Some(next)) if next.is_ascii_digit() => '♯',
        _ => c,
    };
    letters.iter().enumerate().map(sign).collect()
}

/// The usual letters for a kind (MusicXML 4.0, `kind-value`).
fn suffix(kind: &str) -> &'static str {
    match kind {
        "minor" => "m",
        "augmented" => "+",
        "diminished" => "dim",
        "dominant" => "7",
        "major-seventh" => "maj7",
        "minor-seventh" => "m7",
        "diminished-seventh" => "dim7",
        "augmented-seventh" => "+7",
        "half-diminished" => "m7b5",
        "major-minor" => "m(maj7)",
        "major-sixth" => "6",
        "minor-sixth" => "m6",
        "dominant-ninth" => "9",
        "major-ninth" => "maj9",
        "minor-ninth" => "m9",
        "dominant-11th" => "11",
        "major-11th" => "maj11",
        "minor-11th" => "m11",
        "dominant-13th" => "13",
        "major-13th" => "maj13",
        "minor-13th" => "m13",
        "suspended-second" => "sus2",
        "suspended-fourth" => "sus4",
        "power" => "5",
        "pedal" => "ped",
        _ => "",
    }
}

/// Added, altered and left-out tones; several, or one with an accidental, stand in brackets.
fn degrees(harmony: Node) -> String {
    let shown = harmony.children().filter(|n| n.has_tag_name("degree") && n.attribute("print-object") != Some("no"));
    let words: Vec<String> = shown.map(degree).collect();
    match words.as_slice() {
        [] => String::new(),
        [one] if one.starts_with("add") || one.starts_with("no") => one.clone(),
        _ => format!("({})", words.join(",")),
    }
}

fn degree(node: Node) -> String {
    let value = child(node, "degree-value").map(text).unwrap_or_default();
    let alter = child(node, "degree-alter").map(text).unwrap_or_default();
    let kind = child(node, "degree-type");
    let said = kind.and_then(|k| k.attribute("text")).map(str::to_owned);
    let word = said.unwrap_or_else(|| match (kind.map(text).as_deref(), accidental(&alter)) {
        (Some("subtract"), _) => "no".to_owned(),
        (Some("add"), "") => "add".to_owned(),
        _ => String::new(),
    });
    word + accidental(&alter) + &value
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Check values: the kinds of MusicXML 4.0 and common practice on lead sheets.
    fn check(inside: &str, expected: &str) {
        let xml = format!("<harmony>{inside}</harmony>");
        let document = roxmltree::Document::parse(&xml).expect("the test's XML");
        assert_eq!(chord_text(document.root_element()), expected);
    }

    #[test]
    fn roots_kinds_and_basses() {
        check("<root><root-step>E</root-step><root-alter>-1</root-alter></root><kind>major</kind>", "E♭");
        check("<root><root-step>F</root-step><root-alter>1</root-alter></root><kind text='m7b5'>half-diminished</kind>", "F♯m7♭5");
        check(
            "<root><root-step>C</root-step></root><kind>major-seventh</kind><bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>",
            "Cmaj7/B♭",
        );
        check("<root><root-step>B</root-step></root><kind text='b'>other</kind>", "Bb");
    }

    #[test]
    fn no_chord() {
        check("<root><root-step text=''>C</root-step></root><kind text='N.C.'>none</kind>", "N.C.");
        check("<kind>none</kind>", "N.C.");
    }

    #[test]
    fn degrees_stand_in_brackets_when_altered() {
        let degree = |value: u8, alter: i8, kind: &str| {
            format!(
                "<degree><degree-value>{value}</degree-value><degree-alter>{alter}</degree-alter><degree-type>{kind}</degree-type></degree>"
            )
        };
        let root = "<root><root-step>D</root-step></root>";
        check(&format!("{root}<kind>dominant</kind>{}", degree(9, -1, "add")), "D7(♭9)");
        check(&format!("{root}<kind>major</kind>{}", degree(9, 0, "add")), "Dadd9");
        check(&format!("{root}<kind>dominant</kind>{}{}", degree(5, 1, "alter"), degree(9, -1, "add")), "D7(♯5,♭9)");
        check(&format!("{root}<kind>major</kind>{}", degree(3, 0, "subtract")), "Dno3");
    }
}
