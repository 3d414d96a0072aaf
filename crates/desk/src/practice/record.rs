//! What she has practised of a tune: steps passed and not yet, where she is, and a teacher's changes of the ladder.
//!
//! It is kept behind a trait. The keeper is the [`diary`](super::diary); a file beside the tune, which older programs wrote, is read where the diary has nothing of the tune yet, and left as it is.

use super::diary::Moment;
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

/// A change of what is known of a tune.
pub struct Change<'a> {
    pub tune: &'a str,
    pub tune_title: &'a str,
    pub practised: &'a Practised,
    /// The title of a step, by its name.
    pub title_of: &'a dyn Fn(&str) -> String,
    pub moment: Moment,
}

/// Where it is kept.
pub trait Keeper {
    /// What is known of a tune; nothing where nothing was practised. Errors: it cannot be read, or has a mistake.
    fn read(&self, tune: &str) -> Result<Practised, Failure>;
    /// Errors: it cannot be written.
    fn keep(&self, change: &Change) -> Result<(), Failure>;
}

/// The file beside a tune. Errors: it cannot be read, or has a mistake.
pub fn beside(shelf: &Shelf, tune: &str) -> Result<Practised, Failure> {
    let path = shelf.beside(tune, PRACTICE);
    if !path.exists() {
        return Ok(Practised::default());
    }
    let mut file = TomlFile::open(&path)?;
    file.name = format!("{tune}{PRACTICE}");
    file.table()
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
    use crate::practice::diary::Diary;
    use crate::save::RealDisk;

    fn keep(diary: Diary, practised: &Practised) -> Result<(), Failure> {
        let moment = Moment::of(1_764_198_000_000, "2025-11-26").expect("a moment");
        diary.keep(&Change { tune: "tide.abc", tune_title: "Tide", practised, title_of: &str::to_uppercase, moment })
    }

    #[test]
    fn what_was_passed_is_there_again() {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("tide.abc"), "X:1\nK:C\nC|\n").expect("a tune");
        let old = folder.path().join("tide.abc.undersong-practice.toml");
        std::fs::write(&old, "at = \"roots\"\n[steps]\nroots = \"not yet\"\n").expect("an old file");
        let shelf = Shelf::open(folder.path(), Box::new(RealDisk)).expect("a shelf");
        let keeper = Diary::of(&shelf);
        let before = Keeper::read(&keeper, "tide.abc").expect("the old file");
        assert_eq!((before.at.as_deref(), before.steps["roots"].as_str()), (Some("roots"), "not yet"));
        let added = AddedStep { name: "hum".into(), title: "Hum".into(), ..AddedStep::default() };
        let practised = Practised {
            at: Some("open-fifths".into()),
            steps: [("roots".to_owned(), "passed".to_owned())].into(),
            added: vec![added],
            ..Practised::default()
        };
        keep(keeper, &practised).expect("kept");
        assert_eq!(Keeper::read(&keeper, "tide.abc"), Ok(practised.clone()));
        assert!(std::fs::read_to_string(&old).is_ok_and(|text| text.contains("not yet")), "the old file is left as it is");
        let wrong = Practised { steps: [("roots".to_owned(), "perhaps".to_owned())].into(), ..Practised::default() };
        assert!(keep(keeper, &wrong).is_err() && Keeper::read(&keeper, "tide.abc") == Ok(practised));
        let marks = keeper.marks("").expect("marks");
        assert_eq!(marks.iter().map(|m| (m.title.as_str(), m.state.as_str())).collect::<Vec<_>>(), [("ROOTS", "passed")]);
    }
}
