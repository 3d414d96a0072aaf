//! What stands outside the staves for a harpist's hands and feet: fingers, brackets over strings placed together, muffles, levers, pedals.
//!
//! The engraving library knows half of these and gives none of them room of its own. They are taken out of the score before it draws ([`mod@read`]) and set
//! here on its systems ([`mod@place`]): nearest the staff the fingers, then brackets; what the library put there is moved outwards; then the marks, in rows.
//! Systems are stacked afterwards by their ink, so everything keeps its room. The space between the staves stays free: it is the player's.

pub(crate) mod read;
pub(crate) mod column;
pub(crate) mod diagram;
pub(crate) mod outline;
pub(crate) mod heads;
pub(crate) mod outer;
pub(crate) mod place;

pub(crate) use place::place;
pub(crate) use read::{HarpMarks, read};

/// Which side of the system something stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Side {
    Above,
    Below,
}
