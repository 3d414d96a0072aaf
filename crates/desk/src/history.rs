//! Undo and redo of choices, kept beside the tune so that they outlive the program. Each version has steps of its own; a version that was taken away comes back by a step of the first.

use crate::choices::Choices;
use crate::failure::Failure;
use crate::file_form;
use crate::plain_file;
use crate::shelf::{HISTORY, Shelf, tune_of};
use crate::versions::file::Unknown;
use crate::versions::{self, Version, Versions};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The most steps of a version that are kept.
const MOST: usize = 200;
/// The form of the file. Whatever is added to a step, or to what may be chosen, raises it: a step that is not wholly known is not taken.
const FORM: i64 = 1;
const MEANWHILE: &str = "what you change now is kept, but no step of it can be taken back";

/// One step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Step {
    /// A version was taken away: going back brings it with what was chosen for it.
    Removed {
        removed: String,
        choices: Choices,
        /// What its part of the file had that this program does not know.
        #[serde(default)]
        unknown: Unknown,
    },
    /// It was brought back: going forward takes it away again.
    Back { back: String },
    /// The choices before or after.
    Chosen(Choices),
}

/// The steps of one version, before and after its present choices, the nearest last.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Steps {
    pub undo: Vec<Step>,
    pub redo: Vec<Step>,
}

/// The steps of a tune.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct History {
    /// Of the first version.
    #[serde(flatten)]
    pub first: Steps,
    /// Of the others, by their names.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub versions: BTreeMap<String, Steps>,
}

/// The way a step goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    Back,
    Forward,
}

/// What a step did.
#[derive(Clone, Debug, PartialEq)]
pub enum Stepped {
    Chosen(Box<Choices>),
    /// A version came back, or went again: its name.
    CameBack(String),
    Went(String),
}

/// The choices of a tune, or of the version that is named; her usual ones where there is no file. Errors: the file cannot be read or has a mistake, said with its place.
pub fn choices(shelf: &Shelf, id: &str) -> Result<Choices, Failure> {
    Ok(versions(shelf, id)?.at(id)?.choices.clone())
}

fn versions(shelf: &Shelf, id: &str) -> Result<Versions, Failure> {
    versions::of(shelf, id, &shelf.bytes(id)?)
}

/// The steps of a tune that can be taken; a file that is [left as it is](kept) has none.
pub fn history(shelf: &Shelf, id: &str) -> History {
    kept(shelf, id).unwrap_or_default()
}

/// The steps of a tune. Errors: the file is of a newer form or cannot be read; as long as it stands there it is left as it is.
pub fn kept(shelf: &Shelf, id: &str) -> Result<History, Failure> {
    let path = shelf.beside(id, HISTORY);
    if !path.exists() {
        return Ok(History::default());
    }
    let bytes = plain_file::bytes(&path, plain_file::HISTORY)?;
    let held = file_form::of_json(&format!("{}{HISTORY}", tune_of(id)), &bytes, FORM, MEANWHILE)?;
    Ok(held.unwrap_or_default())
}

impl History {
    /// The steps of the version that an address names.
    pub fn of(&self, id: &str, versions: &Versions) -> Steps {
        match versions::version_of(id).filter(|name| *name != versions.first().name) {
            None => self.first.clone(),
            Some(name) => self.versions.get(name).cloned().unwrap_or_default(),
        }
    }

    fn of_mut(&mut self, id: &str, versions: &Versions) -> &mut Steps {
        match versions::version_of(id).filter(|name| *name != versions.first().name) {
            None => &mut self.first,
            Some(name) => self.versions.entry(name.to_owned()).or_default(),
        }
    }

    fn all_mut(&mut self) -> impl Iterator<Item = &mut Vec<Step>> {
        std::iter::once(&mut self.first).chain(self.versions.values_mut()).flat_map(|steps| [&mut steps.undo, &mut steps.redo])
    }
}

impl Steps {
    /// The nearest step that would change something.
    pub fn peek(&self, way: Way, now: &Choices, versions: &Versions) -> Option<&Step> {
        let from = if way == Way::Back { &self.undo } else { &self.redo };
        from.iter().rev().find(|step| does_something(step, now, versions))
    }
}

fn does_something(step: &Step, now: &Choices, versions: &Versions) -> bool {
    match step {
        Step::Chosen(choices) => choices != now,
        Step::Removed { removed, .. } => versions.named(removed).is_err(),
        Step::Back { back } => versions.named(back).is_ok(),
    }
}

/// New choices take the place of the present ones. The step back is saved first: killed between the two, a step that changes nothing is left, which
/// [`Steps::peek`] passes over.
pub fn choose(shelf: &Shelf, id: &str, now: &Choices, new: &Choices) -> Result<(), Failure> {
    if now == new {
        return Ok(());
    }
    let mut versions = versions(shelf, id)?;
    let name = versions.at(id)?.name.clone();
    let mut history = history(shelf, id);
    let steps = history.of_mut(id, &versions);
    steps.undo.push(Step::Chosen(now.clone()));
    steps.redo.clear();
    versions.choose(&name, new.clone())?;
    save(shelf, id, history, &versions)
}

