//! Which measures are alike: the same tune over the same chords. A harpist plays them with the same hand.

use crate::spans::{ChordSpan, Spans};
use music::{Beats, Chord, LeadSheet};
use std::collections::BTreeMap;

/// What the melody and the harmony of one measure are, places counted from its bar line: notes (place, length, MIDI numbers, plucked) and
/// chords (place, chord).
type Content = (Beats, Vec<(Beats, Beats, Vec<i32>, bool)>, Vec<(Beats, Option<Chord>)>);

/// For each measure the first measure that is equal to it in tune and chords; a measure unlike all before it has its own index.
pub fn first_alike(sheet: &LeadSheet, spans: &Spans) -> Vec<usize> {
    let mut chords: Vec<Vec<&ChordSpan>> = vec![Vec::new(); sheet.measures.len()];
    for span in &spans.spans {
        chords[span.measure].push(span);
    }
    let mut seen: BTreeMap<Content, usize> = BTreeMap::new();
    let measures = sheet.measures.iter().zip(chords).enumerate();
    measures.map(|(i, (m, spans))| *seen.entry(content(m, &spans)).or_insert(i)).collect()
}

fn content(m: &music::SheetMeasure, spans: &[&ChordSpan]) -> Content {
    let midi = |n: &music::Note| n.pitches.iter().map(|p| p.midi()).collect();
    let notes = m.notes.iter().map(|n| (n.at, n.length, midi(n), n.is_plucked())).collect();
    (m.frame.length, notes, spans.iter().map(|s| (s.at, s.chord.clone())).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spans::spans;
    use music::{Clock, Tempo, text::sheet};

    #[test]
    fn equal_tune_and_equal_chords() {
        let tune = sheet(r#"2/4 C | "C"C4:2 | D4:2 | "C"C4:2 | "F"C4:2 | D4:2 | "C"D4:2 |"#);
        let spans = spans(&tune, &Clock::of_sheet(&tune, Tempo::of(Beats::QUARTER, 80).expect("in range")));
        assert_eq!(first_alike(&tune, &spans), [0, 1, 0, 3, 4, 1]);
    }
}
