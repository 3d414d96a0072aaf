//! Her wish, from the page, that the program ends: what is being saved is saved first, then whoever keeps the server open hears of it.

use super::desk::Desk;
use super::refusal::Refusal;
use super::work;
use axum::Json;
use axum::extract::State;
use serde_json::{Value, json};
use std::sync::Arc;

/// Ends the program in an orderly way; the answer says where everything is kept.
pub async fn end(State(desk): State<Arc<Desk>>) -> Result<Json<Value>, Refusal> {
    let folder = desk.shelf.folder().display().to_string();
    let saved = desk.clone();
    work(move || {
        drop(saved.saving());
        Ok(())
    })
    .await?;
    desk.end.ask();
    Ok(Json(json!({"folder": folder})))
}
