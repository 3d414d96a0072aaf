//! Small pieces in four voices, invented; what their chords are is common practice (any harmony book, chapters on inversion and on tones outside the chord).

use super::*;
use music::{Frame, Key, Meter, Mode, Pitch, VoiceLine, VoiceNote};

/// A voice is notes like "C5:2" (length in quarters, "C5:1/2" for half of one) from the top voice down; "r" is a rest.
fn voices(key: Key, meter: Meter, lines: &[&str]) -> Voices {
    let line = |text: &&str| {
        let mut at = Beats::ZERO;
        let mut notes = Vec::new();
        for word in text.split_whitespace() {
            let (name, length) = word.split_once(':').expect("a note has a length");
            let (above, below) = length.split_once('/').unwrap_or((length, "1"));
            let number = |t: &str| t.parse::<i64>().expect("a number");
            let length = Beats::quarters(number(above), number(below)).expect("a length");
            if name != "r" {
                notes.push(VoiceNote { start: at, length, pitch: Pitch::parse(name).expect("a pitch") });
            }
            at += length;
        }
        (at, VoiceLine { name: String::new(), notes })
    };
    let read: Vec<(Beats, VoiceLine)> = lines.iter().map(line).collect();
    let length = read.iter().map(|r| r.0).max().unwrap_or(Beats::ZERO);
    let measures = (length + meter.length() - Beats::SMALLEST).div_floor(meter.length());
    let frames = (1..=measures).map(|n| Frame::plain(n as u32, meter.clone(), key.clone())).collect();
    Voices { frames, lines: read.into_iter().map(|r| r.1).collect(), ..Voices::default() }
}

fn hymn(lines: &[&str]) -> Vec<FoundChord> {
    chords(&voices(Key::C_MAJOR, Meter::simple(4, 4), lines), &Weights::ours())
}

#[track_caller]
fn check(found: &[FoundChord], expected: &str) {
    let shown: Vec<String> = found.iter().map(|c| format!("{}:{:#}", c.start.fraction().0, c.chord)).collect();
    assert_eq!(shown.join(" "), expected);
}

