//! What the page is told of a recording: its places on the page as it stands, and sentences.

use super::kept::{Given, Kept};
use crate::number::Named;
use crate::server::memory::hash;
use crate::worktable::Worktable;
use music::{Interval, Key, LeadSheet, ScoreMeasure, Tempo};
use serde_json::{Value, json};

/// What is listened for: the tune of the file with its chords, at the tempo of the page.
pub fn sheet(worktable: &Worktable) -> (&LeadSheet, Tempo) {
    (&worktable.job.imported.sheet, worktable.job.arrangement.score.tempo)
}

/// A name for what was listened for: places of another text, or of other repeats, are stale.
pub fn name(worktable: &Worktable) -> String {
    let sheet = sheet(worktable).0;
    let measure = |m: &music::SheetMeasure| {
        let notes: Vec<String> = m.notes.iter().map(|n| format!("{} {} {:?}", n.at, n.length, n.pitches)).collect();
        format!("{} {:?} {:?} {:?} {:?}", m.frame.length, m.frame.repeat_end, m.frame.ending, m.frame.jumps, notes)
    };
    hash(&[sheet.measures.iter().map(measure).collect::<Vec<_>>().join("\n").as_bytes()])
}

/// For each measure of the file the measures of the page that have it.
fn on_page(page: &[ScoreMeasure], measures: usize) -> Vec<Vec<usize>> {
    let mut of = vec![Vec::new(); measures];
    for (index, measure) in page.iter().enumerate() {
        if let Some(places) = measure.source.and_then(|s| of.get_mut(s)) {
            places.push(index);
        }
    }
    of
}

/// The measure of the file under each measure of the page.
pub fn sources(worktable: &Worktable) -> Vec<Option<usize>> {
    worktable.job.arrangement.score.measures.iter().map(|m| m.source).collect()
}

/// Half steps from the page up to the recording, the shorter way.
fn above(worktable: &Worktable, kept: &Kept) -> i32 {
    (kept.half_steps - worktable.job.arrangement.moved.semitones + 5).rem_euclid(12) - 5
}

/// The key of the page moved to where the recording sounds, spelled with the fewest signs; none where it sounds there already.
fn key_there(worktable: &Worktable, above: i32) -> Option<Key> {
    let key = &worktable.job.arrangement.score.measures.first()?.frame.key;
    let moved = (-3..=4).map(|steps| key.up(Interval::new(steps, above)));
    (above != 0).then(|| moved.min_by_key(|k| k.fifths.abs()))?
}

/// The places on the page as it stands. A page that writes verses out has a measure more than once: the way through it goes on forwards where it can.
pub fn facts(worktable: &Worktable, kept: &Kept) -> Value {
    let sheet = sheet(worktable).0;
    let stale = kept.tune != name(worktable);
    let page = on_page(&worktable.job.arrangement.score.measures, sheet.measures.len());
    let mut before = None;
    let passes: Vec<Value> = kept
        .passes
        .iter()
        .filter_map(|pass| {
            let places = page.get(pass.measure)?;
            let place = *places.iter().find(|p| Some(**p) == before.map(|b: usize| b + 1)).or(places.first())?;
            before = Some(place);
            let frame = &sheet.measures[pass.measure].frame;
            Some(json!({
                "page": place, "source": pass.measure, "number": Named(frame.number), "beats": pass.beats, "length": frame.length.as_f64(), "end": pass.end, "sure": pass.sure,
            }))
        })
        .collect();
    let above = above(worktable, kept);
    let given = |g: &Given| {
        let number = sheet.measures.get(g.measure).map(|m| Named(m.frame.number));
        json!({"measure": g.measure, "number": number, "seconds": g.seconds})
    };
    json!({
        "recording": kept.recording,
        "seconds": kept.seconds,
        "stale": stale,
        "said": if stale { vec!["The tune has changed since these places were found: find them again.".to_owned()] } else { kept.followed().sentences(sheet, above) },
        "above": above,
        "key_there": key_there(worktable, above).map(|k| k.to_string()),
        "given": kept.given.iter().map(given).collect::<Vec<_>>(),
        "passes": if stale { Vec::new() } else { passes },
    })
}
