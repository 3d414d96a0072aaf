//! Fitting the weights to left hands made by hand: the plan in our own space that is nearest to a hand-made page, and what each weight counts in a plan.
//!
//! Only with the feature `fitting`, for `examples/fit.rs`.

use crate::alike::{Marginals, search, search_alike};
use crate::arrangement::{ArrangeError, manner, prepared};
use crate::candidates::{Candidate, Candidates};
use crate::charges::{Charges, Reserved};
use crate::figures::Figures;
use crate::filling::own_price;
use crate::hand_time::Pluck;
use crate::joins::Joins;
use crate::moves;
use crate::plan::{Plan, Settled};
use crate::planning::{all_choices, ground};
use crate::price::{Extra, Price};
use crate::principles::weight::{Weights, put, weights};
use crate::register::Register;
use crate::search::{Found, Search};
use crate::slots::{Setting, Slot, slots};
use crate::stages::{Stage, prices_of};
use crate::task::{Task, view};
use crate::tune::Tune;
use crate::wishes::Wishes;
use harmony::kind::KindOfTune;
use harmony::phrases::phrases;
use harmony::spans::spans;
use harp::page::PageSettings;
use harp::{Instrument, Player};
use music::{LeadSheet, Pitch, Score};

/// A tune with a left hand made by hand.
pub struct Lesson {
    tune: Tune,
    kind: KindOfTune,
    slots: Vec<Slot>,
    alone: PageSettings,
    /// What is plucked by hand in each slot; `None` where the page says nothing of the slot.
    hand: Vec<Option<Vec<Pluck>>>,
}

/// What all lessons share.
pub struct School<'a> {
    pub figures: &'a Figures,
    pub harp: &'a Instrument,
    pub player: &'a Player,
    pub wishes: &'a Wishes,
}

/// A plan: the chosen candidate of each slot.
pub type Chosen = Vec<Candidate>;

impl Lesson {
    pub fn new(sheet: &LeadSheet, page: &Score, school: &School) -> Result<Lesson, ArrangeError> {
        let ready = prepared(sheet, (school.harp, school.player), school.wishes)?;
        let (tune, kind) = (ready.tune, ready.kind.kind);
        let laid = slots(&tune, &spans(&tune.sheet, &tune.clock), &phrases(&tune.sheet), &Setting { fullness: &ready.fullness });
        let alone = moves::of_the_tune(&tune, school.harp, school.player);
        let hand = laid.iter().map(|slot| by_hand(slot, page)).collect();
        Ok(Lesson { tune, kind, slots: laid, alone, hand })
    }

    fn task<'a>(&'a self, school: &School<'a>) -> Task<'a> {
        let (tune, kind, register) = (&self.tune, self.kind, Register::default());
        Task {
            tune,
            figures: school.figures,
            harp: school.harp,
            player: school.player,
            wishes: school.wishes,
            kind,
            manner: manner(kind),
            register,
        }
    }

    /// The candidates under the weights that hold now.
    pub fn choices(&self, school: &School) -> Vec<Candidates> {
        all_choices(&self.task(school), &self.slots)
    }

    /// The plan that is nearest to the hand-made page; what it costs decides between equals.
    pub fn nearest(&self, school: &School, choices: &[Candidates]) -> Chosen {
        self.plan(school, choices, NEARER)
    }

    /// The plan the program makes, where being far from the hand-made page is rewarded: so the hand-made one must win by a margin.
    pub fn rival(&self, school: &School, choices: &[Candidates], margin: i64) -> Chosen {
        self.plan(school, choices, -margin)
    }

    fn plan(&self, school: &School, choices: &[Candidates], of_distance: i64) -> Chosen {
        let task = self.task(school);
        let extra = choices.iter().map(|c| vec![Extra::default(); c.candidates.len()]).collect();
        let found = Found { chosen: Vec::new(), total: 0, min_marginals: Vec::new() };
        let settled = Settled { page: self.alone.clone(), beyond: 0 };
        let (slots, prices) = (self.slots.clone(), choices.iter().map(|c| prices_of(&c.candidates)).collect());
        let mut plan = Plan { slots, choices: choices.to_vec(), prices, extra, charged: Charges::default(), found, settled };
        let joins = Joins::new(&plan.stages(), school.player);
        plan.put(&task, &Charges::foreseen(&task, &plan.slots, &self.alone, &Reserved::new()));
        for ((choices, extra), hand) in choices.iter().zip(&mut plan.extra).zip(&self.hand) {
            for (candidate, extra) in choices.candidates.iter().zip(extra) {
                extra.wish += of_distance * hand.as_ref().map_or(0, |hand| distance(&candidate.plucks, hand)) / 100;
            }
        }
        if of_distance >= NEARER {
            plan.found = search(&task, &joins, &plan);
        } else {
            search_alike(&task, &joins, &mut plan, Marginals::Kept);
        }
        plan.choices.iter().zip(&plan.found.chosen).map(|(choices, c)| choices.candidates[*c].clone()).collect()
    }

