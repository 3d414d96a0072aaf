//! Versions of one tune side by side, each with its own choices: mine, for the pupil, with the singer, for the small harp. All of them stand in the one file beside the tune.
//!
//! The first version is the file itself, as it was before there were others; each other one is a `[[version]]` with its name. An address names a version after the tune,
//! "ferry.abc:for the pupil": no file of a shelf has a colon in its name. [`mod@file`] is the text of that file, [`alone`] a tune with one version in a file of its own;
//! [`apart`] compares two, [`levels`] makes some that sound [`together`].

pub mod alone;
pub mod apart;
pub mod file;
pub mod levels;
pub mod together;

use crate::choices::Choices;
use crate::failure::{Failure, Missing};
use crate::file_form;
use crate::shelf::{CHOICES, Shelf, tune_of};
use crate::usual::Usual;
use file::Unknown;
use std::path::Path;

/// The name of the first version until she gives it another.
pub const FIRST: &str = "mine";
/// The most versions of one tune, and the longest name in letters. Ours.
pub const MOST: usize = 24;
const LONGEST: usize = 48;

/// One version of a tune.
#[derive(Clone, Debug, PartialEq)]
pub struct Version {
    pub name: String,
    pub choices: Choices,
    /// What its part of the file has that this program does not know: written again as it was.
    pub unknown: Unknown,
}

/// The versions of one tune, the first one first; never none.
#[derive(Clone, Debug, PartialEq)]
pub struct Versions {
    all: Vec<Version>,
    /// The number of a newer form of the file, which is read as far as it is understood and never written over.
    newer: Option<i64>,
}

/// The version that an address names; none: the first.
pub fn version_of(id: &str) -> Option<&str> {
    id.split_once(':').map(|(_, name)| name)
}

/// The versions of a tune with these bytes: those of the file beside it, else the one that came with it, else her usual choices. Errors: the file cannot be read or has a mistake, said with
/// its place.
pub fn of(shelf: &Shelf, id: &str, bytes: &[u8]) -> Result<Versions, Failure> {
    let path = shelf.beside(id, CHOICES);
    if path.exists() {
        return file::open(&path, format!("{}{CHOICES}", tune_of(id)));
    }
    match alone::found(bytes) {
        Some(text) => file::read(&file::named(tune_of(id), text)),
        // A mistake in the usual ones is said on the shelf.
        None => Ok(Versions::of_one(Usual::understood(shelf).choices())),
    }
}

/// The versions of a tune wherever it lies. Errors: it has none; the file beside it cannot be read or has a mistake.
pub fn beside(tune: &Path, bytes: &[u8]) -> Result<Versions, Failure> {
    let name = format!("{}{CHOICES}", tune.display());
    let path = Path::new(&name);
    if path.exists() {
        return file::open(path, name.clone());
    }
    match alone::found(bytes) {
        Some(text) => file::read(&file::named(&tune.display().to_string(), text)),
        None => Err(Failure::wrong(format!("nothing was chosen for {} yet: there is no {name}", tune.display()))),
    }
}

impl Versions {
    /// One version, not named yet.
    pub fn of_one(choices: Choices) -> Versions {
        Versions::new(vec![Version { name: FIRST.into(), choices, unknown: Unknown::default() }], None)
    }

    fn new(all: Vec<Version>, newer: Option<i64>) -> Versions {
        assert!(!all.is_empty(), "a tune has a first version");
        Versions { all, newer }
    }

    pub fn all(&self) -> &[Version] {
        &self.all
    }

    pub fn first(&self) -> &Version {
        &self.all[0]
    }

    /// Whether there are several: where there is one, nobody asks for its name.
    pub fn several(&self) -> bool {
        self.all.len() > 1
    }

    /// The version of a name. Errors: there is none; which there are.
    pub fn named(&self, name: &str) -> Result<&Version, Failure> {
        self.all.iter().find(|v| v.name == name).ok_or_else(|| {
            let there = self.all.iter().map(|v| v.name.clone()).collect();
            Missing::Version { name: name.to_owned(), there }.into()
        })
    }

    /// The version that an address names.
    pub fn at(&self, id: &str) -> Result<&Version, Failure> {
        version_of(id).map_or(Ok(self.first()), |name| self.named(name))
    }

    /// The address of a version: the tune's own for the first.
    pub fn address(&self, tune: &str, name: &str) -> String {
        if name == self.first().name { tune_of(tune).to_owned() } else { format!("{}:{name}", tune_of(tune)) }
    }

    /// Other choices for a version.
    pub fn choose(&mut self, name: &str, choices: Choices) -> Result<(), Failure> {
        self.named(name)?;
        self.all.iter_mut().filter(|v| v.name == name).for_each(|v| v.choices = choices.clone());
        Ok(())
    }

    /// A new version of this name. Errors: no name, one that is taken, too many versions.
    pub fn add(&mut self, name: &str, choices: Choices) -> Result<String, Failure> {
        let name = self.free(name, None)?;
        if self.all.len() >= MOST {
            return Err(Failure::wrong(format!("a tune has {MOST} versions at most: remove one of them first")));
        }
        self.all.push(Version { name: name.clone(), choices, unknown: Unknown::default() });
        Ok(name)
    }

    /// A copy of a version under a new name.
    pub fn copy(&mut self, of: &str, name: &str) -> Result<String, Failure> {
        let Version { choices, unknown, .. } = self.named(of)?.clone();
        let name = self.add(name, choices)?;
        self.all.iter_mut().filter(|v| v.name == name).for_each(|v| v.unknown = unknown.clone());
        Ok(name)
    }

