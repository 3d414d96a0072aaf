//! The desk's addresses asked without a socket, and once through a real one; the engraver is a plain one that draws nothing but ids.

mod asking;
mod by_hand;
mod own_harps;
mod chords;
mod tunes;
mod bin;
mod bindery;
mod hearing;
mod ways;
mod practice;
mod diary;
mod ending;
mod sets;
mod fits;
mod words;
mod parts;
mod fonts;
mod recordings;
#[path = "../../../sound/tests/font/mod.rs"]
mod font;
mod guards;
mod passes;
mod uploads;
mod usual;
mod versions;
mod forms;
mod faults;
mod socket;
mod slow;
mod limits;
mod errors;
mod plain_text;
mod for_the_ear;
