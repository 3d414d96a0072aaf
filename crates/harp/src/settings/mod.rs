//! Levers and pedals in play, planned exactly: how they stand at the start, when each is moved, which string gives each note.
//!
//! A passage is printed places, the stretches of them in playing order, and the notes. A printed move is made in every pass of a repeat; where
//! the lever or pedal stands there already it is no move in that pass. [`plan`] finds the least price, [`least`] says without a search what no plan is
//! cheaper than, [`mod@walk`] plays any plan through and prices it without knowing how it was found, [`keys`] lists what each key needs, [`pedals`] looks at
//! all settings of seven pedals, [`mod@remedies`] says what to do about a note that cannot be had.

pub mod passage;
pub mod walk;
pub mod search;
mod wants;
pub mod least;
mod ground;
mod state;
mod alone;
mod laying;
mod shapes;
mod share;
mod effort;
mod together;
pub mod remedies;
pub mod later;
pub mod keys;
pub mod pedals;

pub use crate::player::MoveTimes;
pub use later::later;
pub use least::{AtLeast, at_least};
pub use passage::{GridPlace, Omission, Part, Passage, PassageError, Prices, Spelling, Use};
pub use pedals::PedalSetting;
pub use remedies::{Remedy, remedies};
pub use search::{DEFAULT_WIDTH, plan, plan_within};
pub use walk::{Choice, Fault, Move, Plan, Proof, SettingSign, Walked, walk};
