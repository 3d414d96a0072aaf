//! The diary's addresses: what it shows on a day, a stay kept or taken out, a tune that rests. Which day it is, the page says.

use super::desk::Desk;
use super::refusal::Answer;
use super::{from_json, work};
use crate::failure::Failure;
use crate::practice::diary::Diary;
use crate::practice::diary::day::Day;
use crate::practice::diary::kept::Resting;
use crate::practice::diary::stays::Stay;
use crate::shelf::tune_of;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Query, State};
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;

#[derive(Deserialize)]
pub struct On {
    day: String,
}

impl On {
    fn day(&self) -> Result<Day, Failure> {
        Day::parse(&self.day).ok_or_else(|| Failure::wrong(format!("\"{}\" is no day: expected one as 2026-11-26", self.day)))
    }
}

pub async fn diary(State(desk): State<Arc<Desk>>, Query(on): Query<On>) -> Answer {
    work(move || Ok(Json(Diary::of(&desk.shelf).facts(on.day()?)?))).await
}

/// What is practised in one of its versions is the tune's.
fn of_the_tune(stay: Stay) -> Stay {
    Stay { tune: tune_of(&stay.tune).to_owned(), ..stay }
}

/// Keeps a stay, or what it has become since it was last kept.
pub async fn stay(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Answer {
    work(move || {
        let stay = of_the_tune(from_json(&bytes)?);
        let _saving = desk.saving();
        Diary::of(&desk.shelf).stay(&stay)?;
        Ok(Json(json!({})))
    })
    .await
}

pub async fn take_out(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Answer {
    work(move || {
        let stay = of_the_tune(from_json(&bytes)?);
        let _saving = desk.saving();
        Diary::of(&desk.shelf).take_out(&stay)?;
        Ok(Json(json!({})))
    })
    .await
}

#[derive(Deserialize)]
struct Rest {
    tune: String,
    title: String,
    resting: bool,
}

pub async fn rest(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Answer {
    work(move || {
        let Rest { tune, title, resting } = from_json(&bytes)?;
        desk.shelf.path(&tune)?;
        let _saving = desk.saving();
        Diary::of(&desk.shelf).rest(tune_of(&tune), &title, if resting { Resting::Yes } else { Resting::No })?;
        Ok(Json(json!({})))
    })
    .await
}
