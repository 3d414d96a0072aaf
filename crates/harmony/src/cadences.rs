//! How each phrase closes: its last two chords, and what they are to the key.

use crate::phrases::Phrases;
use crate::spans::{ChordSpan, Spans};
use music::{Chord, Key, LeadSheet};

/// The close of one phrase; under alternative endings there is one for each of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cadence {
    /// Index into [`Phrases::phrases`].
    pub phrase: usize,
    /// Index of the written measure in which the phrase ends.
    pub measure: usize,
    /// Index into [`Spans::spans`] of the chord before the last different one; `None` if the phrase has one chord only.
    pub approach: Option<usize>,
    /// Index into [`Spans::spans`] where the last chord of the phrase begins.
    pub arrival: usize,
    /// What it is called.
    pub kind: CadenceKind,
}

/// Common names, as in any harmony book; chords are told by their roots, so that modal tunes have cadences too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CadenceKind {
    /// Dominant to tonic.
    Authentic,
    /// Subdominant to tonic.
    Plagal,
    /// Ends on the dominant.
    Half,
    /// Dominant to something other than the tonic.
    Deceptive,
    /// Another chord to the tonic, or the tonic throughout (the seventh degree to the tonic in modal tunes).
    OnTonic,
    /// None of these.
    Other,
}

/// The cadences of all phrases that end with a chord, in written order of their last measures.
///
/// ```
/// use harmony::cadences::{CadenceKind, cadences};
/// use harmony::{phrases::phrases, spans::spans};
/// use music::{Beats, Clock, Tempo, text};
///
/// // Any harmony book: dominant to tonic is an authentic cadence.
/// let tune = text::sheet(r#"4/4 C | "C"E5:4 | "F"A5:4 | "G7"B5:4 | "C"C6:4 ||"#);
/// let clock = Clock::of_sheet(&tune, Tempo::of(Beats::QUARTER, 90).expect("a tempo in range"));
/// let closes = cadences(&tune, &spans(&tune, &clock), &phrases(&tune));
/// assert_eq!(closes.last().map(|close| close.kind), Some(CadenceKind::Authentic));
/// ```
pub fn cadences(sheet: &LeadSheet, spans: &Spans, phrases: &Phrases) -> Vec<Cadence> {
    let ends = phrases.measures.iter().enumerate().filter(|(_, place)| place.last_of_phrase);
    ends.filter_map(|(measure, place)| {
        // A chord of the next phrase's pickup is none of this one's.
        let ended = |s: &ChordSpan| s.measure == measure && place.ends_at.is_some_and(|end| s.at >= end);
        let inside = |s: &ChordSpan| {
            s.measure <= measure && !ended(s) && phrases.measures[s.measure].phrase == place.phrase && belongs(sheet, s.measure, measure)
        };
        let mut line = (0..spans.spans.len()).filter(|i| inside(&spans.spans[*i])).rev().peekable();
        let chord = |i: usize| spans.spans[i].chord.as_ref();
        let last = chord(*line.peek()?)?;
        let mut arrival = line.next()?;
        while let Some(i) = line.next_if(|i| chord(*i) == Some(last)) {
            arrival = i;
        }
        let approach = line.next().filter(|i| chord(*i).is_some());
        let kind = kind(&sheet.measures[measure].frame.key, approach.and_then(chord), last);
        Some(Cadence { phrase: place.phrase, measure, approach, arrival, kind })
    })
    .collect()
}

/// Whether a measure is played on the way to the end: not under another ending.
fn belongs(sheet: &LeadSheet, measure: usize, end: usize) -> bool {
    let ending = |i: usize| sheet.measures[i].frame.ending.as_ref().map(|e| &e.passes);
    ending(measure).is_none() || ending(measure) == ending(end)
}

fn kind(key: &Key, approach: Option<&Chord>, last: &Chord) -> CadenceKind {
    let above_tonic = |c: &Chord| (c.root.pitch_class() - key.tonic().pitch_class()).rem_euclid(12);
    match (approach.map(above_tonic), above_tonic(last)) {
        (Some(7), 0) => CadenceKind::Authentic,
        (Some(5), 0) => CadenceKind::Plagal,
        (_, 0) => CadenceKind::OnTonic,
        (_, 7) => CadenceKind::Half,
        (Some(7), _) => CadenceKind::Deceptive,
        _ => CadenceKind::Other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{phrases::phrases, spans::spans};
    use music::{Beats, Clock, Tempo, text::sheet};

    /// Lines that end on beat 3 over the tonic, each with a pickup on beat 4 over its own dominant: that chord leads into the next line and is not where this one comes to
    /// rest.
    #[test]
    fn the_chord_of_a_pickup_is_no_close() {
        let line = r#""C" C5:1 C5:1 D5:1 D5:1 | "C" E5:1 D5:1 C5:1 E5:1 | "F" F5:1 E5:1 "G7" D5:1 B4:1 | "C" C5:3"#;
        let tune = sheet(&format!(r#"4/4 C |( G4:1 | {line} "G" G4:1 | {line} "G" G4:1 | {line} "G" G4:1 | {line} |"#));
        let found = phrases(&tune);
        let ends: Vec<Option<Beats>> = [4, 8, 12, 16].map(|m: usize| found.measures[m].ends_at).into();
        assert_eq!(ends, [Some(Beats::QUARTER * 3), Some(Beats::QUARTER * 3), Some(Beats::QUARTER * 3), None]);
        let spans = spans(&tune, &Clock::of_sheet(&tune, Tempo::of(Beats::QUARTER, 80).expect("in range")));
        let ends = cadences(&tune, &spans, &found).into_iter().filter(|c| c.measure % 4 == 0);
        let kinds: Vec<CadenceKind> = ends.map(|c| c.kind).collect();
        assert_eq!(kinds, [CadenceKind::Authentic; 4]);
    }

    /// Common practice.
    #[test]
    fn closes_have_their_names() {
        let check = |text: &str| {
            let tune = sheet(text);
            let spans = spans(&tune, &Clock::of_sheet(&tune, Tempo::of(Beats::QUARTER, 80).expect("in range")));
            let chords = |c: &Cadence| {
                let text = |i: Option<usize>| i.map_or("-", |i| &spans.spans[i].text).to_owned();
                format!("{} {} {:?}", text(c.approach), text(Some(c.arrival)), c.kind)
            };
            cadences(&tune, &spans, &phrases(&tune)).iter().map(chords).collect::<Vec<_>>().join(", ")
        };
        let text = r#"4/4 G | "G"G4:4 | "C"C4:4 | "G"D4:4 | "D"D4:4 | "G"G4:4 | "C"C4:4 | "D7"D4:4 | "G"G4:2 G4:2 |"#;
        assert_eq!(check(text), "G D Half, D7 G Authentic");
        let text = r#"4/4 G | "G"G4:4 | "C"C4:4 | "D7"D4:4 | "Em"D4:4 || "G"G4:4 | G4:4 | "C"D4:4 | "G"G4:4 |"#;
        assert_eq!(check(text), "D7 Em Deceptive, C G Plagal");
        assert_eq!(check(r#"4/4 Ddor | "Dm"D4:4 | D4:4 | "C"C4:4 | "Dm"D4:4 || "Dm"D4:4 | D4:4 |"#), "C Dm OnTonic, - Dm OnTonic");
    }
}
