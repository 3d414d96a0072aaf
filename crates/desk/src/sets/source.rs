//! Where the tunes of a set come from, and what is known of each once it was arranged with its own choices.

use crate::failure::Failure;
use crate::history;
use crate::shelf::Shelf;
use crate::worktable::Worktable;
use arrange::measures::LaidMeasure;
use arrange::ways_out::Way;
use arrange::{Arrangement, Remark};
use harp::Instrument;
use practice::set::SetTune;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A tune of a set.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    pub title: String,
    pub harp: Instrument,
    pub tune: SetTune,
    /// "after 4: on to the end of 8; after 8: stop"; empty where the tune has no phrases.
    pub ways_out: String,
    /// Something of it cannot be played on this harp.
    pub lacks: Option<String>,
}

/// Gives tunes by their names.
pub trait Source {
    /// Errors: there is no such tune, it cannot be read or arranged.
    fn known(&self, id: &str) -> Result<Arc<Known>, Failure>;
    /// The same.
    fn worktable(&self, id: &str) -> Result<Arc<Worktable>, Failure>;
}

impl Known {
    pub fn of(worktable: &Worktable) -> Known {
        let made = &worktable.job.arrangement;
        let opening = &made.plan.settled.page.opening;
        Known {
            title: worktable.job.title(),
            harp: worktable.setup.harp.clone(),
            tune: SetTune::of(&made.score, opening, made.kind.kind, &worktable.setup.harp),
            ways_out: ways_out(made),
            lacks: lacks(made),
        }
    }
}

fn lacks(made: &Arrangement) -> Option<String> {
    let leaves = made.remarks.iter().any(|r| matches!(r, Remark::LeavesTheHarp(_)));
    let missing = !made.plan.settled.page.missing.is_empty();
    (leaves || missing).then(|| "some notes cannot be played on this harp".to_owned())
}

/// The ways out from the ends of phrases of the first verse; those that are alike are told together.
fn ways_out(made: &Arrangement) -> String {
    let mut ways: Vec<(Way, Vec<String>)> = Vec::new();
    for out in made.ways_out().into_iter().filter(|o| o.at_a_phrase_end && made.tune.origin[LaidMeasure::at(o.measure)].verse() == 0) {
        let number = made.tune.sheet.measures[out.measure].frame.number.to_string();
        match ways.iter_mut().find(|(way, _)| *way == out.way) {
            Some((_, from)) if from.contains(&number) => {}
            Some((_, from)) => from.push(number),
            None => ways.push((out.way, vec![number])),
        }
    }
    let line = |(way, from): &(Way, Vec<String>)| format!("after {}: {way}", from.join(", "));
    ways.iter().map(line).collect::<Vec<_>>().join("; ")
}

/// The tunes of a folder with what she chose for each, arranged when they are asked for.
pub struct Folder<'a> {
    shelf: &'a Shelf,
    made: RefCell<BTreeMap<String, Arc<Worktable>>>,
}

impl<'a> Folder<'a> {
    pub fn of(shelf: &'a Shelf) -> Folder<'a> {
        Folder { shelf, made: RefCell::default() }
    }
}

impl Source for Folder<'_> {
    fn known(&self, id: &str) -> Result<Arc<Known>, Failure> {
        Ok(Arc::new(Known::of(&*self.worktable(id)?)))
    }

    fn worktable(&self, id: &str) -> Result<Arc<Worktable>, Failure> {
        if let Some(made) = self.made.borrow().get(id) {
            return Ok(made.clone());
        }
        let choices = history::choices(self.shelf, id)?;
        let made = Arc::new(Worktable::new(self.shelf.folder(), id, &self.shelf.bytes(id)?, &choices)?);
        self.made.borrow_mut().insert(id.to_owned(), made.clone());
        Ok(made)
    }
}
