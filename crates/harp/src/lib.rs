//! The instrument and the player: which strings there are, what they can sound, what a hand can hold and how fast. The README, which follows, says what this
//! crate is for and what it must not know: harmony, figures, files.
#![doc = include_str!("../README.md")]
//! ## The rooms
//!
//! [`instrument`] and [`player`] carry everything else; [`strings`] names strings; [`hand`] says what one hand holds, [`fingering`] which finger plucks which string; [`ring`]
//! how long it sounds; [`settings`] plans levers or pedals, and [`page`] does all of that for a whole [`music::Score`].
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
