//! What the notes want of the levers and pedals: for each note the strings that could give it, and which parts stand in question at all.
//!
//! A part is contested when some note wants it otherwise than another. Strings on which the written spellings agree, and everything linked with
//! them by a choice of strings, are settled here and come into no search.

use super::passage::{Part, Passage, Prices, Use};
use crate::instrument::Instrument;
use std::collections::{BTreeMap, BTreeSet};

/// One way to pluck a note.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    /// Index into the spellings of the note.
    pub spelling: usize,
    /// Index of the contested part that must stand so; `None` where nothing is in question.
    pub part: Option<usize>,
    pub alter: i8,
}

pub(super) struct Wants {
    /// The contested parts in order, and how each may be wanted.
    pub parts: Vec<(Part, Vec<i8>)>,
    /// For each note the ways that this harp has.
    pub ways: Vec<Vec<Way>>,
    /// Every part the notes use, and how the first of them would have it.
    pub opening: BTreeMap<Part, i32>,
}

/// A spelling that can be had: index, part, alteration.
type Had = (usize, Option<Part>, i8);

impl Wants {
    pub fn of(harp: &Instrument, passage: &Passage, prices: &Prices) -> Wants {
        let (had, quiet) = without_the_quiet(harp, passage);
        let mut wanted: BTreeMap<Part, BTreeSet<i8>> = BTreeMap::new();
        for (_, part, alter) in had.iter().flatten() {
            if let Some(part) = part {
                wanted.entry(*part).or_default().insert(*alter);
            }
        }
        let opening = wanted.iter().map(|(p, w)| (*p, i32::from(*w.first().expect("someone wants it")))).collect();
        let contested = wanted.iter().filter(|(p, w)| w.len() > 1 && !quiet.contains(p));
        // Only where one move of two notches is dearer than two moves may a pedal have to stand half-way.
        let half_way = prices.two_notches > prices.a_move.saturating_add(prices.sign);
        let positions =
            |w: &BTreeSet<i8>| if half_way && w.contains(&-1) && w.contains(&1) { vec![-1, 0, 1] } else { w.iter().copied().collect() };
        let parts: Vec<(Part, Vec<i8>)> = contested.map(|(p, w)| (*p, positions(w))).collect();
        let index = |part: Option<Part>| part.and_then(|part| parts.binary_search_by_key(&part, |p| p.0).ok());
        let way = |had: &Had| Way { spelling: had.0, part: index(had.1), alter: had.2 };
        let ways = had.iter().map(|note| note.iter().map(way).collect()).collect();
        Wants { parts, ways, opening }
    }
}

/// What can be had for each note; and the parts that need no thought: in their whole group the written spellings cost nothing and agree.
fn without_the_quiet(harp: &Instrument, passage: &Passage) -> (Vec<Vec<Had>>, BTreeSet<Part>) {
    let had = |u: &Use| {
        let own = u.spellings.iter().enumerate().filter(|(_, s)| harp.can_sound(s.pitch));
        own.map(|(i, s)| (i, Part::of(harp, s.pitch), s.pitch.alter as i8)).collect::<Vec<Had>>()
    };
    let mut wants: Vec<Vec<Had>> = passage.uses.iter().map(had).collect();
    let group = linked(&wants);
    let of_group = |want: &[Had]| want.iter().find_map(|w| w.1).map(|p| group[&p]);
    let mut loud: BTreeSet<usize> = BTreeSet::new();
    let mut stands: BTreeMap<Part, i8> = BTreeMap::new();
    for (want, note) in wants.iter().zip(&passage.uses) {
        let written = want.first().filter(|w| w.0 == 0 && note.spellings[0].price == 0);
        let agrees = written.is_some_and(|w| w.1.is_none_or(|p| *stands.entry(p).or_insert(w.2) == w.2));
        if let Some(g) = of_group(want).filter(|_| !agrees) {
            loud.insert(g);
        }
    }
    for want in &mut wants {
        if of_group(want).is_some_and(|g| !loud.contains(&g)) {
            want.truncate(1);
        }
    }
    let quiet = group.iter().filter(|(_, g)| !loud.contains(g)).map(|(p, _)| *p).collect();
    (wants, quiet)
}

/// The parts in groups: two are in one group if some note can be had on either.
fn linked(wants: &[Vec<Had>]) -> BTreeMap<Part, usize> {
    let mut group: BTreeMap<Part, usize> = BTreeMap::new();
    for (n, part) in wants.iter().flatten().filter_map(|w| w.1).enumerate() {
        group.entry(part).or_insert(n);
    }
    let mut again = true;
    while again {
        again = false;
        for want in wants.iter().filter(|w| w.len() > 1) {
            let own = || want.iter().filter_map(|w| w.1);
            let Some(least) = own().map(|p| group[&p]).min() else { continue };
            for part in own() {
                again |= group.insert(part, least) != Some(least);
            }
        }
    }
    group
}
