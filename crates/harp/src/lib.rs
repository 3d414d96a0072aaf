//! The instrument and the player: which strings there are, what they can sound, what a hand can hold and how fast.
//!
//! This crate knows strings and hands; it knows nothing of harmony, figures or files. Levers and pedals in play, fingering and ringing
//! have their rooms here.

#![warn(missing_docs)]

pub mod instrument;
pub mod strings;
pub mod player;
pub mod hand;
pub mod fingering;
pub mod ring;
pub mod settings;
pub mod page;

pub use hand::{HandLimit, Strain};
pub use instrument::{Instrument, InstrumentError, Mechanism, Tuning};
pub use player::{Fluency, Player, PlayerError, Reach, Shoulder};
