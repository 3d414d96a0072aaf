//! What the player asks for. Every field says its default and the reason for it.

use crate::form::Form;
use harmony::PhraseHere;
use harmony::kind::KindOfTune;
use harp::page::fingers::Shown;
use music::{Beats, Interval, MeasureNumber, Pitch, Tempo};
use std::collections::{BTreeMap, BTreeSet};

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
    /// A figure for a measure, by the printed number of the written measure. Default: none.
    pub holds: BTreeMap<MeasureNumber, String>,
    /// A way she took for a measure, pluck by pluck, by the printed number as in `holds`, in the tune's own key. Default: none.
    pub ways: BTreeMap<MeasureNumber, Vec<HeldPluck>>,
    /// Whether a phrase begins or goes on at a measure, by the number as in `holds`. Default: as the tune tells.
    pub phrases: BTreeMap<MeasureNumber, PhraseHere>,
    /// What a bass that is written apart from the chord (C/E) means. Default: a strong suggestion.
    pub bass: WrittenBass,
    /// Which of several good plans; each raises the price of what the ones before chose. Default: 1, the best.
    pub variant: u32,
    /// Measures after which one figure has been heard enough. Default: 4, a phrase.
    pub patience: Option<u32>,
    /// The fullness from which a return of the same tune is played in another way. Default: 3; below it a learner keeps the same hand.
    pub vary_from: Option<u8>,
    /// What is put before, between and after the verses. Default: nothing.
    pub form: Form,
    /// The verses, from 0, in which the left hand lies an octave higher. Default: none.
    pub high: BTreeSet<usize>,
    /// The verses, from 0, whose melody the left hand plays, with chords above it in the right. Default: none.
    pub melody_below: BTreeSet<usize>,
    /// Which fingers are printed. Default: few, where the hand is placed anew.
    pub fingers: Shown,
}

/// One pluck of a way that is held; `at` counts from the start of the measure that is printed, of which a repeat may make two.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeldPluck {
    pub at: Beats,
    /// Lowest first.
    pub pitches: Vec<Pitch>,
    pub rolled: bool,
}

/// What a written bass asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum WrittenBass {
    /// It is left where the line is clearly better for it, and that is said.
    #[default]
    Suggestion,
    /// It is always kept.
    Kept,
}

impl Wishes {
    /// The same wishes for a tune that was moved: the ways she took move with it.
    pub(crate) fn moved(&self, by: Interval) -> Wishes {
        let mut wishes = self.clone();
        let plucks = wishes.ways.values_mut().flatten();
        plucks.flat_map(|p| &mut p.pitches).for_each(|pitch| *pitch = pitch.up(by));
        wishes
    }

    /// Measures a figure may run before a change is welcome.
    pub fn patience(&self) -> u32 {
        self.patience.unwrap_or(4).clamp(1, 32)
    }

    /// The fullness from which returns are not copies; 7 is never.
    pub fn returns_vary_from(&self) -> u8 {
        self.vary_from.unwrap_or(3)
    }
}
