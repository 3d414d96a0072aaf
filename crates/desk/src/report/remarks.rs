//! What the arranger noticed, in sentences for a harpist; a tune moved by octaves comes first.

use crate::job::{Job, Setup};
use crate::wishes::key::signed;
use crate::wishes::tempo;
use arrange::{NotHad, Remark};
use music::{Interval, Key, Mode};

/// The remarks worth a sentence. The assumed tempo has its own line in the report.
pub fn sentences(job: &Job, setup: &Setup) -> Vec<String> {
    let mut remarks: Vec<&Remark> = job.arrangement.remarks.iter().collect();
    remarks.sort_by_key(|remark| !matches!(remark, Remark::MovedByOctaves(_) | Remark::LeavesTheHarp(_) | Remark::NotHad(_)));
    let mut made: Vec<String> = remarks.into_iter().filter_map(sentence).collect();
    made.extend(setup.instead(job));
    made.extend(moved(job));
    made
}

fn sentence(remark: &Remark) -> Option<String> {
    Some(match remark {
        Remark::MovedByOctaves(octaves) => {
            let way = if *octaves > 0 { "up" } else { "down" };
            let count = match octaves.unsigned_abs() {
                1 => "an octave".to_owned(),
                n => format!("{n} octaves"),
            };
            format!("The tune leaves this harp as written, so all of it is moved {way} {count}.")
        }
        Remark::LeavesTheHarp(measures) => {
            format!(
                "The tune leaves this harp in {}, and no octave helps: those notes have no string. Try another --key.",
                in_measures(measures)
            )
        }
        Remark::NotHad(notes) => not_had(notes),
        Remark::LiesLow => "The tune lies low and leaves the left hand little room; with --octave 1 it would have more.".into(),
        Remark::NoChords => "The tune has no chord symbols, so the left hand has nothing to play: write chords above the melody.".into(),
        Remark::TempoAssumed(_) => return None,
        Remark::PinNotPlayable { measure, figure } => {
            format!("Your pin {figure} cannot be played in all of measure {measure}: the nearest that can stands in.")
        }
        Remark::PinNowhere { measure } => format!("You pinned a figure to measure {measure}, and no measure has that number."),
        Remark::NoRoom(measures) => {
            format!("There is no room for the left hand under the tune in {}: it rests there.", in_measures(measures))
        }
    })
}

/// The notes of the tune that this harp does not have at their moment.
fn not_had(notes: &[NotHad]) -> String {
    let named = |notes: &[&NotHad]| {
        let all: Vec<String> =
            notes.iter().take(4).map(|n| format!("{} in measure {}", signed(n.pitch.name(), n.pitch.octave), n.number)).collect();
        let more = if notes.len() > 4 { format!(" and {} more", notes.len() - 4) } else { String::new() };
        format!("{}{more}", all.join(", "))
    };
    let (never, untimely): (Vec<&NotHad>, Vec<&NotHad>) = notes.iter().partition(|n| n.never);
    let mut parts = Vec::new();
    if !never.is_empty() {
        parts.push(format!("this harp has no string for {}", named(&never)));
    }
    if !untimely.is_empty() {
        parts.push(format!("there is no time to set the string for {}, or it is needed otherwise", named(&untimely)));
    }
    format!("Not all of the tune can be had as written: {}.", parts.join("; "))
}

/// A wished key is met with the tune's own mode, so both keys are named.
fn moved(job: &Job) -> Option<String> {
    let by = job.wishes.transpose.filter(|by| *by != Interval::UNISON)?;
    let from: &Key = &job.imported.sheet.measures.first()?.frame.key;
    let way = if by.semitones > 0 { "up" } else { "down" };
    let octaves = by.semitones.abs() / 12;
    let far = match (by.semitones % 12, octaves) {
        (0, 1) => " an octave".to_owned(),
        (0, n) => format!(" {n} octaves"),
        _ if from.mode == Mode::Other => String::new(),
        _ => format!(" from {from} to {}", from.up(by)),
    };
    Some(format!("Moved {way}{far}, as you asked."))
}

/// "measure 3", "measures 3, 4 and 7", runs joined: "measures 3-6 and 9".
pub fn in_measures(numbers: &[u32]) -> String {
    let runs = runs(numbers);
    match runs.as_slice() {
        [one] if !one.contains('-') => format!("measure {one}"),
        [one] => format!("measures {one}"),
        [first @ .., last] => format!("measures {} and {last}", first.join(", ")),
        [] => "no measure".into(),
    }
}

fn runs(numbers: &[u32]) -> Vec<String> {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *number == *last || *number == *last + 1 => *last = *number,
            _ => runs.push((*number, *number)),
        }
    }
    runs.iter().map(|(first, last)| if first == last { first.to_string() } else { format!("{first}-{last}") }).collect()
}

/// How the tempo was come by.
pub fn tempo_line(job: &Job) -> String {
    let arrangement = &job.arrangement;
    let words = tempo::in_words(arrangement.score.tempo);
    match (arrangement.tempo_assumed, job.wishes.tempo.is_some()) {
        (true, _) => format!("{words}, assumed for a tune of this kind, for none is written (--tempo changes it)"),
        (_, true) => format!("{words}, as you wish"),
        _ => format!("{words}, as written"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_in_words() {
        assert_eq!(in_measures(&[3]), "measure 3");
        assert_eq!(in_measures(&[3, 4, 5, 9]), "measures 3-5 and 9");
        assert_eq!(in_measures(&[1, 3, 5]), "measures 1, 3 and 5");
        assert_eq!(in_measures(&[1, 2]), "measures 1-2");
    }
}
