//! Sections: what repeat signs, double bars, labels, endings and jumps cut the tune into.

use super::Pickup;
use music::{Barline, Beats, Ending, Frame, Jump, LeadSheet, Note, SheetMeasure};
use std::ops::Range;

/// A stretch of the tune between two signs, endings included.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// Indices of the written measures; the pickups come first, the endings last.
    pub measures: Range<usize>,
    /// The label at its head, if it has one.
    pub name: Option<String>,
    /// Indices of the measures that only lead into it.
    pub pickups: Range<usize>,
    /// Whether it is a pickup.
    pub pickup: Pickup,
    /// The alternative endings, in written order.
    pub endings: Vec<Range<usize>>,
}

impl Section {
    /// What is played whichever ending follows, pickups left aside.
    pub fn common(&self) -> Range<usize> {
        self.pickups.end..self.endings.first().map_or(self.measures.end, |e| e.start)
    }

    /// Each way through the section: the common stretch and one ending. One line if there are no endings.
    pub fn lines(&self) -> Vec<Vec<usize>> {
        match self.endings.len() {
            0 => vec![self.common().collect()],
            _ => self.endings.iter().map(|ending| self.common().chain(ending.clone()).collect()).collect(),
        }
    }
}

/// The sections of a tune; together they hold every measure once, in order.
pub fn sections(sheet: &LeadSheet) -> Vec<Section> {
    let written: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
    let whole = with_whole_endings(&written);
    let frames: Vec<&Frame> = whole.iter().collect();
    let mut starts = Vec::new();
    for i in 0..frames.len() {
        let leads_in = || starts.last().is_some_and(|start| only_leads_in(sheet, &frames, *start..i));
        if i == 0 || is_cut(frames[i - 1], frames[i]) && !leads_in() {
            starts.push(i);
        }
    }
    let ends = starts.iter().skip(1).copied().chain([frames.len()]);
    starts.iter().zip(ends).map(|(start, end)| section(sheet, &frames, *start..end)).collect()
}

/// Whether a sign or the end of the endings parts two neighbouring measures. The endings of one stretch stay together.
fn is_cut(before: &Frame, after: &Frame) -> bool {
    match (&before.ending, &after.ending) {
        (Some(_), None) => true,
        (Some(a), Some(b)) => b.starts && b.passes.iter().min() <= a.passes.iter().min(),
        _ => is_signed(before, after),
    }
}

/// Whether a sign parts two neighbouring measures, brackets of endings left aside.
fn is_signed(before: &Frame, after: &Frame) -> bool {
    let heavy = |line| matches!(line, Barline::Double | Barline::Final);
    let leaves = |jump: &Jump| matches!(jump, Jump::Fine | Jump::DaCapo | Jump::DalSegno);
    before.repeat_end.is_some()
        || after.repeat_start
        || heavy(before.right)
        || heavy(after.left)
        || after.section.is_some()
        || before.jumps.iter().any(leaves)
        || after.jumps.contains(&Jump::Coda)
}

/// A bracket is often drawn over the first measure of an ending only. An ending before another one reaches to its repeat sign, up to
/// eight measures on; the last one to the next sign or the end of the tune, if that is at most three measures off.
fn with_whole_endings(written: &[&Frame]) -> Vec<Frame> {
    let mut frames: Vec<Frame> = written.iter().map(|f| (*f).clone()).collect();
    for i in 1..frames.len() {
        let Some(ending) = frames[i - 1].ending.clone() else { continue };
        if frames[i].ending.is_some() || is_signed(&frames[i - 1], &frames[i]) {
            continue;
        }
        let stops = |j: usize| frames.get(j + 1).is_none_or(|next| next.ending.is_some() || is_signed(&frames[j], next));
        let Some(last) = (i..frames.len().min(i + 8)).find(|j| stops(*j)) else { continue };
        let is_between = frames.get(last + 1).is_some_and(|next| next.ending.is_some());
        if if is_between { frames[last].repeat_end.is_some() } else { last < i + 3 } {
            frames[i..=last].iter_mut().for_each(|f| f.ending = Some(Ending { starts: false, ..ending.clone() }));
        }
    }
    frames
}

/// Whether these measures are nothing but a pickup to the measure after them.
fn only_leads_in(sheet: &LeadSheet, frames: &[&Frame], measures: Range<usize>) -> bool {
    if frames[measures.clone()].iter().any(|f| f.ending.is_some()) {
        return false;
    }
    let next = &frames[measures.end].meter;
    let short = frames[measures.clone()].iter().all(|f| !f.is_full()) && length(&frames[measures.clone()]) < next.length();
    short || measures == (0..1) && only_holds_a_pickup(&sheet.measures[0])
}

fn length(frames: &[&Frame]) -> Beats {
    frames.iter().map(|f| f.length).sum()
}

fn section(sheet: &LeadSheet, frames: &[&Frame], measures: Range<usize>) -> Section {
    let mut short = frames[measures.clone()].iter().take_while(|f| !f.is_full() && f.ending.is_none()).count();
    let leads = |count: usize| {
        let into = measures.start + count;
        into < measures.end && frames[into].is_full() && length(&frames[measures.start..into]) < frames[into].meter.length()
    };
    while short > 0 && !leads(short) {
        short -= 1;
    }
    let in_full = measures.start == 0 && measures.len() > 1 && short == 0 && only_holds_a_pickup(&sheet.measures[0]);
    let (count, pickup) = match (short, in_full) {
        (0, true) => (1, Pickup::InFullMeasure),
        (0, false) => (0, Pickup::No),
        _ => (short, Pickup::Short),
    };
    let pickups = measures.start..measures.start + count;
    let name = frames[measures.clone()].iter().find_map(|f| f.section.clone());
    Section { endings: endings(frames, pickups.end..measures.end), name, pickups, pickup, measures }
}

impl Section {
    /// The same section with its first measure taken for a pickup written full, if that measure begins with a rest of a beat or more
    /// and has no chord at its head.
    pub fn with_full_pickup(&self, sheet: &LeadSheet) -> Option<Section> {
        let measure = sheet.measures.get(self.measures.start)?;
        let rest: Beats = measure.notes.iter().take_while(|n| n.is_rest()).map(|n| n.length).sum();
        let silent = measure.frame.chords.iter().all(|c| c.at >= rest);
        let good = self.pickup == Pickup::No && self.common().len() > 1 && silent && measure.frame.ending.is_none();
        let pickups = self.measures.start..self.measures.start + 1;
        (good && rest >= measure.frame.meter.beat()).then(|| Section { pickups, pickup: Pickup::InFullMeasure, ..self.clone() })
    }
}

/// Rests in its first half, notes only after it.
fn only_holds_a_pickup(measure: &SheetMeasure) -> bool {
    let first = measure.notes.iter().find(|n| !n.is_rest()).map(|n: &Note| n.at);
    measure.frame.is_full() && first.is_some_and(|at| at * 2 >= measure.frame.length)
}

fn endings(frames: &[&Frame], within: Range<usize>) -> Vec<Range<usize>> {
    let mut found: Vec<Range<usize>> = Vec::new();
    for i in within {
        let Some(ending) = &frames[i].ending else { continue };
        match found.last_mut() {
            Some(last) if !ending.starts && last.end == i => last.end = i + 1,
            _ => found.push(i..i + 1),
        }
    }
    found
}
