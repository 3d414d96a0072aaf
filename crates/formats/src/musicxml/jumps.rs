//! Signs that send the player elsewhere: what is drawn, what is said in words, what `sound` says; resolved into the model's jumps.
//!
//! `sound` attributes win over what is drawn in the same direction, and words over signs. A coda sign alone is "to coda" where another follows
//! later, else the coda itself. Segno and coda hold at the start of a measure, the others at its end (MusicXML 4.0, element `sound`).

use super::document::MeasureSource;
use super::element::Element;
use super::remarks::Remarks;
use music::{Beats, Frame, Jump};
use std::collections::BTreeSet;

/// A sign as found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    Sure(Jump),
    DrawnSegno,
    /// Drawn without saying whether it is the coda or the way to it.
    DrawnCoda,
}

/// What the attributes of a `sound` element say.
pub fn signs_in_sound(sound: Element) -> Vec<Sign> {
    let says = |name: &str| sound.attribute(name).is_some_and(|v| !matches!(v.trim(), "no" | ""));
    let names = [
        ("segno", Jump::Segno),
        ("coda", Jump::Coda),
        ("tocoda", Jump::ToCoda),
        ("fine", Jump::Fine),
        ("dacapo", Jump::DaCapo),
        ("dalsegno", Jump::DalSegno),
    ];
    names.into_iter().filter(|(name, _)| says(name)).map(|(_, jump)| Sign::Sure(jump)).collect()
}

/// What words say: "D.C. al Fine", "dal segno", "Fine", "To Coda", "Coda".
pub fn sign_in_words(words: &str) -> Option<Sign> {
    let plain: String = words.to_lowercase().chars().filter(|c| c.is_alphabetic() || *c == ' ').collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    let begins = |heads: &[&str]| heads.iter().any(|h| plain == *h || plain.strip_prefix(h).is_some_and(|rest| rest.starts_with(' ')));
    let jump = if begins(&["dc", "da capo", "d c"]) {
        Jump::DaCapo
    } else if begins(&["ds", "dal segno", "d s"]) {
        Jump::DalSegno
    } else if matches!(plain.as_str(), "fine" | "al fine" | "fin") {
        Jump::Fine
    } else if matches!(plain.as_str(), "to coda" | "al coda") {
        Jump::ToCoda
    } else if plain == "coda" {
        Jump::Coda
    } else {
        return None;
    };
    Some(Sign::Sure(jump))
}

/// A sign in a measure, and where in it.
pub struct PlacedSign {
    pub measure: usize,
    pub at: Beats,
    pub sign: Sign,
}

/// Puts all signs of the piece on their measures.
pub fn put(signs: &[PlacedSign], frames: &mut [Frame]) {
    let says_coda = |s: &&PlacedSign| matches!(s.sign, Sign::Sure(Jump::Coda | Jump::ToCoda));
    let explained: BTreeSet<usize> = signs.iter().filter(says_coda).map(|s| s.measure).collect();
    let coda_is_sure = signs.iter().any(|s| s.sign == Sign::Sure(Jump::Coda));
    let last_coda = signs.iter().rposition(|s| s.sign == Sign::DrawnCoda);
    for (i, placed) in signs.iter().enumerate() {
        let jump = match placed.sign {
            Sign::Sure(jump) => jump,
            Sign::DrawnSegno => Jump::Segno,
            // Words or sound in the same measure already say what the drawn sign means.
            Sign::DrawnCoda if explained.contains(&placed.measure) => continue,
            Sign::DrawnCoda if coda_is_sure => Jump::ToCoda,
            Sign::DrawnCoda if Some(i) == last_coda => Jump::Coda,
            Sign::DrawnCoda => Jump::ToCoda,
        };
        let measure = measure_of(jump, placed, frames);
        if !frames[measure].jumps.contains(&jump) {
            frames[measure].jumps.push(jump);
        }
    }
}

/// Says which jumps have nowhere to go.
pub fn say_missing(frames: &[Frame], sources: &[MeasureSource], remarks: &mut Remarks) {
    let at = |jump| frames.iter().position(|f| f.jumps.contains(&jump));
    if let Some(i) = at(Jump::DalSegno).filter(|_| at(Jump::Segno).is_none()) {
        remarks.warn(sources[i].measure, "dal segno without a segno goes back to the beginning", "");
    }
    if let Some(i) = at(Jump::ToCoda).filter(|_| at(Jump::Coda).is_none()) {
        remarks.warn(sources[i].measure, "a way to a coda that is not there is passed over", "");
    }
}

/// A place written at a measure's end belongs to the next; a jump written at its start, to the one before.
fn measure_of(jump: Jump, placed: &PlacedSign, frames: &[Frame]) -> usize {
    let here = placed.measure;
    let at_end = placed.at >= frames[here].length;
    match jump {
        Jump::Segno | Jump::Coda if at_end && here + 1 < frames.len() => here + 1,
        Jump::ToCoda if placed.at.is_zero() && here > 0 => here - 1,
        _ => here,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice.
    #[test]
    fn words_are_understood() {
        let jump = |w| match sign_in_words(w) {
            Some(Sign::Sure(jump)) => Some(jump),
            _ => None,
        };
        assert_eq!(jump("D.C. al Fine"), Some(Jump::DaCapo));
        assert_eq!(jump("Da Capo"), Some(Jump::DaCapo));
        assert_eq!(jump("D.S. al Coda"), Some(Jump::DalSegno));
        assert_eq!(jump("FINE"), Some(Jump::Fine));
        assert_eq!(jump("To Coda"), Some(Jump::ToCoda));
        assert_eq!(jump("Coda"), Some(Jump::Coda));
        assert_eq!(jump("dolce"), None);
        assert_eq!(jump("dancing"), None);
    }
}
