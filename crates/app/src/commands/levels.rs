//! `undersong levels`: versions of a tune that sound together, each with its level, kept beside the tune.

use super::versions::Tune;
use crate::arguments::folder::LevelsArguments;
use crate::failure::Failure;
use crate::screen;
use desk::history;
use desk::versions::levels::levels;

pub fn run(arguments: &LevelsArguments) -> Result<(), Failure> {
    let tune = Tune::open(&arguments.tune)?;
    let base = arguments.of.as_deref().map_or(Ok(tune.versions.first()), |name| tune.versions.named(name))?;
    let made = levels(tune.shelf.folder(), &tune.id, &tune.bytes, base)?;
    let new: Vec<_> = made.made.iter().map(|m| (m.level.name.clone(), m.choices.clone())).collect();
    let names =
        if arguments.only_tell { new.iter().map(|(name, _)| name.clone()).collect() } else { history::add(&tune.shelf, &tune.id, new)? };
    screen::print(&made.words(&names))
}
