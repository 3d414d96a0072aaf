//! Hands what the writers write to validators: the W3C schema of MusicXML 4.0, music21 for the MusicXML, mido for the MIDI.

use crate::facts::{Fraction, prepared};
use crate::seen::{self, fraction};
use music::{Beats, Chord, ChordKind, Decoration, DegreeChange, Frame, Hand, Harmony, Key, Meter, MeterSign, Note, Score};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

/// Writes every score as MusicXML and MIDI and has both validated and read back; panics with what was found. Names must differ.
pub fn validate(scores: &[(String, Score)]) {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    for (index, (name, score)) in scores.iter().enumerate() {
        let plain: String = name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        let stem = folder.path().join(format!("{index:04}-{plain}"));
        write(&stem.with_extension("musicxml"), formats::musicxml::write::write(score).as_bytes());
        write(&stem.with_extension("mid"), &formats::midi::write(score));
        write(&stem.with_extension("json"), held(score).to_string().as_bytes());
    }
    let script = Path::new("../../outside/validate.py");
    let output = Command::new(prepared("UNDERSONG_PYTHON")).arg(script).arg(folder.path()).output().expect("python can be run");
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{said}\n{}", String::from_utf8_lossy(&output.stderr));
    let expected = format!("{} scores valid", scores.len());
    assert!(said.starts_with(&expected), "expected \"{expected} …\", found {said}");
    println!("{said}");
}

fn write(path: &Path, bytes: &[u8]) {
    std::fs::write(path, bytes).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
}

/// What the score holds, for the validators to compare with what they read back.
fn held(score: &Score) -> Value {
    let frames: Vec<_> = score.measures.iter().map(|m| &m.frame).collect();
    let written: Vec<usize> = (0..frames.len()).collect();
    let order = music::order::playing_order(&frames).measures;
    json!({
        "starts": starts(score, &written).iter().map(Beats::to_string).collect::<Vec<_>>(),
        "right": tones(score, &written, Hand::Right),
        "left": tones(score, &written, Hand::Left),
        "played_right": played(score, &order, Hand::Right),
        "played_left": played(score, &order, Hand::Left),
        "grace_right": graces(score, &order, Hand::Right),
        "grace_left": graces(score, &order, Hand::Left),
        "order": comparable(&frames).then_some(&order),
        "keys": changes(score, |s, i| key(&s.measures[i].frame.key)),
        "meters": changes(score, |s, i| meter(&s.measures[i].frame.meter)),
        "chords": chords(score),
    })
}

/// music21 follows repeats and endings, and it follows jumps, but not both in one piece; and no repeat that is opened and never closed.
fn comparable(frames: &[&Frame]) -> bool {
    let jumps = frames.iter().any(|f| !f.jumps.is_empty());
    let closed = frames.iter().filter(|f| f.repeat_end.is_some()).count();
    let opened = frames.iter().filter(|f| f.repeat_start).count();
    opened <= closed && !(jumps && closed > 0)
}

/// Where each of these measures starts when they are laid end to end.
fn starts(score: &Score, order: &[usize]) -> Vec<Beats> {
    let mut at = Beats::ZERO;
    let mut all = Vec::new();
    for index in order {
        all.push(at);
        at += score.measures[*index].frame.length;
    }
    all
}

/// One sounding tone, ties joined. `slack` is how much later than written it may begin when played.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Tone {
    onset: Beats,
    pitch: i32,
    length: Beats,
    slack: Beats,
}

/// [pitch, onset, length] of every sounding tone of a hand.
fn tones(score: &Score, order: &[usize], hand: Hand) -> Vec<Value> {
    let row = |t: Tone| json!([t.pitch, t.onset.to_string(), t.length.to_string()]);
    joined(score, order, hand).into_iter().map(row).collect()
}

/// [pitch, onset, length, slack] of every string that is plucked, in playing order.
fn played(score: &Score, order: &[usize], hand: Hand) -> Vec<Value> {
    let mut tones = joined(score, order, hand);
    tones.dedup_by_key(|t| (t.onset, t.pitch));
    let row = |t: Tone| json!([t.pitch, t.onset.to_string(), t.length.to_string(), t.slack.to_string()]);
    tones.into_iter().map(row).collect()
}

