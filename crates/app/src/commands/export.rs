//! `undersong export` and `undersong import`: everything of a folder as plain files, taken along and brought back.

use super::open::own_folder;
use crate::arguments::folder::{ExportArguments, ImportArguments};
use crate::failure::Failure;
use crate::screen;
use desk::export::bring::{Comparison, Done};
use desk::export::{Everything, written, zipped};
use desk::plain_file::{self, Most};
use desk::practice::diary::texts::Others;
use desk::save::{self, RealDisk, Standing};
use desk::shelf::{Shelf, lock};
use std::path::{Path, PathBuf};

/// An archive that is brought in.
const ARCHIVE: Most = Most { bytes: 1024 * 1024 * 1024, of: "a zip archive" };

fn folder(named: &Option<PathBuf>) -> Result<PathBuf, Failure> {
    named.clone().map_or_else(own_folder, Ok)
}

fn is_zip(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("zip"))
}

pub fn export(arguments: &ExportArguments) -> Result<(), Failure> {
    let folder = folder(&arguments.folder)?;
    if !folder.is_dir() {
        return Err(Failure::world("cannot open the folder", &folder, &std::io::ErrorKind::NotFound.into()));
    }
    let everything = Everything::of(&Shelf::open(&folder, Box::new(RealDisk))?)?;
    let out = &arguments.out;
    if is_zip(out) {
        if out.exists() && !arguments.force {
            return Err(Failure::wrong(format!(
                "{} is there already: name another with --out, or write over it with --force",
                out.display()
            )));
        }
        save::whole(&RealDisk, out, &zipped::zip(&everything)?, Standing::Replaced)?;
    } else {
        written::write(&everything, out)?;
    }
    let mut said = format!("{}: {}\n", out.display(), everything.said());
    if !everything.left_out.is_empty() {
        said += &format!("Left where they are, as they are no texts: {}\n", everything.left_out.join(", "));
    }
    screen::print(&said)
}

pub fn import(arguments: &ImportArguments) -> Result<(), Failure> {
    let everything = if arguments.place.is_dir() {
        written::read(&arguments.place)?
    } else {
        zipped::unzip(&plain_file::bytes(&arguments.place, ARCHIVE)?)?
    };
    let shelf = Shelf::open(&folder(&arguments.folder)?, Box::new(RealDisk))?;
    let Some(_held) = lock::hold(shelf.folder()) else {
        let open = format!("{} is open in Undersong: bring it in there, under Diary, or end that first", shelf.folder().display());
        return Err(Failure::World(open));
    };
    let (comparison, done) = match (arguments.look, arguments.replace) {
        (true, _) => (everything.compare(&shelf)?, Done::Looked),
        (false, true) => (everything.bring_in(&shelf, Others::AreReplaced)?, Done::All),
        (false, false) => (everything.bring_in(&shelf, Others::Stay)?, Done::New),
    };
    screen::print(&comparison.said(done))?;
    if left(&comparison) && done == Done::New {
        screen::aside("nothing was written over: --replace takes those that were brought instead of those that are there");
    }
    Ok(())
}

fn left(comparison: &Comparison) -> bool {
    !comparison.other.is_empty() || comparison.diary.other > 0
}
