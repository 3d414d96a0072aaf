//! From a lead sheet to two hands: figures, candidates, principles, the search, and the reasons.
//!
//! [`arrange`] is the whole job. In the order of the work: [`form`] makes what is added to the tune, [`tune`] lays it out with the verses, [`slots`] cuts them into decisions, [`figures`] and
//! [`rungs`] and [`voicing`] say what may be played and on which strings, [`candidates`] keeps what hand and harp allow, [`principles`] prices it, [`search`] and
//! [`plan`] find the cheapest whole with the levers or pedals of [`settings`], [`hands`] writes it down and [`explain`] says why.
//!
//! This crate knows nothing of files, sound or screens.

pub mod price;
pub mod figures;
pub mod wishes;
pub mod rungs;
pub mod voicing;
pub mod kept;
pub mod form;
pub mod below;
pub mod tune;
pub mod slots;
pub mod register;
pub mod view;
pub mod hand_time;
pub mod principles;
pub mod candidates;
pub mod joins;
pub mod search;
pub mod plan;
pub mod settings;
mod rounds;
pub mod hands;
pub mod ways;
mod apart;
pub mod worth;
mod reasons;
pub mod explain;
pub mod arrangement;
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
