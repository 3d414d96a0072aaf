//! Text and binary formats on one side, [`music`] types on the other. The README, which follows, says what this crate is for; it knows nothing of how a tune is
//! arranged or drawn.
#![doc = include_str!("../README.md")]
//! ## The rooms
//!
//! [`read`](read::read) tells the formats apart, [`voices`] does so for all voices of a score; [`abc`] and [`musicxml`] do the reading, [`chord_text`] the chord symbols of both;
//! [`musicxml::write`] and [`midi`] write a score. Whatever was read ends in `bounds`, so that what comes after it has only what can be drawn. What a reader has to say
//! is a [`Diagnostic`] with its place.
#![warn(missing_docs)]

pub mod diagnostic;
pub mod read;
pub mod voices;
mod halves;
mod bounds;
pub mod chord_text;
pub mod abc;
pub mod musicxml;
pub mod midi;

pub use diagnostic::{Diagnostic, Severity, Span};
pub use read::{Imported, ImportedVoices, ReadError, ReadOptions, read};
pub use voices::read_voices;
