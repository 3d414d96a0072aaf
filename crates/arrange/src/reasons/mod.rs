//! Why the accompanying hand does what it does, in a musician's words.
//!
//! Every clause is read off the notes of the plan, so that none can be untrue of them: [`bass`] tells the line below, [`above`] the strings over it, [`melody`] what the
//! hand does under the melody, [`form`] what the place asks for, and [`over`] all of the right hand's chords over a melody in the left. Of all that is true of a measure the most telling is said, and not again in the next.

mod bass;
mod above;
mod melody;
mod form;
mod over;

use crate::candidates::Candidate;
use crate::hand_time::Pluck;
use crate::measures::LaidMeasure;
use crate::plan::Plan;
use crate::slots::Slot;
use crate::task::Task;
use harmony::spans::Silence;
use music::{Hand, MeasureNumber, Pitch};

/// What a clause is about: one that was said a moment ago gives way to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum About {
    Written,
    WrittenLeft,
    Seventh,
    Passing,
    Inversion,
    Stays,
    Walk,
    Lead,
    Motion,
    Resolves,
    Common,
    Tenth,
    Holds,
    Runs,
    Uneven,
    Last,
    Closes,
    Section,
    Phrase,
    Return,
    Fullest,
    Peak,
    Chords,
}

/// One true thing, and how much it tells.
struct Clause {
    about: About,
    weight: i32,
    said: String,
}

impl Clause {
    fn new(about: About, weight: i32, said: impl Into<String>) -> Clause {
        Clause { about, weight, said: said.into() }
    }
}

/// The most clauses of one sentence, and the weight from which a third is said.
const CLAUSES: usize = 2;
const WORTH_A_THIRD: i32 = 80;
/// What a clause of a kind loses that was said of the slot before, and of those before that.
const SAID: [i32; 4] = [45, 35, 25, 15];
/// Below this a clause is only said where there is no other.
const LEAST: i32 = 20;

/// In place of a sentence that was just said.
const AGAIN: &str = "for the same reason as just before.";

/// A sentence for each slot. `written` says why the cheapest whole with another candidate at a slot would be worse.
pub(crate) fn all(task: &Task, plan: &Plan, written: &dyn Fn(usize, usize) -> String) -> Vec<String> {
    let told = Told { task, plan, written };
    let mut lately: [Vec<About>; SAID.len()] = Default::default();
    let mut sentences: Vec<String> = Vec::new();
    for slot in 0..plan.slots.len() {
        let chosen = select(told.clauses(slot), &lately);
        lately.rotate_right(1);
        lately[0] = chosen.iter().map(|c| c.about).collect();
        let text: Vec<String> = chosen.into_iter().map(|c| c.said).collect();
        let sentence = if text.is_empty() { told.silence(slot) } else { format!("{}.", text.join("; ")) };
        let again = !told.plucks(slot).is_empty() && sentences.last() == Some(&sentence);
        sentences.push(if again { AGAIN.to_owned() } else { sentence });
    }
    sentences
}

fn select(mut clauses: Vec<Clause>, lately: &[Vec<About>]) -> Vec<Clause> {
    for clause in &mut clauses {
        for (said, loses) in lately.iter().zip(SAID) {
            clause.weight -= if said.contains(&clause.about) { loses } else { 0 };
        }
    }
    // What a return does with its bass is said once.
    if clauses.iter().any(|c| c.about == About::Return && c.said.contains("bass")) {
        clauses.retain(|c| !matches!(c.about, About::Inversion | About::Motion));
    }
    let mut order: Vec<usize> = (0..clauses.len()).collect();
    order.sort_by_key(|c| (-clauses[*c].weight, *c));
    let kept: Vec<usize> = order
        .into_iter()
        .enumerate()
        .filter(|(rank, c)| {
            let weight = clauses[*c].weight;
            *rank == 0 || *rank < CLAUSES && weight >= LEAST || *rank == CLAUSES && weight >= WORTH_A_THIRD
        })
        .map(|(_, c)| c)
        .collect();
    let all = clauses.into_iter().enumerate().filter(|(i, _)| kept.contains(i));
    all.map(|(_, clause)| clause).collect()
}

