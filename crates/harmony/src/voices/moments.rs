//! The score as a row of moments: from one onset of any voice to the next, with what sounds in each.
//!
//! Figuration is told here, from a note's neighbours in its own voice, before any chord is known: it only says how lightly a note weighs where a chord
//! does not hold it.

use music::{Beats, Frame, Meter, PitchName, VoiceNote, Voices};

/// What a note may be if it is not of the chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Figuration {
    /// Leaps on both sides, or nothing beside it.
    None,
    /// By step from one note on to another one, in one direction.
    Passing,
    /// By step away and back.
    Neighbour,
    /// Held or struck again from before, then down by step.
    Suspension,
    /// The next note is the same, and the note before it is a step away.
    Anticipation,
    /// Reached by leap, left by step.
    Appoggiatura,
    /// Reached by step, left by leap.
    Escape,
    /// Held or repeated on both sides.
    Held,
}

/// One note as it sounds in a moment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sounding {
    pub pitch: i32,
    pub name: PitchName,
    pub figuration: Figuration,
    /// As long as a beat or longer.
    pub long: bool,
    /// Begins here, on a beat.
    pub begins: bool,
    pub on_beat: bool,
}

/// From one onset to the next.
#[derive(Clone, Debug)]
pub(super) struct Moment {
    pub measure: usize,
    /// In the measure, and from the start.
    pub at: Beats,
    pub start: Beats,
    /// In thousandths of a quarter note.
    pub length: i64,
    /// 0 for the first beat of a measure, then strong beats, beats, halves of beats, and the rest.
    pub level: usize,
    pub notes: Vec<Sounding>,
}

/// How many levels of accent there are.
pub(super) const LEVELS: usize = 5;

/// All moments in which anything sounds, and those of silence between them.
pub(super) fn moments(voices: &Voices) -> Vec<Moment> {
    let starts = voices.starts();
    let end = voices.frames.last().map_or(Beats::ZERO, |f| f.length) + starts.last().copied().unwrap_or(Beats::ZERO);
    let all = || voices.lines.iter().flat_map(|l| &l.notes);
    if end.is_zero() {
        return Vec::new();
    }
    let mut onsets: Vec<Beats> = all().map(|n| n.start).filter(|at| *at < end).collect();
    onsets.sort_unstable();
    onsets.dedup();
    let mut moments: Vec<Moment> = Vec::with_capacity(onsets.len());
    for (i, start) in onsets.iter().enumerate() {
        let measure = starts.partition_point(|s| s <= start).max(1) - 1;
        let until = onsets.get(i + 1).copied().unwrap_or(end);
        let at = *start - starts[measure];
        let level = level(at, &voices.frames[measure], measure);
        let length = (until - *start).thousandths_of(Beats::QUARTER);
        moments.push(Moment { measure, at, start: *start, length, level, notes: Vec::new() });
    }
    for line in &voices.lines {
        for (i, note) in line.notes.iter().enumerate() {
            let figuration = figuration(i.checked_sub(1).map(|b| &line.notes[b]), note, line.notes.get(i + 1));
            let from = onsets.partition_point(|s| *s < note.start);
            for moment in moments[from..].iter_mut().take_while(|m| m.start < note.end()) {
                let meter = &voices.frames[moment.measure].meter;
                let figuration = if moment.start > note.start { held(figuration, note, line.notes.get(i + 1)) } else { figuration };
                moment.notes.push(Sounding {
                    pitch: note.pitch.midi(),
                    name: note.pitch.name(),
                    figuration,
                    long: note.length >= meter.beat(),
                    begins: moment.start == note.start,
                    on_beat: moment.level < 3,
                });
            }
        }
    }
    moments
}

/// A short first measure is the end of a full one.
fn level(at: Beats, frame: &Frame, measure: usize) -> usize {
    let meter: &Meter = &frame.meter;
    let full = meter.length();
    let at = if measure == 0 && frame.length < full { at + full - frame.length } else { at };
    let half = meter.beat().scaled(1, if meter.is_compound() { 3 } else { 2 }).unwrap_or(meter.beat());
    match () {
        _ if at.is_zero() => 0,
        _ if meter.strong_beats().contains(&at) => 1,
        _ if (at % meter.beat()).is_zero() => 2,
        _ if (at % half).is_zero() => 3,
        _ => 4,
    }
}

/// A note that goes on under a change of the others: what follows it tells whether it was held back.
fn held(begun: Figuration, note: &VoiceNote, after: Option<&VoiceNote>) -> Figuration {
    let on = after.filter(|a| a.start - note.end() <= Beats::QUARTER).map(|a| a.pitch.midi() - note.pitch.midi());
    match (on, begun) {
        (Some(-2 | -1), _) => Figuration::Suspension,
        (_, Figuration::Passing | Figuration::Neighbour) => begun,
        _ => Figuration::Held,
    }
}

fn figuration(before: Option<&VoiceNote>, note: &VoiceNote, after: Option<&VoiceNote>) -> Figuration {
    let near = |other: &VoiceNote, gap: Beats| (gap <= Beats::QUARTER).then(|| other.pitch.midi() - note.pitch.midi());
    let back = before.and_then(|b| near(b, note.start - b.end()));
    let on = after.and_then(|a| near(a, a.start - note.end()));
    let step = |d: i32| (1..=2).contains(&d.abs());
    match (back, on) {
        (Some(b), Some(a)) if step(b) && step(a) && b.signum() != a.signum() => Figuration::Passing,
        (Some(b), Some(a)) if step(b) && step(a) => Figuration::Neighbour,
        (Some(0), Some(a)) if step(a) && a < 0 => Figuration::Suspension,
        (Some(b), Some(0)) if step(b) => Figuration::Anticipation,
        (Some(0), Some(0)) => Figuration::Held,
        (_, Some(a)) if step(a) => Figuration::Appoggiatura,
        (Some(b), _) if step(b) => Figuration::Escape,
        _ => Figuration::None,
    }
}
