//! Phrases beside the fermatas of chorales, the lines of folk songs and our own cuts. The example `phrases` of this crate tells the same at more length, with
//! what is added for every phrase chosen inside the other folds.
//!
//! Published on 370 chorale sopranos: 0.79 for rules mined from them, 0.62 for the classic program of preference rules, 0.65 for "every two measures"; on a
//! selection of the folk songs 0.69 for rules and 0.76 for a forest of trees (van Kranenburg 2020; the second and third figure: our own counts on its data).

use harmony::phrases::{phrases, table::Table};
use outside::facts::prepared;
use outside::phrases::score::{Hits, Nested, Set, across_folds, hits, in_words};
use outside::phrases::{Part, by_hand, corpus};
use serde::Deserialize;
use std::collections::BTreeSet;
use std::path::PathBuf;

#[derive(Deserialize)]
struct Place {
    root: PathBuf,
}

/// music21's folder.
fn root() -> PathBuf {
    let path = prepared("UNDERSONG_FACTS").join("abc.json");
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    serde_json::from_str::<Place>(&text).expect("the facts name music21's folder").root
}

/// The floor is ours, above every published figure; what the fitting sees and what is cut never share a melody.
#[test]
fn chorales_are_cut_at_their_hidden_fermatas() {
    let chorales = Set::of(corpus::chorales(&root()), 1.0);
    assert!(chorales.cases.len() >= 370, "{} chorales", chorales.cases.len());
    let found = &across_folds(&[chorales], Nested::No)[0];
    println!("chorales, five folds by melody: {}", in_words(found));
    assert!(Hits::sum(found.iter().map(|f| f.1)).f1() >= 0.83, "{}", in_words(found));
}

/// Songs that were not in the fitting, nor any of their melody.
#[test]
fn folk_songs_are_cut_at_the_ends_of_their_lines() {
    let songs = corpus::folk_songs(&root());
    let seen: BTreeSet<usize> = songs.iter().filter(|c| c.part == Part::Fitted).map(|c| c.melody).collect();
    let held: Vec<(usize, Hits)> = songs.iter().filter(|c| !seen.contains(&c.melody)).map(|c| (c.melody, hits(c, Table::ours()))).collect();
    println!("folk songs held out: {}", in_words(&held));
    assert!(held.len() >= 500, "{} songs", held.len());
    assert!(Hits::sum(held.iter().map(|f| f.1)).f1() >= 0.76, "{}", in_words(&held));
}

/// Of the tunes cut by hand the one that music21 carries: a dance in strains, whose phrases are fours.
#[test]
fn a_dance_keeps_its_fours() {
    let path = root().join("corpus/nottingham-dataset/reelsa-c.abc");
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let tunes = by_hand::tunes(&text);
    assert_eq!(tunes.len(), 1, "Cuckoo's Nest");
    for (cut, sheet) in tunes {
        assert_eq!(by_hand::beginnings(&phrases(&sheet)), cut.measures, "{}", cut.title);
    }
}
