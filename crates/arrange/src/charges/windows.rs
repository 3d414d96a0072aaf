//! When a lever or pedal can be moved: what the tune wants of each, and the stretches between.

use crate::measures::LaidMeasure;
use crate::task::Task;
use harp::page::PageSettings;
use harp::page::settings::PageUse;
use harp::settings::Part;
use music::{Beats, Pitch};
use std::collections::BTreeMap;

/// When the tune wants a lever or pedal, and how: begin, end and alteration, in order of the page.
pub(super) type Wanted = BTreeMap<Part, Vec<(Beats, Beats, i32)>>;

/// How far back from the note that needs it a lever move is looked for.
const LOOK_BACK: i64 = 16;

pub(super) fn wanted(task: &Task, alone: &PageSettings) -> Wanted {
    let mut all = Wanted::new();
    for (index, used) in alone.uses.iter().enumerate() {
        let Some(pitch) = alone.plucked(index) else { continue };
        if let Some(part) = Part::of(task.harp, pitch) {
            let on = task.tune.on_page(used.measure, used.at);
            all.entry(part).or_default().push((on, used.end, pitch.alter));
        }
    }
    all
}

/// A stretch of the page in which a string is needed in one position.
#[derive(Clone, Copy, Debug)]
pub(super) struct Needed {
    pub pitch: Pitch,
    pub measure: LaidMeasure,
    pub from: Beats,
    pub to: Beats,
}

/// Where the lever of a note of the tune may be moved: as for any tone, and where the tune alone would have it moved.
pub(super) fn windows_of_tune(task: &Task, wanted: &Wanted, alone: &PageSettings, used: &PageUse) -> Vec<(Beats, Beats)> {
    let from = task.tune.on_page(used.measure, used.at);
    let mut all = windows(task, wanted, Needed { pitch: used.written, measure: LaidMeasure::at(used.measure), from, to: used.end });
    for m in alone.moves.iter().filter(|m| m.needed_by.is_some_and(|u| same(&alone.uses[u], used))) {
        let at = task.tune.on_page(m.measure, m.at);
        let end = task.tune.on_page(m.measure, task.tune.frame(LaidMeasure::at(m.measure)).length);
        if !all.iter().any(|w| w.0 <= at && at < w.1) {
            all.push((at, end.max(at)));
        }
    }
    all
}

/// Where the lever of a tone may be moved, there and back: between the string's last use and the tone, and from the tone to the next use that wants it otherwise.
pub(super) fn windows(task: &Task, wanted: &Wanted, needed: Needed) -> Vec<(Beats, Beats)> {
    let strings = harp::settings::remedies::neighbours(task.harp, needed.pitch);
    let parts: Vec<Part> = strings.iter().filter_map(|p| Part::of(task.harp, *p)).collect();
    let before = parts.iter().filter_map(|p| wanted.get(p)).filter_map(|w| w.iter().rfind(|w| w.0 < needed.from)).map(|w| w.1).max();
    let from = before.unwrap_or(Beats::ZERO).max(needed.from - Beats::QUARTER * LOOK_BACK).max(Beats::ZERO);
    let mut all = if from < needed.from { vec![(from, needed.from)] } else { Vec::new() };
    let otherwise = |part: &Part, alter: i32| !strings.iter().any(|p| Part::of(task.harp, *p) == Some(*part) && p.alter == alter);
    let next = |part: &Part| wanted.get(part).and_then(|w| w.iter().find(|w| w.0 > needed.from && otherwise(part, w.2)));
    if let Some(after) = parts.iter().filter_map(next).map(|w| w.0).min().filter(|after| *after > needed.to) {
        all.push((needed.to, after.min(needed.to + Beats::QUARTER * LOOK_BACK)));
    }
    all.extend(before_the_jump(task, wanted, &parts, needed.measure));
    all
}

/// In a later pass of a repeat the string was last used near the end of the stretch that is repeated: from there to where the tune jumps back.
fn before_the_jump(task: &Task, wanted: &Wanted, parts: &[Part], needed_in: LaidMeasure) -> Vec<(Beats, Beats)> {
    let tune = task.tune;
    let frames: Vec<&music::Frame> = tune.measures().map(|m| tune.frame(m)).collect();
    let order: Vec<LaidMeasure> = music::order::playing_order(&frames).measures.into_iter().map(LaidMeasure::at).collect();
    let end = |m: LaidMeasure| tune.starts[m] + tune.frame(m).length;
    let mut all = Vec::new();
    for now in (1..order.len()).filter(|i| order[*i] == needed_in) {
        let mut jump = None;
        for back in (0..now).rev() {
            let measure = order[back];
            if order[back + 1] != measure.next() {
                jump = Some(measure);
            }
            let uses = parts.iter().filter_map(|p| wanted.get(p)).flatten();
            let last = uses.filter(|w| w.0 >= tune.starts[measure] && w.0 < end(measure)).map(|w| w.1).max();
            if let Some(last) = last {
                all.extend(jump.map(|m| (last.max(end(m) - Beats::QUARTER * LOOK_BACK), end(m))).filter(|w| w.0 < w.1 && !all.contains(w)));
                break;
            }
        }
    }
    all
}

fn same(a: &PageUse, b: &PageUse) -> bool {
    (a.hand, a.measure, a.at, a.written) == (b.hand, b.measure, b.at, b.written)
}
