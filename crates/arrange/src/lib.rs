//! From a lead sheet to two hands: figures, candidates, principles, the search, and the reasons.
//!
//! [`arrange`] is the whole job. In the order of the work: [`form`] makes what is added to the tune, [`tune`] lays it out with the verses, [`slots`] cuts them into decisions, [`figures`] and
//! [`rungs`] and [`voicing`] say what may be played and on which strings, `filling` keeps as [`candidates`] what hand and harp allow, [`principles`] prices it, [`search`] and
//! [`planning`] find the cheapest whole, a [`plan`], with the levers or pedals that [`moves`] and [`charges`] price, [`hands`] writes it down and [`explain`] says why.
//!
//! The modules stand in such an order that none knows one after it; a test of the house's rules keeps it so.
//! This crate knows nothing of files, sound or screens.

pub mod price;
pub mod figures;
pub mod rungs;
pub mod register;
pub mod worth;
pub mod form;
pub mod wishes;
pub mod hand_time;
pub mod measures;
pub mod tune;
pub mod chord_facts;
pub mod slots;
pub mod view;
pub mod principles;
pub mod voicing;
pub mod candidates;
pub mod kept;
mod filling;
pub mod task;
pub mod stages;
pub mod joins;
pub mod search;
pub mod moves;
pub mod below;
pub mod charges;
pub mod plan;
mod apart;
mod alike;
pub mod hands;
mod rounds;
pub mod planning;
mod reasons;
pub mod explain;
pub mod ways_out;
pub mod arrangement;
pub mod ways;
pub mod keys;
#[cfg(feature = "fitting")]
pub mod fitting;

pub use arrangement::{ArrangeError, Arrangement, Remark, arrange};
pub use explain::{Alternative, Decision};
pub use figures::{FigureError, Figures};
pub use form::Form;
pub use price::{Extra, Price, Principle};
pub use wishes::{Wishes, WrittenBass};
pub use worth::Worth;
