//! Books: files of many tunes, which come to the shelf as so many tunes.

use super::desk::Desk;
use super::news::News;
use super::refusal::Refusal;
use super::work;
use crate::bring;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use serde_json::{Value, json};
use std::sync::Arc;

/// Brings the tunes in, each under its title; the tabs are told how far it is.
pub fn take_in(desk: &Desk, tunes: &[String]) -> Result<Vec<String>, Refusal> {
    let mut ids = Vec::new();
    for (number, tune) in tunes.iter().enumerate() {
        let _saving = desk.saving();
        ids.push(desk.shelf.take_in(&bring::titled(tune), "abc", tune.as_bytes())?);
        desk.tell(News::Working { what: "bringing the tunes of the book in", done: number + 1, of: tunes.len() });
    }
    Ok(ids)
}

/// Opens a book that lies in her folder: its tunes come to the shelf, and the book itself goes into the bin as it is.
pub async fn open(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Json<Value>, Refusal> {
    work(move || {
        let no_book = || Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, format!("\"{id}\" holds one tune: there is nothing to take apart"));
        let tunes = bring::book(&desk.shelf.bytes(&id)?).ok_or_else(no_book)?;
        let ids = take_in(&desk, &tunes)?;
        {
            let _saving = desk.saving();
            desk.shelf.to_bin(&id)?;
        }
        desk.tell(News::Shelf);
        Ok(Json(json!({"ids": ids})))
    })
    .await
}
