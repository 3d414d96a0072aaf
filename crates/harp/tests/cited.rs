//! Every harp fact and habit that is named anywhere in the project is in `docs/harp-facts.md` or `docs/habits.md`.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn document(name: &str) -> String {
    fs::read_to_string(root().join("docs").join(name)).expect("the document is there")
}

/// Texts of the project that may name a fact or a habit: sources, data, documents, scripts of the checks against the outside.
fn texts(folder: &Path, found: &mut Vec<(PathBuf, String)>) {
    for entry in fs::read_dir(folder).expect("a folder of the project") {
        let path = entry.expect("an entry").path();
        let named = |ending: &str| path.extension().is_some_and(|e| e == ending);
        if path.is_dir() && path.file_name().is_some_and(|name| name != "target") {
            texts(&path, found);
        } else if ["rs", "js", "py", "md", "txt", "toml"].into_iter().any(named) {
            found.extend(fs::read_to_string(&path).ok().map(|text| (path, flowing(&text))));
        }
    }
}

/// A text without its line breaks and the signs of comments at their beginnings.
fn flowing(text: &str) -> String {
    let bare = |line: &str| line.trim_start().trim_start_matches(['/', '!', '#']).trim().to_owned();
    text.lines().map(bare).collect::<Vec<_>>().join(" ")
}

/// The numbers that follow a word: "2", "2 and 4.1", "43, 44, 49 to 51".
fn numbers(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut rest = text;
    loop {
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let number = rest[..end].trim_end_matches('.');
        if number.is_empty() {
            return found;
        }
        let goes_on = text[..text.len() - rest.len()].ends_with(" to ");
        let from = found.last().and_then(|last| last.parse::<u32>().ok()).filter(|_| goes_on);
        match from.zip(number.parse::<u32>().ok()) {
            Some((from, to)) => found.extend((from + 1..=to).map(|n| n.to_string())),
            None => found.push(number.to_owned()),
        }
        let after = &rest[number.len()..];
        let Some(next) = [", ", " and ", " to "].into_iter().find_map(|join| after.strip_prefix(join)) else { return found };
        rest = next;
    }
}

/// What is named after any of these words.
fn named(text: &str, words: &[&str]) -> Vec<String> {
    let after = |word: &&str| text.match_indices(*word).map(|(at, found)| &text[at + found.len()..]).collect::<Vec<_>>();
    words.iter().flat_map(after).flat_map(numbers).collect()
}

/// What a text names that is not there.
fn missing(text: &str, sections: &BTreeSet<String>, examples: &BTreeSet<String>, habits: &BTreeSet<String>) -> Vec<String> {
    let mut examples_named = named(text, &["arp facts 9, example ", "arp facts 9, examples ", "arp facts 1.4, examples "]);
    examples_named.retain(|number| !examples.contains(number));
    let mut facts = named(text, &["arp facts ", "Facts "]);
    facts.retain(|number| !sections.contains(number));
    let mut habits_named = named(text, &["abit ", "abits "]);
    habits_named.retain(|number| !habits.contains(number));
    [("example", examples_named), ("harp facts", facts), ("habit", habits_named)]
        .into_iter()
        .flat_map(|(kind, numbers)| numbers.into_iter().map(move |number| format!("{kind} {number}")))
        .collect()
}

#[test]
fn every_fact_and_habit_that_is_named_is_there() {
    let (facts, habits) = (document("harp-facts.md"), document("habits.md"));
    let first = |line: &str| line.split([' ', '|']).find(|word| !word.is_empty()).unwrap_or_default().trim_end_matches('.').to_owned();
    let sections: BTreeSet<String> = facts.lines().filter_map(|l| l.strip_prefix("### ").or(l.strip_prefix("## "))).map(first).collect();
    let nine = facts.split("\n## ").find(|part| part.starts_with("9.")).expect("the worked examples");
    let examples: BTreeSet<String> = nine.lines().filter(|l| l.starts_with("| ")).map(first).collect();
    let habits: BTreeSet<String> = habits.lines().filter_map(|l| l.strip_prefix("- Habit ")).map(first).collect();
    let mut all = Vec::new();
    for folder in ["crates", "data", "docs", "outside"] {
        texts(&root().join(folder), &mut all);
    }
    let count: usize = all.iter().map(|(_, text)| text.matches("arp facts ").count() + text.matches("(habit ").count()).sum();
    assert!(count > 80, "only {count} are named");
    // This file names what is not there on purpose.
    for (path, text) in all.iter().filter(|(path, _)| !path.ends_with("cited.rs")) {
        let missing = missing(text, &sections, &examples, &habits);
        assert!(missing.is_empty(), "{} names what is not in docs: {missing:?}", path.display());
    }
}

#[test]
fn numbers_are_read_as_they_are_written() {
    assert_eq!(numbers("2.4). Then 7"), ["2.4"]);
    assert_eq!(numbers("1.1 and 2.1)."), ["1.1", "2.1"]);
    assert_eq!(numbers("43, 44, 49 to 51, and habit 5"), ["43", "44", "49", "50", "51"]);
    assert_eq!(numbers("9, example 41"), ["9"]);
    let there = |numbers: &[&str]| numbers.iter().map(|n| (*n).to_owned()).collect::<BTreeSet<_>>();
    let missing = missing("see harp facts 1.9, harp facts 9, example 61 and habit 99", &there(&["9"]), &there(&["60"]), &there(&["1"]));
    assert_eq!(missing, ["example 61", "harp facts 1.9", "habit 99"]);
}
