//! The commands, one a file.

pub mod arrange;
pub mod book;
pub mod check;
pub mod chords;
pub mod cues;
pub mod doctor;
pub mod drills;
pub mod explain;
pub mod export;
pub mod figures;
pub mod harps;
pub mod keys;
pub mod ladder;
pub mod levels;
pub mod open;
pub mod papers;
pub mod places;
pub mod sight;
pub mod set;
pub mod versions;
