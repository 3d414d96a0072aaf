//! Lets the C++ library of the compiler be linked in whole, so that a program made here runs on a system that has none, or another version: the linker finds libstdc++ and what it unwinds with
//! as archives first. Where the compiler has no such archives, the system's libraries are used.

use std::path::{Path, PathBuf};
use std::process::Command;

/// What the linker is asked for, and the archive that takes its place.
const WHOLE: [(&str, &str); 2] = [("libstdc++.a", "libstdc++.a"), ("libgcc_s.a", "libgcc_eh.a")];

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    let target = std::env::var("TARGET").expect("cargo sets it");
    if target.ends_with("-linux-gnu") {
        let folder = Path::new(&std::env::var("OUT_DIR").expect("cargo sets it")).join("whole");
        if gathered(&folder).is_some() {
            println!("cargo::rustc-link-search=native={}", folder.display());
        }
    }
}

/// Puts both archives into a folder of their own: one without the other would unwind in two ways.
fn gathered(folder: &Path) -> Option<()> {
    let compiler = cc::Build::new().cpp(true).try_get_compiler().ok()?;
    let archives: Vec<(&str, PathBuf)> =
        WHOLE.iter().map(|(name, archive)| Some((*name, archive_of(compiler.path(), archive)?))).collect::<Option<_>>()?;
    std::fs::create_dir_all(folder).ok()?;
    for (name, archive) in archives {
        std::fs::copy(archive, folder.join(name)).ok()?;
    }
    Some(())
}

fn archive_of(compiler: &Path, name: &str) -> Option<PathBuf> {
    let said = Command::new(compiler).arg(format!("-print-file-name={name}")).output().ok()?;
    // A name without a folder means that there is none.
    Some(PathBuf::from(String::from_utf8(said.stdout).ok()?.trim())).filter(|path| path.is_absolute() && path.is_file())
}
