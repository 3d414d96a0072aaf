//! The rule of the house about its rooms: in a crate the modules depend one way only, and no two need each other, be it round a corner. A parent and its own
//! children are one room.
//!
//! Read off the sources: every path that begins with `crate::` or `super::`, tests and comments left out.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Module, other module, and the file that names it.
type Needs = BTreeMap<String, BTreeMap<String, String>>;

/// Folders of modules that are free of circles.
const ROOMS: [&str; 16] = [
    "arrange/src",
    "arrange/src/form",
    "arrange/src/principles",
    "check/src",
    "check/src/rules",
    "desk/src/server",
    "engrave/src/harp",
    "formats/src/abc",
    "harmony/src",
    "harp/src",
    "harp/src/page",
    "harp/src/settings",
    "music/src",
    "music/src/clock",
    "practice/src",
    "recording/src",
];

/// Crates whose modules are declared in such an order that each needs only those before it.
const IN_ORDER: [&str; 1] = ["arrange/src/lib.rs"];

fn crates() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("a crate lies beside the others").to_owned()
}

/// All files of Rust below a folder with their module's path, tests left out.
fn files(folder: &Path, module: &[String], found: &mut Vec<(PathBuf, Vec<String>)>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder).expect("a folder of sources").map(|e| e.expect("an entry").path()).collect();
    entries.sort();
    for path in entries {
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let inside = || module.iter().cloned().chain([name.clone()]).collect::<Vec<String>>();
        if name == "tests" {
            continue;
        } else if path.is_dir() {
            files(&path, &inside(), found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push((path.clone(), if ["lib", "main", "mod"].contains(&name.as_str()) { module.to_vec() } else { inside() }));
        }
    }
}

