//! The program from outside: every command as a harpist types it, with what it says word for word.

mod support;
mod pdf;
mod versions;
mod arrange;
mod check;
mod chords;
mod bare_tunes;
mod hymns;
mod others;
mod practice;
mod along;
mod sets;
mod book;
mod open;
mod guide;
mod limits;
mod places;
mod otherwise;