fn why(chord: &FoundChord) -> String {
    chord.reasons.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

#[test]
fn plain_chords_and_an_inversion() {
    let found = hymn(&["E5:2 D5:2 E5:4", "C5:2 B4:2 C5:4", "G4:2 G4:2 G4:4", "C4:2 B3:2 C4:4"]);
    check(&found, "0:C 2:G/B 4:C");
    assert_eq!(why(&found[1]), "G B D sound; the third in the bass");
}

/// Passing notes of half a beat in two voices are no chord of their own.
#[test]
fn passing_notes_are_not_chords() {
    let found = hymn(&["E5:1 D5:1/2 C5:1/2 D5:2 C5:4", "G4:2 G4:2 G4:4", "C4:2 B3:2 E4:4", "C3:1 E3:1/2 F3:1/2 G3:2 C3:4"]);
    check(&found, "0:C 2:G 4:C");
    assert_eq!(why(&found[0]), "C E G sound; D passes; F passes");
}

/// The fourth that is held over from the chord before and falls to the third belongs to the dominant.
#[test]
fn a_suspension_is_not_a_chord() {
    let found = hymn(&["A4:2 D5:2 C5:4", "F4:2 G4:2 G4:4", "C5:3 B4:1 E4:4", "F3:2 G3:2 C3:4"]);
    check(&found, "0:F 2:G 4:C");
    assert!(why(&found[1]).contains("C is held back and falls"), "{}", why(&found[1]));
}

/// The augmented sixth before the dominant sounds as a dominant seventh; for a table it is neither.
#[test]
fn an_augmented_sixth_is_told_by_its_spelling() {
    let minor = Key::new(-3, Mode::Minor);
    let lines = ["G4:2 F#4:2 G4:4", "Eb4:2 Eb4:2 D4:4", "C4:2 C4:2 B3:4", "C3:2 Ab2:2 G2:4"];
    let found = chords(&voices(minor, Meter::simple(4, 4), &lines), &Weights::ours());
    check(&found, "0:Cm 2:A♭7 4:G");
    assert_eq!((found[1].label.root, found[1].label.quality.in_tables()), (6, "other"));
}

/// Broken chords of a piano: one note at a time, a chord a measure.
#[test]
fn broken_chords_are_whole() {
    let found = hymn(&["C4:1 E4:1 G4:1 E4:1 D4:1 F4:1 G4:1 F4:1 C4:1 E4:1 G4:1 C5:1", "C3:4 B2:4 C3:4"]);
    check(&found, "0:C 4:G7/B 8:C");
}

#[test]
fn silence_and_nothing() {
    assert_eq!(hymn(&["r:4"]), Vec::new());
    assert_eq!(chords(&Voices::default(), &Weights::ours()), Vec::new());
}

#[test]
fn the_table_is_whole() {
    let text = include_str!("weights.txt");
    for name in NAMES {
        let lines = text.lines().filter(|l| l.split_whitespace().next() == Some(name)).count();
        assert_eq!(lines, 1, "the weight {name} stands in the table once");
    }
    let weights = Weights::ours();
    assert!(weights.degrees.iter().flatten().flatten().chain(weights.follows.iter().flatten().flatten()).all(|n| *n > 0));
}

/// Moved by any number of semitones, with every name moved too, the chords move and nothing else changes.
#[test]
fn the_same_in_every_key() {
    let lines = [
        "E5:1 F5:1 G5:2 F5:1 E5:1 D5:2 C5:4",
        "C5:1 C5:1 B4:2 A4:1 C5:1 B4:2 G4:4",
        "G4:1 A4:1 D4:2 D4:1 G4:1 G4:2 E4:4",
        "C4:1 F3:1 G3:2 D3:1 E3:1 G3:2 C3:4",
    ];
    let at_home = voices(Key::C_MAJOR, Meter::simple(4, 4), &lines);
    let plain = chords(&at_home, &Weights::ours());
    for (steps, semitones) in [(1, 2), (2, 3), (3, 5), (4, 7), (-1, -1), (-2, -3), (0, 1)] {
        let interval = music::Interval::new(steps, semitones);
        let mut moved = at_home.clone();
        moved.frames.iter_mut().for_each(|f| f.key = f.key.up(interval));
        moved.lines.iter_mut().flat_map(|l| &mut l.notes).for_each(|n| n.pitch = n.pitch.up(interval));
        let expected: Vec<Chord> = plain.iter().map(|c| c.chord.up(interval)).collect();
        let found: Vec<Chord> = chords(&moved, &Weights::ours()).into_iter().map(|c| c.chord).collect();
        assert_eq!(found, expected, "moved by {semitones}");
    }
}

/// A hymn of a hundred measures in eighths is weighed in at most sixteen stretches a moment: the work grows with its length and no faster.
#[test]
fn a_long_hymn_is_counted() {
    let mut lines = vec![String::new(); 4];
    for measure in 0..100 {
        for (line, names) in lines.iter_mut().zip([["E5", "D5"], ["C5", "B4"], ["G4", "G4"], ["C3", "G3"]]) {
            (0..8).for_each(|i| *line += &format!("{}:1/2 ", names[(measure + i / 4) % 2]));
        }
    }
    let voices = voices(Key::C_MAJOR, Meter::simple(4, 4), &lines.iter().map(String::as_str).collect::<Vec<_>>());
    let moments = moments::moments(&voices);
    assert_eq!(moments.len(), 800);
    let keys = keys::keys(&moments, 0, Weights::ours().key_change());
    let weighed = search::stretches(&moments);
    assert!(weighed <= 800 * 16, "{weighed} stretches");
    assert_eq!(search::search(&moments, &keys, &Weights::ours()).last().map(|f| f.to), Some(800));
}
