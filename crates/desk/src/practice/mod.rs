//! Practice, as the desk shows it: the [`lesson`] of a job, its cue sheet as a page ([`cue_page`]), the music on it ([`snippet`]), all of it in [`words`], [`sheets`] to read at sight, and what she has
//! passed ([`record`]), all of it kept in her [`diary`].

pub mod cue_page;
mod blocks;
pub mod pen;
pub mod snippet;
pub mod words;
pub mod sheets;
pub mod record;
pub mod diary;

use crate::job::{Job, Setup};
use practice::Lesson;

/// The lesson of a job.
pub fn lesson<'a>(setup: &'a Setup, job: &'a Job) -> Lesson<'a> {
    Lesson {
        sheet: &job.imported.sheet,
        figures: &setup.figures,
        harp: &setup.harp,
        player: &setup.player,
        wishes: &job.wishes,
        made: &job.arrangement,
    }
}