    /// How far a plan is from the hand-made page, in hundredths of a pluck, and over how many slots.
    pub fn distance(&self, chosen: &Chosen) -> (i64, usize) {
        let told = chosen.iter().zip(&self.hand).filter_map(|(c, hand)| hand.as_ref().map(|h| distance(&c.plucks, h)));
        told.fold((0, 0), |(sum, count), d| (sum + d, count + 1))
    }

    /// What a plan costs under the weights that hold now, without levers and returns.
    pub fn price(&self, school: &School, chosen: &Chosen) -> i64 {
        let task = self.task(school);
        let priced: Vec<Candidate> = self
            .slots
            .iter()
            .zip(chosen)
            .map(|(slot, c)| {
                let price = own_price(&view(&task, slot), &ground(&task, slot), &school.figures.all[c.figure], &c.plucks);
                Candidate { price, ..c.clone() }
            })
            .collect();
        let none = [Extra::default()];
        let stage = |(slot, c)| Stage::new(slot, std::slice::from_ref(c), &none);
        let stages: Vec<Stage> = self.slots.iter().zip(&priced).map(stage).collect();
        let joins = Joins::new(&stages, school.player);
        let search = Search::new(&stages, &joins, school.player, school.wishes.patience());
        search.prices(&vec![0; stages.len()]).iter().map(Price::total).sum()
    }

    /// How often each weight counts in a plan: the price is linear in the weights, so a step of one tells it.
    pub fn counts(&self, school: &School, chosen: &Chosen) -> Vec<f64> {
        let now = weights().clone();
        let base = self.price(school, chosen);
        let many = now.clone().named().len();
        let count = |index: usize| {
            let mut moved = now.clone();
            *moved.named()[index].1 += STEP;
            put(moved);
            (self.price(school, chosen) - base) as f64 / STEP as f64
        };
        let counts = (0..many).map(count).collect();
        put(now.clone());
        counts
    }
}

/// What a hundredth of a pluck of distance costs where the nearest plan is looked for: more than anything but what no hand can do.
const NEARER: i64 = 20_000;
/// A step of a weight, large so that rounding does not matter.
const STEP: i64 = 10_000;

fn by_hand(slot: &Slot, page: &Score) -> Option<Vec<Pluck>> {
    slot.chord.as_ref()?;
    let measure = page.measures.get(slot.measure.index())?;
    let mut plucks: Vec<Pluck> = Vec::new();
    for note in measure.left.iter().filter(|n| n.is_plucked() && n.at >= slot.at && n.at < slot.at + slot.length) {
        let at = note.at - slot.at;
        match plucks.iter_mut().find(|p| p.at == at) {
            Some(pluck) => pluck.pitches.extend(note.pitches.iter().copied()),
            None => plucks.push(Pluck { at, length: note.length, pitches: note.pitches.as_slice().into(), rolled: note.rolled }),
        }
    }
    plucks.sort_by_key(|p| p.at);
    plucks.iter_mut().for_each(|p| p.pitches.sort_by_key(|p| (p.position(), p.alter)));
    Some(plucks)
}

/// In hundredths of a pluck: moments that only one has, strings that only one has, another bass.
fn distance(a: &[Pluck], b: &[Pluck]) -> i64 {
    let mut sum = 0;
    for pluck in a {
        match b.iter().find(|p| p.at == pluck.at) {
            None => sum += 100,
            Some(other) => sum += apart(&pluck.pitches, &other.pitches),
        }
    }
    sum += 100 * b.iter().filter(|p| !a.iter().any(|q| q.at == p.at)).count() as i64;
    sum + match (a.first(), b.first()) {
        (Some(a), Some(b)) if a.pitches[0].pitch_class() != b.pitches[0].pitch_class() => 120,
        (Some(a), Some(b)) if a.low() != b.low() => 60,
        _ => 0,
    }
}

fn apart(a: &[Pitch], b: &[Pitch]) -> i64 {
    let lacks = |from: &[Pitch], to: &[Pitch]| from.iter().filter(|p| !to.contains(p)).count() as i64;
    60 * (lacks(a, b) + lacks(b, a)) / (a.len() + b.len()) as i64
}

/// The names of the weights, in the order of [`Lesson::counts`].
pub fn names() -> Vec<&'static str> {
    let mut weights = Weights::OURS;
    weights.named().into_iter().map(|(name, _)| name).collect()
}
