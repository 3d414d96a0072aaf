//! Everything that stands above, between or below the staves at a place: tempo, words, signs, dynamics, marks for the harp.

use super::harmony;
use super::harp_marks::{self, Bracketed};
use super::value::Value;
use super::xml::Xml;
use music::{Beats, Frame, Hand, Jump, PlacedChord, PlacedMark, Score, Setting, Tempo};
use std::fmt::Display;

/// The sign over or under a note that cannot be played on this harp; the foot of the page says what it means.
pub const CANNOT: &str = "×";

/// Something printed at a place of a measure.
pub enum Sign<'a> {
    Tempo {
        tempo: Tempo,
        words: Option<&'a str>,
    },
    Heading(&'a str),
    Section(&'a str),
    Words(&'a str),
    Segno,
    Coda,
    /// Words that send the player elsewhere, and the attribute that says so to a machine.
    Jump(&'static str, (&'static str, &'static str)),
    Dynamic(&'a str),
    /// A mark for the harp.
    Mark(&'a PlacedMark),
    /// How the pedals stand before the first note.
    Opening(&'a [i32; 7]),
    Bracket(Bracketed),
    Chord(&'a PlacedChord),
}

pub struct Placed<'a> {
    pub at: Beats,
    pub sign: Sign<'a>,
}

/// Where a sign stands: the upper staff and the lower one have their signs outside the system, the space between them is the player's.
#[derive(Clone, Copy)]
pub struct Spot {
    pub hand: Hand,
    /// Divisions after the place reached.
    pub offset: i64,
}

/// The signs that are written on one hand's staff in one measure, in order of place. What belongs to no hand goes with the right, on the upper
/// staff, but for marks for the harp, which then stand below the lower one. `brackets` are those of the hand in this measure.
pub fn signs<'a>(score: &'a Score, index: usize, hand: Hand, brackets: &[(Beats, Bracketed)]) -> Vec<Placed<'a>> {
    let measure = &score.measures[index];
    let mut signs = match hand {
        Hand::Right => above(score, index),
        Hand::Left => opening(score).into_iter().filter(|_| index == 0).collect(),
    };
    signs.extend(harp_marks::of_staff(measure, hand));
    signs.extend(brackets.iter().map(|(at, bracket)| Placed { at: *at, sign: Sign::Bracket(*bracket) }));
    for note in measure.hand(hand) {
        if note.is_plucked() && !note.unplayable.is_empty() {
            signs.push(Placed { at: note.at, sign: Sign::Words(CANNOT) });
        }
        for decoration in &note.decorations {
            if let music::Decoration::Dynamic(name) = decoration {
                signs.push(Placed { at: note.at, sign: Sign::Dynamic(name) });
            }
        }
    }
    signs.sort_by_key(|s| s.at);
    signs
}

fn opening(score: &Score) -> Option<Placed<'_>> {
    match &score.preparation.setting {
        Some(Setting::Pedals(alters)) => Some(Placed { at: Beats::ZERO, sign: Sign::Opening(alters) }),
        _ => None,
    }
}

fn above<'a>(score: &'a Score, index: usize) -> Vec<Placed<'a>> {
    let measure = &score.measures[index];
    let frame = &measure.frame;
    let mut signs = Vec::new();
    let mut put = |at, sign| signs.push(Placed { at, sign });
    if index == 0 {
        put(Beats::ZERO, Sign::Tempo { tempo: score.tempo, words: score.words.tempo_words.as_deref() });
    }
    measure.heading.iter().for_each(|h| put(Beats::ZERO, Sign::Heading(h)));
    frame.section.iter().for_each(|s| put(Beats::ZERO, Sign::Section(s)));
    for (at, tempo) in frame.tempos.iter().filter(|(at, tempo)| index > 0 || !at.is_zero() || *tempo != score.tempo) {
        put(*at, Sign::Tempo { tempo: *tempo, words: None });
    }
    for jump in &frame.jumps {
        let (at, sign) = jump_sign(*jump, frame, score);
        put(at, sign);
    }
    frame.words.iter().for_each(|(at, words)| put(*at, Sign::Words(words)));
    frame.chords.iter().for_each(|c| put(c.at, Sign::Chord(c)));
    signs
}

fn jump_sign<'a>(jump: Jump, frame: &Frame, score: &Score) -> (Beats, Sign<'a>) {
    let has = |jump| score.measures.iter().any(|m| m.frame.jumps.contains(&jump));
    let (end, start) = (frame.length, Beats::ZERO);
    match jump {
        Jump::Segno => (start, Sign::Segno),
        Jump::Coda => (start, Sign::Coda),
        Jump::ToCoda => (end, Sign::Jump("To Coda", ("tocoda", "coda"))),
        Jump::Fine => (end, Sign::Jump("Fine", ("fine", "yes"))),
        Jump::DaCapo if has(Jump::ToCoda) => (end, Sign::Jump("D.C. al Coda", ("dacapo", "yes"))),
        Jump::DaCapo if has(Jump::Fine) => (end, Sign::Jump("D.C. al Fine", ("dacapo", "yes"))),
        Jump::DaCapo => (end, Sign::Jump("D.C.", ("dacapo", "yes"))),
        Jump::DalSegno if has(Jump::ToCoda) => (end, Sign::Jump("D.S. al Coda", ("dalsegno", "segno"))),
        Jump::DalSegno if has(Jump::Fine) => (end, Sign::Jump("D.S. al Fine", ("dalsegno", "segno"))),
        Jump::DalSegno => (end, Sign::Jump("D.S.", ("dalsegno", "segno"))),
    }
}