/// One step back or forward; `None` where there is none.
pub fn step(shelf: &Shelf, id: &str, way: Way) -> Result<Option<Stepped>, Failure> {
    let mut versions = versions(shelf, id)?;
    let Version { name, choices: now, .. } = versions.at(id)?.clone();
    let mut history = history(shelf, id);
    let steps = history.of_mut(id, &versions);
    let Some(new) = steps.peek(way, &now, &versions).cloned() else { return Ok(None) };
    let (from, to) = match way {
        Way::Back => (&mut steps.undo, &mut steps.redo),
        Way::Forward => (&mut steps.redo, &mut steps.undo),
    };
    while from.pop().is_some_and(|step| step != new) {}
    let (done, undone) = match new {
        Step::Chosen(choices) => {
            versions.choose(&name, choices.clone())?;
            (Stepped::Chosen(Box::new(choices)), Step::Chosen(now))
        }
        Step::Removed { removed, choices, unknown } => {
            versions.bring_back(Version { name: removed.clone(), choices, unknown });
            (Stepped::CameBack(removed.clone()), Step::Back { back: removed })
        }
        Step::Back { back } => {
            let Version { choices, unknown, .. } = versions.remove(&back)?;
            (Stepped::Went(back.clone()), Step::Removed { removed: back, choices, unknown })
        }
    };
    to.push(undone);
    save(shelf, id, history, &versions)?;
    Ok(Some(done))
}

/// Takes a version away; the first one can bring it back. Errors: it is the first, or the step that would bring it back cannot be kept.
pub fn remove(shelf: &Shelf, id: &str, name: &str) -> Result<(), Failure> {
    let mut history = kept(shelf, id)?;
    let mut versions = versions(shelf, id)?;
    let Version { choices, unknown, .. } = versions.remove(name)?;
    history.first.undo.push(Step::Removed { removed: name.to_owned(), choices, unknown });
    history.first.redo.clear();
    save(shelf, id, history, &versions)
}

/// A copy of the version that is named, under a new name, which is given back.
pub fn copy(shelf: &Shelf, id: &str, name: &str) -> Result<String, Failure> {
    let mut versions = versions(shelf, id)?;
    let of = versions.at(id)?.name.clone();
    let name = versions.copy(&of, name)?;
    anew(shelf, id, &versions, &name)?;
    Ok(name)
}

/// New versions with choices of their own, each under a name that is free; the names are given back.
pub fn add(shelf: &Shelf, id: &str, new: Vec<(String, Choices)>) -> Result<Vec<String>, Failure> {
    let mut versions = versions(shelf, id)?;
    let mut names = Vec::new();
    for (name, choices) in new {
        let name = versions.unused(&name);
        names.push(versions.add(&name, choices)?);
    }
    versions.check(id)?;
    for name in &names {
        anew(shelf, id, &versions, name)?;
    }
    Ok(names)
}

/// A version that begins has no steps, whatever an older one of its name had.
fn anew(shelf: &Shelf, id: &str, versions: &Versions, name: &str) -> Result<(), Failure> {
    let mut history = history(shelf, id);
    if history.versions.remove(name).is_some() {
        return save(shelf, id, history, versions);
    }
    versions.save(shelf, id)
}

/// Another name for the version that is named; its steps go with it.
pub fn rename(shelf: &Shelf, id: &str, new: &str) -> Result<String, Failure> {
    let mut versions = versions(shelf, id)?;
    let (old, is_first) = (versions.at(id)?.name.clone(), versions.at(id)?.name == versions.first().name);
    let new = versions.rename(&old, new)?;
    let mut history = history(shelf, id);
    match history.versions.remove(&old).filter(|_| !is_first) {
        Some(steps) => {
            history.versions.insert(new.clone(), steps);
            save(shelf, id, history, &versions)?;
        }
        None => versions.save(shelf, id)?,
    }
    Ok(new)
}

