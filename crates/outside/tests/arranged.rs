//! Everything the arranger makes of our demo tunes and of tunes of the corpus with chord symbols is valid and reads back the same.

use arrange::{Figures, Wishes, arrange};
use formats::{ReadOptions, read};
use harp::{Instrument, Player};
use music::{LeadSheet, Score};
use outside::facts::{self, Facts};
use outside::written;
use std::path::Path;

fn arranged(sheet: &LeadSheet, fullness: Vec<u8>) -> Score {
    let wishes = Wishes { fullness, ..Wishes::default() };
    let made = arrange(sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes);
    made.unwrap_or_else(|e| panic!("{}: {e}", sheet.words.title)).score
}

#[test]
fn demo_tunes_arranged_are_valid() {
    let folder = Path::new("../../data/tunes");
    let mut files: Vec<_> = std::fs::read_dir(folder).expect("the demo tunes").map(|f| f.expect("a file").path()).collect();
    files.sort();
    let mut scores = Vec::new();
    for file in files.iter().filter(|f| f.extension().is_some_and(|e| e == "abc")) {
        let bytes = std::fs::read(file).expect("a demo tune");
        let sheet = read(&bytes, &ReadOptions::default()).unwrap_or_else(|e| panic!("{}: {e}", file.display())).sheet;
        for level in 0..=6 {
            scores.push((format!("{} {level}", sheet.words.title), arranged(&sheet, vec![level])));
        }
        scores.push((format!("{} verses", sheet.words.title), arranged(&sheet, vec![1, 3, 5])));
    }
    assert!(scores.len() >= 24, "{} arrangements, expected eight of each of at least three demo tunes", scores.len());
    written::validate(&scores);
}

#[test]
fn tunes_of_the_corpus_arranged_are_valid() {
    let mut scores = Vec::new();
    for format in ["abc", "musicxml"] {
        let facts: Facts = facts::load(format);
        for tune in facts.tunes.iter().filter(|t| t.parts.iter().any(|p| p.measures.iter().any(|m| !m.chords.is_empty()))) {
            let bytes = std::fs::read(facts.root.join(&tune.file)).expect("a file of the corpus");
            let imported = read(&bytes, &ReadOptions { tune: tune.tune, part: None }).unwrap_or_else(|e| panic!("{}: {e}", tune.file));
            if imported.sheet.has_chords() {
                scores.push((format!("{} {}", tune.file, tune.tune.unwrap_or(1)), arranged(&imported.sheet, Vec::new())));
            }
        }
    }
    assert!(scores.len() >= 40, "{} tunes arranged, expected at least 40", scores.len());
    written::validate(&scores);
}
