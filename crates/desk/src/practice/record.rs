//! What she has practised of a tune: steps passed and not yet, where she is, and a teacher's changes of the ladder.
//!
//! It is kept behind a trait, so that another keeper can take the place of the file; the file stands beside the tune, is plain TOML and goes with it.

use crate::failure::Failure;
use crate::shelf::{PRACTICE, Shelf};
use crate::toml_file::TomlFile;
use practice::ladder::{Added, Changes};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The most steps, drills and changes that one tune's record holds, and the longest of its words.
const MOST: usize = 200;
const LONGEST: usize = 600;

/// What is known of one tune.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Practised {
    /// The step she was at last.
    pub at: Option<String>,
    /// "alone" or "together": which way into a step is shown first. None: both.
    pub way_in: Option<String>,
    /// Names of steps in a teacher's order.
    pub order: Vec<String>,
    pub without: Vec<String>,
    /// "passed" or "not yet", by the name of the step.
    pub steps: BTreeMap<String, String>,
    pub added: Vec<AddedStep>,
}

/// A step in a teacher's own words.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct AddedStep {
    pub name: String,
    pub title: String,
    pub words: String,
    pub pass: String,
    pub page_of: String,
}

/// Where it is kept.
pub trait Keeper: Send + Sync {
    /// What is known of a tune; nothing where nothing was practised. Errors: it cannot be read, or has a mistake.
    fn read(&self, tune: &str) -> Result<Practised, Failure>;
    /// Errors: it cannot be written.
    fn keep(&self, tune: &str, practised: &Practised) -> Result<(), Failure>;
}

/// A file beside each tune.
pub struct Beside<'a>(pub &'a Shelf);

impl Keeper for Beside<'_> {
    fn read(&self, tune: &str) -> Result<Practised, Failure> {
        let path = self.0.beside(tune, PRACTICE);
        if !path.exists() {
            return Ok(Practised::default());
        }
        let mut file = TomlFile::open(&path)?;
        file.name = format!("{tune}{PRACTICE}");
        file.table()
    }

    fn keep(&self, tune: &str, practised: &Practised) -> Result<(), Failure> {
        practised.check()?;
        let text = toml::to_string_pretty(practised).expect("texts have a TOML form");
        self.0.note(tune, PRACTICE, text.as_bytes())
    }
}

impl Practised {
    /// The changes of the ladder.
    pub fn changes(&self) -> Changes {
        let added = |step: &AddedStep| Added {
            name: step.name.clone(),
            title: step.title.clone(),
            words: step.words.clone(),
            pass: step.pass.clone(),
            page_of: step.page_of.clone(),
        };
        Changes { order: self.order.clone(), without: self.without.clone(), added: self.added.iter().map(added).collect() }
    }

    /// Whether it is of a size that is kept. Errors: a sentence.
    pub fn check(&self) -> Result<(), Failure> {
        let lists = [self.order.len(), self.without.len(), self.steps.len(), self.added.len()];
        if lists.iter().any(|n| *n > MOST) {
            return Err(Failure::wrong(format!("more than {MOST} steps of one tune are not kept")));
        }
        let own = self.added.iter().flat_map(|a| [&a.name, &a.title, &a.words, &a.pass, &a.page_of]);
        let names = self.order.iter().chain(&self.without).chain(self.steps.keys()).chain(self.steps.values()).chain(&self.at);
        if own.chain(names).any(|text| text.len() > LONGEST) {
            return Err(Failure::wrong(format!("a step's words are longer than {LONGEST} letters: say it shorter")));
        }
        let bare = self.added.iter().find(|a| a.name.trim().is_empty() || a.title.trim().is_empty());
        if bare.is_some() {
            return Err(Failure::wrong("a step of your own has no title: give it one"));
        }
        let wrong = self.steps.iter().find(|(_, v)| !["passed", "not yet"].contains(&v.as_str()));
        match wrong {
            Some((step, other)) => Err(Failure::wrong(format!("step {step}: \"{other}\": expected passed or not yet"))),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::save::RealDisk;

    #[test]
    fn what_was_passed_is_there_again() {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("tide.abc"), "X:1\nK:C\nC|\n").expect("a tune");
        let shelf = Shelf::open(folder.path(), Box::new(RealDisk)).expect("a shelf");
        let keeper = Beside(&shelf);
        assert_eq!(keeper.read("tide.abc"), Ok(Practised::default()));
        let added = AddedStep { name: "hum".into(), title: "Hum".into(), ..AddedStep::default() };
        let practised = Practised {
            at: Some("open-fifths".into()),
            steps: [("roots".to_owned(), "passed".to_owned())].into(),
            added: vec![added],
            ..Practised::default()
        };
        keeper.keep("tide.abc", &practised).expect("kept");
        assert_eq!(keeper.read("tide.abc"), Ok(practised.clone()));
        let wrong = Practised { steps: [("roots".to_owned(), "perhaps".to_owned())].into(), ..Practised::default() };
        assert!(keeper.keep("tide.abc", &wrong).is_err() && keeper.read("tide.abc") == Ok(practised));
    }
}
