//! Chords of scores in several voices beside experts' analyses.
//!
//!     voices FOLDER …
//!
//! Each FOLDER holds scores (MusicXML or ABC) and a table `expert_chords.csv` with the columns work, onset_quarter, end_quarter, root_pc and quality; a work is the name
//! of its file without the ending. The weights were fitted on every other work of such folders: works are also counted in halves.

use outside::facts::ExpertChord;
use outside::voices::{Counts, counted, ours, told};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn main() {
    for folder in std::env::args().skip(1).map(PathBuf::from) {
        let works: Vec<Counts> =
            experts(&folder.join("expert_chords.csv")).iter().filter_map(|(work, chords)| score(&folder, work, chords)).collect();
        println!("{}", folder.display());
        let half = |which: usize| works.iter().skip(which).step_by(2).copied().collect::<Vec<_>>();
        for (name, some) in
            [("all", works.clone()), ("one half", half(0)), ("the other half", half(1))].iter().filter(|(_, some)| !some.is_empty())
        {
            println!("  {name:<15} {}", told(some));
        }
    }
}

fn score(folder: &Path, work: &str, chords: &[ExpertChord]) -> Option<Counts> {
    let paths = ["musicxml", "xml", "mxl", "abc"].map(|ending| folder.join(format!("{work}.{ending}")));
    let found = paths.iter().find_map(|path| std::fs::read(path).ok()).map(|bytes| ours(&bytes));
    match found {
        Some(Ok(ours)) => Some(counted(chords, &ours)),
        Some(Err(error)) => {
            eprintln!("{work}: {error}");
            None
        }
        None => {
            eprintln!("{work}: no score of this name");
            None
        }
    }
}

/// The experts' chords by work, in the order of the table.
fn experts(table: &Path) -> BTreeMap<String, Vec<ExpertChord>> {
    let text = std::fs::read_to_string(table).unwrap_or_else(|e| panic!("{}: {e}", table.display()));
    let mut lines = text.lines();
    let names: Vec<&str> = lines.next().unwrap_or_default().split(',').collect();
    let place = |name: &str| names.iter().position(|n| *n == name).unwrap_or_else(|| panic!("{}: no column {name}", table.display()));
    let [work, from, to, root, kind] = ["work", "onset_quarter", "end_quarter", "root_pc", "quality"].map(place);
    let mut all: BTreeMap<String, Vec<ExpertChord>> = BTreeMap::new();
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |at: usize| {
            cells.get(at).and_then(|c| c.parse::<f64>().ok()).unwrap_or_else(|| panic!("{}: a number in \"{line}\"", table.display()))
        };
        let chord = ExpertChord(number(from), number(to), number(root) as usize, cells[kind].to_owned(), 0, String::new());
        all.entry(cells[work].to_owned()).or_default().push(chord);
    }
    all
}
