//! Saving whole or not at all: a file is written beside its place under another name and then takes the place in one step.

use crate::failure::Failure;
use std::io::Write;
use std::path::Path;
use tempfile::Builder;

/// Makes the folder and those above it where they are missing.
pub fn folder(path: &Path) -> Result<(), Failure> {
    std::fs::create_dir_all(path).map_err(|error| Failure::world("cannot make the folder", path, &error))
}

/// Writes a file. Until all of it is on the disk, what stood there before stays.
pub fn whole(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let cannot = |error| Failure::world("cannot write", path, &error);
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut beside = builder().tempfile_in(folder).map_err(cannot)?;
    beside.write_all(bytes).and_then(|()| beside.flush()).map_err(cannot)?;
    beside.persist(path).map_err(|error| cannot(error.error))?;
    Ok(())
}

/// The neighbour's name, and the permissions a new file usually has.
fn builder() -> Builder<'static, 'static> {
    let mut builder = Builder::new();
    builder.prefix(".undersong-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder
}
