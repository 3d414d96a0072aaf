//! Changes of single notes by the player's own hand: written as lines beside the tune, laid over the planned page.
//!
//! A line names a place (the measure of the verses from 0, or of a part that was added, and the place in it in quarter notes) and what is done there:
//! "3@3/2 leave out G2", "introduction-0@0 lower staff: pluck C3 G3". Pitches are those of the tune's own key, so that another key keeps the changes. A line whose notes are no longer
//! there changes nothing and stays until she takes it out.

mod line;
mod told;
pub mod moves;

pub use line::{read, written};
pub use told::told;

use crate::failure::Failure;
use crate::job::{Job, Setup};
use arrange::measures::LaidMeasure;
use arrange::tune::Tune;
use check::Change;
use harp::page::fingers::fingered;
use music::{Hand, Interval, Mark, Part, Score};

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
    if known { format!("{}@{rest}", tune.named(name).map_or(tune.sheet.measures.len(), LaidMeasure::index)) } else { line.to_owned() }
}

/// A change of a page as the line that is kept: in the tune's own key, its measure by the name that stays.
pub fn kept(change: &Change, tune: &Tune, back: Interval) -> Option<String> {
    let line = written(&up(change, back))?;
    let (_, rest) = line.split_once('@')?;
    let measure = change.place()?.measure;
    (measure < tune.sheet.measures.len()).then(|| format!("{}@{rest}", tune.name(LaidMeasure::at(measure))))
}

/// Lays her changes over a page, each where the page has what it changes.
pub fn lay(setup: &Setup, job: &mut Job, changes: &mut [ByHand]) {
    if changes.is_empty() {
        return;
    }
    let wishes = job.wishes.clone();
    let is_mark = |c: &ByHand| matches!(c.change, Change::Muffle { .. } | Change::Move { .. });
    let (marks, mut notes): (Vec<&mut ByHand>, Vec<&mut ByHand>) = changes.iter_mut().partition(|c| is_mark(c));
    let arrangement = &mut job.arrangement;
    arrangement.change_by_hand(&setup.figures, &setup.harp, &setup.player, &wishes, &mut |score| each(score, &mut notes));
    heeded(setup, &arrangement.score, &mut notes);
    for one in marks {
        one.found = match &one.change {
            Change::Move { place, mark } => moves::lay(setup, arrangement, *place, mark),
            muffle => muffle.apply(&arrangement.score).map(|changed| arrangement.score = changed).is_some(),
        };
    }
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

/// A finger of hers that her hand cannot place there was passed over; that is not found.
fn heeded(setup: &Setup, score: &Score, changes: &mut [&mut ByHand]) {
    let of_fingers = changes.iter_mut().filter(|c| c.found && matches!(c.change, Change::Finger { .. }));
    let mut hands: [Option<harp::page::fingers::FingeredHand>; 2] = [None, None];
    for one in of_fingers {
        let Change::Finger { place, staff, pitch, finger } = one.change else { continue };
        let hand = hands[usize::from(staff == Hand::Right)].get_or_insert_with(|| fingered(score, staff, &setup.player));
        let placed = hand
            .places
            .iter()
            .zip(&hand.fingering.plucks)
            .find(|((measure, index), _)| *measure == place.measure && score.measures[*measure].hand(staff)[*index].at == place.at);
        one.found = placed.is_some_and(|((measure, index), placed)| {
            let mut strings: Vec<i32> = score.measures[*measure].hand(staff)[*index].playable().map(|p| p.position()).collect();
            strings.sort_unstable();
            strings.dedup();
            strings.iter().position(|s| *s == pitch.position()).is_some_and(|nth| placed.fingers.get(nth) == Some(&finger))
        });
    }
}

/// Her lines with one more. What only goes on from the last line takes its place: a note that goes up string by string, a length, a finger or a lever tried once more.
pub fn with(mut lines: Vec<String>, change: &Change, tune: &Tune, back: Interval) -> Option<Vec<String>> {
    let new = kept(change, tune, back)?;
    let before = lines.last().and_then(|last| read(&on_the_page(last, tune)));
    let Some(joined) = before.and_then(|before| joined(&before, &up(change, back))) else {
        lines.push(new);
        return Some(lines);
    };
    lines.pop();
    if let Some(joined) = joined {
        lines.push(kept(&joined, tune, Interval::UNISON)?);
    }
    Some(lines)
}

/// One change in place of two, where the second only goes on from the first; nothing within where both together change nothing.
fn joined(before: &Change, after: &Change) -> Option<Option<Change>> {
    match (before, after) {
        (Change::Becomes { place, staff, pitch, to }, Change::Becomes { place: p, staff: s, pitch: from, to: last })
            if (place, staff, to) == (p, s, from) =>
        {
            Some((pitch != last).then_some(Change::Becomes { place: *place, staff: *staff, pitch: *pitch, to: *last }))
        }
        (Change::Lasts { place, staff, .. }, Change::Lasts { place: p, staff: s, .. }) if (place, staff) == (p, s) => {
            Some(Some(after.clone()))
        }
        (Change::Finger { place, staff, pitch, .. }, Change::Finger { place: p, staff: s, pitch: other, .. })
            if (place, staff, pitch) == (p, s, other) =>
        {
            Some(Some(after.clone()))
        }
        (Change::Move { mark, .. }, Change::Move { mark: other, .. }) if mark == other => Some(Some(after.clone())),
        _ => None,
    }
}

/// A change of hers in words. What a repair leaves out because the other hand has it, she leaves out because she wants it so.
pub fn said(change: &Change) -> String {
    match change {
        Change::Leave { pitch, staff: Hand::Left, .. } => format!("leave out {pitch:#} in the left hand"),
        Change::Leave { pitch, staff: Hand::Right, .. } => format!("leave out {pitch:#} in the right hand"),
        other => other.say(),
    }
}

/// The same change for a page an interval higher.
pub fn up(change: &Change, by: Interval) -> Change {
    let mut moved = change.clone();
    match &mut moved {
        Change::LeaveOut { pitch, .. } | Change::Leave { pitch, .. } | Change::Octave { pitch, .. } => *pitch = pitch.up(by),
        Change::Respell { pitch, to, .. } | Change::Becomes { pitch, to, .. } => (*pitch, *to) = (pitch.up(by), to.up(by)),
        Change::Finger { pitch, .. } => *pitch = pitch.up(by),
        Change::Move { mark: Mark::Lever(pitch), .. } => *pitch = pitch.up(by),
        Change::Move { mark: Mark::Pedal(name), .. } => *name = name.up(by),
        Change::Pluck { pitches, .. } | Change::Muffle { pitches, .. } => pitches.iter_mut().for_each(|p| *p = p.up(by)),
        _ => {}
    }
    moved
}
