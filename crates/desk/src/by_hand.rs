//! Changes of single notes by the player's own hand: written as lines beside the tune, laid over the planned page.
//!
//! A line names a place (the measure of the verses from 0, or of a part that was added, and the place in it in quarter notes) and what is done there:
//! "3@3/2 leave out G2", "introduction-0@0 lower staff: pluck C3 G3". Pitches are those of the tune's own key, so that another key keeps the changes. A line whose notes are no longer
//! there changes nothing and stays until she takes it out.

use crate::failure::Failure;
use crate::job::{Job, Setup};
use crate::worktable::{beats, chord_name, chord_place};
use arrange::tune::Tune;
use check::Change;
use check::change::Role;
use music::{Hand, Interval, Part, Pitch, Place, Score};

/// The most changes of one page.
const MOST: usize = 400;

/// One change of hers on this page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ByHand {
    /// In the key of the page.
    pub change: Change,
    /// The page has the notes that it changes.
    pub found: bool,
}

/// Reads her lines for a page that was moved by an interval.
pub fn read_all(lines: &[String], moved: Interval, tune: &Tune) -> Result<Vec<ByHand>, Failure> {
    if lines.len() > MOST {
        return Err(Failure::wrong(format!("{} changes by hand: expected {MOST} at most", lines.len())));
    }
    let one = |line: &String| {
        let expected = "expected a place and what is done there, like 3@2 leave out G2";
        let change = read(&on_the_page(line, tune)).ok_or_else(|| Failure::wrong(format!("change \"{line}\": {expected}")))?;
        Ok(ByHand { change: up(&change, moved), found: false })
    };
    lines.iter().map(one).collect()
}

/// The line with its measure counted on the page; one that the page does not have comes after the last.
fn on_the_page(line: &str, tune: &Tune) -> String {
    let Some((name, rest)) = line.trim().split_once('@') else { return line.to_owned() };
    let known = name.parse::<usize>().is_ok() || Part::ALL.iter().any(|p| *p != Part::Tune && name.starts_with(&format!("{}-", p.name())));
    if known { format!("{}@{rest}", tune.named(name).unwrap_or(tune.origin.len())) } else { line.to_owned() }
}

/// A change of a page as the line that is kept: in the tune's own key, its measure by the name that stays.
pub fn kept(change: &Change, tune: &Tune, back: Interval) -> Option<String> {
    let line = written(&up(change, back))?;
    let (_, rest) = line.split_once('@')?;
    let measure = change.place()?.measure;
    (measure < tune.origin.len()).then(|| format!("{}@{rest}", tune.name(measure)))
}

/// Lays her changes over a page, each where the page has what it changes.
pub fn lay(setup: &Setup, job: &mut Job, changes: &mut [ByHand]) {
    if changes.is_empty() {
        return;
    }
    let wishes = job.wishes.clone();
    let is_mark = |c: &ByHand| matches!(c.change, Change::Muffle { .. });
    let (mut marks, mut notes): (Vec<&mut ByHand>, Vec<&mut ByHand>) = changes.iter_mut().partition(|c| is_mark(c));
    let arrangement = &mut job.arrangement;
    arrangement.change_by_hand(&setup.figures, &setup.harp, &setup.player, &wishes, &mut |score| each(score, &mut notes));
    each(&mut arrangement.score, &mut marks);
}

fn each(score: &mut Score, changes: &mut [&mut ByHand]) {
    for one in changes {
        let changed = one.change.apply(score);
        one.found = changed.is_some();
        if let Some(changed) = changed {
            *score = changed;
        }
    }
}

/// The same change for a page an interval higher.
pub fn up(change: &Change, by: Interval) -> Change {
    let mut moved = change.clone();
    match &mut moved {
        Change::LeaveOut { pitch, .. } | Change::Leave { pitch, .. } | Change::Octave { pitch, .. } => *pitch = pitch.up(by),
        Change::Respell { pitch, to, .. } => (*pitch, *to) = (pitch.up(by), to.up(by)),
        Change::Pluck { pitches, .. } | Change::Muffle { pitches, .. } => pitches.iter_mut().for_each(|p| *p = p.up(by)),
        _ => {}
    }
    moved
}

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
        .or_else(octave)
        .or_else(respell)
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
    use super::*;

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
