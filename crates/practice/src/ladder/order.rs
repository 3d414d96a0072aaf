//! A teacher's changes of the ladder: another order, steps left out, steps of her own. They are laid over what the engine makes and kept beside the tune.

use super::{Ladder, LeftOut, Step, StepPage};

/// What was changed. Default: nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Changes {
    /// Names of steps in the order in which they are wished; those that are not named follow in their own.
    pub order: Vec<String>,
    pub without: Vec<String>,
    pub added: Vec<Added>,
}

/// A step in a teacher's own words, played from the cue sheet, the lead sheet or the page of another step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Added {
    pub name: String,
    pub title: String,
    pub words: String,
    pub pass: String,
    /// The step whose page lies on the stand; empty: the lead sheet.
    pub page_of: String,
}

/// What stands where a step was left out by hand.
const BY_HAND: &str = "You left it out.";

impl Ladder {
    /// The ladder as it was changed. Names of steps that are not there are passed over.
    pub fn changed(mut self, changes: &Changes) -> Ladder {
        for added in &changes.added {
            let step = self.added(added);
            self.steps.push(step);
        }
        let (out, mut steps): (Vec<Step>, Vec<Step>) = self.steps.into_iter().partition(|s| changes.without.contains(&s.name));
        let place = |name: &str| changes.order.iter().position(|n| n == name).unwrap_or(usize::MAX);
        steps.sort_by_key(|s| place(&s.name));
        let by_hand = out.into_iter().map(|s| LeftOut { name: s.name, title: s.title, why: BY_HAND.into() });
        Ladder { steps, left_out: self.left_out.into_iter().chain(by_hand).collect(), note: self.note }
    }

    fn added(&self, added: &Added) -> Step {
        let like = self.step(&added.page_of);
        Step {
            name: added.name.clone(),
            difficulty: None,
            title: added.title.clone(),
            new: added.words.clone(),
            listen: String::new(),
            pass: added.pass.clone(),
            page: like.map_or(StepPage::LeadSheet, |s| s.page.clone()),
            price: None,
        }
    }
}
