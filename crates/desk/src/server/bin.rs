//! Addresses about the bin: into it, what lies in it, and the way back to the shelf.

use super::desk::Desk;
use super::news::News;
use super::refusal::Refusal;
use super::shelf::known_facts;
use super::work;
use crate::shelf::bin::Binned;
use axum::Json;
use axum::extract::{Path, State};
use serde_json::{Value, json};
use std::sync::Arc;

type Answer = Result<Json<Value>, Refusal>;

pub async fn list(State(desk): State<Arc<Desk>>) -> Answer {
    work(move || {
        let tunes: Vec<Value> = desk.shelf.binned()?.into_iter().map(|tune| facts(&desk, &tune)).collect();
        Ok(Json(json!({"tunes": tunes})))
    })
    .await
}

fn facts(desk: &Desk, tune: &Binned) -> Value {
    let known = known_facts(desk, &tune.name, &desk.shelf.binned_bytes(&tune.name).unwrap_or_default());
    json!({"name": tune.name, "title": known["title"], "key": known["key"], "meter": known["meter"], "binned": tune.since})
}

pub async fn put_in(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        let _saving = desk.saving();
        desk.shelf.to_bin(&id)?;
        desk.tell(News::Shelf);
        Ok(Json(json!({})))
    })
    .await
}

pub async fn back(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Answer {
    work(move || {
        let _saving = desk.saving();
        let id = desk.shelf.back(&name)?;
        desk.tell(News::Shelf);
        Ok(Json(json!({"id": id})))
    })
    .await
}
