//! Sets: tunes in an order for an occasion, kept as a short text file in her folder.
//!
//! [`TuneSet`] is the file. [`source`] is where the tunes come from; [`laid`] follows them from the first note to the last: what is moved between two, links, lengths, whether another
//! order would ask for less. [`fill`] chooses tunes for a time. [`words`] is all of it in words, [`page`] one page in large print, [`links`] the links as music.

pub mod source;
pub mod laid;
pub mod fill;
pub mod words;
pub mod page;
pub mod links;

use crate::failure::Failure;
use crate::file_form;
use crate::shelf::Shelf;
use crate::toml_file::TomlFile;
use practice::set::{MOST, link};
use serde::{Deserialize, Serialize};
use std::path::Path;

/// The form of the file that is written and read, and its name there.
const FORMAT: u32 = 1;
const KEY: &str = "format";
/// How often a tune is played running, at most.
const MOST_TIMES: u8 = 9;
/// The longest title, in letters.
const LONGEST_TITLE: usize = 200;

/// A set as its file has it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct TuneSet {
    pub format: u32,
    pub title: String,
    /// The first tune, the last tune stays where it is when the tunes are put in order.
    pub hold_first: bool,
    pub hold_last: bool,
    /// In the order in which they are played.
    pub tunes: Vec<Entry>,
}

/// One tune of a set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// The tune's file in the same folder.
    pub tune: String,
    /// How often it is played through.
    #[serde(default = "once")]
    pub times: u8,
    /// How many measures lead from it to the next tune; 0 for none.
    #[serde(default)]
    pub link: u8,
}

fn once() -> u8 {
    1
}

impl Entry {
    /// Once, without a link.
    pub fn of(tune: impl Into<String>) -> Entry {
        Entry { tune: tune.into(), times: 1, link: 0 }
    }
}

impl Default for TuneSet {
    fn default() -> TuneSet {
        TuneSet { format: FORMAT, title: String::new(), hold_first: false, hold_last: false, tunes: Vec::new() }
    }
}

impl TuneSet {
    /// Reads a set of the folder. Errors: there is none, or it has a mistake, said with its place.
    pub fn read(shelf: &Shelf, name: &str) -> Result<TuneSet, Failure> {
        let mut file = TomlFile::open(&shelf.set(name)?)?;
        name.clone_into(&mut file.name);
        TuneSet::of(&file)
    }

    /// Reads a set's file from anywhere.
    pub fn open(path: &Path) -> Result<TuneSet, Failure> {
        TuneSet::of(&TomlFile::open(path)?)
    }

    fn of(file: &TomlFile) -> Result<TuneSet, Failure> {
        file_form::check(file, KEY, i64::from(FORMAT), "it is not laid out here")?;
        let set: TuneSet = file.table()?;
        match set.check() {
            Err(Failure::Wrong(why)) => Err(Failure::wrong(format!("{}: {why}", file.name))),
            checked => checked.map(|()| set),
        }
    }

    /// As the file.
    pub fn toml(&self) -> String {
        let body = toml::to_string(self).expect("texts, numbers and a list of tables have a TOML form");
        format!("# A set: tunes in the order in which they are played. You may change it here; the page takes it over.\n\n{body}")
    }

    /// Whether it can be kept. Errors: a sentence that says what cannot be.
    pub fn check(&self) -> Result<(), Failure> {
        if self.format != FORMAT {
            let other = self.format;
            return Err(Failure::wrong(format!("a set of format {other}: expected {FORMAT}")));
        }
        if self.title.chars().count() > LONGEST_TITLE {
            return Err(Failure::wrong(format!("the set's title is longer than {LONGEST_TITLE} letters: say it shorter")));
        }
        if self.tunes.len() > MOST {
            return Err(Failure::wrong(format!("{} tunes in a set: expected at most {MOST}", self.tunes.len())));
        }
        for entry in &self.tunes {
            if !(1..=MOST_TIMES).contains(&entry.times) {
                let (tune, times) = (&entry.tune, entry.times);
                return Err(Failure::wrong(format!("{tune} is played {times} times: expected 1 to {MOST_TIMES}")));
            }
            if usize::from(entry.link) > link::LONGEST {
                let (tune, long) = (&entry.tune, entry.link);
                return Err(Failure::wrong(format!("a link of {long} measures after {tune}: expected 0 (none) to {}", link::LONGEST)));
            }
        }
        Ok(())
    }

    /// Its title, or the name of its file.
    pub fn named(&self, file: &str) -> String {
        let title = self.title.trim();
        if title.is_empty() { file.trim_end_matches(crate::shelf::sets::SET).to_owned() } else { title.to_owned() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::save::RealDisk;

    fn shelf() -> (tempfile::TempDir, Shelf) {
        let folder = tempfile::tempdir().expect("a folder");
        let shelf = Shelf::open(folder.path(), Box::new(RealDisk)).expect("a shelf");
        (folder, shelf)
    }

    #[test]
    fn a_set_is_there_again() {
        let (_folder, shelf) = shelf();
        let tunes = vec![Entry { times: 2, link: 1, ..Entry::of("tide.abc") }, Entry::of("pier.abc")];
        let set = TuneSet { title: "Evening".into(), hold_last: true, tunes, ..TuneSet::default() };
        let name = shelf.take_in_set(&set.title, set.toml().as_bytes()).expect("it is kept");
        assert_eq!((name.as_str(), TuneSet::read(&shelf, &name)), ("Evening.undersong-set.toml", Ok(set.clone())));
        assert_eq!(shelf.take_in_set("Evening", set.toml().as_bytes()), Ok("Evening 2.undersong-set.toml".into()));
        assert_eq!(shelf.sets(), ["Evening 2.undersong-set.toml", "Evening.undersong-set.toml"]);
        assert!(shelf.harps().is_empty(), "a set is no harp");
        shelf.remove_set(&name).expect("it goes");
        let gone = TuneSet::read(&shelf, &name).expect_err("it is gone");
        assert_eq!(gone.to_string(), "there is no set \"Evening.undersong-set.toml\" on the shelf");
    }

    #[test]
    fn mistakes_have_their_place() {
        let (folder, shelf) = shelf();
        let says = |text: &str| {
            std::fs::write(folder.path().join("a.undersong-set.toml"), text).expect("a file");
            let failure = TuneSet::read(&shelf, "a.undersong-set.toml").expect_err("a mistake");
            failure.to_string()
        };
        let unknown = says("title = \"A\"\ncolour = 3\n");
        assert!(unknown.starts_with("a.undersong-set.toml:2:1: error: unknown field `colour`, expected one of"), "{unknown}");
        let newer = "a.undersong-set.toml was written by a newer Undersong (form 2; this one knows form 1): it is left as it is, and it is not laid out here. Open it with the newer one";
        assert_eq!(says("format = 2\ncolour = 3\n"), newer);
        assert_eq!(says("format = 0\n"), "a.undersong-set.toml: a set of format 0: expected 1");
        let link = says("[[tunes]]\ntune = \"a.abc\"\nlink = 5\n");
        assert_eq!(link, "a.undersong-set.toml: a link of 5 measures after a.abc: expected 0 (none) to 4");
        let times = says("[[tunes]]\ntune = \"a.abc\"\ntimes = 0\n");
        assert_eq!(times, "a.undersong-set.toml: a.abc is played 0 times: expected 1 to 9");
        assert!(shelf.set("../a.undersong-set.toml").is_err() && shelf.set(".undersong-set.toml").is_err());
    }
}
