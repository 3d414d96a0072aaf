//! Bar lines, repeat signs and endings of a part.
//!
//! Endings run from their `start` to their `stop` or `discontinue`; one that is never stopped ends at the next backward repeat, or where the next
//! ending starts, or at the end.

use super::element::{Element, child, child_text, whole};
use super::measure::Walked;
use super::remarks::Remarks;
use crate::diagnostic::excerpt;
use music::{Barline, Beats, Ending, Frame};

/// The most often a stretch is repeated, and the highest number of an ending.
const MOST_PASSES: u32 = 32;

/// An ending whose stop has not come yet.
pub struct OpenEnding {
    passes: Vec<u32>,
    from: usize,
}

/// What bar lines leave for measures after them.
#[derive(Default)]
pub struct Barlines {
    open: Option<OpenEnding>,
    /// The next measure opens a repeat: a forward repeat stood on a right bar line.
    repeat_next: bool,
}

/// Where a bar line stands.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Side {
    Left,
    Middle,
    Right,
}

pub fn side(at: Beats, element: Element, measure: &Walked) -> Side {
    match element.attribute("location") {
        Some("left") => Side::Left,
        Some("middle") if !at.is_zero() && at < measure.extent => Side::Middle,
        Some("middle") if at.is_zero() => Side::Left,
        None if at.is_zero() && !measure.extent.is_zero() => Side::Left,
        _ => Side::Right,
    }
}

/// A repeat sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Repeat {
    Forward,
    /// The stretch is played this many times in all, at least twice.
    Backward(u32),
}

/// The repeat sign in a bar line. One that asks for a single time repeats nothing.
pub fn repeat(element: Element, remarks: &mut Remarks) -> Option<Repeat> {
    let repeat = child(element, "repeat")?;
    match repeat.attribute("direction") {
        Some("forward") => Some(Repeat::Forward),
        Some("backward") => {
            let times = repeat.attribute("times").and_then(whole).unwrap_or(2);
            if !(1..=i64::from(MOST_PASSES)).contains(&times) {
                remarks.warn(repeat, format!("a stretch played {times} times is taken as played twice"), "");
                return Some(Repeat::Backward(2));
            }
            (times > 1).then_some(Repeat::Backward(times as u32))
        }
        _ => {
            remarks.warn(repeat, "a repeat sign without a direction is left out", "");
            None
        }
    }
}

fn style(element: Element) -> Option<Barline> {
    Some(match child_text(element, "bar-style")?.as_str() {
        "light-light" | "heavy-heavy" => Barline::Double,
        "light-heavy" => Barline::Final,
        "heavy-light" => Barline::Double,
        "dotted" | "dashed" => Barline::Dotted,
        "none" => Barline::None,
        _ => Barline::Plain,
    })
}

impl Barlines {
    /// Puts a measure's outer bar lines on its frame, the last of `frames`.
    pub fn put(&mut self, measure: &Walked, frames: &mut [Frame], remarks: &mut Remarks) {
        let here = frames.len() - 1;
        frames[here].repeat_start |= std::mem::take(&mut self.repeat_next);
        for (at, element) in &measure.barlines {
            match side(*at, *element, measure) {
                Side::Left => self.left(*element, frames, remarks),
                Side::Right => self.right(*element, frames, remarks),
                Side::Middle => {}
            }
        }
        if let Some(open) = &self.open {
            let starts = open.from == here;
            frames[here].ending.get_or_insert_with(|| Ending { passes: open.passes.clone(), starts, stops: false });
            if frames[here].repeat_end.is_some() {
                self.close(frames);
            }
        }
    }

    fn left(&mut self, element: Element, frames: &mut [Frame], remarks: &mut Remarks) {
        let here = frames.len() - 1;
        if let Some(line) = style(element) {
            frames[here].left = line;
        }
        self.ending(element, frames, remarks);
        match repeat(element, remarks) {
            Some(Repeat::Forward) => frames[here].repeat_start = true,
            Some(Repeat::Backward(times)) if here > 0 => frames[here - 1].repeat_end = Some(times),
            _ => {}
        }
        if frames[here].repeat_start {
            frames[here].left = Barline::None;
        }
    }

    fn right(&mut self, element: Element, frames: &mut [Frame], remarks: &mut Remarks) {
        let here = frames.len() - 1;
        if let Some(line) = style(element) {
            frames[here].right = line;
        }
        match repeat(element, remarks) {
            Some(Repeat::Forward) => self.repeat_next = true,
            Some(Repeat::Backward(times)) => {
                frames[here].repeat_end = Some(times);
                frames[here].right = Barline::Plain;
            }
            None => {}
        }
        self.ending(element, frames, remarks);
    }

    fn ending(&mut self, element: Element, frames: &mut [Frame], remarks: &mut Remarks) {
        let Some(ending) = child(element, "ending") else { return };
        let here = frames.len() - 1;
        match ending.attribute("type") {
            Some("start") => {
                if self.open.take().is_some() && here > 0 {
                    remarks.warn(ending, "an ending begins before the one before it has stopped", "");
                    stop_at(frames, here - 1);
                }
                let numbers = ending.attribute("number").unwrap_or("");
                self.open = passes(numbers).map(|passes| OpenEnding { passes, from: here });
                if self.open.is_none() {
                    remarks.warn(
                        ending,
                        format!("an ending with the number \"{}\" is left out", excerpt(numbers)),
                        "numbers like \"1, 2\" are expected",
                    );
                }
            }
            _ => match self.open.as_ref().map(|o| o.from) {
                Some(from) => {
                    let open = self.open.as_ref().map(|o| o.passes.clone()).unwrap_or_default();
                    frames[here].ending.get_or_insert(Ending { passes: open, starts: from == here, stops: false });
                    self.close(frames);
                }
                None => remarks.warn(ending, "an ending that stops but never began is left out", ""),
            },
        }
    }

    fn close(&mut self, frames: &mut [Frame]) {
        self.open = None;
        let here = frames.len() - 1;
        stop_at(frames, here);
    }
}

fn stop_at(frames: &mut [Frame], index: usize) {
    if let Some(ending) = &mut frames[index].ending {
        ending.stops = true;
    }
}

/// "1, 2" or "1-3" or "1.": the passes, sorted, each once.
fn passes(numbers: &str) -> Option<Vec<u32>> {
    let mut all = Vec::new();
    for piece in numbers.split([',', ' ', '.', '+', '&']).filter(|p| !p.is_empty()) {
        let (first, last) = piece.split_once('-').unwrap_or((piece, piece));
        let (first, last): (u32, u32) = (first.trim().parse().ok()?, last.trim().parse().ok()?);
        if first == 0 || last > MOST_PASSES {
            return None;
        }
        all.extend(first..=last);
    }
    all.sort();
    all.dedup();
    (!all.is_empty()).then_some(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MusicXML 4.0, `ending-number`: a list of numbers; ranges and dots are found in the wild.
    #[test]
    fn ending_numbers() {
        assert_eq!(passes("1"), Some(vec![1]));
        assert_eq!(passes("1, 2"), Some(vec![1, 2]));
        assert_eq!(passes("1.-3."), None);
        assert_eq!(passes("1-3"), Some(vec![1, 2, 3]));
        assert_eq!((passes(" "), passes("0"), passes("99")), (None, None, None));
    }
}
