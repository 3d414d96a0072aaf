//! A short text form for lead sheets and left hands, so that a test reads like music.
//!
//! `3/4 G | "G"d4:2 B4:1 | "D"A4:1.5 …`: a meter and a key, then measures between bars. A note is a pitch (`F#4`), `r` for a rest, `[C3+G3]` for
//! strings together, `~[…]` rolled; `:` and a length in quarters (`1`, `1/2`, `1.5`). `"Am7"@1` puts a chord symbol at a place (default: at the next note).
//! `(` before a measure makes it a pickup; `|:` `:|` repeat; `||` is a double bar. Chord symbols here are a root and one of: m, 7, m7, maj7, dim.

use crate::chord::{Chord, ChordKind, ChordSymbol, Harmony};
use crate::key::{Key, Mode};
use crate::measure::{Barline, Frame, PlacedChord};
use crate::meter::Meter;
use crate::note::Note;
use crate::pitch::{Pitch, PitchName, Step};
use crate::preparation::Preparation;
use crate::score::{Hand, Score, ScoreMeasure};
use crate::sheet::{LeadSheet, SheetMeasure, Words};
use crate::time::{Beats, Tempo};

/// Reads the short form. Panics with the offending word: it is for text written in a test.
///
/// ```
/// // The form itself, above: a waltz in G with two measures and two chords.
/// let tune = music::text::sheet(r#"3/4 G | "G"B4:2 A4:1 | "D7"A4:3 |"#);
/// assert_eq!((tune.measures.len(), tune.has_chords()), (2, true));
/// assert_eq!(music::text::show(&tune.measures[0].notes), "B4:2 A4:1");
/// ```
pub fn sheet(text: &str) -> LeadSheet {
    let (head, body) = text.split_once('|').expect("a meter and a key, then measures between bars");
    let mut head = head.split_whitespace();
    let meter = meter(head.next().expect("a meter"));
    let key = key(head.next().expect("a key"));
    let mut measures = Vec::new();
    let mut number = 1;
    let mut opens = body.starts_with(':');
    for piece in body.trim_start_matches(':').split('|') {
        let (closes, piece) = (piece.ends_with(':'), piece.trim_end_matches(':'));
        let next_opens = piece.starts_with(':');
        let piece = piece.trim_start_matches(':').trim();
        if piece.is_empty() {
            if let Some(last) = measures.last_mut() {
                let last: &mut SheetMeasure = last;
                last.frame.right = Barline::Double;
            }
            opens |= next_opens;
            continue;
        }
        let pickup = piece.starts_with('(');
        let mut frame = Frame::plain(if pickup { 0 } else { number }, meter.clone(), key.clone());
        frame.repeat_start = opens | next_opens;
        frame.repeat_end = closes.then_some(2);
        opens = false;
        let notes = line(piece.trim_start_matches('('), Some(&mut frame.chords));
        frame.length = notes.last().map(Note::end).expect("a measure has notes");
        number += u32::from(!pickup);
        measures.push(SheetMeasure { frame, notes });
    }
    LeadSheet { measures, ..LeadSheet::default() }
}

/// Measures of 4/4 in C major, right and left hand of each, at so many quarters a minute.
pub fn page(measures: &[(&str, &str)], per_minute: i64) -> Score {
    let measure = |(i, (right, left)): (usize, &(&str, &str))| ScoreMeasure {
        frame: Frame::plain(i as u32 + 1, Meter::simple(4, 4), Key::C_MAJOR),
        right: notes(right),
        left: notes(left),
        heading: None,
        marks: Vec::new(),
        source: Some(i),
        melody: Hand::Right,
    };
    let measures = measures.iter().enumerate().map(measure).collect();
    let tempo = Tempo::of(Beats::QUARTER, per_minute).expect("a tempo in range");
    Score { words: Words::default(), tempo, preparation: Preparation::default(), measures }
}

/// Reads the notes of one measure of one hand.
pub fn notes(text: &str) -> Vec<Note> {
    line(text, None)
}

