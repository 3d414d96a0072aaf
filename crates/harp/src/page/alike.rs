//! Equal measures are fingered equally.
//!
//! The cheapest fingering of a line minds what comes before and after, so one passage may come out in two ways. A player learns it once (common practice): where
//! measures that a hand plays alike were fingered differently, the fingering that most of them have, of equals the one that is cheapest by itself, is wanted in
//! all, for a price ([`crate::fingering::Prices::unlike`]) that only a shortage of time or several bad joins outweigh.

use crate::fingering::{Fingering, Liked, Line, Placed, Pluck, Prices, price};
use crate::player::Player;
use music::{Beats, Hand, Score};
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::ops::Range;

/// What a hand plays in a measure: place, length and strings of each pluck, and whether it is rolled.
type Played = Vec<(Beats, Beats, Vec<i32>, bool)>;

/// How a measure is taken: for each pluck its fingers and whether a group begins with it.
type Taken = Vec<(Vec<u8>, bool)>;

/// Notes in each pluck how the same measure is taken most often; says whether any is taken otherwise. `places` are the measure and note of each pluck.
pub(super) fn like_elsewhere(
    score: &Score,
    (hand, player): (Hand, &Player),
    places: &[(usize, usize)],
    plucks: &mut [Pluck],
    found: &Fingering,
) -> bool {
    let mut measures: BTreeMap<Played, Vec<Range<usize>>> = BTreeMap::new();
    let mut first = 0;
    for own in places.chunk_by(|a, b| a.0 == b.0) {
        let range = first..first + own.len();
        first = range.end;
        let notes = own.iter().zip(&plucks[range.clone()]).map(|((measure, index), pluck)| {
            let note = &score.measures[*measure].hand(hand)[*index];
            (note.at, note.length, pluck.strings.clone(), note.rolled)
        });
        let played: Played = notes.collect();
        if played.iter().map(|p| p.2.len()).sum::<usize>() > 1 {
            measures.entry(played).or_default().push(range);
        }
    }
    let mut otherwise = false;
    for ranges in measures.values().filter(|ranges| ranges.len() > 1) {
        let all: Vec<Taken> = ranges.iter().map(|range| taken(found, range)).collect();
        let often = |one: &Taken| all.iter().filter(|other| *other == one).count();
        let differ = all.windows(2).any(|two| two[0] != two[1]);
        let by_itself = |one: &Taken| if differ { alone(&plucks[ranges[0].clone()], one, hand, player) } else { 0 };
        let Some(most) = all.iter().min_by_key(|one| (Reverse(often(one)), by_itself(one))) else { continue };
        otherwise |= all.iter().any(|one| fingers(one).ne(fingers(most)));
        for (index, (fingers, begins)) in ranges.iter().flat_map(|range| range.clone().zip(most)) {
            let fingers = plucks[index].strings.iter().copied().zip(fingers.iter().copied()).collect();
            plucks[index].liked = Some(Liked { fingers, begins: *begins });
        }
    }
    otherwise
}

fn fingers(taken: &Taken) -> impl Iterator<Item = &Vec<u8>> {
    taken.iter().map(|t| &t.0)
}

fn taken(found: &Fingering, range: &Range<usize>) -> Taken {
    range.clone().map(|i| (found.plucks[i].fingers.clone(), found.groups[found.plucks[i].group].first == i)).collect()
}

/// What a measure taken so costs with nothing before and after it.
fn alone(plucks: &[Pluck], taken: &Taken, hand: Hand, player: &Player) -> i64 {
    let bare = plucks.iter().map(|p| Pluck { wanted: Vec::new(), liked: None, ..p.clone() }).collect();
    let group = |i: usize| taken[1..=i].iter().filter(|t| t.1).count();
    let written: Vec<Placed> = taken.iter().enumerate().map(|(i, t)| Placed { fingers: t.0.clone(), group: group(i) }).collect();
    let groups = Line::new(bare).ok().and_then(|line| price(&line, hand, player, &Prices::default(), &written).ok());
    groups.map_or(i64::MAX, |groups| groups.iter().map(|g| g.parts.total()).sum())
}
