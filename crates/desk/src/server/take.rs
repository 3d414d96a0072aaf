//! Files to take away: PDF, MusicXML, MIDI, sound, the report.

use super::desk::{Desk, Look};
use super::page::Wished;
use super::percent::encoded;
use super::refusal::Refusal;
use super::work;
use crate::drawing::{Layout, Purpose};
use crate::failure::Failure;
use crate::names;
use crate::practice::cue_page;
use crate::report::decisions;
use crate::worktable::Worktable;
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

/// The title as the name of a file, with the version's where there are several: "The Ferry (for the pupil)".
pub(super) fn named(look: &Look, worktable: &Worktable) -> String {
    let title = worktable.job.title();
    names::safe(&if look.versions.several() { format!("{title} ({})", look.version) } else { title })
}

/// The name for every browser (RFC 6266): plain letters, and all of it percent-encoded.
pub(super) fn disposition(name: &str) -> String {
    let plain: String = name.chars().map(|c| if c.is_ascii() && !c.is_ascii_control() && !"\"\\%".contains(c) { c } else { '_' }).collect();
    format!("attachment; filename=\"{plain}\"; filename*=UTF-8''{}", encoded(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_for_every_browser() {
        assert_eq!(disposition("Ò \"a\".pdf"), "attachment; filename=\"_ _a_.pdf\"; filename*=UTF-8''%C3%92%20%22a%22.pdf");
    }
}
