//! A whole page on a harp: how the strings are set from beginning to end, which fingers play it, what is muffled.
//!
//! The rooms beside this one know strings and times; this one lays a [`music::Score`] out for them and writes their answers back as marks. [`music::Clock`] turns
//! places into seconds; [`mod@settings`] plans levers or pedals and [`opening`] says how they stand before the first note; [`mod@replay`] plays the printed marks
//! through and hears what sounds; [`fingers`] and [`muffles`] fill in the hands.

pub mod opening;
pub mod missing;
pub mod settings;
pub mod replay;
pub mod fingers;
mod alike;
pub mod muffles;

pub use missing::{MissingNote, Why};
pub use opening::Opening;
pub use replay::{Heard, replay};
pub use settings::{Laid, PageMark, PageSettings, SettingsWish, When, settings};
