//! Addresses about a recording of a tune: which there are, listening to one, where the measures are in it, forgetting the places. What a page sends here is listened to and
//! let go; only places are kept.

use super::desk::Desk;
use super::memory::{hash, locked};
use super::refusal::Answer;
use super::refusal::Refusal;
use super::shelf::decoded;
use super::{from_json, work};
use crate::plain_file;
use crate::recordings::kept::{self, Given, Kept, Which};
use crate::recordings::{MOST, MOST_SENT, shown};
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use recording::Heard;
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::{Arc, Mutex};

/// What was heard in the recordings used last, by their marks; a few, because each is some megabytes.
#[derive(Default)]
pub struct Listened(Mutex<Vec<(String, Arc<Heard>)>>);

const KEPT: usize = 4;

impl Listened {
    fn get(&self, mark: &str) -> Option<Arc<Heard>> {
        locked(&self.0).iter().find(|l| l.0 == mark).map(|l| l.1.clone())
    }

    fn put(&self, mark: &str, heard: Arc<Heard>) {
        let mut all = locked(&self.0);
        all.retain(|l| l.0 != mark);
        all.push((mark.to_owned(), heard));
        let over = all.len().saturating_sub(KEPT);
        all.drain(..over);
    }
}

pub fn too_large() -> Refusal {
    let text = format!("the recording is larger than {} MiB, the most that is sent", MOST_SENT / (1024 * 1024));
    Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, text).hint("put it into your folder of tunes, or save it as MP3, FLAC or Ogg")
}

/// Listens, unless it was done lately.
fn listen(desk: &Desk, bytes: Vec<u8>, name: &str) -> Result<(String, Arc<Heard>), Refusal> {
    let mark = hash(&[&bytes]);
    if let Some(heard) = desk.memory.of::<Listened>().get(&mark) {
        return Ok((mark, heard));
    }
    let sound = recording::bytes(bytes, name).map_err(crate::failure::Failure::from)?;
    let heard = Arc::new(recording::listen(&sound));
    desk.memory.of::<Listened>().put(&mark, heard.clone());
    Ok((mark, heard))
}

fn state(desk: &Desk, id: &str) -> Result<Value, Refusal> {
    let worktable = desk.worktable(&desk.look(id)?)?;
    // What is in the way of reading it stands among the remarks of the tune.
    let kept = kept::read(&desk.shelf, id).unwrap_or_default();
    Ok(json!({
        "kept": kept.map(|kept| shown::facts(&worktable, &kept)),
        "folder": desk.shelf.recordings(),
        "sources": shown::sources(&worktable),
    }))
}

pub async fn look(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || Ok(Json(state(&desk, &id)?))).await
}

/// Listens to a recording that the page has sent; nothing of it is written.
pub async fn hear(State(desk): State<Arc<Desk>>, Path(id): Path<String>, headers: HeaderMap, bytes: Bytes) -> Answer {
    let name = headers.get("x-name").map_or_else(|| "the recording".to_owned(), |n| decoded(n.as_bytes()));
    work(move || {
        desk.shelf.path(&id)?;
        let (mark, heard) = listen(&desk, bytes.to_vec(), &name)?;
        Ok(Json(json!({"mark": mark, "name": name, "seconds": heard.length})))
    })
    .await
}

#[derive(Deserialize)]
struct Asked {
    name: String,
    /// Empty for a recording in the folder.
    #[serde(default)]
    mark: String,
    #[serde(default)]
    in_folder: bool,
    #[serde(default)]
    given: Vec<Given>,
}

/// The most first beats she gives.
const MOST_GIVEN: usize = 2_000;

/// Finds the places, by what she gave, and keeps them.
pub async fn find(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let mut asked: Asked = from_json(&bytes)?;
        if asked.given.len() > MOST_GIVEN || asked.given.iter().any(|g| !g.seconds.is_finite()) {
            return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, "so many first beats are not needed: a few are enough"));
        }
        // Before it is listened to: a file that is left as it is takes no places.
        kept::read(&desk.shelf, &id)?;
        let worktable = desk.worktable(&desk.look(&id)?)?;
        let (mark, heard) = if asked.in_folder {
            let bytes = plain_file::bytes(&desk.shelf.recording(&asked.name)?, MOST)?;
            listen(&desk, bytes, &asked.name)?
        } else {
            let again =
                || Refusal::new(StatusCode::GONE, "Undersong has not heard this recording since it was started").hint("bring it again");
            (asked.mark.clone(), desk.memory.of::<Listened>().get(&asked.mark).ok_or_else(again)?)
        };
        asked.given.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
        let (sheet, tempo) = shown::sheet(&worktable);
        let found = recording::follow(sheet, tempo, &heard, &kept::anchors(&asked.given)).map_err(crate::failure::Failure::from)?;
        let which = Which { name: asked.name, mark, in_folder: asked.in_folder };
        {
            let _saving = desk.saving();
            kept::write(&desk.shelf, &id, &Kept::of(which, shown::name(&worktable), asked.given, &found))?;
        }
        Ok(Json(state(&desk, &id)?))
    })
    .await
}

/// Forgets the places.
pub async fn forget(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        desk.shelf.path(&id)?;
        {
            let _saving = desk.saving();
            kept::forget(&desk.shelf, &id)?;
        }
        Ok(Json(state(&desk, &id)?))
    })
    .await
}

/// A recording of the folder, for the page to play.
pub async fn of_folder(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Result<Response, Refusal> {
    work(move || {
        let bytes = plain_file::bytes(&desk.shelf.recording(&name)?, MOST)?;
        let media = match name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).as_deref() {
            Some("mp3") => "audio/mpeg",
            Some("flac") => "audio/flac",
            Some("ogg" | "oga") => "audio/ogg",
            _ => "audio/wav",
        };
        Ok(([(header::CONTENT_TYPE, media)], bytes).into_response())
    })
    .await
}
