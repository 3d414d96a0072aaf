//! How the phrases compare with what others marked, and the fitting of the program's table of cues.
//!
//!     phrases MUSIC21 [--tunes FOLDER] [--write TABLE]
//!
//! MUSIC21 is the folder of the package music21. FOLDER holds ABC files with the tunes that were cut by hand. `--write` fits the worths on all chorales and on the
//! folk songs that are not held out, and writes the table; the worths of what the fitting does not see (words, fermatas) are kept from the table there is.

use harmony::phrases::{cues::Cue, phrases, table::Table};
use outside::phrases::score::{Hits, Nested, Set, across_folds, hits, in_words};
use outside::phrases::{Part, by_hand, corpus, fit};
use std::path::{Path, PathBuf};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let named = |name: &str| arguments.iter().position(|a| a == name).and_then(|i| arguments.get(i + 1)).map(PathBuf::from);
    let root = PathBuf::from(arguments.first().expect("the folder of music21"));
    let chorales = || Set::of(corpus::chorales(&root), 1.0);
    let songs = || Set::of(corpus::folk_songs(&root), 0.4);
    if let Some(target) = named("--write") {
        return write(&target, &[chorales(), songs()]);
    }
    if let Some(folder) = named("--tunes") {
        tell_by_hand(&folder);
    }
    let sets = [chorales(), songs()];
    for (set, name) in sets.iter().zip(["chorales", "folk songs"]) {
        tell_planner(set, name);
    }
    let held: Vec<(usize, Hits)> = held_out(&sets[1]).map(|c| (c.melody, hits(c, Table::ours()))).collect();
    println!("folk songs held out, the program's table: {}", in_words(&held));
    println!("chorales, nested folds: {}", in_words(&across_folds(&[chorales()], Nested::Yes)[0]));
    let fitted = Set::of(corpus::folk_songs(&root).into_iter().filter(|c| c.part == Part::Fitted).collect(), 0.4);
    for (name, all) in ["chorales", "folk songs"].iter().zip(across_folds(&[chorales(), fitted], Nested::Yes)) {
        println!("{name}, nested folds, one table for both: {}", in_words(&all));
    }
}

/// The held-out songs whose melody is no melody of the fitting.
fn held_out(songs: &Set) -> impl Iterator<Item = &outside::phrases::Case> {
    let seen: std::collections::BTreeSet<usize> = songs.cases.iter().filter(|c| c.part == Part::Fitted).map(|c| c.melody).collect();
    songs.cases.iter().filter(move |c| !seen.contains(&c.melody))
}

/// The planner's phrases, which begin with whole measures, beside the marks.
fn tell_planner(set: &Set, name: &str) {
    let of = |c: &outside::phrases::Case| {
        let marked = by_hand::measures(&c.line, &c.begins, &c.sheet);
        (c.melody, Hits::of(&by_hand::beginnings(&phrases(&c.sheet)), &marked))
    };
    println!("{name}, to the measure, the program's table: {}", in_words(&set.cases.iter().map(of).collect::<Vec<_>>()));
}

fn tell_by_hand(folder: &Path) {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).expect("a folder").filter_map(|f| Some(f.ok()?.path())).collect();
    files.sort();
    let texts = files.iter().filter_map(|f| std::fs::read_to_string(f).ok());
    let (mut all, mut notes) = (Vec::new(), 0);
    let started = std::time::Instant::now();
    for (cut, sheet) in texts.flat_map(|t| by_hand::tunes(&t)) {
        let found = phrases(&sheet);
        let hits = by_hand::hits(&found, &cut);
        if hits.right < hits.found.max(hits.marked) {
            println!("{}: {:?}, by hand {:?}", cut.title, by_hand::beginnings(&found), cut.measures);
        }
        notes += harmony::melody::plucks(&sheet).len();
        all.push((all.len(), hits));
    }
    println!("by hand, to the measure: {}; {notes} notes, {:?} with reading", in_words(&all), started.elapsed());
}

fn write(target: &Path, sets: &[Set]) {
    let worths = fit::fit(&sets.iter().flat_map(|s| s.chosen(|c| c.part == Part::Fitted)).collect::<Vec<_>>());
    let fitted = fit::table(&worths, 0.0);
    let mut text = String::from(HEAD);
    for cue in Cue::ALL {
        let unseen = BY_EAR.contains(cue);
        let worth = if unseen { Table::ours().worth(*cue) } else { fitted.worth(*cue) };
        let words = if cue.words().is_empty() { String::new() } else { format!("  # {}", cue.words()) };
        let kept = if unseen { "  # ours, by ear" } else { "" };
        text.push_str(&format!("{:<16} {worth:>5}{kept}{words}\n", cue.name()));
    }
    std::fs::write(target, text).expect("the table can be written");
}

/// What the tunes of the fitting do not show.
const BY_EAR: [Cue; 7] = [Cue::NewKey, Cue::Slurred, Cue::Marked, Cue::FullStop, Cue::Comma, Cue::NewLine, Cue::InsideAWord];

const HEAD: &str = "\
# What each cue is worth for a phrase beginning at a note, and for its length: hundredths of log odds, the sum counts.
#
# Fitted once, never while the program runs (`cargo run --release -p outside --example phrases`), as the likeliest division among all: on the fermatas of the
# chorale sopranos and, each tune counting two fifths, on the lines of every sixth folk song of the collection of Essen, both as music21 10.5.1 carries them. Only these sums
# of counts are here, no tune. Worths marked \"by ear\" are for what those tunes do not show (words, fermatas hidden on purpose, slurs, keys) and are ours.
";
