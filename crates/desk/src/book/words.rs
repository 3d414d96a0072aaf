//! What a book's lists say: its title page, the index by key, that by how the harp is set, that by what tunes ask of hand and harp.

use super::bound::{Entry, Group, Index};
use super::facts::Facts;
use super::sorted::{by_key, key};
use crate::harps;
use music::Pitch;
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
        (widest(facts.wide), facts.level, facts.together, facts.moves, key(&facts.title), *at)
    });
    let string = |pitch: Option<Pitch>| pitch.map_or_else(String::new, |pitch| format!("{pitch:#}"));
    let says = |facts: &Facts| {
        let (low, high) = (facts.strings.map(|s| s.0), facts.strings.map(|s| s.1));
        vec![string(low), string(high), facts.together.to_string(), facts.moves.to_string(), facts.level.to_string()]
    };
    Index {
        heading: "By what they ask".into(),
        words: "Under each heading how far the left hand reaches when it is widest, the least first. Strings at once and the level are those of the left hand, 1 the easiest and 3 the hardest; moves are those of levers or pedals while playing.".into(),
        heads: ["lowest string", "highest string", "at once", "moves", "level"].map(str::to_owned).to_vec(),
        groups: grouped(tunes, order, |facts| reach(facts.wide), says),
    }
}

/// All shapes up to an octave stand under one heading.
fn widest(strings: i32) -> i32 {
    if strings == 0 { 0 } else { strings.max(8) }
}

/// How far a shape of so many strings reaches, both ends counted: a tenth is ten strings from the lowest to the highest (interval names count the same way).
fn reach(strings: i32) -> String {
    match widest(strings) {
        0 => "The left hand rests".to_owned(),
        8 => "No wider than an octave".to_owned(),
        9 => "A ninth".to_owned(),
        10 => "A tenth".to_owned(),
        11 => "An eleventh".to_owned(),
        12 => "A twelfth".to_owned(),
        more => format!("{more} strings"),
    }
}

#[cfg(test)]
mod tests {
    use super::reach;

    /// Intervals count both ends: an octave is eight strings, a tenth ten (common practice). What is narrower than an octave stands with it.
    #[test]
    fn a_reach_has_the_name_of_its_interval() {
        let names = [
            (0, "The left hand rests"),
            (5, "No wider than an octave"),
            (8, "No wider than an octave"),
            (10, "A tenth"),
            (12, "A twelfth"),
            (13, "13 strings"),
        ];
        for (strings, name) in names {
            assert_eq!(reach(strings), name);
        }
    }
}
