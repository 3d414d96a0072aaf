//! Several chord symbols written at one place are meant one after another: they share the note they stand over.
//!
//! Found in the wild where a chord changes under a long note and the source gives no place for the change. Common practice in reading such
//! a page: the changes fall on the beats, and where the beats do not go round, the earlier chords are the longer ones.

use music::{Beats, LeadSheet, PlacedChord, SheetMeasure};
use std::fmt;

/// Symbols that were parted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spread {
    /// Index of the written measure.
    pub measure: usize,
    /// Its printed number.
    pub number: u32,
    /// The symbols with their new places.
    pub chords: Vec<(Beats, String)>,
}

impl fmt::Display for Spread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names: Vec<&str> = self.chords.iter().map(|c| c.1.as_str()).collect();
        write!(f, "measure {}: {} stand at one place; they are spread over the note there", self.number, names.join(" "))
    }
}

/// Parts symbols at one place. A symbol that only says the one before it again is dropped. Where a note is too short to be
/// parted into beats it is parted evenly. Doing it twice changes nothing more.
pub fn spread(sheet: &mut LeadSheet) -> Vec<Spread> {
    let mut found = Vec::new();
    for (measure, m) in sheet.measures.iter_mut().enumerate() {
        m.frame.chords.sort_by_key(|c| c.at);
        let mut made: Vec<PlacedChord> = Vec::new();
        for group in m.frame.chords.chunk_by(|a, b| a.at == b.at) {
            let mut group = group.to_vec();
            group.dedup_by(|b, a| a.symbol.harmony == b.symbol.harmony);
            if group.len() > 1 && part(m, &mut group) {
                let chords = group.iter().map(|c| (c.at, c.symbol.harmony.to_string())).collect();
                found.push(Spread { measure, number: m.frame.number, chords });
            }
            made.extend(group);
        }
        m.frame.chords = made;
    }
    found
}

/// Gives each symbol of a group its place; false where the place has no length.
fn part(m: &SheetMeasure, group: &mut [PlacedChord]) -> bool {
    let (at, count) = (group[0].at, group.len() as i64);
    let next = m.frame.chords.iter().map(|c| c.at).find(|place| *place > at);
    let note = m.notes.iter().find(|n| n.at <= at && at < n.end()).map(|n| n.end());
    let end = next.into_iter().chain(note).chain([m.frame.length]).min().unwrap_or(at);
    if end <= at {
        return false;
    }
    let beat = m.frame.meter.beat();
    let beats = (end - at).div_floor(beat);
    let whole = (at % beat).is_zero() && beats >= count;
    for (chord, k) in group.iter_mut().zip(0..) {
        let later = if whole { Some(beat * ((k * beats + count - 1) / count)) } else { (end - at).scaled(k, count) };
        match later {
            Some(later) => chord.at = at + later,
            None => return false,
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::sheet;

    fn check(text: &str, expected: &str) {
        let mut tune = sheet(text);
        spread(&mut tune);
        let chords = |t: &LeadSheet| -> String {
            let all = t.measures.iter().flat_map(|m| &m.frame.chords);
            all.map(|c| format!("{}@{}", c.symbol.harmony, c.at)).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(chords(&tune), expected);
        assert!(spread(&mut tune).is_empty());
        assert_eq!(chords(&tune), expected);
    }

    /// Common practice.
    #[test]
    fn chords_over_a_long_note_change_on_its_beats() {
        check(r#"4/4 C | "C"@0 "F"@0 C4:4 |"#, "C@0 F@2");
        check(r#"4/4 C | "C"@0 "F"@0 "C"@0 "G7"@0 C4:4 |"#, "C@0 F@1 C@2 G7@3");
        check(r#"4/4 C | "C"@0 "F"@0 "G"@0 C4:4 |"#, "C@0 F@2 G@3");
        check(r#"3/4 C | "C"@0 "F"@0 C4:3 |"#, "C@0 F@2");
        check(r#"6/8 C | "C"@0 "F"@0 C4:3 |"#, "C@0 F@3/2");
    }

    #[test]
    fn the_next_symbol_and_the_end_of_the_note_are_limits() {
        check(r#"4/4 C | "C"@0 "F"@0 "G7"@2 C4:4 |"#, "C@0 F@1 G7@2");
        check(r#"4/4 C | "C"@0 "F"@0 C4:1 D4:3 |"#, "C@0 F@1/2");
    }

    #[test]
    fn a_chord_said_twice_is_one() {
        check(r#"4/4 C | "C"@0 "C"@0 C4:4 |"#, "C@0");
        check(r#"4/4 C | "C"@0 "C"@0 "G7"@0 C4:4 |"#, "C@0 G7@2");
    }
}
