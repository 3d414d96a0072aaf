//! Addresses about what is her own in a tune: chord symbols in place of the tune's, and changes of single notes. Both come in the key of the page and are kept
//! in the tune's own, so that another key keeps them.

use super::desk::Desk;
use super::refusal::Answer;
use super::refusal::Refusal;
use super::tunes::{seen, take};
use super::{from_json, work};
use crate::by_hand;
use crate::chords_of::hers;
use crate::worktable::chord_place;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use check::Change;
use serde::Deserialize;
use std::sync::Arc;

#[derive(Deserialize)]
struct OwnChord {
    /// The name of the place, as a measure's decision has it, or of a whole measure.
    place: String,
    /// One chord, or all of a measure, in the key of the page; nothing takes hers away.
    chord: Option<String>,
    seen: String,
}

/// A chord symbol of her own, written in the key of the page and kept in the tune's own.
pub async fn chord(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let own: OwnChord = from_json(&bytes)?;
        let unknown = |text: String| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, text);
        let whole = hers::whole_measure(&own.place);
        if whole.is_none() && chord_place(&own.place).is_none() {
            return Err(unknown(format!("\"{}\" is no place for a chord", own.place)));
        }
        let now = seen(&desk, &id, &own.seen)?;
        let mut choices = now.choices.clone();
        match own.chord.as_deref().map(str::trim).filter(|c| !c.is_empty()) {
            None => drop(choices.chords.remove(&own.place)),
            Some(text) => {
                let worktable = desk.worktable(&now)?;
                let back = worktable.back();
                if let Some(measure) = whole {
                    let sheet = &worktable.job.imported.sheet;
                    let frame = &sheet.measures.get(measure).ok_or_else(|| unknown("there is no such measure".into()))?.frame;
                    hers::chords(text, frame).map_err(|why| unknown(format!("{}, {why}", frame.number.in_words())))?;
                    // What she typed for the whole measure takes the place of her single chords in it.
                    choices.chords.retain(|place, _| chord_place(place).is_none_or(|(m, _)| m != measure));
                }
                let text = hers::each(text, |symbol| symbol.up(back)).map_err(unknown)?;
                choices.chords.insert(own.place.clone(), text);
            }
        }
        take(&desk, &now, choices)
    })
    .await
}

#[derive(Deserialize)]
struct OwnChange {
    /// A line as [`crate::by_hand`] has it, its pitches in the key of the page.
    change: String,
    seen: String,
}

/// A change of single notes of hers, written in the key of the page and kept in the tune's own.
pub async fn change_by_hand(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let own: OwnChange = from_json(&bytes)?;
        let refused = |text: String| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, text);
        let change = by_hand::read(&own.change).ok_or_else(|| refused(format!("\"{}\" is no change of a note", own.change)))?;
        let now = seen(&desk, &id, &own.seen)?;
        let worktable = desk.worktable(&now)?;
        if change.apply(&worktable.job.arrangement.score).is_none() {
            return Err(refused(format!("{}: the page has nothing to change there", change.say())));
        }
        let mut choices = now.choices.clone();
        let (tune, back) = (&worktable.job.arrangement.tune, worktable.back());
        choices.changes = by_hand::with(choices.changes, &change, tune, back).ok_or_else(|| refused("that place has no name".into()))?;
        let fewer = choices.changes.len() < now.choices.changes.len();
        if !fewer && desk.worktable(&desk.with(&now, choices.clone()))?.by_hand.last().is_some_and(|last| !last.found) {
            return Err(refused(format!("{}: {}", change.say(), why_not(&change))));
        }
        take(&desk, &now, choices)
    })
    .await
}

/// Why a change that has its notes is not made.
fn why_not(change: &Change) -> &'static str {
    match change {
        Change::Finger { .. } => "your hand cannot place it so",
        Change::Move { .. } => "a note would sound otherwise",
        _ => "the page has nothing to change there",
    }
}
