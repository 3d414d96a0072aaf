//! The checks against the outside: what the readers of [`formats`] read and its writers write, beside what other people's libraries find in the
//! same files. Nothing here is part of the program; `scripts/test` prepares what these checks need.
//!
//! [`facts`] loads what music21 found in its own corpus; [`seen`] says the same of a sheet of ours; [`compare`] lists the differences;
//! [`accepted`] knows the ones that were looked into and are not ours; [`written`] hands what the writers write to validators; [`phrases`] compares phrases with
//! those that others marked, [`bare`] chords for a bare melody with those a tune is known with, [`voices`] chords of several voices with experts'; [`recordings`] where measures lie in recordings with where they were played; [`ascent`] is how the tables of both were fitted.

pub mod facts;
pub mod seen;
pub mod compare;
pub mod accepted;
pub mod written;
pub mod phrases;
pub mod bare;
pub mod ascent;
pub mod voices;
pub mod recordings;
