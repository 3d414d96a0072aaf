//! Addresses about the versions of a tune: a copy, a name, one taken away, levels that sound together, two side by side, one taken home alone.

use super::attachment::{disposition, named};
use super::desk::{Desk, Look};
use super::refusal::Answer;
use super::refusal::Refusal;
use super::shelf::tell_of;
use super::{from_json, work};
use crate::history;
use crate::shelf::tune_of;
use crate::versions::apart::{Apart, apart};
use crate::versions::{self, Version};
use crate::worktable::Worktable;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

/// The versions of a tune, each with its address and what it was chosen for, the first one first.
pub fn list(look: &Look) -> Vec<Value> {
    let fact = |v: &Version| {
        let choices = &v.choices;
        json!({
            "name": v.name,
            "id": look.versions.address(&look.id, &v.name),
            "harp": choices.harp,
            "key": choices.key,
            "fullness": choices.fullness,
        })
    };
    look.versions.all().iter().map(fact).collect()
}

#[derive(Deserialize)]
struct Name {
    name: String,
}

/// A copy of the version of the address, under a new name.
pub async fn copy(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let Name { name } = from_json(&bytes)?;
        changed(&desk, &id, || history::copy(&desk.shelf, &id, &name))
    })
    .await
}

/// Another name for the version of the address.
pub async fn rename(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let Name { name } = from_json(&bytes)?;
        changed(&desk, &id, || history::rename(&desk.shelf, &id, &name))
    })
    .await
}

/// Takes the version of the address away; undo brings it back.
pub async fn remove(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        let look = desk.look(&id)?;
        changed(&desk, &id, || {
            history::remove(&desk.shelf, &id, &look.version)?;
            Ok(look.versions.first().name.clone())
        })
    })
    .await
}

/// Changes the versions while the files are held; the answer has the address of the version that is to be looked at then.
fn changed(desk: &Desk, id: &str, change: impl FnOnce() -> Result<String, crate::failure::Failure>) -> Answer {
    let (name, now) = {
        let _saving = desk.saving();
        desk.look(id)?;
        (change()?, desk.look(tune_of(id))?)
    };
    tell_of(desk, tune_of(id));
    Ok(Json(json!({"id": now.versions.address(id, &name), "name": name, "versions": list(&now)})))
}

/// Makes the levels that the version of the address is not.
pub async fn levels(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        let look = desk.look(&id)?;
        let base = look.versions.named(&look.version)?;
        let made = versions::levels::levels(desk.shelf.folder(), tune_of(&id), &look.bytes, base)?;
        if made.made.is_empty() {
            let why = made.without.unwrap_or_else(|| "no other level was found".into());
            return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, why.trim_end_matches('.')));
        }
        let new = made.made.iter().map(|m| (m.level.name.clone(), m.choices.clone())).collect();
        let (names, now) = {
            let _saving = desk.saving();
            if desk.look(&id)?.revision != look.revision {
                return Err(
                    Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, "the tune was changed meanwhile").hint("ask for the levels once more")
                );
            }
            (history::add(&desk.shelf, &id, new)?, desk.look(&id)?)
        };
        tell_of(&desk, &id);
        Ok(Json(json!({"names": names, "words": made.words(&names), "versions": list(&now)})))
    })
    .await
}

fn arranged(desk: &Desk, look: &Look) -> Result<Vec<(String, Arc<Worktable>)>, Refusal> {
    let one = |v: &Version| {
        let here = desk.look(&look.versions.address(&look.id, &v.name))?;
        Ok((v.name.clone(), desk.worktable(&here)?))
    };
    look.versions.all().iter().map(one).collect()
}

/// The level of every version, and where they do not sound together.
pub async fn together(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        let look = desk.look(&id)?;
        let made = arranged(&desk, &look)?;
        let all: Vec<(String, &Worktable)> = made.iter().map(|(name, made)| (name.clone(), &**made)).collect();
        let facts = versions::together::together(&all);
        Ok(Json(serde_json::to_value(facts).expect("texts and numbers have a JSON form")))
    })
    .await
}

/// What differs in the version `other` from the one of the address, measure by measure.
pub async fn beside(State(desk): State<Arc<Desk>>, Path((id, other)): Path<(String, String)>) -> Answer {
    work(move || {
        let here = desk.look(&id)?;
        let there = desk.look(&here.versions.address(&id, &other))?;
        let (one, two) = (desk.worktable(&here)?, desk.worktable(&there)?);
        let Apart { words, measures, chosen } = apart(&one, &two, [&here.version, &there.version]);
        Ok(Json(json!({
            "title": one.job.title(),
            "words": words,
            "chosen": chosen,
            "measures": measures,
            "versions": list(&here),
            "names": [here.version, there.version],
            "ids": [here.id, there.id],
        })))
    })
    .await
}

/// The tune with this version alone, as one file that opens elsewhere.
pub(super) fn alone(desk: &Desk, look: &Look) -> Result<Response, Refusal> {
    let worktable = desk.worktable(look)?;
    let versions::alone::Alone { text, ending } = versions::alone::with(&look.bytes, &look.versions.alone(&look.version)?)?;
    let name = format!("{}.{ending}", named(look, &worktable));
    let headers = [(header::CONTENT_TYPE, "application/octet-stream".to_owned()), (header::CONTENT_DISPOSITION, disposition(&name))];
    Ok((headers, text).into_response())
}
