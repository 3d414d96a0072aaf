//! A recording that the player has, and where the sheet's measures lie in it.
//!
//! [`decode`] reads the file, [`hear`] listens to it once, [`course`] says what the sheet lets expect, [`evidence`] compares the two, [`rough`] and [`close`] find the way
//! through, [`mod@follow`] puts it together, [`words`] says it. Nothing is learned while the program runs; the same recording and sheet give the same places. This crate knows music and samples, no
//! format of scores, no screen.

pub mod error;
pub mod decode;
pub mod hear;
pub mod course;
pub mod evidence;
pub mod rough;
pub mod close;
pub mod follow;
pub mod words;

pub use decode::{Sound, bytes, open};
pub use error::RecordingError;
pub use follow::{Followed, Pass, Sure, follow};
pub use hear::{Heard, listen};
pub use rough::Anchor;
