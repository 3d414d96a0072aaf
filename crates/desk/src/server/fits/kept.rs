//! How the tunes fit, kept in a hidden file of her folder: only what this version of the program worked out, and only for tunes as they stand. The file can
//! always be made again, so a broken one counts as none, and a folder that cannot be written to is left as it is.

use crate::plain_file;
use crate::server::desk::Desk;
use crate::shelf::Shelf;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// The file's name.
pub const FITS: &str = ".undersong-fits.json";

#[derive(Serialize, Deserialize)]
struct Kept {
    /// Another version of the arranger may find otherwise.
    version: String,
    /// Sentences by the revision of a tune and its choices.
    fits: BTreeMap<String, String>,
}

/// The sentences by revision; none where there is no file, a broken one, or one of another version.
pub fn read(shelf: &Shelf) -> BTreeMap<String, String> {
    let bytes = plain_file::bytes(&shelf.folder().join(FITS), plain_file::HISTORY).unwrap_or_default();
    let kept: Option<Kept> = serde_json::from_slice(&bytes).ok();
    kept.filter(|k| k.version == env!("CARGO_PKG_VERSION")).map(|k| k.fits).unwrap_or_default()
}

/// Keeps what holds for the tunes as they stand now; what is known of others is left out.
pub fn write(desk: &Desk, mut fits: BTreeMap<String, String>) {
    let Ok(tunes) = desk.shelf.tunes() else { return };
    let now: BTreeSet<String> = tunes.iter().filter_map(|tune| Some(desk.look(&tune.id).ok()?.revision)).collect();
    fits.retain(|revision, _| now.contains(revision));
    let kept = Kept { version: env!("CARGO_PKG_VERSION").into(), fits };
    let text = serde_json::to_vec(&kept).expect("texts have a JSON form");
    // It is worked out again where it cannot be kept.
    let _ = desk.shelf.remember(FITS, &text);
}