/// Writes a sign.
pub fn write(xml: &mut Xml, sign: &Sign, spot: Spot) {
    if let Sign::Chord(placed) = sign {
        return harmony::write(xml, placed, spot.offset);
    }
    let placement = placement(sign, spot.hand);
    let mut attributes: Vec<(&str, &dyn Display)> = vec![("placement", &placement)];
    if matches!(sign, Sign::Tempo { .. }) {
        attributes.push(("directive", &"yes"));
    }
    xml.within("direction", &attributes, |xml| {
        direction_types(xml, sign, spot.hand);
        if spot.offset != 0 {
            xml.text("offset", spot.offset);
        }
        if let Sign::Mark(PlacedMark { hand: Some(hand), .. }) = sign {
            xml.text("voice", voice(*hand));
        }
        xml.text("staff", staff(spot.hand));
        sound(xml, sign);
    });
}

pub fn staff(hand: Hand) -> u32 {
    match hand {
        Hand::Right => 1,
        Hand::Left => 2,
    }
}

/// The usual voice numbers on two staves: four for each.
pub fn voice(hand: Hand) -> u32 {
    match hand {
        Hand::Right => 1,
        Hand::Left => 5,
    }
}

fn placement(sign: &Sign, hand: Hand) -> &'static str {
    if hand == Hand::Left || matches!(sign, Sign::Dynamic(_)) { "below" } else { "above" }
}

fn direction_types(xml: &mut Xml, sign: &Sign, hand: Hand) {
    let words = |xml: &mut Xml, attributes: &[(&str, &dyn Display)], text: &str| {
        xml.within("direction-type", &[], |xml| xml.text_with("words", attributes, text));
    };
    match sign {
        Sign::Tempo { tempo, words: said } => {
            said.iter().for_each(|said| words(xml, &[("font-weight", &"bold")], said));
            xml.within("direction-type", &[], |xml| metronome(xml, *tempo));
        }
        Sign::Heading(text) => words(xml, &[("font-weight", &"bold"), ("font-size", &"large")], text),
        Sign::Words(text) => words(xml, &[], text),
        Sign::Jump(text, _) => words(xml, &[("halign", &"right"), ("font-style", &"italic")], text),
        Sign::Section(text) => xml.within("direction-type", &[], |xml| xml.text("rehearsal", text)),
        Sign::Segno => xml.within("direction-type", &[], |xml| xml.empty("segno", &[])),
        Sign::Coda => xml.within("direction-type", &[], |xml| xml.empty("coda", &[])),
        Sign::Mark(mark) => harp_marks::write(xml, mark),
        Sign::Opening(alters) => harp_marks::setting(xml, alters),
        Sign::Bracket(bracket) => harp_marks::bracket(xml, *bracket, hand),
        Sign::Dynamic(name) => xml.within("direction-type", &[], |xml| xml.within("dynamics", &[], |xml| dynamic(xml, name))),
        Sign::Chord(_) => {}
    }
}

/// The dynamics that the standard has an element for (MusicXML 4.0, element `dynamics`).
const DYNAMICS: [&str; 26] = [
    "p", "pp", "ppp", "pppp", "ppppp", "pppppp", "f", "ff", "fff", "ffff", "fffff", "ffffff", "mp", "mf", "sf", "sfp", "sfpp", "fp", "rf",
    "rfz", "sfz", "sffz", "fz", "n", "pf", "sfzp",
];

fn dynamic(xml: &mut Xml, name: &str) {
    if DYNAMICS.contains(&name) { xml.empty(name, &[]) } else { xml.text("other-dynamics", name) }
}

/// A note value no sign has is counted in quarters instead.
fn metronome(xml: &mut Xml, tempo: Tempo) {
    let unit = Value::of(tempo.unit());
    let (name, dots, milli) = match unit {
        Some(unit) => (unit.name(), unit.dots, tempo.milli_per_minute()),
        None => ("quarter", 0, tempo.milli_quarters_per_minute()),
    };
    xml.within("metronome", &[("parentheses", &"no")], |xml| {
        xml.text("beat-unit", name);
        (0..dots).for_each(|_| xml.empty("beat-unit-dot", &[]));
        xml.text("per-minute", thousandths(milli));
    });
}

fn sound(xml: &mut Xml, sign: &Sign) {
    match sign {
        Sign::Tempo { tempo, .. } => xml.empty("sound", &[("tempo", &thousandths(tempo.milli_quarters_per_minute()))]),
        Sign::Segno => xml.empty("sound", &[("segno", &"segno")]),
        Sign::Coda => xml.empty("sound", &[("coda", &"coda")]),
        Sign::Jump(_, (name, value)) => xml.empty("sound", &[(*name, value)]),
        _ => {}
    }
}

/// A number of thousandths as a decimal without needless zeros.
fn thousandths(milli: i64) -> String {
    let text = format!("{}.{:03}", milli / 1000, milli % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_short() {
        assert_eq!(thousandths(112_500), "112.5");
        assert_eq!(thousandths(90_000), "90");
        assert_eq!(thousandths(4_005), "4.005");
    }
}
