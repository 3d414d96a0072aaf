//! Saving whole or not at all: a neighbour is written, brought to the disk, and takes the place in one step.
//!
//! [`Disk`] is where bytes go; tests put a failing one in its place.

use crate::failure::Failure;
use std::fs::File;
use std::io::{Error, Write};
use std::path::Path;
use tempfile::Builder;

/// Where bytes are written.
pub trait Disk: Send + Sync {
    /// Writes all of a new file and brings it to the disk.
    fn fill(&self, file: &mut File, bytes: &[u8]) -> Result<(), Error>;
}

/// The disk there is.
pub struct RealDisk;

impl Disk for RealDisk {
    fn fill(&self, file: &mut File, bytes: &[u8]) -> Result<(), Error> {
        file.write_all(bytes)?;
        file.sync_all()
    }
}

/// The beginning of a neighbour's name; nothing with it is ever shown.
pub const NEIGHBOUR: &str = ".undersong-";
/// Its end.
pub const UNFINISHED: &str = ".part";

/// What becomes of a file that stands there already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It is replaced.
    Replaced,
    /// It stays, and nothing is written.
    Stays,
}

/// Writes a file. Until all of it is on the disk, what stood there before stays; a failure leaves nothing behind.
pub fn whole(disk: &dyn Disk, path: &Path, bytes: &[u8], standing: Standing) -> Result<(), Failure> {
    let cannot = |error| Failure::world("cannot save", path, &error);
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut beside = builder().tempfile_in(folder).map_err(cannot)?;
    disk.fill(beside.as_file_mut(), bytes).map_err(cannot)?;
    match standing {
        Standing::Replaced => beside.persist(path).map_err(|error| cannot(error.error))?,
        Standing::Stays => beside.persist_noclobber(path).map_err(|error| cannot(error.error))?,
    };
    // The new name is on the disk when its folder is; systems that cannot open a folder need not be asked.
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

fn builder() -> Builder<'static, 'static> {
    let mut builder = Builder::new();
    builder.prefix(NEIGHBOUR).suffix(UNFINISHED);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder
}
