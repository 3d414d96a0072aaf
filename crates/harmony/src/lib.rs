//! What a lead sheet says about harmony and form. The README, which follows, says what this crate is for and what it must not know: harps, hands, figures, files.
#![doc = include_str!("../README.md")]
//! ## The rooms
//!
//! [`mod@spread`] and [`spans`] say which chord holds when, [`phrases`] and [`cadences`] where the tune breathes and closes, [`kind`] what it is, [`melody`] how it moves,
//! [`likeness`] and [`elsewhere`] which measures are alike and which come from a jump; [`voices`] and [`bare`] find chords, [`thin`] takes away what changes too fast.
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
