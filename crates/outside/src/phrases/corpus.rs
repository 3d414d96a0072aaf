//! The chorale sopranos and the folk songs of music21's corpus.
//!
//! Of a chorale the soprano is read, its fermatas are the marks. Of the folk songs each line of the ABC text is a phrase of the collection, so a phrase ends
//! where a line does: as many notes in as the text up to there has. Words and decorations are taken off before anything is asked.

use super::{Case, Part};
use formats::{ReadOptions, read};
use harmony::{melody::plucks, phrases::line::Line};
use music::{Decoration, LeadSheet};
use std::collections::{BTreeSet, HashMap};
use std::path::{Path, PathBuf};

/// More notes a phrase than this on average: the marks are not those of phrases.
const MOST_NOTES_A_PHRASE: usize = 25;

/// All chorales with at least two fermatas before the last; `root` is music21's folder.
pub fn chorales(root: &Path) -> Vec<Case> {
    let files = files(&root.join("corpus/bach"), "mxl");
    let mut cases: Vec<Case> = files.iter().filter_map(|file| chorale(file)).collect();
    number_melodies(&mut cases, usize::MAX);
    cases
}

fn chorale(file: &Path) -> Option<Case> {
    let bytes = std::fs::read(file).ok()?;
    let first = read(&bytes, &ReadOptions { tune: None, part: None }).ok()?;
    let soprano = first.parts.iter().find(|p| p.to_lowercase().contains("sopr")).cloned();
    let sheet = match soprano {
        Some(part) => read(&bytes, &ReadOptions { tune: None, part: Some(part) }).ok()?.sheet,
        None => first.sheet,
    };
    let begins = after_fermatas(&sheet);
    let good = begins.len() >= 2 && plucks(&sheet).len() / (begins.len() + 1) <= MOST_NOTES_A_PHRASE;
    good.then(|| case(file.file_name().unwrap_or_default().to_string_lossy().into_owned(), sheet, begins, Part::Fitted))
}

fn after_fermatas(sheet: &LeadSheet) -> BTreeSet<usize> {
    let (mut count, mut found) = (0, BTreeSet::new());
    for note in sheet.measures.iter().flat_map(|m| &m.notes).filter(|n| !n.is_rest()) {
        count += usize::from(note.is_plucked());
        if note.decorations.contains(&Decoration::Fermata) {
            found.insert(count);
        }
    }
    found.remove(&count);
    found
}

/// Every third folk song; every other of these is for fitting, the rest is held out.
pub fn folk_songs(root: &Path) -> Vec<Case> {
    let mut cases = Vec::new();
    let mut number = 0;
    for file in files(&root.join("corpus/essenFolksong"), "abc") {
        let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if name.starts_with("test") {
            continue;
        }
        let text = std::fs::read_to_string(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
        for tune in text.split("\nX:").skip(1) {
            number += 1;
            let part = match number % 6 {
                0 => Part::Fitted,
                3 => Part::HeldOut,
                _ => continue,
            };
            cases.extend(folk_song(&name, &format!("X:{tune}"), part));
        }
    }
    number_melodies(&mut cases, 24);
    cases
}

fn folk_song(file: &str, text: &str, part: Part) -> Option<Case> {
    let lines: Vec<&str> = text.lines().filter(|l| !l.trim().is_empty()).collect();
    let head = lines.iter().position(|l| l.starts_with("K:"))?;
    let up_to = |last: usize| {
        let text = lines[..=last].join("\n") + "\n";
        Some(read(text.as_bytes(), &ReadOptions { tune: None, part: None }).ok()?.sheet)
    };
    let whole = up_to(lines.len() - 1)?;
    let count = plucks(&whole).len();
    let ends = (head + 1..lines.len() - 1).filter_map(up_to).map(|sheet| plucks(&sheet).len());
    let begins: BTreeSet<usize> = ends.filter(|n| (1..count).contains(n)).collect();
    let good = !begins.is_empty() && count / (begins.len() + 1) <= MOST_NOTES_A_PHRASE;
    good.then(|| case(format!("{file} {}", lines[0]), whole, begins, part))
}

fn case(name: String, mut sheet: LeadSheet, begins: BTreeSet<usize>, part: Part) -> Case {
    for note in sheet.measures.iter_mut().flat_map(|m| &mut m.notes) {
        note.decorations.clear();
        note.syllables.clear();
    }
    Case { name, line: Line::of(&sheet), sheet, begins, melody: 0, part }
}

fn files(folder: &Path, extension: &str) -> Vec<PathBuf> {
    let all = std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut found: Vec<PathBuf> =
        all.filter_map(|f| Some(f.ok()?.path())).filter(|p| p.extension().is_some_and(|e| e == extension)).collect();
    found.sort();
    found
}

/// Two tunes have one melody if at most two in five of their intervals (repeated notes left out, the first `most` of each) have to be changed to make one of the
/// other, or one of the first eight; and so has whatever is like either. This binds more together than belongs together, which makes the comparison stricter.
fn number_melodies(cases: &mut [Case], most: usize) {
    let numbers = number_melodies_of(&cases.iter().map(|c| &c.sheet).collect::<Vec<_>>(), most);
    cases.iter_mut().zip(numbers).for_each(|(case, number)| case.melody = number);
}

/// The number of each tune's melody.
pub(crate) fn number_melodies_of(sheets: &[&LeadSheet], most: usize) -> Vec<usize> {
    let intervals: Vec<Vec<i32>> = sheets.iter().map(|s| moves(s, most)).collect();
    let mut numbers: Vec<usize> = (0..sheets.len()).collect();
    let mut members: HashMap<usize, Vec<usize>> = numbers.iter().map(|n| (*n, vec![*n])).collect();
    for a in 0..sheets.len() {
        for b in 0..a {
            if numbers[a] != numbers[b] && are_one_melody(&intervals[a], &intervals[b]) {
                let (to, from) = (numbers[a].min(numbers[b]), numbers[a].max(numbers[b]));
                let moved = members.remove(&from).unwrap_or_default();
                moved.iter().for_each(|i| numbers[*i] = to);
                members.entry(to).or_default().extend(moved);
            }
        }
    }
    numbers
}

fn moves(sheet: &LeadSheet, most: usize) -> Vec<i32> {
    let all = plucks(sheet);
    all.windows(2).map(|w| w[1].top.midi() - w[0].top.midi()).filter(|i| *i != 0).take(most).collect()
}

fn are_one_melody(a: &[i32], b: &[i32]) -> bool {
    let alike_heads = a.len() >= 8 && b.len() >= 8 && changes(&a[..8], &b[..8]) <= 1;
    let longer = a.len().max(b.len());
    alike_heads || a.len().abs_diff(b.len()) * 5 <= longer * 2 && changes(a, b) * 5 <= longer * 2
}

/// The least number of intervals to insert, leave out or replace.
fn changes(a: &[i32], b: &[i32]) -> usize {
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut corner = std::mem::replace(&mut row[0], i + 1);
        for (j, y) in b.iter().enumerate() {
            let here = (corner + usize::from(x != y)).min(row[j] + 1).min(row[j + 1] + 1);
            corner = std::mem::replace(&mut row[j + 1], here);
        }
    }
    row[b.len()]
}
