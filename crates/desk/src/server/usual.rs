//! The address of what holds for tunes in which she has chosen nothing.

use super::desk::Desk;
use super::news::News;
use super::refusal::Refusal;
use super::shelf::tell_of;
use super::{from_json, work};
use crate::usual::Usual;
use axum::Json;
use axum::body::Bytes;
use axum::extract::State;
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

#[derive(Deserialize)]
struct Kept {
    usual: Usual,
}

/// Keeps her usual harp, hands and sound; tunes in which she chose something stay as they are.
pub async fn keep(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Result<Json<Value>, Refusal> {
    work(move || {
        let kept: Kept = from_json(&bytes)?;
        {
            let _saving = desk.saving();
            kept.usual.keep(&desk.shelf)?;
        }
        desk.lately().iter().for_each(|id| tell_of(&desk, id));
        desk.tell(News::Shelf);
        Ok(Json(json!({"usual": kept.usual})))
    })
    .await
}
