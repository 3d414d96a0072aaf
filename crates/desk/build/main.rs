//! Puts the page's files and the guide inside the program: lists the files of `assets/` with their bytes, and makes the pages of `docs/guide/` (see [`guide`]).
//!
//! What a page asks for has an address that changes with the files' bytes (the edition), so that a browser may keep it; `src/server` serves what is listed here.

mod guide;

use std::fmt::Write;
use std::path::{Path, PathBuf};

const INDEX: &str = "index.html";

/// The one script that is no module of the page's.
const OF_THE_GUIDE: &str = "guide.js";

fn main() {
    let here = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR").expect("cargo sets it"));
    let out = PathBuf::from(std::env::var("OUT_DIR").expect("cargo sets it"));
    let assets = here.join("assets");
    // The guide is read without scripts too: where no script says light or dark, the system's wish decides.
    let dark = out.join("guide-dark.css");
    write(&dark, &guide::dark(&text(&assets.join("base.css"))));
    let (first, mut kept): (Vec<_>, Vec<_>) = files(&assets).into_iter().partition(|path| name(path) == INDEX);
    kept.push(dark);
    let edition = edition(&kept);
    println!("cargo:rustc-env=EDITION={edition}");
    write(&out.join(INDEX), &with_modules(&in_edition(&text(&first[0]), &edition), &edition, &kept));
    list(&out.join("assets.rs"), kept);

    let docs = here.join("../../docs/guide");
    let frame = in_edition(&text(&here.join("build/page.html")), &edition);
    println!("cargo:rerun-if-changed={}", here.join("build").display());
    list(&out.join("guide.rs"), guide::write(&docs, &frame, &out.join("guide")));
    list(&out.join("guide-pictures.rs"), files_of_kind(&docs.join("pictures"), "png"));
}

/// What stands for the bytes of these files in their addresses.
fn edition(files: &[PathBuf]) -> String {
    let mut sum = crc32fast::Hasher::new();
    for path in files {
        sum.update(name(path).as_bytes());
        sum.update(&std::fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display())));
    }
    format!("{:08x}", sum.finalize())
}

/// A page that asks for the files of this edition.
fn in_edition(page: &str, edition: &str) -> String {
    page.replace("\"/assets/", &format!("\"/assets/{edition}/"))
}

/// The page with every module named in its head, so that a browser asks for all of them at once and not for one after the other as they name each other.
fn with_modules(page: &str, edition: &str, files: &[PathBuf]) -> String {
    let mut links = String::new();
    for path in files.iter().filter(|path| path.extension().is_some_and(|own| own == "js") && name(path) != OF_THE_GUIDE) {
        let _ = writeln!(links, "<link rel=\"modulepreload\" href=\"/assets/{edition}/{}\">", name(path));
    }
    page.replace("</head>", &format!("{links}</head>"))
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
    write(place, &list);
}

fn write(place: &Path, text: &str) {
    std::fs::write(place, text).unwrap_or_else(|error| panic!("{}: {error}", place.display()));
}
