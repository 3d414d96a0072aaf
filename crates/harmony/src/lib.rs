//! What a lead sheet says about harmony and form: which chord holds when, where phrases and sections end, what kind of tune it is, how its
//! melody moves.
//!
//! This crate knows no harps, hands, figures or files. Everything is a plain function of a [`music::LeadSheet`]; lists run in written
//! order, with one entry a measure where the name says so.

#![warn(missing_docs)]

pub mod spread;
pub mod spans;
pub mod elsewhere;
pub mod melody;
pub mod likeness;
pub mod phrases;
pub mod cadences;
pub mod kind;
pub mod voices;
pub mod thin;
pub mod bare;

pub use kind::{Because, Guess, KindOfTune, assumed_tempo};
pub use phrases::{PhraseHere, PhrasePlace, Phrases, Pickup};
pub use spans::{Begin, ChordSpan, LeftOut, LeftOutReason, Silence, Spans, Struck};
pub use spread::{Spread, spread};
