//! Which finger plucks which string, and which fingers are placed together.
//!
//! A line is what one hand plucks, with its times. It is cut into groups of one to four strings that are placed together (the brackets of a
//! page), each string on its own finger, the thumb highest in both hands (harp facts 3.1). The cheapest cutting and fingering is found
//! exactly. This room knows strings, times and the player; it knows no harmony and no page.
//!
//! Read in this order: [`mod@line`] is what comes in; [`prices`] says what anything costs; [`shape`] and [`placing`] price one group; [`join`] prices the way
//! from one group to the next; [`search`] finds the cheapest; [`hands`] shares a page between the hands where the page does not say; [`alone`] says whether one
//! hand can play a line by itself.

pub mod line;
pub mod prices;
pub mod shape;
mod placing;
mod join;
pub mod search;
pub mod hands;
pub mod alone;

pub use crate::hand::Strike;
pub use hands::{HandPrices, Onset, Shared, share};
pub use line::{Liked, Line, LineError, Pluck};
pub use prices::{Parts, Prices};
pub use search::{Fingering, FingeringError, Group, Placed, finger, price};
