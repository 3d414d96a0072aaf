//! Everything that stands above, between or below the staves at a place: tempo, words, signs, dynamics, marks for the harp.

use super::harmony;
use super::value::Value;
use super::xml::Xml;
use music::{Beats, ChordSymbol, Frame, Hand, Jump, Mark, Pitch, PitchName, Score, ScoreMeasure, Tempo};
use std::fmt::Display;

/// Something printed at a place of a measure.
pub enum Sign<'a> {
    Tempo {
        tempo: Tempo,
        words: Option<&'a str>,
    },
    Heading(&'a str),
    Section(&'a str),
    Words(String),
    Segno,
    Coda,
    /// Words that send the player elsewhere, and the attribute that says so to a machine.
    Jump(&'static str, (&'static str, &'static str)),
    Dynamic(&'a str),
    Damp,
    DampAll,
    Chord(&'a ChordSymbol),
}

pub struct Placed<'a> {
    pub at: Beats,
    pub sign: Sign<'a>,
}

/// The signs that go with one hand in one measure, in order of place. What belongs to no hand goes with the right, on the upper staff.
pub fn signs<'a>(score: &'a Score, index: usize, hand: Hand) -> Vec<Placed<'a>> {
    let measure = &score.measures[index];
    let mut signs = match hand {
        Hand::Right => above(score, index),
        Hand::Left => Vec::new(),
    };
    signs.extend(marks(measure, hand));
    for note in measure.hand(hand) {
        for decoration in &note.decorations {
            if let music::Decoration::Dynamic(name) = decoration {
                signs.push(Placed { at: note.at, sign: Sign::Dynamic(name) });
            }
        }
    }
    signs.sort_by_key(|s| s.at);
    signs
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
    frame.words.iter().for_each(|(at, words)| put(*at, Sign::Words(words.clone())));
    frame.chords.iter().for_each(|c| put(c.at, Sign::Chord(&c.symbol)));
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

fn marks(measure: &ScoreMeasure, hand: Hand) -> impl Iterator<Item = Placed<'_>> {
    let mine = measure.marks.iter().filter(move |m| m.hand.unwrap_or(Hand::Right) == hand);
    mine.filter_map(move |m| {
        let sign = match &m.mark {
            Mark::MuffleAll => Sign::DampAll,
            Mark::Muffle(_) => Sign::Damp,
            Mark::Lever(pitch) => Sign::Words(lever_words(*pitch)),
            Mark::Pedal(name) => Sign::Words(pedal_words(*name)),
            Mark::Words(words) => Sign::Words(words.clone()),
            // Printed at the notes themselves, where there are any.
            Mark::LetRing if measure.hand(hand).iter().any(|n| n.at == m.at && !n.is_rest()) => return None,
            Mark::LetRing => Sign::Words("l.v.".to_owned()),
        };
        Some(Placed { at: m.at, sign })
    })
}

fn lever_words(pitch: Pitch) -> String {
    format!("{}{}", pedal_words(pitch.name()), pitch.octave)
}

fn pedal_words(name: PitchName) -> String {
    let sign = match name.alter {
        0 => "♮",
        a if a < 0 => "♭",
        _ => "♯",
    };
    format!("{}{}", name.step.letter(), sign.repeat(name.alter.unsigned_abs().max(1) as usize))
}

/// Writes a sign for a staff, `offset` divisions after the place reached.
pub fn write(xml: &mut Xml, sign: &Sign, staff: u32, offset: i64) {
    if let Sign::Chord(symbol) = sign {
        return harmony::write(xml, symbol, offset);
    }
    let placement = placement(sign);
    let mut attributes: Vec<(&str, &dyn Display)> = vec![("placement", &placement)];
    if matches!(sign, Sign::Tempo { .. }) {
        attributes.push(("directive", &"yes"));
    }
    xml.within("direction", &attributes, |xml| {
        direction_types(xml, sign);
        if offset != 0 {
            xml.text("offset", offset);
        }
        xml.text("staff", staff);
        sound(xml, sign);
    });
}

fn placement(sign: &Sign) -> &'static str {
    if matches!(sign, Sign::Dynamic(_) | Sign::Damp | Sign::DampAll) { "below" } else { "above" }
}

fn direction_types(xml: &mut Xml, sign: &Sign) {
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
        Sign::Jump(text, _) => words(xml, &[("justify", &"right"), ("font-style", &"italic")], text),
        Sign::Section(text) => xml.within("direction-type", &[], |xml| xml.text("rehearsal", text)),
        Sign::Segno => xml.within("direction-type", &[], |xml| xml.empty("segno", &[])),
        Sign::Coda => xml.within("direction-type", &[], |xml| xml.empty("coda", &[])),
        Sign::Damp => xml.within("direction-type", &[], |xml| xml.empty("damp", &[])),
        Sign::DampAll => xml.within("direction-type", &[], |xml| xml.empty("damp-all", &[])),
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

    /// Common practice: "F♯4" is the lever of that string; a natural is written out.
    #[test]
    fn levers_and_pedals_are_named() {
        use music::Step;
        assert_eq!(lever_words(Pitch::new(Step::F, 1, 4)), "F♯4");
        assert_eq!(pedal_words(PitchName::new(Step::B, 0)), "B♮");
    }
}
