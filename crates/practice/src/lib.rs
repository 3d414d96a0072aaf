//! From a written page to a hand that makes its own: what a harpist practises of a tune.
//!
//! A [`Lesson`] is a tune with its arrangement. [`cues`] makes one page of it to improvise from, [`ladder`] the same tune in steps that each bring one new
//! difficulty, [`drills`] short tasks from the places that are dearest for her hand; [`sight`] makes new melodies to read. [`price`] is what a page asks
//! of the hand, [`level`] which of three levels that is. Everything is made from the engine's own plan, so that it never says anything else than the page. This crate knows no file format and no
//! screen: a cue sheet and a picture of a shape are data, which others draw.

pub mod lesson;
pub mod price;
pub mod level;
pub mod cues;
pub mod ladder;
pub mod drills;
pub mod sight;
pub mod set;

pub use cues::CueSheet;
pub use drills::Drill;

pub use ladder::{Ladder, Step};
pub use lesson::Lesson;
