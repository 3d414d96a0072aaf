//! Marks for the harp as directions: levers and pedals, muffles, strings that ring on, and brackets over strings placed together.
//!
//! A lever is its string, a pedal its letter, both with the sign written out ("F♯4", "F♯"); a full setting is `harp-pedals`, a muffle `damp` or `damp-all`
//! (MusicXML 4.0, `direction-type`) with the strings in words where not all are meant. They stand below the lower staff unless they are meant for the right
//! hand: the space between the staves is the player's (harp facts 1.5).

use super::direction::{Placed, Sign};
use super::line::Line;
use super::xml::Xml;
use music::{Beats, Bracket, Hand, Mark, Pitch, PitchName, PlacedMark, ScoreMeasure, Step};

/// The end of a bracket over placed strings that a note is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bracketed {
    Start,
    Stop,
}

/// The order in which pedals stand, left foot and right foot.
pub const PEDALS: [Step; 7] = [Step::D, Step::C, Step::B, Step::E, Step::F, Step::G, Step::A];

/// The marks that are written on one hand's staff.
pub fn of_staff(measure: &ScoreMeasure, hand: Hand) -> impl Iterator<Item = Placed<'_>> {
    let mine = measure.marks.iter().filter(move |m| staff(&m.mark, m.hand) == hand);
    // Strings that ring on are written at the notes themselves, where there are any.
    let at_notes = move |m: &&PlacedMark| m.mark == Mark::LetRing && measure.hand(hand).iter().any(|n| n.at == m.at && !n.is_rest());
    mine.filter(move |m| !at_notes(m)).map(|m| match &m.mark {
        Mark::Words(words) => Placed { at: m.at, sign: Sign::Words(words) },
        Mark::LetRing => Placed { at: m.at, sign: Sign::Words("l.v.") },
        _ => Placed { at: m.at, sign: Sign::Mark(m) },
    })
}

fn staff(mark: &Mark, hand: Option<Hand>) -> Hand {
    match mark {
        Mark::Lever(_) | Mark::Pedal(_) | Mark::Pedals(_) => Hand::Left,
        Mark::Muffle(_) | Mark::MuffleAll => hand.unwrap_or(Hand::Left),
        Mark::LetRing | Mark::Words(_) => hand.unwrap_or(Hand::Right),
    }
}

/// Writes the direction types of a mark.
pub fn write(xml: &mut Xml, placed: &PlacedMark) {
    let time = time(placed.first_pass);
    let words = |xml: &mut Xml, text: &str| xml.within("direction-type", &[], |xml| xml.text("words", text));
    match &placed.mark {
        Mark::MuffleAll => xml.within("direction-type", &[], |xml| xml.empty("damp-all", &[])),
        Mark::Muffle(strings) => {
            xml.within("direction-type", &[], |xml| xml.empty("damp", &[]));
            if !strings.is_empty() {
                let names: Vec<String> = strings.iter().map(|s| string(*s)).collect();
                words(xml, &names.join(" "));
            }
        }
        Mark::Lever(pitch) => words(xml, &format!("{}{time}", lever(*pitch))),
        Mark::Pedal(name) => words(xml, &format!("{}{time}", pedal(*name))),
        Mark::Pedals(alters) => setting(xml, alters),
        Mark::LetRing => words(xml, "l.v."),
        Mark::Words(text) => words(xml, text),
    }
}

/// " (2nd time)" for a mark that does nothing the first.
fn time(pass: u32) -> String {
    PlacedMark::time(pass).map_or(String::new(), |time| format!(" ({time})"))
}

/// Writes how all pedals stand.
pub fn setting(xml: &mut Xml, alters: &[i32; 7]) {
    xml.within("direction-type", &[], |xml| {
        xml.within("harp-pedals", &[], |xml| {
            for step in PEDALS {
                xml.within("pedal-tuning", &[], |xml| {
                    xml.text("pedal-step", step.letter());
                    xml.text("pedal-alter", alters[step.index() as usize]);
                });
            }
        });
    });
}

/// Writes one end of a bracket; its hooks point to the notes.
pub fn bracket(xml: &mut Xml, bracket: Bracketed, hand: Hand) {
    let (number, hook) = match hand {
        Hand::Right => (1, "down"),
        Hand::Left => (2, "up"),
    };
    let end = match bracket {
        Bracketed::Start => "start",
        Bracketed::Stop => "stop",
    };
    let attributes: [(&str, &dyn std::fmt::Display); 4] =
        [("type", &end), ("number", &number), ("line-end", &hook), ("line-type", &"solid")];
    xml.within("direction-type", &[], |xml| xml.empty("bracket", &attributes));
}

/// The brackets of a hand, measure by measure: each begins once and ends once, whatever the score forgot.
pub fn brackets(lines: &[Line]) -> Vec<Vec<(Beats, Bracketed)>> {
    let notes: Vec<(usize, Beats, Bracket)> = lines
        .iter()
        .enumerate()
        .flat_map(|(i, l)| l.notes.iter().map(move |n| (i, n.at, n.bracket)))
        .filter(|n| n.2 != Bracket::None)
        .collect();
    let mut found = vec![Vec::new(); lines.len()];
    for pair in notes.windows(2) {
        if let [(from, begin, Bracket::Begins), (to, end, Bracket::Ends)] = pair {
            found[*from].push((*begin, Bracketed::Start));
            found[*to].push((*end, Bracketed::Stop));
        }
    }
    found
}

/// "F♯4": a lever is one string, so its octave is always said.
fn lever(pitch: Pitch) -> String {
    format!("{}{}", pedal(pitch.name()), pitch.octave)
}

/// "F♯"; a natural is written out.
fn pedal(name: PitchName) -> String {
    let sign = if name.alter == 0 { "♮".to_owned() } else { signs(name.alter) };
    format!("{}{sign}", name.step.letter())
}

/// "C3", "B♭2": a string to muffle.
fn string(pitch: Pitch) -> String {
    format!("{}{}{}", pitch.step.letter(), signs(pitch.alter), pitch.octave)
}

fn signs(alter: i32) -> String {
    let sign = if alter < 0 { "♭" } else { "♯" };
    sign.repeat(alter.unsigned_abs() as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: "F♯4" is the lever of that string; a natural is written out.
    #[test]
    fn levers_pedals_and_strings_are_named() {
        assert_eq!(lever(Pitch::new(Step::F, 1, 4)), "F♯4");
        assert_eq!(pedal(PitchName::new(Step::B, 0)), "B♮");
        assert_eq!([time(1), time(2), time(3)], ["", " (2nd time)", " (3rd time)"]);
        assert_eq!(string(Pitch::new(Step::C, 0, 3)), "C3");
        assert_eq!(string(Pitch::new(Step::B, -1, 2)), "B♭2");
    }

    /// Harp facts 9, example 60 (the standard's own): E-flat major in the order D C B E F G A.
    #[test]
    fn a_setting_is_written_in_the_order_of_the_pedals() {
        let mut xml = Xml::new();
        setting(&mut xml, &[0, 0, -1, 0, 0, -1, -1]);
        let text = xml.finish();
        let alters: Vec<&str> = text.split("<pedal-alter>").skip(1).filter_map(|t| t.split('<').next()).collect();
        assert_eq!(alters, ["0", "0", "-1", "-1", "0", "0", "-1"]);
    }
}
