//! A change of single notes as a line of text: written, and read again.

use crate::worktable::{beats, chord_name, chord_place};
use check::Change;
use check::change::Role;
use music::{Beats, Hand, Mark, Pitch, Place};

/// A change as a line; `None` for what is chosen otherwise (tempo, key) or belongs to the printed settings.
pub fn written(change: &Change) -> Option<String> {
    let what = match change {
        Change::Roll { .. } => "roll".into(),
        Change::LeaveOut { pitch, .. } => format!("leave out {pitch}"),
        Change::Leave { staff, pitch, .. } => format!("{}: leave out {pitch}", staff_name(*staff)),
        Change::Octave { pitch, octaves, .. } => format!("{pitch} by octaves {octaves}"),
        Change::WholeOctave { staff, octaves, .. } => format!("{}: by octaves {octaves}", staff_name(*staff)),
        Change::Respell { pitch, to, .. } => format!("{pitch} as {to}"),
        Change::Later { staff, by, .. } => format!("{}: later by {}", staff_name(*staff), quarters(*by)),
        Change::Earlier { staff, by, .. } => format!("{}: earlier by {}", staff_name(*staff), quarters(*by)),
        Change::Silence { .. } => "let ring".into(),
        Change::Drop { staff, .. } => format!("{}: let ring", staff_name(*staff)),
        Change::OnlyFirst { staff, to, .. } => format!("{}: only the first before {}", staff_name(*staff), quarters(*to)),
        Change::Pluck { staff, pitches, .. } => format!("{}: pluck {}", staff_name(*staff), names(pitches)),
        Change::Muffle { pitches, .. } => format!("muffle {}", names(pitches)),
        Change::Becomes { staff, pitch, to, .. } => format!("{}: {pitch} becomes {to}", staff_name(*staff)),
        Change::Lasts { staff, length, .. } => format!("{}: lasts {}", staff_name(*staff), quarters(*length)),
        Change::Split { staff, after, .. } => format!("{}: again after {}", staff_name(*staff), quarters(*after)),
        Change::Finger { staff, pitch, finger, .. } => format!("{}: finger {finger} on {pitch}", staff_name(*staff)),
        Change::Move { mark: Mark::Lever(pitch), .. } => format!("move lever {pitch}"),
        Change::Move { mark: Mark::Pedal(name), .. } => format!("move pedal {name}"),
        Change::Move { .. } => return None,
        Change::Slower { .. } | Change::Print { .. } | Change::OtherKey { .. } => return None,
    };
    let place = change.place()?;
    Some(format!("{} {what}", chord_name(place.measure, place.at)))
}

fn staff_name(staff: Hand) -> &'static str {
    match staff {
        Hand::Right => "upper staff",
        Hand::Left => "lower staff",
    }
}

fn names(pitches: &[Pitch]) -> String {
    pitches.iter().map(Pitch::to_string).collect::<Vec<_>>().join(" ")
}

fn quarters(length: music::Beats) -> String {
    chord_name(0, length)[2..].to_owned()
}

/// Reads a line that [`written`] wrote, or that she wrote like it.
pub fn read(line: &str) -> Option<Change> {
    let (place, what) = line.trim().split_once(' ')?;
    let (measure, at) = chord_place(place)?;
    let place = Place { measure, at };
    let staffs = [Hand::Left, Hand::Right];
    let on = staffs.iter().find_map(|staff| Some((*staff, what.strip_prefix(staff_name(*staff))?.strip_prefix(':')?.trim())));
    match on {
        Some((staff, what)) => on_a_staff(place, staff, what),
        None => on_both(place, what.trim()),
    }
}

fn on_a_staff(place: Place, staff: Hand, what: &str) -> Option<Change> {
    if what == "let ring" {
        return Some(Change::Drop { place, staff });
    }
    let rest = |start: &str| what.strip_prefix(start).map(str::trim);
    None.or_else(|| Some(Change::Leave { place, staff, pitch: Pitch::parse(rest("leave out ")?)? }))
        .or_else(|| Some(Change::WholeOctave { place, staff, octaves: octaves(rest("by octaves ")?)? }))
        .or_else(|| Some(Change::Later { place, staff, by: beats(rest("later by ")?)? }))
        .or_else(|| Some(Change::Earlier { place, staff, by: beats(rest("earlier by ")?)? }))
        .or_else(|| Some(Change::OnlyFirst { place, staff, to: beats(rest("only the first before ")?)? }))
        .or_else(|| Some(Change::Pluck { place, staff, pitches: pitches(rest("pluck ")?)? }))
        .or_else(|| Some(Change::Lasts { place, staff, length: longer_than_nothing(rest("lasts ")?)? }))
        .or_else(|| Some(Change::Split { place, staff, after: longer_than_nothing(rest("again after ")?)? }))
        .or_else(|| {
            let (finger, pitch) = rest("finger ")?.split_once(" on ")?;
            Some(Change::Finger { place, staff, pitch: Pitch::parse(pitch)?, finger: finger.parse().ok().filter(|f| (1..=4).contains(f))? })
        })
        .or_else(|| {
            let (pitch, to) = what.split_once(" becomes ")?;
            Some(Change::Becomes { place, staff, pitch: Pitch::parse(pitch)?, to: Pitch::parse(to)? })
        })
}

