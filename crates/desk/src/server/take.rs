//! Files to take away: PDF, MusicXML, MIDI, sound, the report.

use super::attachment::{disposition, named};
use super::desk::Desk;
use super::page::Wished;
use super::refusal::Refusal;
use super::work;
use crate::drawing::{Layout, Purpose};
use crate::failure::Failure;
use crate::practice::cue_page;
use crate::report::decisions;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use sound::{Performing, perform, wav};
use std::sync::Arc;

pub async fn take(
    State(desk): State<Arc<Desk>>,
    Path((id, kind)): Path<(String, String)>,
    Query(wished): Query<Wished>,
) -> Result<Response, Refusal> {
    let layout = Layout { purpose: Purpose::Print, paper: None, ..wished.layout()? };
    work(move || {
        let look = desk.look(&id)?;
        if kind == "version" {
            return super::versions::alone(&desk, &look);
        }
        let worktable = desk.worktable(&look)?;
        let score = &worktable.job.arrangement.score;
        let no_sound = |e: sound::SoundError| Failure::World(format!("the sound could not be made: {e}"));
        let (bytes, ending, media) = match kind.as_str() {
            "pdf" => {
                let drawn = desk.drawing.pdf(worktable.musicxml(), &layout);
                (drawn.map_err(Failure::from)?, "pdf", "application/pdf")
            }
            "cue-sheet" => {
                let drawn = desk.drawing.sheet_pdf(&cue_page::page(&worktable.setup, &worktable.job));
                (drawn.map_err(Failure::from)?, "cue sheet.pdf", "application/pdf")
            }
            "musicxml" => (worktable.musicxml().as_bytes().to_vec(), "musicxml", "application/vnd.recordare.musicxml+xml"),
            "midi" => (formats::midi::write(score), "mid", "audio/midi"),
            "wav" => {
                let performance = perform(score, &Performing::default());
                let sound = desk.sounds.of(&desk.shelf, &worktable.choices)?;
                let samples = sound.strings(&performance.strings()).and_then(|s| s.file(&performance)).map_err(no_sound)?;
                (wav::bytes(&samples, wav::Depth::default()).map_err(no_sound)?, "wav", "audio/wav")
            }
            "json" => {
                let text = decisions::json(&decisions::file(&worktable.report, worktable.decisions()));
                (text.into_bytes(), "json", "application/json")
            }
            _ => return Err(Refusal::missing("such kind of file").hint("pdf, cue-sheet, musicxml, midi, wav, json or version")),
        };
        let name = format!("{}.{ending}", named(&look, &worktable));
        let headers = [(header::CONTENT_TYPE, media.to_owned()), (header::CONTENT_DISPOSITION, disposition(&name))];
        Ok((headers, bytes).into_response())
    })
    .await
}
