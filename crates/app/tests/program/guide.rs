//! The guide: its commands are run with the real program, its links lead somewhere, its labels are on the page, its pictures are there.
//!
//! What is a label: **bold** in the Markdown. What is run: every line of a block marked `sh`, in a folder with the demo tunes; a block marked `sh no-run` says why it is not. A
//! block whose mark ends in a file's name is that file, and lies there for what follows.

use crate::open::Open;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The pages of the guide by name.
fn pages() -> BTreeMap<String, String> {
    let entries = std::fs::read_dir(root().join("docs/guide")).expect("the guide is there").flatten();
    let markdown = entries.map(|entry| entry.path()).filter(|path| path.extension().is_some_and(|ending| ending == "md"));
    let page = |path: PathBuf| {
        let name = path.file_stem().and_then(|name| name.to_str()).expect("a plain name").to_owned();
        (name, std::fs::read_to_string(&path).expect("a page is text"))
    };
    markdown.map(page).collect()
}

/// A fenced block: the words after its fence, and its lines.
struct Block {
    mark: String,
    text: String,
}

/// The fenced blocks of a page, and the page without them.
fn blocks(page: &str) -> (Vec<Block>, String) {
    let (mut blocks, mut prose, mut open) = (Vec::new(), String::new(), None::<Block>);
    for line in page.lines() {
        match (line.strip_prefix("```"), &mut open) {
            (Some(mark), None) => open = Some(Block { mark: mark.to_owned(), text: String::new() }),
            (Some(_), block) => blocks.extend(block.take()),
            (None, Some(block)) => block.text += &format!("{line}\n"),
            (None, None) => prose += &format!("{line}\n"),
        }
    }
    assert!(open.is_none(), "a block has no end");
    (blocks, prose)
}

/// A home with the demo tunes in its folder.
fn home() -> TempDir {
    let home = tempfile::tempdir().expect("a home for the test");
    let folder = home.path().join("Undersong");
    std::fs::create_dir(&folder).expect("her folder");
    for tune in std::fs::read_dir(root().join("data/tunes")).expect("the demo tunes").flatten() {
        std::fs::copy(tune.path(), folder.join(tune.file_name())).expect("a tune is copied");
    }
    home
}

/// The words of a command line; a part in double quotes is one word.
fn words(line: &str) -> Vec<String> {
    let parts = line.split('"').enumerate();
    parts
        .flat_map(|(at, part)| if at % 2 == 1 { vec![part.to_owned()] } else { part.split_whitespace().map(str::to_owned).collect() })
        .collect()
}

#[test]
fn every_command_runs() {
    let (mut run, mut not_run) = (0, Vec::new());
    for (name, page) in pages() {
        let home = home();
        let folder = home.path().join("Undersong");
        for block in blocks(&page).0 {
            let (kind, rest) = block.mark.split_once(' ').unwrap_or((&block.mark, ""));
            match (kind, rest) {
                ("sh", "") => {
                    for line in block.text.lines() {
                        succeeds(&name, line, home.path(), &folder);
                        run += 1;
                    }
                }
                ("sh", _) => {
                    not_run.push(rest.strip_prefix("no-run ").unwrap_or_else(|| panic!("{name}: {} says no reason", block.mark)).to_owned())
                }
                ("rust", "") => {}
                ("toml" | "text" | "abc", file) if !file.is_empty() => {
                    std::fs::write(folder.join(file), &block.text).expect("a file of the guide")
                }
                _ => panic!("{name}: a block is marked {:?}: sh, rust, or a kind and a file's name", block.mark),
            }
        }
    }
    assert!(run > 30, "{run} commands were run");
    assert!(not_run.len() <= 2, "{not_run:?}");
}

fn succeeds(page: &str, line: &str, home: &Path, folder: &Path) {
    let typed = words(line);
    let [program, arguments @ ..] = &typed[..] else { panic!("{page}: an empty line among commands") };
    assert_eq!(program, "undersong", "{page}: {line}");
    let mut command = Command::new(env!("CARGO_BIN_EXE_undersong"));
    let output = command.args(arguments).current_dir(folder).env("HOME", home).output().expect("the program starts");
    let said = format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{page}: {line}\n{said}");
    assert!(!said.trim().is_empty(), "{page}: {line} says nothing");
}