/// What the clauses are read off.
struct Told<'a> {
    task: &'a Task<'a>,
    plan: &'a Plan,
    written: &'a dyn Fn(usize, usize) -> String,
}

impl Told<'_> {
    /// In the order in which they are said: the place, the melody, the bass, what stands above it.
    fn clauses(&self, slot: usize) -> Vec<Clause> {
        if self.plan.slots[slot].chord.is_none() || self.chosen(slot).plucks.is_empty() {
            return Vec::new();
        }
        if self.slot(slot).hand == Hand::Right {
            return self.over(slot);
        }
        [self.form(slot), self.melody(slot), self.bass(slot), self.above(slot)].into_iter().flatten().collect()
    }

    fn slot(&self, slot: usize) -> &Slot {
        &self.plan.slots[slot]
    }

    fn chosen(&self, slot: usize) -> &Candidate {
        &self.plan.choices[slot].candidates[self.plan.found.chosen[slot]]
    }

    fn plucks(&self, slot: usize) -> &[Pluck] {
        &self.chosen(slot).plucks
    }

    fn number(&self, slot: usize) -> MeasureNumber {
        self.task.tune.frame(self.slot(slot).measure).number
    }

    /// The first string of a slot.
    fn low(&self, slot: usize) -> Option<Pitch> {
        self.plucks(slot).first().map(|p| p.pitches[0])
    }

    fn before(&self, slot: usize) -> Option<usize> {
        slot.checked_sub(1).filter(|s| self.low(*s).is_some() && self.slot(*s).hand == self.slot(slot).hand)
    }

    fn next(&self, slot: usize) -> Option<usize> {
        Some(slot + 1).filter(|s| *s < self.plan.slots.len() && self.low(*s).is_some() && self.slot(*s).hand == self.slot(slot).hand)
    }

    /// Whether the chord at a slot is another than at the slot before.
    fn changes(&self, slot: usize) -> bool {
        let classes = |s: usize| self.slot(s).chord.as_ref().map(music::Chord::pitch_classes);
        slot.checked_sub(1).is_some_and(|b| classes(b) != classes(slot))
    }

    fn silence(&self, slot: usize) -> String {
        let here = self.slot(slot);
        if here.chord.is_some() {
            let hand = if here.hand == Hand::Left { "left" } else { "right" };
            return format!("the {hand} hand rests: {}.", self.why_it_rests(slot));
        }
        match here.silence {
            Silence::BeforeFirstChord if here.hand == Hand::Right => "the right hand waits for the first chord.",
            Silence::BeforeFirstChord => "the left hand waits for the first chord.",
            Silence::NoChord => "N.C.: the tune asks for no chord here.",
            Silence::No if here.hand == Hand::Right => {
                "no chord above here: it is too short to play, or the measure only leads into the next."
            }
            Silence::No => "no left hand here: the chord is too short to play, or the measure only leads into the next.",
        }
        .into()
    }

    fn why_it_rests(&self, slot: usize) -> &'static str {
        let here = self.slot(slot);
        let moved = |m: &harp::page::PageMark| LaidMeasure::at(m.measure) == here.measure;
        if here.fullness == 0 {
            "you asked for the melody alone"
        } else if self.plan.choices[slot].candidates.iter().all(|c| c.plucks.is_empty()) {
            if here.hand == Hand::Left { "there is no room for it under the melody" } else { "there is no room for it above the melody" }
        } else if self.plan.settled.page.marks.iter().any(moved) {
            "something has to be set for the harp in this measure"
        } else {
            "what was plucked before may ring"
        }
    }
}

/// "G", "F♯".
fn named(pitch: Pitch) -> String {
    format!("{:#}", pitch.name())
}

/// "D", "D and G", "D, G and B".
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
