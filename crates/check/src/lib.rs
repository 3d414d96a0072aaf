//! What a harpist would say about a written page of two hands: what cannot be played, what is hard, what is worth a look, and what to do.
//!
//! [`check`] is the whole job. [`music::Clock`] gives every place its time, [`mod@onsets`] gathers what is plucked at each instant, [`strings`] gives every
//! note its string and finds the moves of levers or pedals, [`hands`] shares the strings between the hands. Each file of [`rules`] looks at that
//! and says [`finding`]s; [`change`] is what a repair does to a page, and [`repair`] tries each before it is offered. [`report`] picks the harp and
//! groups what is only worth a look. [`together`] asks whether several pages of one tune sound together.
//!
//! Only arithmetic and sourced limits on which the sources agree make a "cannot"; times, reaches and taste are at most "hard". This crate knows no file
//! format and no screen.

pub mod onsets;
pub mod strings;
pub mod hands;
pub mod finding;
pub mod change;
pub mod rules;
pub mod repair;
pub mod report;
pub mod together;

pub use change::Change;
pub use finding::{Finding, Gravity, Repair, Rule};
pub use report::{Because, Report, check, check_on, choose_harp};