fn save(shelf: &Shelf, id: &str, mut history: History, versions: &Versions) -> Result<(), Failure> {
    versions.check(id)?;
    if kept(shelf, id).is_err() {
        return versions.save(shelf, id);
    }
    for steps in std::iter::once(&mut history.first).chain(history.versions.values_mut()) {
        let over = steps.undo.len().saturating_sub(MOST);
        steps.undo.drain(..over);
    }
    let text = |history: &History| file_form::to_json(FORM, history);
    let mut bytes = text(&history);
    while bytes.len() as u64 > plain_file::HISTORY.bytes {
        let Some(longest) = history.all_mut().max_by_key(|all| all.len()).filter(|all| all.len() > 1) else { break };
        let half = longest.len().div_ceil(2);
        longest.drain(..half);
        bytes = text(&history);
    }
    shelf.note(id, HISTORY, &bytes)?;
    versions.save(shelf, id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::save::RealDisk;

    #[test]
    fn many_steps_of_large_choices_are_forgotten_from_the_oldest_on() {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("a.abc"), "X:1\nK:C\nC4|\n").expect("the folder takes a tune");
        let shelf = Shelf::open(folder.path(), Box::new(RealDisk)).expect("the folder is there");
        let chords = || (0..9_000).map(|measure| (format!("{measure}@0"), "C".to_owned())).collect();
        let large = |octave| Choices { chords: chords(), octave, ..Choices::default() };
        let step = serde_json::to_vec(&large(0)).expect("choices have a JSON form").len() as u64;
        // As many as may be read again.
        let undo: Vec<Step> = (0..).map(large).map(Step::Chosen).take((plain_file::HISTORY.bytes / step) as usize - 1).collect();
        let (oldest, newest) = (undo[0].clone(), undo[undo.len() - 1].clone());
        let now = large(-1);
        let history_of = |undo| History { first: Steps { undo, redo: Vec::new() }, ..History::default() };
        save(&shelf, "a.abc", history_of(undo), &Versions::of_one(now)).expect("they are saved");
        assert_eq!(history(&shelf, "a.abc").first.undo.first(), Some(&oldest));
        for octave in [-2, -3] {
            choose(&shelf, "a.abc", &choices(&shelf, "a.abc").expect("they are there"), &large(octave)).expect("they are saved");
        }
        let kept = history(&shelf, "a.abc").first.undo;
        assert!(kept.len() > 10 && !kept.contains(&oldest) && kept.contains(&newest));
        assert_eq!(kept.last(), Some(&Step::Chosen(large(-2))));
    }

    fn shelf(folder: &std::path::Path) -> Shelf {
        std::fs::write(folder.join("a.abc"), "X:1\nK:C\nC4|\n").expect("the folder takes a tune");
        Shelf::open(folder, Box::new(RealDisk)).expect("the folder is there")
    }

    fn octave(octave: i32) -> Choices {
        Choices { octave, ..Choices::default() }
    }

    fn octaves(shelf: &Shelf) -> Vec<(String, i32)> {
        let versions = versions(shelf, "a.abc").expect("the file is whole");
        versions.all().iter().map(|v| (v.name.clone(), v.choices.octave)).collect()
    }

    #[test]
    fn each_version_has_steps_of_its_own() {
        let folder = tempfile::tempdir().expect("a folder");
        let shelf = shelf(folder.path());
        assert_eq!(copy(&shelf, "a.abc", "pupil"), Ok("pupil".into()));
        choose(&shelf, "a.abc:pupil", &octave(0), &octave(-1)).expect("it is saved");
        choose(&shelf, "a.abc", &octave(0), &octave(1)).expect("it is saved");
        assert_eq!(octaves(&shelf), [("mine".into(), 1), ("pupil".into(), -1)]);
        assert_eq!(step(&shelf, "a.abc:pupil", Way::Back), Ok(Some(Stepped::Chosen(Box::new(octave(0))))));
        assert_eq!(step(&shelf, "a.abc:pupil", Way::Back), Ok(None));
        assert_eq!(rename(&shelf, "a.abc:pupil", "for Ann"), Ok("for Ann".into()));
        assert_eq!(step(&shelf, "a.abc:for Ann", Way::Forward), Ok(Some(Stepped::Chosen(Box::new(octave(-1))))));
        assert_eq!(rename(&shelf, "a.abc", "teacher"), Ok("teacher".into()));
        assert_eq!(octaves(&shelf), [("teacher".into(), 1), ("for Ann".into(), -1)]);
        assert!(choices(&shelf, "a.abc:pupil").is_err());
    }

    #[test]
    fn a_version_that_was_taken_away_comes_back() {
        let folder = tempfile::tempdir().expect("a folder");
        let shelf = shelf(folder.path());
        copy(&shelf, "a.abc", "pupil").expect("it is saved");
        choose(&shelf, "a.abc:pupil", &octave(0), &octave(-1)).expect("it is saved");
        choose(&shelf, "a.abc", &octave(0), &octave(1)).expect("it is saved");
        remove(&shelf, "a.abc:pupil", "pupil").expect("it goes");
        assert_eq!(octaves(&shelf), [("mine".into(), 1)]);
        assert_eq!(step(&shelf, "a.abc", Way::Back), Ok(Some(Stepped::CameBack("pupil".into()))));
        assert_eq!(octaves(&shelf), [("mine".into(), 1), ("pupil".into(), -1)]);
        assert_eq!(step(&shelf, "a.abc:pupil", Way::Back), Ok(Some(Stepped::Chosen(Box::new(octave(0))))), "with its own steps");
        assert_eq!(step(&shelf, "a.abc", Way::Forward), Ok(Some(Stepped::Went("pupil".into()))));
        assert_eq!(step(&shelf, "a.abc", Way::Back), Ok(Some(Stepped::CameBack("pupil".into()))));
        assert_eq!(step(&shelf, "a.abc", Way::Back), Ok(Some(Stepped::Chosen(Box::new(octave(0))))));
    }
}
