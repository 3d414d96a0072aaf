//! What the planner decided, with what it decided from. How it comes to it is the business of [`crate::planning`].

use crate::candidates::{Candidate, Candidates};
use crate::charges::Charges;
use crate::price::Extra;
use crate::principles;
use crate::search::Found;
use crate::slots::Slot;
use crate::stages::Stage;
use crate::task::Task;
use harp::page::PageSettings;

/// Everything the planner decided, with what it decided from.
#[derive(Clone, Debug)]
pub struct Plan {
    pub slots: Vec<Slot>,
    pub choices: Vec<Candidates>,
    /// What each candidate costs on its own.
    pub prices: Vec<Vec<i64>>,
    pub extra: Vec<Vec<Extra>>,
    /// What `extra` is charged for levers and pedals.
    pub charged: Charges,
    pub found: Found,
    pub settled: Settled,
}

/// The levers or pedals of the planned page.
#[derive(Clone, Debug)]
pub struct Settled {
    pub page: PageSettings,
    /// How far plan and settings together may be above the cheapest that is possible; 0 is proved best.
    pub beyond: i64,
}

impl Plan {
    pub fn stages(&self) -> Vec<Stage<'_>> {
        let all = self.slots.iter().zip(&self.choices).zip(&self.prices).zip(&self.extra);
        all.map(|(((slot, choices), prices), extra)| Stage { slot, candidates: &choices.candidates, prices: prices.into(), extra })
            .collect()
    }

    pub(crate) fn put(&mut self, task: &Task, charges: &Charges) {
        let candidates: Vec<&[Candidate]> = self.choices.iter().map(|c| c.candidates.as_slice()).collect();
        charges.put(task, &self.slots, &candidates, &self.charged, &mut self.extra);
        self.charged = charges.clone();
    }

    /// The price of the plan without what it is charged for levers and pedals.
    pub(crate) fn without_charges(&self) -> i64 {
        let charged = self.extra.iter().zip(&self.found.chosen).map(|(extra, c)| extra[*c].settings);
        self.found.total - charged.sum::<i64>()
    }

    /// The price of the plan with the settings of its page.
    pub fn total(&self) -> i64 {
        self.without_charges() + i64::try_from(self.settled.page.price).unwrap_or(i64::MAX / 4)
    }

    pub fn density(&self) -> i64 {
        let chosen = self.choices.iter().zip(&self.found.chosen);
        chosen.map(|(choices, c)| principles::density(&choices.candidates[*c].plucks)).sum()
    }
}
