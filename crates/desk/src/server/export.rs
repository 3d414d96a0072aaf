//! The addresses of everything as plain files: taken along as one archive, looked into, brought back.

use super::attachment::disposition;
use super::desk::Desk;
use super::news::News;
use super::refusal::Answer;
use super::refusal::Refusal;
use super::work;
use crate::export::bring::Done;
use crate::export::{Everything, zipped};
use crate::practice::diary::texts::Others;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;

/// The largest archive that a page may send.
pub const MOST_SENT: usize = 200 * 1024 * 1024;
/// What the archive is called at home.
const NAME: &str = "Undersong.zip";

pub fn too_large() -> Refusal {
    let text = format!("the archive is larger than {} MiB, the most that is sent", MOST_SENT / (1024 * 1024));
    Refusal::new(axum::http::StatusCode::PAYLOAD_TOO_LARGE, text).hint("bring it in with the command: undersong import")
}

pub async fn export(State(desk): State<Arc<Desk>>) -> Result<Response, Refusal> {
    work(move || {
        let bytes = zipped::zip(&Everything::of(&desk.shelf)?)?;
        Ok(([(header::CONTENT_TYPE, "application/zip".to_owned()), (header::CONTENT_DISPOSITION, disposition(NAME))], bytes)
            .into_response())
    })
    .await
}

#[derive(Deserialize)]
pub struct How {
    /// "look", "new" or "all".
    bring: String,
}

pub async fn import(State(desk): State<Arc<Desk>>, Query(how): Query<How>, bytes: Bytes) -> Answer {
    work(move || {
        let everything = zipped::unzip(&bytes)?;
        let done = match how.bring.as_str() {
            "look" => Done::Looked,
            "new" => Done::New,
            "all" => Done::All,
            _ => return Err(Refusal::missing("such way to bring it in").hint("look, new or all")),
        };
        let comparison = match done {
            Done::Looked => everything.compare(&desk.shelf)?,
            Done::New | Done::All => {
                let _saving = desk.saving();
                everything.bring_in(&desk.shelf, if done == Done::All { Others::AreReplaced } else { Others::Stay })?
            }
        };
        if done != Done::Looked {
            desk.tell(News::Shelf);
        }
        Ok(Json(json!({"comparison": comparison, "said": comparison.said(done), "holds": everything.said()})))
    })
    .await
}
