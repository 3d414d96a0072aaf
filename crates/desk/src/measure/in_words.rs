//! A measure told in plain words, to be read aloud: its chords and figures, then beat by beat what each hand plucks, and how the harp stands.

use super::{Moment, Touch};
use crate::report::phrases::spaced;
use arrange::Decision;
use harp::Mechanism;
use music::{Beats, Meter, ScoreMeasure};

/// The whole measure. `hands` has the moments in their order, `levers` what does not stand as tuned, of a harp with this mechanism.
pub fn in_words(measure: &ScoreMeasure, decisions: &[&Decision], hands: &[Moment], (mechanism, levers): (&Mechanism, &[String])) -> String {
    let number = measure.frame.number;
    let mut text = number.at_the_start();
    let chords: Vec<String> = decisions.iter().filter(|d| !d.chord.is_empty()).map(|d| music::as_read(&d.chord)).collect();
    if !chords.is_empty() {
        text += &format!(", {}", chords.join(" then "));
    }
    let figures: Vec<String> = decisions.iter().map(|d| spaced(&d.figure)).collect();
    text += &format!(". Left hand: {}.", figures.join(", then "));
    for moment in hands {
        text += &format!(" {}:", place(&measure.frame.meter, counted(measure, moment.place)));
        let touched = [("left", &moment.left), ("right", &moment.right)].into_iter().filter(|(_, touches)| !touches.is_empty());
        let hands: Vec<String> = touched.map(|(name, touches)| format!(" {name} {}", strings(touches))).collect();
        text += &format!("{}.", hands.join(","));
    }
    match (mechanism, levers) {
        (Mechanism::Levers(letters), []) if letters.is_empty() => {}
        (Mechanism::Levers(_), []) => text += " All levers are down.",
        (Mechanism::Levers(_), some) => text += &format!(" Levers up: {}.", some.join(", ")),
        (Mechanism::Pedals { .. }, some) => text += &format!(" Pedals: {}.", some.join(", ")),
    }
    signs_in_words(&text)
}

/// Not every voice that reads a page aloud knows the signs of music.
fn signs_in_words(text: &str) -> String {
    let mut words = String::new();
    for (place, letter) in text.char_indices() {
        let Some(word) = [('♯', " sharp"), ('♭', " flat"), ('♮', " natural")].into_iter().find(|(sign, _)| *sign == letter) else {
            words.push(letter);
            continue;
        };
        words += word.1;
        let rest = &text[place + letter.len_utf8()..];
        words += if rest.starts_with(|c: char| c.is_ascii_digit()) { " " } else { "" };
    }
    words
}

fn strings(touches: &[Touch]) -> String {
    let touch = |t: &Touch| match (t.finger, &t.cannot) {
        (_, Some(why)) => format!("{} (cannot be played on this harp: {why})", t.pitch),
        (Some(finger), None) => format!("{} finger {finger}", t.pitch),
        (None, None) => t.pitch.clone(),
    };
    touches.iter().map(touch).collect::<Vec<_>>().join(" and ")
}

/// A pickup is counted as the end of the measure before.
fn counted(measure: &ScoreMeasure, at: Beats) -> Beats {
    let frame = &measure.frame;
    let missing = frame.meter.length() - frame.length;
    if frame.number.count == 0 && missing > Beats::ZERO { missing + at } else { at }
}

/// A place in a measure as musicians say it: the beat, and within it the half, the note value, or the place in a triplet and the like.
pub fn place(meter: &Meter, at: Beats) -> String {
    let beat = meter.beat();
    let number = at.div_floor(beat);
    let within = at - beat * number;
    let (above, below) = share(within, beat);
    let value = note_value(beat, below);
    let number = number + 1;
    match (ordinal(above + 1), value, below) {
        _ if above == 0 => format!("Beat {number}"),
        (_, _, 2) => format!("Beat {number} and a half"),
        (Some(nth), Some(value), _) => format!("Beat {number}, {nth} {value}"),
        (Some(nth), None, 3) => format!("Beat {number}, {nth} of the triplet"),
        (Some(nth), None, 5..=12) => format!("Beat {number}, {nth} of {below}"),
        _ => format!("After beat {number}"),
    }
}

/// A length as a share of another, in lowest terms.
fn share(part: Beats, whole: Beats) -> (i64, i64) {
    let ((a, b), (c, d)) = (part.fraction(), whole.fraction());
    let (above, below) = (a * d, b * c);
    let common = common(above, below);
    (above / common, below / common)
}

/// The greatest common divisor (Euclid's way); of zero and a number it is the number.
fn common(a: i64, b: i64) -> i64 {
    if b == 0 { a.max(1) } else { common(b, a % b) }
}

/// The name of the note that a beat holds so many of.
fn note_value(beat: Beats, of: i64) -> Option<&'static str> {
    let names = [(2, "half"), (4, "quarter"), (8, "eighth"), (16, "sixteenth"), (32, "thirty-second"), (64, "sixty-fourth")];
    let note = beat.scaled(1, of)?;
    names.into_iter().find(|(n, _)| Beats::whole(1, *n) == Some(note)).map(|(_, name)| name)
}

fn ordinal(number: i64) -> Option<&'static str> {
    let words = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth"];
    words.get(usize::try_from(number).ok()?.checked_sub(1)?).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Places as fractions of a whole note.
    fn said(meter: (u32, u32), places: &[(i64, i64)]) -> Vec<String> {
        let meter = Meter::simple(meter.0, meter.1);
        places.iter().map(|(above, below)| place(&meter, Beats::whole(*above, *below).expect("a place"))).collect()
    }

    /// Common practice: quarters are counted in simple meters, dotted quarters in compound ones.
    #[test]
    fn beats_as_musicians_say_them() {
        assert_eq!(
            said((4, 4), &[(0, 1), (1, 4), (3, 8), (5, 16), (7, 16)]),
            ["Beat 1", "Beat 2", "Beat 2 and a half", "Beat 2, second sixteenth", "Beat 2, fourth sixteenth"]
        );
        assert_eq!(said((3, 4), &[(1, 2), (5, 8)]), ["Beat 3", "Beat 3 and a half"]);
        assert_eq!(
            said((6, 8), &[(1, 8), (1, 4), (3, 8), (7, 16)]),
            ["Beat 1, second eighth", "Beat 1, third eighth", "Beat 2", "Beat 2, second sixteenth"]
        );
        assert_eq!(said((9, 8), &[(1, 1), (3, 4)]), ["Beat 3, third eighth", "Beat 3"]);
        assert_eq!(said((2, 2), &[(1, 4), (5, 8)]), ["Beat 1 and a half", "Beat 2, second eighth"]);
    }

    #[test]
    fn signs_for_the_ear() {
        assert_eq!(signs_in_words("left F♯4 finger 2. Pedals: B♭, E♮."), "left F sharp 4 finger 2. Pedals: B flat, E natural.");
    }

    /// Tuplets: a triplet and a quintuplet on a quarter, a duplet on a dotted quarter.
    #[test]
    fn tuplets() {
        assert_eq!(
            said((4, 4), &[(1, 12), (1, 6), (1, 20), (3, 8)]),
            ["Beat 1, second of the triplet", "Beat 1, third of the triplet", "Beat 1, second of 5", "Beat 2 and a half"]
        );
        assert_eq!(said((6, 8), &[(3, 16)]), ["Beat 1 and a half"]);
        assert_eq!(said((4, 4), &[(1, 76)]), ["After beat 1"]);
    }
}
