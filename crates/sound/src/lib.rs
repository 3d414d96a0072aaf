//! A page as sound: when every string is plucked, how a plucked string sounds, and both together as samples.
//!
//! [`perform()`] turns a [`music::Score`] into a [`Performance`]: every pluck in seconds, in the order in which the page is played. [`string()`] is one string
//! of our own model, plucked once; [`Strings`] are all that a performance needs, and [`render`] lays them over each other; [`loudness`] makes a page as loud as other music; [`click()`] is the beat to play to, [`lesson`] parts of a page one after another. [`wav`] writes samples to a
//! file; [`soundfont`] plays the same with a SoundFont of the player's. This crate knows no screen, no format of scores and nothing of harmony; the same page and settings give the same samples.
//!
//! Read in this order: [`performing`], [`performance`], [`mod@perform`]; then [`mod@string`], [`strings`], [`loudness`], [`samples`], [`wav`].

pub mod performing;
pub mod performance;
pub mod perform;
pub mod voicing;
pub mod string;
pub mod strings;
pub mod loudness;
pub mod click;
pub mod lesson;
pub mod samples;
pub mod wav;
pub mod soundfont;
pub mod error;

pub use click::{Beat, click};
pub use error::SoundError;
pub use perform::perform;
pub use performance::{Pass, Performance, Pluck, Strength};
pub use performing::{Graces, Hands, Holds, Landing, Percent, Performing, Rolls, TempoShare};
pub use samples::{Rate, Samples};
pub use soundfont::SoundFont;
pub use string::string;
pub use strings::{Strings, render};
pub use voicing::{STOPPING, Voicing, pan};
