//! What a book's lists say: its title page, the index by key, that by how the harp is set, that by what tunes ask of hand and harp.

use super::bound::{Entry, Group, Index};
use super::facts::Facts;
use super::sorted::{by_key, key};
use crate::harps;
use music::Pitch;
use practice::level::meaning;
use std::collections::BTreeSet;

/// At the foot of the title page.
pub const FOOT: &str = "Left hands by Undersong";

/// "one tune", "100 tunes".
pub fn tunes(count: usize) -> String {
    if count == 1 { "one tune".to_owned() } else { format!("{count} tunes") }
}

/// Below the title: how many tunes, and for which harp.
pub fn below(tunes: &[Facts]) -> Vec<String> {
    vec![self::tunes(tunes.len()), format!("for {}", harp(tunes))]
}

/// "a lever harp with 34 strings"; "several harps".
pub fn harp(tunes: &[Facts]) -> String {
    let harps: BTreeSet<&str> = tunes.iter().map(|facts| facts.harp.as_str()).collect();
    match harps.first() {
        Some(only) if harps.len() == 1 => harps::on(only),
        _ => "several harps".to_owned(),
    }
}

/// The indices of tunes in the order of their book.
pub fn indices(tunes: &[Facts]) -> Vec<Index> {
    let mut all = vec![keys(tunes)];
    all.extend(settings(tunes));
    all.push(asked(tunes));
    all
}

/// Tunes in an order, those beside each other that are alike under one heading.
fn grouped(tunes: &[Facts], order: Vec<usize>, heading: impl Fn(&Facts) -> String, says: impl Fn(&Facts) -> Vec<String>) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for tune in order {
        let heading = heading(&tunes[tune]);
        let entry = Entry { tune, says: says(&tunes[tune]) };
        match groups.last_mut() {
            Some(group) if group.heading == heading => group.entries.push(entry),
            _ => groups.push(Group { heading, entries: vec![entry] }),
        }
    }
    groups
}

fn order(tunes: &[Facts]) -> Vec<usize> {
    (0..tunes.len()).collect()
}

fn keys(tunes: &[Facts]) -> Index {
    let mut order = order(tunes);
    order.sort_by(|a, b| by_key(&tunes[*a], &tunes[*b]).then(a.cmp(b)));
    Index {
        heading: "By key".into(),
        words: "Keys as printed, from most flats to most sharps.".into(),
        heads: Vec::new(),
        groups: grouped(tunes, order, |facts| format!("{:#}", facts.key), |_| Vec::new()),
    }
}

/// None where no harp of the book has anything to set or to move.
fn settings(tunes: &[Facts]) -> Option<Index> {
    if tunes.iter().all(|facts| facts.setting == tunes[0].setting && facts.moves == 0) && tunes.iter().all(|facts| facts.set == 0) {
        return None;
    }
    let mut order = order(tunes);
    order.sort_by_cached_key(|at| {
        let facts = &tunes[*at];
        (facts.set, facts.setting.clone(), facts.moves, key(&facts.title), *at)
    });
    let moves = |facts: &Facts| match facts.moves {
        0 => "no move".to_owned(),
        1 => "1 move".to_owned(),
        more => format!("{more} moves"),
    };
    Some(Index {
        heading: "By how the harp is set".into(),
        words: "What stands before the first note, the least to set first; at the right, what is moved while playing. Tunes under one heading follow each other without setting anything, if nothing is moved in them.".into(),
        heads: Vec::new(),
        groups: grouped(tunes, order, |facts| facts.setting.clone(), |facts| vec![moves(facts)]),
    })
}

fn asked(tunes: &[Facts]) -> Index {
    let mut order = order(tunes);
    order.sort_by_cached_key(|at| {
        let facts = &tunes[*at];
        (facts.level, facts.wide, facts.moves, key(&facts.title), *at)
    });
    let string = |pitch: Option<Pitch>| pitch.map_or_else(String::new, |pitch| format!("{pitch:#}"));
    let says = |facts: &Facts| {
        let (low, high) = (facts.strings.map(|s| s.0), facts.strings.map(|s| s.1));
        vec![string(low), string(high), facts.wide.to_string(), facts.moves.to_string()]
    };
    Index {
        heading: "By what they ask".into(),
        words: "Levels are those of the left hand. The widest shape counts the strings from its lowest to its highest, so that an octave is 8; moves are those of levers or pedals while playing.".into(),
        heads: ["lowest string", "highest string", "widest shape", "moves"].map(str::to_owned).to_vec(),
        groups: grouped(tunes, order, |facts| format!("Level {}: {}", facts.level, meaning(facts.level)), says),
    }
}
