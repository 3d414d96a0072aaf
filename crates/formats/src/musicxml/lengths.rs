//! How long each measure is and what number it has.
//!
//! A measure is as long as its longest voice. One that is shorter than its meter stays short where music has such measures: the first and
//! the last, one marked implicit, one at a repeat, ending or double bar, and two that make one together. Any other is filled up with a rest, if the
//! score gives its meter. A fuller one keeps its length. The first full measure is number 1, a short first measure 0; the second half of a split measure keeps the
//! number of the first. Number attributes are not used: they hold letters, gaps and repetitions.

use super::attributes::is_free;
use super::element::says_yes;
use super::line::Line;
use super::measure::Walked;
use super::remarks::Remarks;
use crate::diagnostic::excerpt;
use music::{Barline, Beats, Frame};

/// What becomes of a measure shorter than its meter where nothing says that it may be.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum TooShort {
    /// A melody is filled up with a rest.
    Filled,
    /// A page of two hands stays as it is written.
    Kept,
}

/// Sets `length` and `number` of every frame.
pub fn settle(frames: &mut [Frame], measures: &[Walked], line: Line, too_short: TooShort, remarks: &mut Remarks) {
    for i in 0..frames.len() {
        // A meter that is only assumed fills nothing up.
        let assumed = measures[i].attributes.given_meter(line.staff).is_none();
        frames[i].length = length(i, frames, measures, if assumed { TooShort::Kept } else { too_short }, remarks);
    }
    let mut last = 0;
    for i in 0..frames.len() {
        last = match i {
            0 if is_short(&frames[0]) && frames.len() > 1 => 0,
            _ if last > 0 && (completes(i, frames, measures) || goes_on(i, frames, measures)) => last,
            _ => last + 1,
        };
        frames[i].number = last.into();
    }
}

fn is_short(frame: &Frame) -> bool {
    frame.length < frame.meter.length() && !is_free(&frame.meter)
}

fn length(i: usize, frames: &[Frame], measures: &[Walked], too_short: TooShort, remarks: &mut Remarks) -> Beats {
    let (extent, full) = (measures[i].extent, frames[i].meter.length());
    let element = measures[i].source.measure;
    if extent.is_zero() || extent == full {
        return full;
    }
    if is_free(&frames[i].meter) {
        return extent;
    }
    if extent > full {
        remarks.warn(element, format!("a measure longer than its meter {} is kept as it is", excerpt(&frames[i].meter.to_string())), "");
        return extent;
    }
    if may_be_short(i, frames, measures) {
        return extent;
    }
    let (end, length) = match too_short {
        TooShort::Filled => ("filled up with a rest", full),
        TooShort::Kept => ("kept as it is", extent),
    };
    remarks.warn(element, format!("a measure shorter than its meter {} is {end}", excerpt(&frames[i].meter.to_string())), "");
    length
}

fn may_be_short(i: usize, frames: &[Frame], measures: &[Walked]) -> bool {
    let full = frames[i].meter.length();
    let pair = |j: usize| measures.get(j).is_some_and(|m| !m.extent.is_zero() && m.extent + measures[i].extent == full);
    i == 0
        || i + 1 == frames.len()
        || is_implicit(&measures[i])
        || breaks_after(i, frames)
        || breaks_after(i - 1, frames)
        || pair(i - 1)
        || pair(i + 1)
}

pub fn is_implicit(measure: &Walked) -> bool {
    says_yes(measure.source.measure, "implicit")
}

/// A repeat, an ending or a double bar stands between this measure and the next.
pub fn breaks_after(i: usize, frames: &[Frame]) -> bool {
    let here = &frames[i];
    let next = frames.get(i + 1);
    let ending = |f: &Frame, edge: fn(&music::Ending) -> bool| f.ending.as_ref().is_some_and(edge);
    here.repeat_end.is_some()
        || matches!(here.right, Barline::Double | Barline::Final)
        || ending(here, |e| e.stops)
        || next.is_some_and(|n| n.repeat_start || n.left == Barline::Double || ending(n, |e| e.starts))
}

/// A further part of a measure that was too long for one line: it bears the number of the part before, and no bar line stands between them.
fn goes_on(i: usize, frames: &[Frame], measures: &[Walked]) -> bool {
    let number = |i: usize| measures[i].source.measure.attribute("number");
    is_implicit(&measures[i]) && frames[i - 1].right == Barline::None && number(i).is_some() && number(i) == number(i - 1)
}

/// The second part of a measure that was split: both fit into one meter, and the score or a sign between them says so.
fn completes(i: usize, frames: &[Frame], measures: &[Walked]) -> bool {
    let (before, here) = (&frames[i - 1], &frames[i]);
    let together = before.length + here.length;
    let full = here.meter.length();
    let fits = is_short(before) && is_short(here) && together <= full;
    let first_half = i < 2 || !(is_short(&frames[i - 2]) && frames[i - 2].number == before.number);
    fits && first_half && (is_implicit(&measures[i]) || together == full)
}
