//! Addresses about harps of her own, and the demo tunes for an empty folder.

use super::desk::Desk;
use super::news::News;
use super::refusal::{Answer, Refusal};
use super::shelf::tell_of;
use super::{from_json, work};
use crate::demo;
use crate::harps::form::HarpForm;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State};
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;

/// A harp as the form shows it: one of hers, or one of the program's to begin from.
pub async fn form(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Answer {
    work(move || {
        let own = desk.shelf.harps().contains(&name);
        let path = if own { desk.shelf.folder().join(&name).display().to_string() } else { name };
        if !own && !crate::harps::is_preset(&path) {
            return Err(Refusal::missing("such harp"));
        }
        Ok(Json(json!({"form": HarpForm::of(&crate::harps::harp(&path)?)})))
    })
    .await
}

#[derive(Deserialize)]
struct Kept {
    form: HarpForm,
    /// Her file that it takes the place of; nothing makes a new one.
    file: Option<String>,
}

/// Keeps a harp of hers; tunes that are played on it are arranged anew when they are looked at.
pub async fn keep(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Answer {
    work(move || {
        let kept: Kept = from_json(&bytes)?;
        let file = {
            let _saving = desk.saving();
            kept.form.keep(&desk.shelf, kept.file.as_deref())?
        };
        desk.lately().iter().for_each(|id| tell_of(&desk, id));
        desk.tell(News::Shelf);
        Ok(Json(json!({"file": file})))
    })
    .await
}

/// Puts the demo tunes in.
pub async fn demo(State(desk): State<Arc<Desk>>) -> Answer {
    work(move || {
        let ids = {
            let _saving = desk.saving();
            demo::put_in(&desk.shelf)?
        };
        desk.tell(News::Shelf);
        Ok(Json(json!({"ids": ids})))
    })
    .await
}
