//! Undo and redo of choices, kept beside the tune so that they outlive the program.

use crate::choices::Choices;
use crate::failure::Failure;
use crate::plain_file;
use crate::shelf::{CHOICES, HISTORY, Shelf};
use crate::toml_file::TomlFile;
use crate::usual::Usual;
use serde::{Deserialize, Serialize};

/// The most steps that are kept.
const MOST: usize = 200;

/// Choices before and after the present ones, the nearest last.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct History {
    pub undo: Vec<Choices>,
    pub redo: Vec<Choices>,
}

/// The way a step goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    Back,
    Forward,
}

/// The choices of a tune; her usual ones where there is no file. Errors: the file cannot be read or has a mistake, said with its place.
pub fn choices(shelf: &Shelf, id: &str) -> Result<Choices, Failure> {
    let path = shelf.beside(id, CHOICES);
    if !path.exists() {
        // A mistake in the usual ones is said on the shelf.
        return Ok(Usual::read(shelf).unwrap_or_default().choices());
    }
    let mut file = TomlFile::open(&path)?;
    file.name = format!("{id}{CHOICES}");
    file.table()
}

/// The steps of a tune; a file that cannot be read holds none.
pub fn history(shelf: &Shelf, id: &str) -> History {
    let text = plain_file::bytes(&shelf.beside(id, HISTORY), plain_file::HISTORY).unwrap_or_default();
    serde_json::from_slice(&text).unwrap_or_default()
}

impl History {
    /// The nearest step that would change something.
    pub fn peek(&self, way: Way, now: &Choices) -> Option<&Choices> {
        let from = if way == Way::Back { &self.undo } else { &self.redo };
        from.iter().rev().find(|c| *c != now)
    }
}

/// New choices take the place of the present ones. The step back is saved first: killed between the two, a step that changes nothing is left, which
/// [`History::peek`] passes over.
pub fn choose(shelf: &Shelf, id: &str, now: &Choices, new: &Choices) -> Result<(), Failure> {
    if now == new {
        return Ok(());
    }
    let mut history = history(shelf, id);
    history.undo.push(now.clone());
    history.redo.clear();
    save(shelf, id, history, new)
}

/// One step back or forward; `None` where there is none.
pub fn step(shelf: &Shelf, id: &str, now: &Choices, way: Way) -> Result<Option<Choices>, Failure> {
    let mut history = history(shelf, id);
    let Some(new) = history.peek(way, now).cloned() else { return Ok(None) };
    let (from, to) = match way {
        Way::Back => (&mut history.undo, &mut history.redo),
        Way::Forward => (&mut history.redo, &mut history.undo),
    };
    while from.pop().is_some_and(|c| c != new) {}
    to.push(now.clone());
    save(shelf, id, history, &new)?;
    Ok(Some(new))
}

fn save(shelf: &Shelf, id: &str, mut history: History, new: &Choices) -> Result<(), Failure> {
    new.check_size()?;
    let over = history.undo.len().saturating_sub(MOST);
    history.undo.drain(..over);
    let text = |history: &History| serde_json::to_vec(history).expect("choices have a JSON form");
    let mut steps = text(&history);
    while steps.len() as u64 > plain_file::HISTORY.bytes && history.undo.len() + history.redo.len() > 1 {
        let half = |all: &mut Vec<Choices>| drop(all.drain(..all.len().div_ceil(2)));
        half(if history.undo.len() > 1 { &mut history.undo } else { &mut history.redo });
        steps = text(&history);
    }
    shelf.note(id, HISTORY, &steps)?;
    shelf.note(id, CHOICES, new.toml().as_bytes())
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
        let undo: Vec<Choices> = (0..).map(large).take((plain_file::HISTORY.bytes / step) as usize - 1).collect();
        let (oldest, newest) = (undo[0].clone(), undo[undo.len() - 1].clone());
        let now = large(-1);
        save(&shelf, "a.abc", History { undo, redo: Vec::new() }, &now).expect("they are saved");
        assert_eq!(history(&shelf, "a.abc").undo.first(), Some(&oldest));
        for octave in [-2, -3] {
            choose(&shelf, "a.abc", &choices(&shelf, "a.abc").expect("they are there"), &large(octave)).expect("they are saved");
        }
        let kept = history(&shelf, "a.abc").undo;
        assert!(kept.len() > 10 && !kept.contains(&oldest) && kept.contains(&newest));
        assert_eq!(kept.last(), Some(&large(-2)));
    }
}