fn line(text: &str, mut chords: Option<&mut Vec<PlacedChord>>) -> Vec<Note> {
    let mut at = Beats::ZERO;
    let mut notes = Vec::new();
    for word in text.split_whitespace() {
        let mut word = word;
        if let Some(rest) = word.strip_prefix('"') {
            let (symbol, rest) = rest.split_once('"').unwrap_or_else(|| panic!("an unclosed chord symbol in {word}"));
            let chords = chords.as_mut().unwrap_or_else(|| panic!("chord symbols stand in the melody: {word}"));
            let place = rest.strip_prefix('@').map(beats);
            chords.push(PlacedChord::new(place.unwrap_or(at), symbol_of(symbol)));
            if place.is_some() || rest.is_empty() {
                continue;
            }
            word = rest;
        }
        let (what, length) = word.split_once(':').unwrap_or((word, "1"));
        let length = beats(length);
        let rolled = what.starts_with('~');
        let pitches = match what.trim_start_matches('~') {
            "r" => Vec::new(),
            w => {
                w.trim_matches(['[', ']']).split('+').map(|p| Pitch::parse(p).unwrap_or_else(|| panic!("no pitch {p} in {word}"))).collect()
            }
        };
        notes.push(Note { rolled, ..Note::of(at, length, pitches) });
        at += length;
    }
    notes
}

/// Writes notes in the short form; the inverse of [`notes`].
pub fn show(notes: &[Note]) -> String {
    let word = |n: &Note| {
        let pitches: Vec<String> = n.pitches.iter().map(Pitch::to_string).collect();
        let what = match pitches.len() {
            0 => "r".to_owned(),
            1 => pitches[0].clone(),
            _ => format!("{}[{}]", if n.rolled { "~" } else { "" }, pitches.join("+")),
        };
        format!("{what}:{}", n.length)
    };
    notes.iter().map(word).collect::<Vec<_>>().join(" ")
}

fn beats(text: &str) -> Beats {
    let number = |t: &str| t.parse::<i64>().unwrap_or_else(|_| panic!("no length {text}"));
    let made = match (text.split_once('/'), text.split_once('.')) {
        (Some((n, d)), _) => Beats::quarters(number(n), number(d)),
        (_, Some((whole, part))) => {
            let scale = 10_i64.pow(part.len() as u32);
            Beats::quarters(number(whole) * scale + number(part), scale)
        }
        _ => Beats::quarters(number(text), 1),
    };
    made.unwrap_or_else(|| panic!("no exact length {text}"))
}

fn meter(text: &str) -> Meter {
    let (n, d) = text.split_once('/').unwrap_or_else(|| panic!("no meter {text}"));
    Meter::simple(n.parse().expect("a numerator"), d.parse().expect("a denominator"))
}

fn name(text: &str) -> (PitchName, &str) {
    let step = text.chars().next().and_then(Step::from_letter).unwrap_or_else(|| panic!("no letter in {text}"));
    let rest = &text[1..];
    match rest.chars().next() {
        Some('#') => (PitchName::new(step, 1), &rest[1..]),
        Some('b') => (PitchName::new(step, -1), &rest[1..]),
        _ => (PitchName::new(step, 0), rest),
    }
}

fn key(text: &str) -> Key {
    let (tonic, mode) = name(text);
    let mode = match mode {
        "" => Mode::Major,
        "m" => Mode::Minor,
        "dor" => Mode::Dorian,
        "mix" => Mode::Mixolydian,
        other => panic!("no mode {other}"),
    };
    Key::of(tonic, mode)
}

fn symbol_of(text: &str) -> ChordSymbol {
    if text == "N.C." {
        return ChordSymbol { harmony: Harmony::NoChord, source: text.into() };
    }
    let (whole, bass) = text.split_once('/').map_or((text, None), |(w, b)| (w, Some(name(b).0)));
    let (root, kind) = name(whole);
    let kind = match kind {
        "" => ChordKind::Major,
        "m" => ChordKind::Minor,
        "7" => ChordKind::Dominant,
        "m7" => ChordKind::MinorSeventh,
        "maj7" => ChordKind::MajorSeventh,
        "dim" => ChordKind::Diminished,
        other => panic!("no chord kind {other} in the short form"),
    };
    ChordSymbol { harmony: Harmony::Chord(Chord { bass, ..Chord::new(root, kind) }), source: text.into() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_round_trip() {
        let text = "C3:1 ~[G2+D3+G3]:2 r:1/2 F#4:1/2";
        assert_eq!(show(&notes(text)), text);
    }

    #[test]
    fn a_sheet_has_pickup_chords_and_repeats() {
        let tune = sheet(r#"3/4 G |: ( D4:1 | "G"G4:2 B4:1 | "D7"A4:3 :|| "Em"@1 E4:3 |"#);
        let frames: Vec<_> = tune.measures.iter().map(|m| &m.frame).collect();
        assert_eq!(frames.iter().map(|f| f.number.count).collect::<Vec<_>>(), [0, 1, 2, 3]);
        assert!(frames[0].repeat_start && frames[2].repeat_end == Some(2));
        assert_eq!(frames[2].right, Barline::Double);
        assert_eq!(frames[3].chords[0].at, Beats::QUARTER);
        assert_eq!(frames[0].length, Beats::QUARTER);
    }
}
