//! Tunes of our own that a new folder begins with, and that an empty one is offered.

use crate::failure::Failure;
use crate::shelf::Shelf;

macro_rules! tunes {
    ($($name:literal),* $(,)?) => {
        const TUNES: &[(&str, &str)] = &[$(($name, include_str!(concat!("../../../data/tunes/", $name, ".abc")))),*];
    };
}

tunes!["bakery-before-six", "ferry-reel", "lighthouse-in-mist", "regatta-morning"];

/// Puts them into a folder, each under a name of its own, and says which. Errors: the folder cannot be written.
pub fn put_in(shelf: &Shelf) -> Result<Vec<String>, Failure> {
    TUNES.iter().map(|(name, text)| shelf.take_in(name, "abc", text.as_bytes())).collect()
}
