//! The page shared between the hands by what can be played: a staff is not a hand.

use crate::onsets::Onset;
use harp::Player;
use harp::fingering::{self, HandPrices};
use music::{Hand, Pitch, Seconds};
use std::collections::BTreeMap;

/// What one hand plucks at an instant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pluck {
    /// Index of the onset.
    pub onset: usize,
    pub time: Seconds,
    /// Strings, lowest first, each once.
    pub strings: Vec<i32>,
    pub rolled: bool,
}

impl Pluck {
    pub fn low(&self) -> i32 {
        self.strings.first().copied().unwrap_or(0)
    }

    pub fn high(&self) -> i32 {
        self.strings.last().copied().unwrap_or(0)
    }

    /// Strings it takes, both ends counted.
    pub fn width(&self) -> i32 {
        self.high() - self.low() + 1
    }
}

/// Both hands of a page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hands {
    pub left: Vec<Pluck>,
    pub right: Vec<Pluck>,
}

impl Hands {
    pub fn of(&self, hand: Hand) -> &[Pluck] {
        match hand {
            Hand::Left => &self.left,
            Hand::Right => &self.right,
        }
    }
}

/// Shares the strings of each onset. `plucked` has for each tone of each onset the pitch it is plucked as, `None` where the harp does not have it.
pub fn share(onsets: &[Onset], plucked: &[Vec<Option<Pitch>>], player: &Player) -> Hands {
    let mut asked: Vec<fingering::Onset> = Vec::with_capacity(onsets.len());
    let mut indices = Vec::with_capacity(onsets.len());
    for (index, (onset, pitches)) in onsets.iter().zip(plucked).enumerate() {
        let mut strings: BTreeMap<i32, Option<Hand>> = BTreeMap::new();
        for (tone, pitch) in onset.tones.iter().zip(pitches) {
            if let Some(pitch) = pitch {
                let staff = if tone.twice { None } else { Some(tone.staff) };
                strings.entry(pitch.position()).or_insert(staff);
            }
        }
        if !strings.is_empty() {
            asked.push(fingering::Onset { at: onset.time, strings: strings.into_iter().collect() });
            indices.push(index);
        }
    }
    let shared = fingering::share(&asked, player, &HandPrices::default());
    let mut hands = Hands::default();
    for ((onset, index), split) in asked.iter().zip(indices).zip(shared.left) {
        let strings: Vec<i32> = onset.strings.iter().map(|s| s.0).collect();
        let (left, right) = strings.split_at(split);
        let pluck = |strings: &[i32]| Pluck { onset: index, time: onset.at, strings: strings.to_vec(), rolled: onsets[index].rolled() };
        if !left.is_empty() {
            hands.left.push(pluck(left));
        }
        if !right.is_empty() {
            hands.right.push(pluck(right));
        }
    }
    hands
}

/// The stretches in which a hand has nothing to pluck: from `away` after a pluck to `back` before the next.
pub fn free(plucks: &[Pluck], away: Seconds, back: Seconds, end: Seconds) -> Vec<(i64, i64)> {
    let from = std::iter::once(i64::MIN / 4).chain(plucks.iter().map(|p| (p.time + away).micros()));
    let to = plucks.iter().map(|p| (p.time - back).micros()).chain(std::iter::once(end.micros()));
    from.zip(to).filter(|(from, to)| from < to).collect()
}
