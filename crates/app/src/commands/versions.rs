//! `undersong versions`: the versions of a tune, in the file of choices beside it.

use crate::arguments::folder::{VersionsArguments, VersionsCommand};
use crate::failure::Failure;
use crate::screen;
use crate::write::kinds::Kinds;
use crate::write::leaves::Leaves;
use crate::write::written::Others;
use desk::harps;
use desk::history;
use desk::save::RealDisk;
use desk::shelf::{self, Shelf};
use desk::versions::apart::apart;
use desk::versions::together::{Levelled, together};
use desk::versions::{self, Version, Versions, alone};
use desk::worktable::Worktable;
use std::path::{Path, PathBuf};

/// A tune in its folder.
pub struct Tune {
    pub shelf: Shelf,
    pub id: String,
    pub bytes: Vec<u8>,
    pub versions: Versions,
}

impl Tune {
    /// Errors: there is no such tune, or the file of choices has a mistake.
    pub fn open(path: &Path) -> Result<Tune, Failure> {
        let bytes = shelf::read(path)?;
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let shelf = Shelf::open(folder, Box::new(RealDisk))?;
        let id = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let versions = versions::of(&shelf, &id, &bytes)?;
        shelf.path(&id)?;
        Ok(Tune { shelf, id, bytes, versions })
    }

    /// The address of a version. Errors: there is none of this name.
    fn at(&self, name: &str) -> Result<String, Failure> {
        self.versions.named(name)?;
        Ok(self.versions.address(&self.id, name))
    }

    fn arranged(&self, version: &Version) -> Result<Worktable, Failure> {
        Worktable::new(self.shelf.folder(), &self.id, &self.bytes, &version.choices)
    }
}

pub fn run(arguments: &VersionsArguments) -> Result<(), Failure> {
    match &arguments.command {
        VersionsCommand::List { tune } => list(&Tune::open(tune)?),
        VersionsCommand::Copy { tune, name, of } => {
            let tune = Tune::open(tune)?;
            let of = of.as_deref().unwrap_or(&tune.versions.first().name);
            let made = history::copy(&tune.shelf, &tune.at(of)?, name)?;
            screen::print(&format!("\"{made}\" begins as a copy of \"{of}\".\n"))
        }
        VersionsCommand::Name { tune, name, new } => {
            let tune = Tune::open(tune)?;
            let named = history::rename(&tune.shelf, &tune.at(name)?, new)?;
            screen::print(&format!("\"{name}\" is called \"{named}\" now.\n"))
        }
        VersionsCommand::Remove { tune, name } => {
            let tune = Tune::open(tune)?;
            history::remove(&tune.shelf, &tune.at(name)?, name)?;
            screen::print(&format!(
                "\"{name}\" is taken away; undo on the worktable of \"{}\" brings it back.\n",
                tune.versions.first().name
            ))
        }
        VersionsCommand::Compare { tune, one, other } => {
            let tune = Tune::open(tune)?;
            let [a, b] = [one, other].map(|name| tune.versions.named(name).and_then(|v| tune.arranged(v)));
            screen::print(&apart(&a?, &b?, [one, other]).in_words([one, other]))
        }
        VersionsCommand::Together { tune } => all_together(&Tune::open(tune)?),
        VersionsCommand::Take { tune, name, to } => take(tune, name, &to.folder, Others::of(to.force)),
    }
}

fn list(tune: &Tune) -> Result<(), Failure> {
    let mut text = String::new();
    for Version { name, choices, .. } in tune.versions.all() {
        let fullness: Vec<String> = choices.fullness.iter().map(u8::to_string).collect();
        let key = choices.key.as_deref().map_or("the key of the tune".to_owned(), |key| format!("the key {}", music::as_read(key)));
        let full = if fullness.is_empty() { "as full as the tune suggests".into() } else { format!("fullness {}", fullness.join(", ")) };
        text += &format!("{name}: {}, {key}, {full}\n", harps::called(&choices.harp));
        text += &tune.versions.said(name).iter().map(|said| format!("  {said}\n")).collect::<String>();
    }
    screen::print(&text)
}

fn all_together(tune: &Tune) -> Result<(), Failure> {
    let made = tune.versions.all().iter().map(|v| Ok((v.name.clone(), tune.arranged(v)?))).collect::<Result<Vec<_>, Failure>>()?;
    let all: Vec<(String, &Worktable)> = made.iter().map(|(name, made)| (name.clone(), made)).collect();
    let found = together(&all);
    let line = |v: &Levelled| format!("{}: level {} ({}). It asks {}.\n", v.name, v.level, v.meaning, v.asks);
    let told: String = found.told.iter().map(|clash| format!("  {clash}\n")).collect();
    screen::print(&format!("{}{}\n{told}", found.versions.iter().map(line).collect::<String>(), found.words))
}

fn take(path: &Path, name: &str, out: &Path, others: Others) -> Result<(), Failure> {
    let tune = Tune::open(path)?;
    let version = tune.versions.named(name)?;
    let alone::Alone { text, ending } = alone::with(&tune.bytes, &tune.versions.alone(name)?)?;
    let title = tune.arranged(version)?.job.title();
    let mut leaves = Leaves::new(out, Kinds::default(), &[PathBuf::from(path)], others);
    let file = leaves.name(&format!("{title} ({name})"));
    leaves.save(&format!("{file}.{ending}"), text.as_bytes(), path)?;
    if !harps::is_preset(&version.choices.harp) {
        screen::aside(&format!("the harp \"{}\" is a file of your own: take it along too", version.choices.harp));
    }
    screen::print(leaves.in_words().trim_start())
}
