//! What the player asks for. Every field says its default and the reason for it.

use harmony::kind::KindOfTune;
use harp::page::fingers::Shown;
use music::{Interval, Tempo};
use std::collections::BTreeMap;

/// The player's wishes for one arrangement.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Wishes {
    /// The tempo at the first note; later marks keep their proportion to it. Default: the tune's own tempo, else one assumed from the kind of tune, and said so.
    pub tempo: Option<Tempo>,
    /// Default: guessed from the tune, and said so.
    pub kind: Option<KindOfTune>,
    /// Moves the tune to another key. Default: as written, or by octaves where the tune leaves the harp.
    pub transpose: Option<Interval>,
    /// One value (0 to 6) a verse. Default: one verse, at 3.
    pub fullness: Vec<u8>,
    /// Only these figures (rests, landings and the last chord stay). Default: all.
    pub only: Vec<String>,
    /// Never these figures. Default: none.
    pub without: Vec<String>,
    /// A figure for a measure, by the number of the written measure as counted in [`crate::Arrangement::numbers`]. Default: none.
    pub holds: BTreeMap<u32, String>,
    /// Which of several good plans; each raises the price of what the ones before chose. Default: 1, the best.
    pub variant: u32,
    /// Measures after which one figure has been heard enough. Default: 4, a phrase.
    pub patience: Option<u32>,
    /// The fullness from which a return of the same tune is played in another way. Default: 3; below it a learner keeps the same hand.
    pub vary_from: Option<u8>,
    /// Which fingers are printed. Default: few, where the hand takes a new shape.
    pub fingers: Shown,
}

impl Wishes {
    /// Measures a figure may run before a change is welcome.
    pub fn patience(&self) -> u32 {
        self.patience.unwrap_or(4).clamp(1, 32)
    }

    /// The fullness from which returns are not copies; 7 is never.
    pub fn returns_vary_from(&self) -> u8 {
        self.vary_from.unwrap_or(3)
    }
}
