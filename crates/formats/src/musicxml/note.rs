//! One written note, chord or rest: its face value, its pitches, and what is printed at it.

use super::element::{Element, child, child_text, child_whole, children, decimal, has, is_hidden, rounded};
use super::measure::PlacedNote;
use super::notations::{self, Fingering};
use super::remarks::Remarks;
use music::{Beats, Grace, Interval, Note, Pitch, Step, Tie};

/// The note values of the standard (`note-type-value`), longest first, from eight whole notes.
const TYPES: [&str; 14] =
    ["maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"];

/// The length of a note value without dots.
pub fn type_length(name: &str) -> Option<Beats> {
    let place = TYPES.iter().position(|t| *t == name)?;
    Beats::quarters(32, 1 << place)
}

/// A length with dots: each dot adds half of what came before.
pub fn dotted(length: Beats, dots: usize) -> Option<Beats> {
    let dots = u32::try_from(dots.min(4)).ok()?;
    length.scaled(2_i64.pow(dots + 1) - 1, 2_i64.pow(dots))
}

/// What a note's face says about its length: type, dots, time modification.
pub fn face_value(element: Element) -> Option<Beats> {
    let plain = dotted(type_length(&child_text(element, "type")?)?, children(element, "dot").count())?;
    match child(element, "time-modification") {
        Some(_) => {
            let (actual, normal) = time_modification(element)?;
            plain.scaled(i64::from(normal), i64::from(actual))
        }
        None => Some(plain),
    }
}

/// How many notes stand in the time of how many; the standard gives nested tuplets as their product.
pub fn time_modification(element: Element) -> Option<(u32, u32)> {
    let modification = child(element, "time-modification")?;
    let number = |name| child_whole(modification, name).filter(|n| (1..=1000).contains(n)).map(|n| n as u32);
    Some((number("actual-notes")?, number("normal-notes")?))
}

/// A note of the line. Hidden notes and slashes without pitch become rests.
pub fn build(placed: &PlacedNote, grace: Vec<Grace>, remarks: &mut Remarks) -> Note {
    let pitches = sounding_pitches(placed, remarks);
    let mut note = Note { grace, tie: tie(placed), ..Note::of(placed.at, placed.length, pitches) };
    if note.is_rest() {
        note.tie = Tie::default();
    }
    for member in &placed.members {
        notations::put(*member, &mut note, Fingering::LeftOut, remarks);
    }
    note
}

/// A grace note, or several plucked together.
pub fn build_grace(placed: &PlacedNote, remarks: &mut Remarks) -> Option<Grace> {
    let pitches = sounding_pitches(placed, remarks);
    let first = placed.members[0];
    let place = child_text(first, "type").and_then(|t| TYPES.iter().position(|name| *name == t)).unwrap_or(6);
    let slashed = child(first, "grace").is_some_and(|g| super::element::says_yes(g, "slash"));
    let value = 1 << place.saturating_sub(3);
    (!pitches.is_empty()).then_some(Grace { pitches, value, slashed })
}

/// Lowest first, each once, moved to sounding pitch.
fn sounding_pitches(placed: &PlacedNote, remarks: &mut Remarks) -> Vec<Pitch> {
    let mut pitches: Vec<Pitch> = placed.members.iter().filter_map(|m| pitch(*m, placed.transposition, remarks)).collect();
    pitches.sort_by_key(|p| (p.midi(), p.position()));
    pitches.dedup();
    pitches
}

/// The sounding pitch of one note; what is hidden, slashed or cannot be read has none.
pub fn pitch(element: Element, transposition: Interval, remarks: &mut Remarks) -> Option<Pitch> {
    let pitch = child(element, "pitch")?;
    if is_hidden(element) {
        remarks.note(element, "a note that is not printed is left out", "");
        return None;
    }
    if child_text(element, "notehead").as_deref() == Some("slash") {
        remarks.note(element, "a slash in place of a note is read as a rest", "");
        return None;
    }
    let step = child_text(pitch, "step").and_then(|t| t.chars().next()).and_then(Step::from_letter);
    let octave = child_whole(pitch, "octave").filter(|o| (0..=9).contains(o));
    let (Some(step), Some(octave)) = (step, octave) else {
        remarks.warn(pitch, "a pitch that cannot be read is left out", "a letter A to G and an octave 0 to 9 are expected");
        return None;
    };
    let alter = child_text(pitch, "alter").and_then(|t| decimal(&t)).or_else(|| printed_alter(element, remarks)).unwrap_or((0, 1));
    if alter.0 % alter.1 != 0 {
        remarks.warn(pitch, "a quarter tone is rounded to a semitone", "a harp has no quarter tones");
    }
    let alter = rounded(alter);
    if alter.abs() > 3 {
        remarks.warn(pitch, format!("a pitch altered by {alter} semitones is left out"), "");
        return None;
    }
    Some(Pitch::new(step, alter as i32, octave as i32).up(transposition))
}

/// What a printed accidental means, for a pitch that says nothing of its alteration though an accidental stands at it.
fn printed_alter(element: Element, remarks: &mut Remarks) -> Option<(i64, i64)> {
    let alter = match child_text(element, "accidental")?.as_str() {
        "sharp" => 1,
        "flat" => -1,
        "double-sharp" | "sharp-sharp" => 2,
        "flat-flat" | "double-flat" => -2,
        _ => return None,
    };
    remarks.warn(element, "an accidental is printed at a note whose pitch does not have it, taken as printed", "");
    Some((alter, 1))
}

/// The ties of any pitch of the chord.
fn tie(placed: &PlacedNote) -> Tie {
    let ties = placed.members.iter().map(|m| tie_of(*m));
    ties.fold(Tie::default(), |a, b| Tie { from_before: a.from_before || b.from_before, to_next: a.to_next || b.to_next })
}

/// One note's ties as they sound (`tie`), else as they are drawn (`tied`).
pub fn tie_of(element: Element) -> Tie {
    let says = |kind: &str| {
        let sounding = children(element, "tie").any(|t| t.attribute("type") == Some(kind));
        let drawn = || {
            let mut tied = children(element, "notations").flat_map(|n| n.children().filter(|c| c.has_tag_name("tied")));
            tied.any(|t| t.attribute("type") == Some(kind))
        };
        sounding || (!has(element, "tie") && drawn())
    };
    Tie { from_before: says("stop"), to_next: says("start") }
}

/// The highest written position of a note, for telling voices apart.
pub fn written_top(placed: &PlacedNote) -> Option<i64> {
    let position = |m: &Element| {
        let pitch = child(*m, "pitch")?;
        let step = child_text(pitch, "step").and_then(|t| t.chars().next()).and_then(Step::from_letter)?;
        Some(7 * child_whole(pitch, "octave")? + i64::from(step.index()))
    };
    placed.members.iter().filter_map(position).max()
}
