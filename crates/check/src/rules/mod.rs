//! The rules, one room each, and what they all look at.
//!
//! [`instrument`] asks what the harp has, [`holding`] what hands can hold, [`time`] what they can reach in time, [`sound`] how it rings, and
//! [`accompaniment`] asks the arranger's own principles where the page has chord symbols.

use crate::change::{Change, Role};
use crate::finding::Finding;
use crate::hands::{self, Hands};
use crate::onsets::{Onset, onsets};
use crate::strings::{self, PageStrings};
use harp::{Instrument, Player};
use music::{Clock, Hand, Pitch, Score};

pub mod instrument;
pub mod holding;
pub mod time;
pub mod sound;
pub mod accompaniment;

/// A page with everything that was worked out about it once.
pub struct Scene<'a> {
    pub score: &'a Score,
    /// The harp as given; `tuned` has its strings without discs set to what the page needs.
    pub harp: &'a Instrument,
    pub tuned: Instrument,
    pub player: &'a Player,
    pub clock: Clock,
    pub onsets: Vec<Onset>,
    pub strings: PageStrings,
    pub hands: Hands,
}

impl<'a> Scene<'a> {
    pub fn new(score: &'a Score, harp: &'a Instrument, player: &'a Player) -> Scene<'a> {
        let clock = Clock::of_score(score);
        let onsets = onsets(score, &clock);
        let tuned = strings::tuned(harp);
        let strings = strings::settle(score, &onsets, &tuned, player);
        let hands = hands::share(&onsets, &strings.plucked, player);
        Scene { score, harp, tuned, player, clock, onsets, strings, hands }
    }

    /// The written pitch that an onset plucks on a string.
    pub fn written(&self, onset: usize, string: i32) -> Option<Pitch> {
        let pairs = self.onsets[onset].tones.iter().zip(&self.strings.plucked[onset]);
        pairs.filter(|(_, p)| p.is_some_and(|p| p.position() == string)).map(|(t, _)| t.pitch).next()
    }

    /// The staff on which most of what a hand plucks at an onset stands.
    pub fn staff(&self, onset: usize, strings: &[i32]) -> Hand {
        let on = |string: &i32| {
            self.onsets[onset].tones.iter().zip(&self.strings.plucked[onset]).find(|(_, p)| p.is_some_and(|p| p.position() == *string))
        };
        let left = strings.iter().filter_map(on).filter(|(t, _)| t.staff == Hand::Left).count();
        if left * 2 >= strings.len() { Hand::Left } else { Hand::Right }
    }

    /// Names of written pitches on strings.
    pub fn names(&self, onset: usize, strings: &[i32]) -> String {
        let names: Vec<String> = strings.iter().filter_map(|s| self.written(onset, *s)).map(|p| format!("{p:#}")).collect();
        names.join(" ")
    }
}

/// Everything there is to say about a page, place by place; nothing is grouped and no repair is tried yet.
pub fn all(scene: &Scene) -> Vec<Finding> {
    let mut found = Vec::new();
    instrument::look(scene, &mut found);
    holding::look(scene, &mut found);
    time::look(scene, &mut found);
    sound::look(scene, &mut found);
    accompaniment::look(scene, &mut found);
    found.sort_by(|a, b| (a.place, a.gravity, a.rule, -a.weight, &a.text).cmp(&(b.place, b.gravity, b.rule, -b.weight, &b.text)));
    found
}

/// What a tone is to its chord.
pub fn role(onset: &Onset, pitch: Pitch) -> Role {
    let others = || onset.tones.iter().filter(|t| t.pitch != pitch);
    let (first, last) = (onset.tones.first().map(|t| t.pitch), onset.tones.last().map(|t| t.pitch));
    if others().any(|t| t.pitch.pitch_class() == pitch.pitch_class()) {
        Role::Doubled
    } else if first == Some(pitch) && onset.tones.len() > 1 {
        Role::Lowest
    } else if last == Some(pitch) {
        Role::Highest
    } else {
        Role::Inner
    }
}

/// Tones that a chord can lose, the one that is missed least first: inner and doubled, inner, doubled on top or at the bottom.
pub fn thinner(onset: &Onset, among: &[Pitch]) -> Vec<Change> {
    let outer = |p: &Pitch| onset.tones.first().is_some_and(|t| t.pitch == *p) || onset.tones.last().is_some_and(|t| t.pitch == *p);
    let mut pitches: Vec<(i32, Pitch)> = among
        .iter()
        .map(|p| {
            let doubled = role(onset, *p) == Role::Doubled;
            (if outer(p) { 4 } else { 0 } + if doubled { 0 } else { 2 }, *p)
        })
        .collect();
    pitches.sort_by_key(|p| p.0);
    pitches.into_iter().map(|(_, pitch)| Change::LeaveOut { place: onset.place, pitch, role: role(onset, pitch) }).collect()
}

/// "the left hand", "the right hand".
pub fn the_hand(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "the left hand",
        Hand::Right => "the right hand",
    }
}
