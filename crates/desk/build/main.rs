//! Puts the page's files and the guide inside the program: lists the files of `assets/` with their bytes, and makes the pages of `docs/guide/` (see [`guide`]).
//! It knows no address; `src/server` serves what it lists.

mod guide;

use std::fmt::Write;
use std::path::{Path, PathBuf};

fn main() {
    let here = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR").expect("cargo sets it"));
    let out = PathBuf::from(std::env::var("OUT_DIR").expect("cargo sets it"));
    let assets = here.join("assets");
    // The guide is read without scripts too: where no script says light or dark, the system's wish decides.
    let dark = out.join("guide-dark.css");
    std::fs::write(&dark, guide::dark(&text(&assets.join("base.css")))).expect("the folder for built files can be written");
    let mut files = files(&assets);
    files.push(dark);
    list(&out.join("assets.rs"), files);

    let docs = here.join("../../docs/guide");
    list(&out.join("guide.rs"), guide::write(&docs, &here.join("build/page.html"), &out.join("guide")));
    list(&out.join("guide-pictures.rs"), files_of_kind(&docs.join("pictures"), "png"));
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The files of a folder in the order of their names; hidden ones are somebody's who edits there.
fn files(folder: &Path) -> Vec<PathBuf> {
    println!("cargo:rerun-if-changed={}", folder.display());
    let entries = std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display())).flatten();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.path()).filter(|path| path.is_file() && !name(path).starts_with('.')).collect();
    paths.sort();
    paths
}

fn files_of_kind(folder: &Path, ending: &str) -> Vec<PathBuf> {
    files(folder).into_iter().filter(|path| path.extension().is_some_and(|own| own == ending)).collect()
}

fn name(path: &Path) -> &str {
    path.file_name().and_then(|name| name.to_str()).expect("names of ours are plain")
}

/// Writes the files' names and bytes as Rust.
fn list(place: &Path, files: Vec<PathBuf>) {
    let mut list = String::from("[\n");
    for path in files {
        let _ = writeln!(list, "    ({:?}, include_bytes!({:?}) as &[u8]),", name(&path), path.display().to_string());
    }
    list += "]\n";
    std::fs::write(place, list).expect("the folder for built files can be written");
}