/// The lines that are compiled into the crate; a module of tests stands last in its file.
fn code(text: &str) -> String {
    let lines = text.lines().take_while(|line| line.trim() != "#[cfg(test)]");
    lines.map(|line| line.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

/// The paths that a text names, each made whole, from the root of the crate: `module` is the text's own.
fn paths(code: &str, module: &[String]) -> Vec<Vec<String>> {
    let mut all = Vec::new();
    let begins = code.match_indices("crate::").chain(code.match_indices("super::")).filter(|(at, _)| {
        let before = code[..*at].chars().next_back();
        before.is_none_or(|c| !c.is_alphanumeric() && c != '_' && c != ':' && c != '$')
    });
    for (at, _) in begins {
        let (mut base, mut rest) = (module.to_vec(), &code[at..]);
        if let Some(after) = rest.strip_prefix("crate::") {
            (base, rest) = (Vec::new(), after);
        }
        while let Some(after) = rest.strip_prefix("super::") {
            base.pop();
            rest = after;
        }
        all.extend(tree(rest).into_iter().map(|path| base.iter().cloned().chain(path).collect()));
    }
    all
}

/// The paths at the beginning of a text: one, or those of a group in braces.
fn tree(text: &str) -> Vec<Vec<String>> {
    let word = text.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(text.len());
    if word > 0 {
        let first = text[..word].to_owned();
        let further = text[word..].strip_prefix("::").map_or_else(|| vec![Vec::new()], tree);
        return further.into_iter().map(|path| [first.clone()].into_iter().chain(path).collect()).collect();
    }
    let Some(inside) = text.strip_prefix('{') else { return vec![Vec::new()] };
    let (mut depth, mut from, mut all) = (0, 0, Vec::new());
    for (at, c) in inside.char_indices() {
        match c {
            '{' => depth += 1,
            ',' | '}' if depth == 0 => {
                all.extend(tree(inside[from..at].trim()).into_iter().filter(|path| !path.is_empty()));
                from = at + 1;
                if c == '}' {
                    break;
                }
            }
            '}' => depth -= 1,
            _ => {}
        }
    }
    all
}

/// Which modules of a folder need which others of it.
fn needs(sources: &[(Vec<String>, String, String)], folder: &[String]) -> Needs {
    let room = |path: &[String]| path.strip_prefix(folder).and_then(|rest| rest.first()).cloned();
    let rooms: BTreeSet<String> = sources.iter().filter_map(|(module, ..)| room(module)).collect();
    let mut all: Needs = rooms.iter().map(|name| (name.clone(), BTreeMap::new())).collect();
    for (module, file, text) in sources {
        let Some(here) = room(module) else { continue };
        for other in paths(&code(text), module).iter().filter_map(|path| room(path)).filter(|other| rooms.contains(other)) {
            if other != here {
                all.entry(here.clone()).or_default().insert(other, file.clone());
            }
        }
    }
    all
}

/// What is left when every module is taken away that needs none of the others any more: circles, and what needs them.
fn circles(mut needs: Needs) -> Needs {
    while let Some(free) = needs.iter().find(|(_, others)| others.is_empty()).map(|(name, _)| name.clone()) {
        needs.remove(&free);
        needs.values_mut().for_each(|others| drop(others.remove(&free)));
    }
    needs
}

fn read(folder: &str) -> Needs {
    let (of_crate, inside) = folder.split_once("/src").expect("a folder of sources");
    let source = crates().join(of_crate).join("src");
    let mut found = Vec::new();
    files(&source, &[], &mut found);
    let text = |(path, module): (PathBuf, Vec<String>)| {
        let shown = path.strip_prefix(crates()).unwrap_or(&path).display().to_string();
        (module, shown, fs::read_to_string(&path).expect("a source"))
    };
    let sources: Vec<_> = found.into_iter().map(text).collect();
    needs(&sources, &inside.split('/').filter(|part| !part.is_empty()).map(str::to_owned).collect::<Vec<_>>())
}

#[test]
fn no_rooms_need_each_other() {
    for folder in ROOMS {
        let needs = read(folder);
        assert!(needs.len() > 2, "{folder} has only the modules {:?}", needs.keys());
        assert_eq!(circles(needs), Needs::new(), "{folder}: these modules need each other, each with a file that says so");
    }
}

#[test]
fn rooms_are_declared_in_the_order_of_their_needs() {
    for file in IN_ORDER {
        let text = fs::read_to_string(crates().join(file)).expect("a map of a crate");
        let declared = |line: &str| Some(line.trim().trim_start_matches("pub ").strip_prefix("mod ")?.strip_suffix(';')?.to_owned());
        let order: Vec<String> = text.lines().filter_map(declared).collect();
        for (module, others) in read(file.trim_end_matches("/lib.rs")) {
            let place = |name: &String| order.iter().position(|n| n == name).unwrap_or_else(|| panic!("{file} does not declare {name}"));
            for (other, by) in others {
                assert!(place(&other) < place(&module), "{file} declares {module} before {other}, which it needs ({by})");
            }
        }
    }
}

/// Written by hand: what the reading of paths must find, and a circle through three rooms.
#[test]
fn a_circle_is_found() {
    let source = |module: &str, text: &str| {
        let path: Vec<String> = module.split('/').map(str::to_owned).collect();
        (path, format!("{module}.rs"), text.to_owned())
    };
    let sources = [
        source(
            "ferry",
            "use crate::{pier::{Rope, bell}, Fare};\n// use crate::lamp::Light;\n#[cfg(test)]\nmod tests { use crate::lamp::Light; }",
        ),
        source("pier", "fn moor(_: super::quay::Stone) {}"),
        source("quay/steps", "use super::super::ferry;\nuse super::wall::Brick;"),
        source("lamp", "use crate::ferry::Ferry;"),
    ];
    let needs = needs(&sources, &[]);
    let named: Vec<(&str, Vec<&str>)> = needs.iter().map(|(m, o)| (m.as_str(), o.keys().map(String::as_str).collect())).collect();
    assert_eq!(named, [("ferry", vec!["pier"]), ("lamp", vec!["ferry"]), ("pier", vec!["quay"]), ("quay", vec!["ferry"])]);
    let without_quay = needs.iter().filter(|(m, _)| *m != "quay").map(|(m, o)| (m.clone(), o.clone())).map(|(m, mut o)| {
        o.remove("quay");
        (m, o)
    });
    assert_eq!(circles(without_quay.collect()), Needs::new());
    assert!(circles(needs).contains_key("quay"));
}
