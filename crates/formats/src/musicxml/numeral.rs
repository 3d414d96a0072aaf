//! Chords named by their place in the key: `numeral` (1 to 7) and `function` (I to VII).
//!
//! MusicXML 4.0, `numeral-mode`: natural minor unless said otherwise; harmonic minor raises 7, melodic minor 6 and 7.

use super::element::{Element, child, child_text, child_whole, text};
use music::{Key, Mode, PitchName, Step};

/// The root that a `numeral` or `function` element means in a key.
pub fn root(element: Element, key: &Key) -> Option<PitchName> {
    if element.has_tag_name("function") {
        let (degree, alter) = roman(&text(element))?;
        return Some(degree_of(key, degree, alter));
    }
    let degree = child_whole(element, "numeral-root").filter(|d| (1..=7).contains(d))? as i32;
    let alter = child_whole(element, "numeral-alter").unwrap_or(0).clamp(-2, 2) as i32;
    match child(element, "numeral-key") {
        Some(own) => {
            let (key, raised) = own_key(own, degree)?;
            Some(degree_of(&key, degree, alter + raised))
        }
        None => Some(degree_of(key, degree, alter)),
    }
}

/// The key on a chord's root, in which a secondary function is heard.
pub fn key_on(root: PitchName, mode: Mode) -> Key {
    Key::of(root, mode)
}

fn own_key(element: Element, degree: i32) -> Option<(Key, i32)> {
    let fifths = child_whole(element, "numeral-fifths").filter(|f| f.abs() <= 14)? as i32;
    let mode = child_text(element, "numeral-mode").unwrap_or_default();
    let raised = match mode.as_str() {
        "harmonic minor" => degree == 7,
        "melodic minor" => degree >= 6,
        _ => false,
    };
    let mode = if mode.ends_with("minor") { Mode::Minor } else { Mode::Major };
    Some((Key::new(fifths, mode), i32::from(raised)))
}

fn degree_of(key: &Key, degree: i32, alter: i32) -> PitchName {
    let step = Step::from_index(key.tonic().step.index() + degree - 1);
    PitchName::new(step, key.alter(step) + alter)
}

/// A Roman numeral at the head of a function's text, in either case, with `b` or `#` before it.
fn roman(text: &str) -> Option<(i32, i32)> {
    let numeral = text.trim().trim_start_matches(['b', '#', '♭', '♯']);
    let signs = &text.trim()[..text.trim().len() - numeral.len()];
    let alter = signs.chars().map(|c| if matches!(c, '#' | '♯') { 1 } else { -1 }).sum::<i32>();
    let upper = numeral.to_uppercase();
    let longest_first = [("VII", 7), ("III", 3), ("VI", 6), ("IV", 4), ("II", 2), ("V", 5), ("I", 1)];
    let degree = longest_first.into_iter().find(|(name, _)| upper.starts_with(name))?.1;
    (alter.abs() <= 2).then_some((degree, alter))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice.
    #[test]
    fn roman_numerals() {
        assert_eq!(
            ["I", "ii", "bVII", "V7", "#iv", "vi", "x"].map(roman),
            [Some((1, 0)), Some((2, 0)), Some((7, -1)), Some((5, 0)), Some((4, 1)), Some((6, 0)), None]
        );
    }

    /// Common practice: the seventh degree of A minor is G, of A harmonic minor G-sharp (MusicXML 4.0, `numeral-mode`).
    #[test]
    fn degrees_of_a_key() {
        let minor = Key::new(0, Mode::Minor);
        assert_eq!(degree_of(&minor, 7, 0).to_string(), "G");
        assert_eq!(degree_of(&minor, 7, 1).to_string(), "G#");
        assert_eq!(degree_of(&Key::new(-3, Mode::Major), 2, -1).to_string(), "Fb");
    }
}
