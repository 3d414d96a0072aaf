//! Files to take away: PDF, large print, plain text, MusicXML, MIDI, sound, a lesson for the ear, the report.

use super::attachment::{disposition, named};
use super::desk::Desk;
use super::page::Wished;
use super::refusal::Refusal;
use super::work;
use crate::drawing::{Layout, Purpose};
use crate::failure::Failure;
use crate::lesson;
use crate::lesson::speech::Voice;
use crate::plain_text::{self, Order};
use crate::practice::cue_page;
use crate::report::decisions;
use crate::worktable::Worktable;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use sound::{Performing, perform, wav};
use std::sync::Arc;

/// What there is to take.
const KINDS: &str = "pdf, large, text, lesson, lesson-parts, cue-sheet, musicxml, midi, wav, json or version";

/// How a text is wished for: `order` is measure, phrase or hand.
#[derive(Debug, Deserialize)]
pub struct Wanted {
    order: Option<String>,
}

pub async fn take(
    State(desk): State<Arc<Desk>>,
    Path((id, kind)): Path<(String, String)>,
    Query(wished): Query<Wished>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, Refusal> {
    let layout = Layout { purpose: Purpose::Print, paper: None, ..wished.layout()? };
    let order = wanted.order.unwrap_or_else(|| Order::default().to_string());
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
            "large" => {
                let drawn = desk.drawing.pdf(worktable.musicxml(), &Layout::large());
                (drawn.map_err(Failure::from)?, "large print.pdf", "application/pdf")
            }
            "text" => {
                let order = order.parse().map_err(|why| Refusal::new(StatusCode::BAD_REQUEST, why))?;
                (plain_text::write(score, &phrases(&worktable), order).into_bytes(), "txt", "text/plain; charset=utf-8")
            }
            "lesson" => {
                let spoken = lesson::lesson(score, &phrases(&worktable), &Voice::of_the_system());
                let sound = desk.sounds.of(&desk.shelf, &worktable.choices)?;
                let strings = sound.strings(&spoken.lesson.performance.strings());
                let samples = strings.and_then(|s| spoken.lesson.samples(&s)).map_err(no_sound)?;
                (wav::bytes(&samples, wav::Depth::default()).map_err(no_sound)?, "lesson.wav", "audio/wav")
            }
            "lesson-parts" => {
                let voice = Voice::of_the_system();
                let spoken = lesson::lesson(score, &phrases(&worktable), &voice);
                let text = spoken.text(&worktable.job.title(), &voice);
                (text.into_bytes(), "lesson.txt", "text/plain; charset=utf-8")
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
            _ => return Err(Refusal::missing("such kind of file").hint(KINDS)),
        };
        let name = format!("{}.{ending}", named(&look, &worktable));
        let headers = [(header::CONTENT_TYPE, media.to_owned()), (header::CONTENT_DISPOSITION, disposition(&name))];
        Ok((headers, bytes).into_response())
    })
    .await
}

/// The phrase of each measure.
fn phrases(worktable: &Worktable) -> Vec<usize> {
    worktable.job.arrangement.phrases.measures.iter().map(|place| place.phrase).collect()
}
