//! Several chord symbols written at one place: they share a long note, or the first of them holds.
//!
//! Where a chord changes under a long note, sources in the wild give no place for the change; common practice puts it on a beat, and where the
//! beats do not go round, the earlier chords are the longer ones. Where the note leaves no beat to each of them, the symbols are
//! alternatives ("G or Em"), and the first is the one to play.

use music::{Beats, LeadSheet, Meter, PlacedChord, SheetMeasure};
use std::fmt;

/// Symbols that stood at one place, and what became of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spread {
    /// Index of the written measure.
    pub measure: usize,
    /// Its printed number.
    pub number: music::MeasureNumber,
    /// Where they stood.
    pub at: Beats,
    /// As their source wrote them.
    pub symbols: Vec<String>,
    /// What became of them.
    pub how: How,
}

/// What becomes of symbols at one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Each has its beats now.
    Shared,
    /// The first holds, the others are gone.
    FirstHolds,
}

impl fmt::Display for Spread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = self.number.in_words();
        let symbols = music::as_read(&self.symbols.join(" and "));
        match self.how {
            How::Shared => write!(f, "{number}: {symbols} stand at one note; they share it"),
            How::FirstHolds => {
                write!(f, "{number}: {symbols} stand at one note too short to share; the first one is played")
            }
        }
    }
}

/// Leaves one symbol at each place of the sheet. A symbol that only says the one before it again is dropped without a word.
/// Doing it twice changes nothing more.
pub fn spread(sheet: &mut LeadSheet) -> Vec<Spread> {
    let mut found = Vec::new();
    for (measure, m) in sheet.measures.iter_mut().enumerate() {
        m.frame.chords.sort_by_key(|c| c.at);
        let mut made: Vec<PlacedChord> = Vec::new();
        for group in m.frame.chords.chunk_by(|a, b| a.at == b.at) {
            let mut group = group.to_vec();
            group.dedup_by(|b, a| a.symbol.harmony == b.symbol.harmony);
            if group.len() > 1 {
                let symbols = group.iter().map(|c| c.symbol.harmony.to_string()).collect();
                let how = part(m, &mut group);
                found.push(Spread { measure, number: m.frame.number, at: group[0].at, symbols, how });
            }
            made.extend(group);
        }
        m.frame.chords = made;
    }
    found
}

/// Gives each symbol of a group its beats, or leaves the first alone. Where there are fewer beats than symbols, the parts of the beat that are counted in its place
/// are taken: quarters in cut time, eighths in six-eight.
fn part(m: &SheetMeasure, group: &mut Vec<PlacedChord>) -> How {
    let (at, count, beat) = (group[0].at, group.len() as i64, m.frame.meter.beat());
    let next = m.frame.chords.iter().map(|c| c.at).find(|place| *place > at);
    let note = m.notes.iter().find(|n| n.at <= at && at < n.end()).map(|n| n.end());
    let end = next.into_iter().chain(note).chain([m.frame.length]).min().unwrap_or(at);
    let room = (end - at).max(Beats::ZERO);
    let shares = |step: &Beats| room.div_floor(*step) >= count && (at % *step).is_zero();
    let Some(step) = [Some(beat), smaller(&m.frame.meter)].into_iter().flatten().find(shares) else {
        group.truncate(1);
        return How::FirstHolds;
    };
    let steps = room.div_floor(step);
    for (chord, k) in group.iter_mut().zip(0..) {
        chord.at = at + step * ((k * steps + count - 1) / count);
    }
    How::Shared
}

/// What is counted instead of a beat that is a half note or longer; a dotted beat has its three parts. `None` where the beat is as short as chords change.
fn smaller(meter: &Meter) -> Option<Beats> {
    let beat = meter.beat();
    if meter.is_compound() {
        return beat.scaled(1, 3).filter(|part| *part >= Beats::QUARTER);
    }
    beat.scaled(1, 2).filter(|part| *part >= Beats::QUARTER)
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

    /// Common practice: cut time is counted in quarters where two beats are not enough, three-two and six-four likewise; an eighth is no beat for a chord.
    #[test]
    fn a_long_beat_is_counted_in_quarters_where_chords_ask_for_it() {
        check(r#"2/2 C | "C"@0 "F"@0 "G"@0 C4:4 |"#, "C@0 F@2 G@3");
        check(r#"2/2 C | "C"@0 "F"@0 "G"@0 "C"@0 C4:4 |"#, "C@0 F@1 G@2 C@3");
        check(r#"2/2 C | "C"@0 "F"@0 C4:4 |"#, "C@0 F@2");
        check(r#"2/2 C | "C"@0 "F"@0 C4:2 D4:2 |"#, "C@0 F@1");
        check(r#"2/2 C | "C"@0 "F"@0 "G"@0 C4:2 D4:2 |"#, "C@0");
        check(r#"3/2 C | "C"@0 "F"@0 "G"@0 "C"@0 C4:6 |"#, "C@0 F@2 G@3 C@5");
        check(r#"6/4 C | "C"@0 "F"@0 "G"@0 C4:6 |"#, "C@0 F@2 G@4");
        check(r#"6/8 C | "C"@0 "F"@0 "G"@0 C4:3 |"#, "C@0");
        check(r#"4/4 C | "C"@0 "F"@0 C4:1 D4:3 |"#, "C@0");
    }

    #[test]
    fn the_next_symbol_and_the_end_of_the_note_are_limits_and_then_the_first_holds() {
        check(r#"4/4 C | "C"@0 "F"@0 "G7"@2 C4:4 |"#, "C@0 F@1 G7@2");
        check(r#"4/4 C | "C"@0 "F"@0 C4:1 D4:3 |"#, "C@0");
    }

    /// Signs as people read them.
    #[test]
    fn it_is_said_with_signs() {
        let mut tune = sheet(r#"4/4 C | "Bb"@0 "F#m"@0 C4:4 |"#);
        let said: Vec<String> = spread(&mut tune).iter().map(Spread::to_string).collect();
        assert_eq!(said, ["measure 1: B♭ and F♯m stand at one note; they share it"]);
    }

    #[test]
    fn a_chord_said_twice_is_one() {
        check(r#"4/4 C | "C"@0 "C"@0 C4:4 |"#, "C@0");
        check(r#"4/4 C | "C"@0 "C"@0 "G7"@0 C4:4 |"#, "C@0 G7@2");
    }
}
