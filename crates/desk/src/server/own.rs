//! Addresses about what is her own in a tune: chord symbols in place of the tune's, and changes of single notes. Both come in the key of the page and are kept
//! in the tune's own, so that another key keeps them.

use super::desk::Desk;
use super::refusal::Refusal;
use super::tunes::{Answer, seen, take};
use super::{from_json, work};
use crate::by_hand;
use crate::worktable::chord_place;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use serde::Deserialize;
use std::sync::Arc;

#[derive(Deserialize)]
struct OwnChord {
    /// The name of the place, as a measure's decision has it.
    place: String,
    /// In the key of the page; nothing takes her chord away.
    chord: Option<String>,
    seen: String,
}

/// A chord symbol of her own, written in the key of the page and kept in the tune's own.
pub async fn chord(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let own: OwnChord = from_json(&bytes)?;
        let unknown = |text: String| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, text);
        if chord_place(&own.place).is_none() {
            return Err(unknown(format!("\"{}\" is no place for a chord", own.place)));
        }
        let now = seen(&desk, &id, &own.seen)?;
        let mut choices = now.choices.clone();
        match own.chord.as_deref().map(str::trim).filter(|c| !c.is_empty()) {
            None => drop(choices.chords.remove(&own.place)),
            Some(text) => {
                let parsed = formats::chord_text::parse(text).map_err(|e| unknown(e.to_string()))?;
                let back = desk.worktable(&now)?.back();
                let symbol = parsed.symbols.first().ok_or_else(|| unknown("there is no chord in it".into()))?;
                choices.chords.insert(own.place.clone(), symbol.up(back).source);
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
        choices.changes.extend(by_hand::kept(&change, &worktable.job.arrangement.tune, worktable.back()));
        take(&desk, &now, choices)
    })
    .await
}
