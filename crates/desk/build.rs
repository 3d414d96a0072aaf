//! Lists the files of `assets/` with their bytes, so that the page is inside the program.

use std::fmt::Write;
use std::path::Path;

fn main() {
    let folder = Path::new(&std::env::var("CARGO_MANIFEST_DIR").expect("cargo sets it")).join("assets");
    println!("cargo:rerun-if-changed={}", folder.display());
    let entries = std::fs::read_dir(&folder).expect("the folder of assets is part of the crate").flatten();
    let mut names: Vec<String> = entries.filter(|e| e.path().is_file()).filter_map(|e| e.file_name().into_string().ok()).collect();
    names.sort();
    let mut list = String::from("[\n");
    for name in names.iter().filter(|n| !n.starts_with('.')) {
        let path = folder.join(name);
        let _ = writeln!(list, "    ({name:?}, include_bytes!({:?}) as &[u8]),", path.display().to_string());
    }
    list += "]\n";
    let out = Path::new(&std::env::var("OUT_DIR").expect("cargo sets it")).join("assets.rs");
    std::fs::write(out, list).expect("the folder for built files can be written");
}
