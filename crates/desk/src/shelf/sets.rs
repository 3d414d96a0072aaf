//! Sets in her folder: short TOML files beside her tunes, one a set.

use super::{Shelf, is_plain};
use crate::failure::{Failure, Missing};
use crate::save::{self, Standing};
use std::path::PathBuf;

/// The end of a set's file name.
pub const SET: &str = ".undersong-set.toml";

/// Whether a name is that of a set.
pub fn is_set(name: &str) -> bool {
    is_plain(name) && name.len() > SET.len() && name.ends_with(SET)
}

impl Shelf {
    /// The names of the sets' files, in order.
    pub fn sets(&self) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(&self.folder) else { return Vec::new() };
        let names = entries.flatten().filter_map(|entry| entry.file_name().into_string().ok());
        let mut sets: Vec<String> = names.filter(|name| self.set(name).is_ok()).collect();
        sets.sort_by(|a, b| a.to_lowercase().cmp(&b.to_lowercase()).then(a.cmp(b)));
        sets
    }

    /// The path of a set there is. Errors: none of this name stands directly in the folder.
    pub fn set(&self, name: &str) -> Result<PathBuf, Failure> {
        let path = self.folder.join(name);
        let inside = |real: PathBuf| real.parent() == Some(&self.folder) && real.is_file();
        let there = is_set(name) && path.canonicalize().is_ok_and(inside);
        if there { Ok(path) } else { Err(Missing::Set(name.to_owned()).into()) }
    }

    /// Keeps a new set under a free name made of its title, and says which.
    pub fn take_in_set(&self, title: &str, bytes: &[u8]) -> Result<String, Failure> {
        let stem = crate::names::safe(title);
        let names = std::iter::once(format!("{stem}{SET}")).chain((2..10_000).map(|n| format!("{stem} {n}{SET}")));
        for name in names {
            if !self.folder.join(&name).exists() {
                save::whole(&*self.disk, &self.folder.join(&name), bytes, Standing::Stays)?;
                return Ok(name);
            }
        }
        Err(Failure::wrong(format!("there are too many sets named \"{stem}\"")))
    }

    /// Replaces a set there is.
    pub fn rewrite_set(&self, name: &str, bytes: &[u8]) -> Result<(), Failure> {
        save::whole(&*self.disk, &self.set(name)?, bytes, Standing::Replaced)
    }

    /// Takes a set away; its tunes stay.
    pub fn remove_set(&self, name: &str) -> Result<(), Failure> {
        let path = self.set(name)?;
        std::fs::remove_file(&path).map_err(|error| Failure::world("cannot take away", &path, &error))
    }
}
