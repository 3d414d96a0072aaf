//! Addresses about other ways for a phrase: what there is, what else would change with one, how it sounds between its neighbours. Nothing is saved here: a way is
//! taken like any other choice.

use super::desk::{Desk, Look};
use super::refusal::Answer;
use super::refusal::Refusal;
use super::sound::{Played, heard, no_measure};
use super::tunes::seen;
use super::{from_json, work};
use crate::choices::Choices;
use crate::drawing::{Layout, Purpose};
use crate::{difference, other_ways};
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;
use serde_json::json;
use std::ops::Range;
use std::sync::Arc;

/// The small page of a way, in millimetres.
const STAFF: f64 = 4.5;
const WIDTH: (f64, f64) = (60.0, 200.0);
const USUAL_WIDTH: f64 = 75.0;
const HEIGHT: f64 = 297.0;

#[derive(Deserialize)]
pub struct Wished {
    width: Option<f64>,
}

/// Ways for the phrase of a measure, each with its notes drawn.
pub async fn ways(State(desk): State<Arc<Desk>>, Path((id, index)): Path<(String, usize)>, Query(wished): Query<Wished>) -> Answer {
    let width = wished.width.filter(|w| w.is_finite()).unwrap_or(USUAL_WIDTH).clamp(WIDTH.0, WIDTH.1);
    let layout = Layout { staff: STAFF, paper: Some((width, HEIGHT)), purpose: Purpose::Worktable, ..Layout::default() };
    work(move || {
        let look = desk.look(&id)?;
        let worktable = desk.worktable(&look)?;
        let stretch = other_ways::stretch(&worktable, index).ok_or_else(no_measure)?;
        let free = match other_ways::let_go(&worktable, stretch.clone()) {
            Some(choices) => desk.worktable(&desk.with(&look, choices))?,
            None => worktable.clone(),
        };
        let offered = other_ways::offered(&worktable, &free, stretch, index);
        let mut facts = serde_json::to_value(&offered).expect("texts and numbers have a JSON form");
        facts["revision"] = look.revision.clone().into();
        for (offer, fact) in offered.ways.iter().zip(facts["ways"].as_array_mut().into_iter().flatten()) {
            let current = || desk.look(&id).is_ok_and(|now| now.revision == look.revision);
            // A way that cannot be drawn can still be read and heard.
            let drawn = desk.pages(&offer.musicxml, &layout, &current).ok().flatten();
            fact["svg"] = drawn.and_then(|d| d.svgs.first().cloned()).into();
        }
        Ok(Json(facts))
    })
    .await
}

/// Choices that are only looked at, and the measures that are meant.
#[derive(Deserialize)]
struct Tried {
    choices: Choices,
    seen: String,
    from: usize,
    to: usize,
}

impl Tried {
    fn measures(&self) -> Result<Range<usize>, Refusal> {
        if self.from < self.to { Ok(self.from..self.to) } else { Err(no_measure()) }
    }

    fn look(&self, desk: &Desk, id: &str) -> Result<(Look, Look), Refusal> {
        let now = seen(desk, id, &self.seen)?;
        let tried = desk.with(&now, self.choices.clone());
        Ok((now, tried))
    }
}

/// What else would change with a choice, before it is taken; it is arranged as it would be, so that taking it afterwards finds it made. The page asks this by itself: where the tune was
/// changed meanwhile nothing has gone wrong, and the answer says that it is stale.
pub async fn would(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let tried: Tried = from_json(&bytes)?;
        let measures = tried.measures()?;
        let (now, then) = match tried.look(&desk, &id) {
            Err(refusal) if refusal.status == StatusCode::CONFLICT => return Ok(Json(json!({"stale": true}))),
            looks => looks?,
        };
        let (now, then) = (desk.worktable(&now)?, desk.worktable(&then)?);
        let found = difference::difference(&now, &then);
        let words = found.as_ref().map(|d| difference::besides(d, &then.job.arrangement.score, &measures));
        let outside: Vec<usize> = found.iter().flat_map(|d| &d.measures).copied().filter(|m| !measures.contains(m)).collect();
        let remarks: Vec<&String> = then.report.remarks.iter().filter(|r| !now.report.remarks.contains(r)).collect();
        Ok(Json(json!({"words": words, "outside": outside, "remarks": remarks})))
    })
    .await
}

/// How a choice would sound: the measures that are meant, the one before and the one after.
pub async fn hear(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let tried: Tried = from_json(&bytes)?;
        let measures = tried.measures()?;
        let (_, then) = tried.look(&desk, &id)?;
        let played = Played::of(&desk, &*desk.worktable(&then)?)?;
        let passes = played.with_neighbours(&measures)?;
        Ok(Json(heard(&played, passes)))
    })
    .await
}
