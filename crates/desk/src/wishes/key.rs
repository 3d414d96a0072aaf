//! A key as it is typed, and the interval that takes a tune there.
//!
//! A tune keeps its mode: only its tonic moves, so a wish for a minor key under a tune in major is refused with what would work.

use crate::failure::Failure;
use harmony::melody;
use harp::Instrument;
use music::{Interval, Key, LeadSheet, Mode, PitchName, Step};

/// What is typed for the key that suits harp and tune best.
pub const BEST: &str = "best";

/// The interval to the wished key: the nearer of up and down, unless only the other stays on the harp.
pub fn interval(text: &str, sheet: &LeadSheet, harp: &Instrument) -> Result<Interval, Failure> {
    let wished = parse(text).ok_or_else(|| {
        Failure::wrong(format!(
            "\"{text}\" is no key: expected a letter with its sign and mode, like G, Em, \"B-flat major\" or \"D dorian\""
        ))
    })?;
    let own = own_key(sheet, wished.mode);
    if own.mode.is_minor() != wished.mode.is_minor() {
        let family = |mode: Mode| if mode.is_minor() { "minor" } else { "major" };
        let would = if own.mode.is_minor() { format!("{}m", wished.tonic) } else { wished.tonic.to_string() };
        return Err(Failure::wrong(format!(
            "the tune is in {own:#} and \"{text}\" is a {} key: a tune keeps its mode, expected a {} key such as {would}",
            family(wished.mode),
            family(own.mode)
        )));
    }
    let target = Key::of(wished.tonic, own.mode);
    if target.fifths.abs() > 7 {
        let same = PitchName::from_fifths(wished.tonic.fifths() - 12 * target.fifths.signum());
        return Err(Failure::wrong(format!(
            "{target:#} would need {} sharps or flats, and 7 is the most: try {same:#}, which sounds the same",
            target.fifths.abs()
        )));
    }
    Ok(nearest(own.tonic(), wished.tonic, sheet, harp))
}

fn nearest(from: PitchName, to: PitchName, sheet: &LeadSheet, harp: &Instrument) -> Interval {
    let plain = Interval::between(from.at_octave(4), to.at_octave(4));
    let fits = |by: &Interval| {
        melody::range(sheet).is_some_and(|range| {
            harp.has_string(range.lowest.position() + by.steps) && harp.has_string(range.highest.position() + by.steps)
        })
    };
    let ways = [1, 0, -1].map(|octaves| plain + Interval::octaves(octaves));
    // Of a tritone up and a tritone down the upper comes first: below the tune there is then more room.
    let nearest = |ways: &mut dyn Iterator<Item = Interval>| ways.min_by_key(|by| (by.semitones.abs(), -by.semitones));
    let within = nearest(&mut ways.iter().copied().filter(fits).filter(|by| by.semitones.abs() < 12));
    within.or_else(|| nearest(&mut ways.iter().copied())).unwrap_or(plain)
}

/// The key of the first measure. A bare signature is taken as the wished mode's.
fn own_key(sheet: &LeadSheet, wished: Mode) -> Key {
    let key = sheet.measures.first().map_or(Key::C_MAJOR, |m| m.frame.key.clone());
    if key.mode == Mode::Other { Key { mode: wished, ..key } } else { key }
}

/// A key that was asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct WishedKey {
    tonic: PitchName,
    mode: Mode,
}

/// "G", "Em", "f# minor", "B♭", "B-flat major", "D dorian", "A mix".
fn parse(text: &str) -> Option<WishedKey> {
    let text = text.trim().replace('♭', "b").replace('♯', "#");
    let mut letters = text.chars();
    let step = Step::from_letter(letters.next()?)?;
    let (alter, rest) = sign(letters.as_str());
    let word = rest.trim_matches([' ', '-']);
    let mode = match word {
        "" | "M" => Mode::Major,
        "m" => Mode::Minor,
        word if word.len() >= 3 => Mode::NAMED.into_iter().find(|mode| mode.name().starts_with(&word.to_lowercase()))?,
        _ => return None,
    };
    Some(WishedKey { tonic: PitchName::new(step, alter), mode })
}

fn sign(text: &str) -> (i32, &str) {
    let bare = text.trim_start_matches([' ', '-']);
    for (word, alter) in [("flat", -1), ("sharp", 1), ("natural", 0)] {
        if let Some(rest) = bare.strip_prefix(word) {
            return (alter, rest);
        }
    }
    match text.chars().next() {
        Some('b') => (-1, &text[1..]),
        Some('#') => (1, &text[1..]),
        _ => (0, text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> String {
        parse(text).map_or("no key".into(), |key| format!("{} {}", key.tonic, key.mode.name()))
    }

    #[test]
    fn keys_as_they_are_typed() {
        assert_eq!(read("G"), "G major");
        assert_eq!(read("Em"), "E minor");
        assert_eq!(read("b flat"), "Bb major");
        assert_eq!(read("B-flat minor"), "Bb minor");
        assert_eq!(read("f# min"), "F# minor");
        assert_eq!(read("E♭"), "Eb major");
        assert_eq!(read("D Dorian"), "D dorian");
        assert_eq!(read("Amix"), "A mixolydian");
        assert_eq!(read("H"), "no key");
        assert_eq!(read("G seven"), "no key");
    }

    fn moved(tune: &str, wish: &str) -> String {
        match interval(wish, &music::text::sheet(tune), &Instrument::lever_34()) {
            Ok(by) => format!("{} steps, {} semitones", by.steps, by.semitones),
            Err(failure) => failure.to_string(),
        }
    }

    /// Arithmetic.
    #[test]
    fn the_nearer_way_unless_the_harp_ends_there() {
        assert_eq!(moved("4/4 C | C5:4 |", "D"), "1 steps, 2 semitones");
        assert_eq!(moved("4/4 C | C5:4 |", "A"), "-2 steps, -3 semitones");
        assert_eq!(moved("4/4 C | C5:4 |", "F#"), "3 steps, 6 semitones");
        assert_eq!(moved("4/4 C | C2:4 |", "A"), "5 steps, 9 semitones");
        assert_eq!(moved("4/4 C | C5:4 |", "C"), "0 steps, 0 semitones");
    }

    #[test]
    fn a_tune_keeps_its_mode() {
        let minor_wish = "the tune is in C major and \"Em\" is a minor key: a tune keeps its mode, expected a major key such as E";
        assert_eq!(moved("4/4 C | C5:4 |", "Em"), minor_wish);
        let major_wish = "the tune is in D dorian and \"G\" is a major key: a tune keeps its mode, expected a minor key such as Gm";
        assert_eq!(moved("4/4 Ddor | D5:4 |", "G"), major_wish);
        assert_eq!(moved("4/4 Ddor | D5:4 |", "Em"), "1 steps, 2 semitones");
        assert_eq!(
            moved("4/4 C | C5:4 |", "G#"),
            "G♯ major would need 8 sharps or flats, and 7 is the most: try A♭, which sounds the same"
        );
    }
}