/// How many strings are plucked as grace notes.
fn graces(score: &Score, order: &[usize], hand: Hand) -> usize {
    let notes = order.iter().flat_map(|i| score.measures[*i].hand(hand));
    notes.flat_map(|n| &n.grace).map(|g| g.pitches.len()).sum()
}

fn joined(score: &Score, order: &[usize], hand: Hand) -> Vec<Tone> {
    let mut tones = Vec::new();
    let mut held = BTreeMap::new();
    for (start, index) in starts(score, order).into_iter().zip(order) {
        for note in score.measures[*index].hand(hand) {
            held = join(&mut tones, &held, start, note);
        }
    }
    tones.sort();
    tones
}

/// Adds the tones of a note, or lengthens those it is tied to; gives the tones that the next note may be tied to.
fn join(tones: &mut Vec<Tone>, held: &BTreeMap<i32, usize>, start: Beats, note: &Note) -> BTreeMap<i32, usize> {
    let mut next = BTreeMap::new();
    for pitch in note.pitches.iter().map(|p| p.midi()) {
        let index = match held.get(&pitch).filter(|_| note.tie.from_before) {
            Some(index) => {
                tones[*index].length += note.length;
                *index
            }
            None => {
                tones.push(Tone { onset: start + note.at, pitch, length: note.length, slack: slack(note) });
                tones.len() - 1
            }
        };
        if note.tie.to_next {
            next.insert(pitch, index);
        }
    }
    next
}

/// A rolled chord, and a note with grace notes that found no room before it, begin within the first half of their length.
fn slack(note: &Note) -> Beats {
    let spread = note.rolled || note.decorations.contains(&Decoration::Arpeggio) || !note.grace.is_empty();
    if spread { note.length.scaled(1, 2).unwrap_or(note.length) } else { Beats::ZERO }
}

/// [measure, place, value] wherever a value differs from the measure before; what has no value is not printed.
fn changes(score: &Score, value: impl Fn(&Score, usize) -> Value) -> Vec<Value> {
    let differs = |i: &usize| *i == 0 || value(score, *i) != value(score, *i - 1);
    let printed = |i: &usize| !value(score, *i).is_null();
    (0..score.measures.len()).filter(differs).filter(printed).map(|i| json!([i, "0", value(score, i)])).collect()
}

/// Signatures of more than seven signs, or with accidentals of their own, have no number; music21 sees them as single accidentals.
fn key(key: &Key) -> Value {
    if key.fifths.abs() <= 7 && key.explicit.is_empty() { key.fifths.into() } else { Value::Null }
}

fn meter(meter: &Meter) -> Value {
    match meter.sign {
        MeterSign::Free => Value::Null,
        _ => seen::meter_text(meter).into(),
    }
}

/// music21 has a Neapolitan of its own and keeps a root that a degree takes away.
fn music21_is_mistaken(chord: &Chord) -> bool {
    let rootless = chord.degrees.iter().any(|d| d.change == DegreeChange::Subtract && d.value == 1);
    chord.kind == ChordKind::Neapolitan || rootless
}

/// [measure, place, root, pitch classes, bass] of every chord symbol; no pitch classes where music21 has them wrong.
fn chords(score: &Score) -> Vec<Value> {
    let mut all = Vec::new();
    for (index, measure) in score.measures.iter().enumerate() {
        for placed in &measure.frame.chords {
            let at: Fraction = fraction(placed.at);
            all.push(match &placed.symbol.harmony {
                Harmony::NoChord => json!([index, at.to_string(), null, [], null]),
                Harmony::Chord(c) if music21_is_mistaken(c) => {
                    json!([index, at.to_string(), c.root.pitch_class(), null, c.bass_name().pitch_class()])
                }
                Harmony::Chord(c) => {
                    json!([index, at.to_string(), c.root.pitch_class(), c.pitch_classes(), c.bass_name().pitch_class()])
                }
            });
        }
    }
    all
}
