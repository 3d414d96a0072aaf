//! Tunes with chord symbols out of a folder of ABC and MusicXML files.

use super::Case;
use crate::phrases::corpus::number_melodies_of;
use formats::{ReadOptions, read};
use harmony::bare::places::Ground;
use harmony::spans::spans;
use music::{Clock, LeadSheet};
use std::path::{Path, PathBuf};

/// All tunes of a folder that have chords in at least two thirds of their measures' time.
pub fn folder(folder: &Path) -> Vec<Case> {
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())).filter_map(|f| Some(f.ok()?.path())).collect();
    files.retain(|p| p.extension().is_some_and(|e| ["abc", "mxl", "xml", "musicxml"].iter().any(|x| e == *x)));
    files.sort();
    let mut cases: Vec<Case> = files.iter().flat_map(|f| tunes(f)).collect();
    number(&mut cases);
    cases
}

/// Gives tunes of one melody one number.
pub fn number(cases: &mut [Case]) {
    let sheets: Vec<&LeadSheet> = cases.iter().map(|c| &c.sheet).collect();
    let numbers = number_melodies_of(&sheets, 24);
    cases.iter_mut().zip(numbers).for_each(|(c, n)| c.melody = n);
}

fn tunes(file: &Path) -> Vec<Case> {
    let Ok(bytes) = std::fs::read(file) else { return Vec::new() };
    let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let Ok(first) = read(&bytes, &ReadOptions::default()) else { return Vec::new() };
    case(&name, first.sheet).into_iter().collect()
}

/// The tune with its chords hidden; `None` where too little of it has chords.
pub fn case(name: &str, mut sheet: LeadSheet) -> Option<Case> {
    let tempo = sheet.opening_tempo().unwrap_or(music::Tempo::of(music::Beats::QUARTER, 100)?);
    let found = spans(&sheet, &Clock::of_sheet(&sheet, tempo));
    let truth: Vec<_> = found.spans.into_iter().filter_map(|s| Some((s.measure, s.at, s.length, s.chord?))).collect();
    for measure in &mut sheet.measures {
        measure.frame.chords.clear();
    }
    let all: music::Beats = sheet.measures.iter().map(|m| m.frame.length).sum();
    let told: music::Beats = truth.iter().map(|t| t.2).sum();
    let ground = Ground::of(&sheet);
    (told * 3 >= all * 2 && !ground.spots.is_empty()).then(|| Case { name: name.to_owned(), ground, truth, sheet, melody: 0 })
}
