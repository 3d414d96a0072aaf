//! Sheets to read at sight: the levels, and the page and the sound of a sheet by level and number.

use super::desk::Desk;
use super::memory::hash;
use super::page::{Wished, measures};
use super::refusal::Answer;
use super::refusal::Refusal;
use super::sound::{Played, sounded};
use super::work;
use crate::choices::Choices;
use crate::drawing::{Layout, Purpose};
use crate::failure::Failure;
use crate::names;
use crate::practice::sheets;
use crate::usual::Usual;
use crate::worktable::Worktable;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use practice::sight::{LEVELS, MOST};
use serde_json::json;
use std::sync::Arc;

pub async fn levels() -> Answer {
    let levels: Vec<_> = LEVELS.iter().map(|l| json!({"number": l.number, "words": l.words})).collect();
    Ok(Json(json!({"levels": levels, "most": MOST})))
}

/// A sheet on her usual harp, the melody alone.
fn opened(desk: &Desk, level: u8, number: u32) -> Result<(Worktable, String), Refusal> {
    let sheet = sheets::sheet(level, number)?;
    let usual = Usual::understood(&desk.shelf).choices();
    let choices = Choices { fullness: vec![0], ..usual };
    let revision = hash(&[sheet.title.as_bytes(), choices.toml().as_bytes()]);
    Ok((sheets::worktable(desk.shelf.folder(), &sheet, &choices)?, revision))
}

pub async fn page(State(desk): State<Arc<Desk>>, Path((level, number)): Path<(u8, u32)>, Query(wished): Query<Wished>) -> Answer {
    let layout = wished.layout()?;
    work(move || {
        let (worktable, revision) = opened(&desk, level, number)?;
        let drawn = desk.pages(&sheets::lead_sheet(&worktable), &layout, &|| true)?.ok_or_else(|| Refusal::missing("such page"))?;
        let title = worktable.job.title();
        Ok(Json(json!({"revision": revision, "title": title, "svgs": drawn.svgs, "measures": measures(&worktable.job.arrangement.score, &drawn)})))
    })
    .await
}

pub async fn sound(State(desk): State<Arc<Desk>>, Path((level, number)): Path<(u8, u32)>) -> Answer {
    work(move || {
        let (worktable, revision) = opened(&desk, level, number)?;
        let played = Played::of(&desk, &worktable)?;
        Ok(Json(sounded(&played, &revision)))
    })
    .await
}

/// A sheet as a PDF, to print.
pub async fn take(State(desk): State<Arc<Desk>>, Path((level, number)): Path<(u8, u32)>) -> Result<Response, Refusal> {
    work(move || {
        let (worktable, _) = opened(&desk, level, number)?;
        let layout = Layout { purpose: Purpose::Print, ..Layout::default() };
        let pdf = desk.drawing.pdf(&sheets::lead_sheet(&worktable), &layout).map_err(Failure::from)?;
        let name = format!("{}.pdf", names::safe(&worktable.job.title()));
        let headers =
            [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, super::attachment::disposition(&name))];
        Ok((headers, pdf).into_response())
    })
    .await
}