fn on_both(place: Place, what: &str) -> Option<Change> {
    match what {
        "roll" => return Some(Change::Roll { place }),
        "let ring" => return Some(Change::Silence { place }),
        _ => {}
    }
    let rest = |start: &str| what.strip_prefix(start).map(str::trim);
    let octave = || {
        let (pitch, by) = what.split_once(" by octaves ")?;
        Some(Change::Octave { place, pitch: Pitch::parse(pitch)?, octaves: octaves(by)? })
    };
    let respell = || {
        let (pitch, to) = what.split_once(" as ")?;
        Some(Change::Respell { place, pitch: Pitch::parse(pitch)?, to: Pitch::parse(to)? })
    };
    // What the tone was to its chord is no longer known; it only names the effect.
    None.or_else(|| Some(Change::LeaveOut { place, pitch: Pitch::parse(rest("leave out ")?)?, role: Role::Inner }))
        .or_else(|| Some(Change::Muffle { place, pitches: pitches(rest("muffle ")?)? }))
        .or_else(|| Some(Change::Move { place, mark: Mark::Lever(Pitch::parse(rest("move lever ")?)?) }))
        .or_else(|| Some(Change::Move { place, mark: Mark::Pedal(Pitch::parse(&format!("{}4", rest("move pedal ")?))?.name()) }))
        .or_else(octave)
        .or_else(respell)
}

fn longer_than_nothing(text: &str) -> Option<Beats> {
    beats(text).filter(|length| *length > Beats::ZERO)
}

fn octaves(text: &str) -> Option<i32> {
    text.trim().parse().ok().filter(|n: &i32| (-4..=4).contains(n) && *n != 0)
}

fn pitches(text: &str) -> Option<Vec<Pitch>> {
    let all: Option<Vec<Pitch>> = text.split_whitespace().map(Pitch::parse).collect();
    all.filter(|all| !all.is_empty() && all.len() <= 8)
}

#[cfg(test)]
mod tests {
    use super::super::{read_all, up};
    use super::*;
    use arrange::tune::Tune;
    use music::Interval;

    fn tune() -> Tune {
        let tempo = music::Tempo::of(music::Beats::QUARTER, 90).expect("in range");
        Tune::lay_out(&music::text::sheet("4/4 C | C5:4 | D5:4 |"), 1, tempo)
    }

    /// Every kind of line, read and written again.
    #[test]
    fn lines_read_back() {
        let lines = [
            "3@3/2 roll",
            "3@0 leave out F#2",
            "3@0 lower staff: leave out Bb2",
            "12@1 G2 by octaves 1",
            "12@1 upper staff: by octaves -1",
            "0@1/2 G#3 as Ab3",
            "0@2 lower staff: later by 1/2",
            "0@2 lower staff: earlier by 1/4",
            "5@0 let ring",
            "5@0 lower staff: let ring",
            "5@0 lower staff: only the first before 3",
            "5@0 lower staff: pluck C3 G3",
            "5@0 muffle C3 G3",
            "5@0 lower staff: C3 becomes Eb3",
            "5@0 upper staff: lasts 3/2",
            "5@0 lower staff: again after 1/2",
            "5@0 lower staff: finger 2 on F#3",
            "5@3/2 move lever F#3",
            "5@3/2 move pedal Bb",
        ];
        for line in lines {
            assert_eq!(read(line).as_ref().and_then(written).as_deref(), Some(line));
        }
    }

    #[test]
    fn other_lines_are_refused_with_what_was_expected() {
        let bad = [
            "",
            "roll",
            "3@0",
            "3@0 dance",
            "x@0 roll",
            "3@0 leave out",
            "3@0 leave out H2",
            "3@0 G2 by octaves 0",
            "3@0 lower staff: roll",
            "3@0 lower staff: finger 5 on C3",
            "3@0 lower staff: lasts 0",
            "3@0 move lever H3",
        ];
        for line in bad {
            assert_eq!(read(line), None, "{line}");
        }
        let refused = read_all(&["3@0 dance".into()], Interval::UNISON, &tune()).expect_err("no change");
        assert_eq!(refused.to_string(), "change \"3@0 dance\": expected a place and what is done there, like 3@2 leave out G2");
    }

    /// Up a whole tone and back (common practice: G up a major second is A).
    #[test]
    fn another_key_keeps_a_change() {
        let tone = Interval::new(1, 2);
        let change = read("3@0 leave out G2").expect("a change");
        assert_eq!(written(&up(&change, tone)).as_deref(), Some("3@0 leave out A2"));
    }
}