/// Every **bold** label of the guide is written on the page by the program: as a text of its own, or with something after it that depends on the tune.
#[test]
fn every_label_is_on_the_page() {
    let mut sources = String::new();
    for (folder, ending) in [("crates/desk/assets", "js"), ("crates/desk/assets", "html"), ("crates/desk/src", "rs")] {
        for entry in std::fs::read_dir(root().join(folder))
            .expect("the sources")
            .flatten()
            .filter(|e| e.path().extension().is_some_and(|own| own == ending))
        {
            sources += &std::fs::read_to_string(entry.path()).expect("a source is text");
        }
    }
    let before = ["\"", "`", ">", "} "];
    let after = ["\"", "`", "<", " $", "$", " (", ":", "\\"];
    let is_there = |label: &str| {
        sources.match_indices(label).any(|(at, _)| {
            before.iter().any(|b| sources[..at].ends_with(b)) && after.iter().any(|a| sources[at + label.len()..].starts_with(a))
        })
    };
    let mut seen = 0;
    for (name, page) in pages() {
        let prose = blocks(&page).1.replace('\n', " ");
        for label in prose.split("**").skip(1).step_by(2) {
            seen += 1;
            // What is set in bold as itself: the guide's words about bold.
            assert!(
                label == "bold" && name == "index" || is_there(label) || is_there(&format!("“{label}”")),
                "docs/guide/{name}.md: nothing on the page is called \"{label}\""
            );
        }
    }
    assert!(seen > 150, "{seen} labels were looked for");
}

/// What stands in an attribute, wherever the HTML has it.
fn values<'a>(html: &'a str, attribute: &str) -> Vec<&'a str> {
    html.split(&format!(" {attribute}=\"")).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

/// Every link of every page, as the program sends it, to an address with an id that is there. Without her pass none of it is sent.
#[test]
fn every_link_leads_somewhere() {
    let home = home();
    let mut open = Open::on(home.path());
    let mut read: BTreeMap<String, String> = BTreeMap::new();
    let mut read_page = |path: &str| {
        read.entry(path.to_owned())
            .or_insert_with(|| {
                let (status, text) = open.get(path);
                assert_eq!(status, "200 OK", "{path}");
                text
            })
            .clone()
    };
    let names: Vec<String> = pages().into_keys().map(|name| if name == "index" { String::new() } else { name }).collect();
    for name in &names {
        let page = read_page(&format!("/guide/{name}"));
        let links = values(&page, "href");
        assert!(links.len() > names.len(), "{name} links to every page");
        for link in links {
            let (place, id) = link.split_once('#').unwrap_or((link, ""));
            let place = match place {
                "" => format!("/guide/{name}"),
                "./" => "/guide/".to_owned(),
                place if place.starts_with('/') => place.to_owned(),
                place => format!("/guide/{place}"),
            };
            let there = read_page(&place);
            assert!(id.is_empty() || values(&there, "id").contains(&id), "/guide/{name} links to {link}, which is not there");
        }
        let ids = values(&page, "id");
        assert_eq!(ids.len(), ids.iter().collect::<BTreeSet<_>>().len(), "{name} has an id twice");
        assert_eq!(page.matches("<h1").count(), 1, "{name} has one heading of the whole");
    }
    open.cookie.clear();
    assert_eq!(open.get("/guide/").0, "403 Forbidden");
    assert_eq!(open.get("/guide/first-tune").0, "403 Forbidden");
}

/// Every picture that is named is there, with words for who does not see it, and none lies there unnamed; together they are small.
#[test]
fn every_picture_is_there() {
    let folder = root().join("docs/guide/pictures");
    let lying: BTreeMap<String, u64> = std::fs::read_dir(&folder)
        .expect("the pictures")
        .flatten()
        .map(|entry| (entry.file_name().into_string().expect("a plain name"), entry.metadata().expect("its size").len()))
        .collect();
    let mut named = BTreeSet::new();
    for (name, page) in pages() {
        for picture in blocks(&page).1.split("![").skip(1) {
            let (seen, rest) = picture.split_once("](").expect("a picture has a place");
            let file = rest.split(')').next().and_then(|place| place.strip_prefix("pictures/")).unwrap_or_else(|| panic!("{name}: {rest}"));
            assert!(seen.split_whitespace().count() >= 8, "{name}: {file} is told in too few words: {seen}");
            named.insert(file.to_owned());
        }
    }
    assert_eq!(lying.keys().cloned().collect::<BTreeSet<_>>(), named);
    assert!(lying.values().sum::<u64>() < 1_000_000, "{lying:?}");
    for name in lying.keys() {
        let bytes = std::fs::read(folder.join(name)).expect("a picture");
        // PNG 11.2.1: after the signature and the head of IHDR stand width and height, then the bits of a sample and the kind of colour, 3 for a palette.
        assert_eq!((&bytes[..4], bytes[24], bytes[25]), (&b"\x89PNG"[..], 8, 3), "{name} is no picture with a palette of eight bits");
    }
}
