//! Pitches, exact time, meter, keys, chords, the lead sheet and the two-hand score. The README, which follows, says what this crate is for and what it must
//! not know: any file format, screen, clock or randomness.
#![doc = include_str!("../README.md")]
//! ## The rooms
//!
//! Read in this order: [`time`] and [`pitch`] carry everything else; [`key`], [`meter`] and [`chord`] are the
//! theory; [`note`], [`number`], [`measure`], [`sheet`] and [`score`] are what readers make and writers take, with [`preparation`] for what is
//! done before the first note; [`order`] says in which order the measures are played and [`clock`] when each place comes;
//! [`text`] is the short form that tests are written in.
#![warn(missing_docs)]

pub mod time;
pub mod pitch;
pub mod key;
pub mod meter;
pub mod chord;
pub mod note;
pub mod number;
pub mod measure;
pub mod sheet;
pub mod voices;
pub mod preparation;
pub mod score;
pub mod order;
pub mod clock;
pub mod text;

pub use chord::{Chord, ChordKind, ChordSymbol, ChordTone, Degree, DegreeChange, Harmony, as_read};
pub use clock::{Clock, LocalClock, Place};
pub use key::{Key, Mode};
pub use measure::{Barline, ChordOrigin, Ending, Frame, Jump, PlacedChord};
pub use meter::{Meter, MeterSign};
pub use note::{Bracket, Decoration, Grace, Hyphen, Note, Syllable, Tie, Tuplet, TupletEdge};
pub use number::{MeasureNumber, Part};
pub use pitch::{Interval, Pitch, PitchName, Step};
pub use preparation::{Lever, LeverString, Preparation, Setting};
pub use score::{Hand, MELODY_IN_THE_LEFT_HAND, Mark, PlacedMark, Score, ScoreMeasure};
pub use sheet::{LeadSheet, SheetMeasure, Words};
pub use time::{Beats, Seconds, Tempo};
pub use voices::{VoiceLine, VoiceNote, Voices};
