//! Everything in a folder of plain files, written and read.

use super::{DIARY, DIARY_TEXTS, Everything, LARGEST};
use crate::failure::Failure;
use crate::plain_file;
use crate::save::{self, RealDisk, Standing};
use crate::shelf::bin::BIN;
use std::path::Path;

/// Writes it into a new or an empty folder. Errors: something lies there, or the disk does not take it.
pub fn write(everything: &Everything, folder: &Path) -> Result<(), Failure> {
    let taken = folder.read_dir().is_ok_and(|mut entries| entries.next().is_some());
    if taken || folder.is_file() {
        return Err(Failure::wrong(format!("{} is there already: name a new or an empty folder", folder.display())));
    }
    let cannot = |error| Failure::world("cannot make the folder", folder, &error);
    for (path, bytes) in everything.places() {
        let path = folder.join(path);
        std::fs::create_dir_all(path.parent().unwrap_or(folder)).map_err(cannot)?;
        save::whole(&RealDisk, &path, &bytes, Standing::Stays)?;
    }
    std::fs::create_dir_all(folder).map_err(cannot)
}

/// Reads it from a folder. Errors: it cannot be read.
pub fn read(folder: &Path) -> Result<Everything, Failure> {
    let mut all = Everything::default();
    if !folder.is_dir() {
        return Err(Failure::world("cannot read the folder", folder, &std::io::ErrorKind::NotFound.into()));
    }
    all.gather(folder, "")?;
    all.gather(&folder.join(BIN), "bin/")?;
    for name in DIARY_TEXTS {
        let path = folder.join(DIARY).join(name);
        if path.exists() {
            all.found(&format!("{DIARY}/{name}"), plain_file::bytes(&path, LARGEST)?)?;
        }
    }
    Ok(all)
}