    /// Another name for a version.
    pub fn rename(&mut self, old: &str, new: &str) -> Result<String, Failure> {
        self.named(old)?;
        let new = self.free(new, Some(old))?;
        self.all.iter_mut().filter(|v| v.name == old).for_each(|v| v.name.clone_from(&new));
        Ok(new)
    }

    /// Takes a version away. Errors: it is the first, which is the tune itself.
    pub fn remove(&mut self, name: &str) -> Result<Version, Failure> {
        if self.named(name)?.name == self.first().name {
            return Err(Failure::wrong(format!(
                "\"{name}\" is the first version and stays with the tune: it can be changed and named anew"
            )));
        }
        let place = self.all.iter().position(|v| v.name == name).unwrap_or_default();
        Ok(self.all.remove(place))
    }

    /// Puts a version back that was taken away.
    pub fn bring_back(&mut self, version: Version) {
        self.all.push(version);
    }

    /// A name that no other version has: "level 1", else "level 1 (2)".
    pub fn unused(&self, name: &str) -> String {
        let names = std::iter::once(name.to_owned()).chain((2..).map(|n| format!("{name} ({n})")));
        names.into_iter().find(|n| !self.all.iter().any(|v| v.name == *n)).unwrap_or_default()
    }

    /// A name as she typed it, if a version may have it; `own` has it already.
    fn free(&self, name: &str, own: Option<&str>) -> Result<String, Failure> {
        let name = name.trim();
        if name.is_empty() {
            return Err(Failure::wrong("a version needs a name, as \"for the pupil\""));
        }
        if name.chars().count() > LONGEST {
            return Err(Failure::wrong(format!("this name is longer than {LONGEST} letters: say it shorter")));
        }
        if name.chars().any(|c| c.is_control() || "/\\\"".contains(c)) {
            return Err(Failure::wrong("a version's name has no slashes and no quotation marks: it becomes part of the names of files"));
        }
        let same = |v: &&Version| v.name.to_lowercase() == name.to_lowercase() && Some(v.name.as_str()) != own;
        match self.all.iter().find(same) {
            Some(taken) => Err(Failure::wrong(format!("there is a version \"{}\" already: take another name", taken.name))),
            None => Ok(name.to_owned()),
        }
    }

    /// Writes them beside a tune. Errors: the file is of a newer form, would be too large, or cannot be written.
    pub fn save(&self, shelf: &Shelf, id: &str) -> Result<(), Failure> {
        self.check(id)?;
        shelf.note(id, CHOICES, self.toml().as_bytes())
    }

    /// Whether they can be written. Errors: see [`Versions::save`].
    pub fn check(&self, id: &str) -> Result<(), Failure> {
        if let Some(number) = self.newer {
            let file = format!("{}{CHOICES}", tune_of(id));
            return Err(file_form::newer(&file, number, file::FORM, "nothing was saved"));
        }
        file::check_size(&self.toml())
    }

    /// What she should know about a version's part of the file: it is newer, or has what this program does not know.
    pub fn said(&self, name: &str) -> Vec<String> {
        let newer = self.newer.map(|number| {
            format!("What you chose for this tune was written by a newer Undersong (form {number}). It is read as far as it is understood here, and left as it is: nothing you change now is kept.")
        });
        let unknown = self.all.iter().filter(|v| v.name == name).flat_map(|v| v.unknown.names());
        let names: Vec<String> = unknown.map(|n| format!("\"{n}\"")).collect();
        let it = if names.len() == 1 { "it is" } else { "they are" };
        let unknown = (!names.is_empty()).then(|| {
            format!(
                "The file of your choices has {}, which Undersong does not know: {it} passed over and left in the file.",
                names.join(", ")
            )
        });
        newer.into_iter().chain(unknown).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(name: &str) -> Choices {
        Choices { key: Some(name.into()), ..Choices::default() }
    }

    #[test]
    fn a_version_starts_as_a_copy_and_goes_its_own_way() {
        let mut versions = Versions::of_one(key("G"));
        assert_eq!(versions.copy(FIRST, " for the pupil "), Ok("for the pupil".into()));
        versions.choose("for the pupil", key("C")).expect("it is there");
        let keys: Vec<_> = versions.all().iter().map(|v| (v.name.as_str(), v.choices.key.as_deref())).collect();
        assert_eq!(keys, [("mine", Some("G")), ("for the pupil", Some("C"))]);
        assert_eq!(versions.address("a.abc", "for the pupil"), "a.abc:for the pupil");
        assert_eq!(versions.address("a.abc:for the pupil", FIRST), "a.abc");
        assert_eq!(versions.at("a.abc:for the pupil").map(|v| v.name.clone()), Ok("for the pupil".into()));
        let gone = versions.remove("for the pupil").expect("it goes");
        assert_eq!((gone.choices, versions.several()), (key("C"), false));
    }

    #[test]
    fn what_cannot_be_is_said() {
        let mut versions = Versions::of_one(Choices::default());
        versions.copy(FIRST, "Pupil").expect("it is free");
        let said = |failure: Failure| failure.to_string();
        let mut says = |name: &str| said(versions.copy(FIRST, name).expect_err("no name for a version"));
        assert_eq!(says("pupil"), "there is a version \"Pupil\" already: take another name");
        assert_eq!(says("  "), "a version needs a name, as \"for the pupil\"");
        assert!(says("a/b").contains("no slashes") && says(&"a".repeat(49)).contains("48 letters"));
        assert!(said(versions.remove(FIRST).expect_err("the first stays")).contains("stays with the tune"));
        assert_eq!(
            said(versions.rename("nobody", "me").expect_err("nobody")),
            "there is no version \"nobody\" of this tune: it has \"mine\", \"Pupil\""
        );
        assert_eq!(versions.rename("Pupil", "pupil"), Ok("pupil".into()));
        assert_eq!(versions.unused("pupil"), "pupil (2)");
    }
}
