//! A tune as it lies before her: what it was arranged from and the arrangement, with what every part of this crate asks of them.

use arrange::hand_time::Pluck;
use arrange::measures::LaidMeasure;
use arrange::slots::Slot;
use arrange::{Arrangement, Figures, Wishes};
use harp::{Instrument, Player};
use music::{Hand, LeadSheet, MeasureNumber, Note};
use std::collections::BTreeSet;

/// A tune and the arrangement that was made of it with these figures, harp, player and wishes.
#[derive(Clone, Copy)]
pub struct Lesson<'a> {
    /// As it was read, before it was moved to its key.
    pub sheet: &'a LeadSheet,
    pub figures: &'a Figures,
    pub harp: &'a Instrument,
    pub player: &'a Player,
    pub wishes: &'a Wishes,
    pub made: &'a Arrangement,
}

/// How many of a page's verses are meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verses {
    Some,
    All,
}

impl<'a> Lesson<'a> {
    /// The slots of the plan in order, each with the index of its figure and its plucks; not those of verses in which the left hand plays the melody.
    pub fn played(&self) -> impl Iterator<Item = (&'a Slot, usize, &'a [Pluck])> {
        let plan = &self.made.plan;
        let chosen = plan.choices.iter().zip(&plan.found.chosen).map(|(choices, c)| &choices.candidates[*c]);
        let (origin, below) = (&self.made.tune.origin, &self.wishes.melody_below);
        let all = plan.slots.iter().zip(chosen).filter(move |(slot, _)| !below.contains(&origin[slot.measure].verse()));
        all.map(|(slot, candidate)| (slot, candidate.figure, candidate.plucks.as_slice()))
    }

    /// The slots of the plan that have a chord, whichever hand has the melody there.
    pub fn chords(&self) -> impl Iterator<Item = &'a Slot> {
        self.made.plan.slots.iter().filter(|slot| slot.chord.is_some())
    }

    /// The verses of the page in which the left hand has the melody, counted from 1, and whether those are all.
    pub fn below(&self) -> (BTreeSet<usize>, Verses) {
        let verse = |measure: usize| self.made.tune.origin[LaidMeasure::at(measure)].verse() + 1;
        let has = |measure: &usize| self.made.score.measures[*measure].melody == Hand::Left;
        let (below, above): (Vec<usize>, Vec<usize>) = (0..self.made.score.measures.len()).partition(has);
        let above: BTreeSet<usize> = above.into_iter().map(verse).collect();
        let below: BTreeSet<usize> = below.into_iter().map(verse).collect();
        let all = if above.is_subset(&below) { Verses::All } else { Verses::Some };
        (below, all)
    }

    /// The printed number of a laid-out measure.
    pub fn number(&self, measure: usize) -> MeasureNumber {
        self.made.score.measures[measure].frame.number
    }

    /// A figure's name as it is read: "open broken chord".
    pub fn figure_name(&self, figure: usize) -> String {
        self.figures.all[figure].name.replace('-', " ")
    }

    /// What the accompanying hand plucks in a slot as it is printed: a lever, or a change by hand, may have left less of the plan, or other strings.
    pub fn printed(&self, slot: &'a Slot) -> impl Iterator<Item = &'a Note> {
        let notes = self.made.score.measures[slot.measure.index()].accompaniment();
        notes.iter().filter(move |n| n.is_plucked() && n.at >= slot.at && n.at < slot.at + slot.length)
    }
}
