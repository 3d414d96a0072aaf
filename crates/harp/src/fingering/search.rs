//! The cheapest grouping and fingering of one line, and the price of any other.
//!
//! The cheapest way to have played all plucks up to the end of a group, that group with its fingers included, is the group's own price plus the
//! least, over all groups that end where it begins, of their cheapest way and the join from them. The best ending group gives the best whole.
//! Equal prices are settled by order: the longest last group, then the first choice of fingers.

use super::join::Ways;
use super::line::Line;
use super::placing::{Placing, Table, width};
use super::prices::{Parts, Prices};
use crate::hand::{HandLimit, Strike};
use crate::player::Player;
use music::Hand;
use thiserror::Error;

/// A fingering of a whole line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fingering {
    /// One for each pluck.
    pub plucks: Vec<Placed>,
    /// The groups, in order; they are the brackets of a page.
    pub groups: Vec<Group>,
}

/// The fingers of one pluck.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// Finger 1 (thumb) to 4 for each string, lowest string first.
    pub fingers: Vec<u8>,
    /// Index of the pluck's group.
    pub group: usize,
}

/// Strings placed together: the plucks `first..end` of the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Group {
    /// Index of its first pluck.
    pub first: usize,
    /// Index after its last pluck.
    pub end: usize,
    /// The group's own price and the way to it from the group before.
    pub parts: Parts,
}

impl Fingering {
    /// The whole price in points.
    pub fn total(&self) -> i64 {
        self.groups.iter().map(|g| g.parts.total()).sum()
    }
}

/// Why a line cannot be fingered.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum FingeringError {
    /// No hand of this player takes a pluck.
    #[error("pluck {pluck} cannot be placed by one hand: {limit}")]
    Pluck {
        /// Index into the line.
        pluck: usize,
        /// Why not.
        limit: HandLimit,
    },
    /// A fingering that was given is none; the index of the pluck.
    #[error("the written fingering cannot be placed at pluck {0}: one finger a string, thumb highest, one to four strings a group")]
    Written(usize),
}

/// The cheapest grouping and fingering. An error names the first pluck that no hand of this player can take.
///
/// ```
/// use harp::Player;
/// use harp::fingering::{Line, Pluck, Prices, finger};
/// use music::{Hand, Seconds};
///
/// // Harp facts 3.2, usual fingerings: a triad by fingers 3, 2 and 1 from the lowest string.
/// let line = Line::new(vec![Pluck::of(Seconds::ZERO, &[21, 23, 25])]).expect("one pluck");
/// let found = finger(&line, Hand::Left, &Player::default(), &Prices::default()).expect("a hand holds it");
/// assert_eq!(found.plucks[0].fingers, [3, 2, 1]);
/// ```
pub fn finger(line: &Line, hand: Hand, player: &Player, prices: &Prices) -> Result<Fingering, FingeringError> {
    let table = Table::new(line, hand, player, prices);
    playable(&table)?;
    let count = line.plucks().len();
    let mut ends: Vec<Vec<Step>> = (0..=count).map(|_| Vec::new()).collect();
    for first in 0..count {
        let mut ways = Ways::none_yet();
        for end in first + 1..=count.min(first + player.fingers()) {
            let steps: Vec<Step> = table.placings(first, end).into_iter().map(|p| best_step(&table, &ends[first], p, &mut ways)).collect();
            ends[end].extend(steps);
        }
    }
    Ok(walk_back(&table, &ends))
}

/// One group at the end of the cheapest way to it.
struct Step {
    placing: Placing,
    total: i64,
    /// Index among the steps that end where this one begins.
    before: Option<usize>,
}

fn best_step(table: &Table, before: &[Step], placing: Placing, ways: &mut Ways) -> Step {
    let joins = before.iter().enumerate().map(|(i, step)| (step.total + table.join_total(&step.placing, &placing, ways), i));
    let (total, before) = joins.min().map_or((0, None), |(total, i)| (total, Some(i)));
    Step { total: total + placing.own.total(), placing, before }
}

fn walk_back(table: &Table, ends: &[Vec<Step>]) -> Fingering {
    let mut end = ends.len() - 1;
    let mut chosen = (0..ends[end].len()).min_by_key(|i| (ends[end][*i].total, *i));
    let mut way: Vec<&Placing> = Vec::new();
    while let Some(step) = chosen.and_then(|i| ends[end].get(i)) {
        way.push(&step.placing);
        (end, chosen) = (step.placing.first, step.before);
    }
    way.reverse();
    let joins = std::iter::once(Parts::default()).chain(way.windows(2).map(|w| table.join(w[0], w[1])));
    let mut fingering = Fingering::default();
    for (group, (Placing { first, end, touches, own, .. }, join)) in way.iter().zip(joins).enumerate() {
        fingering.groups.push(Group { first: *first, end: *end, parts: *own + join });
        for pluck in *first..*end {
            let fingers = touches.iter().filter(|t| t.pluck == pluck).map(|t| t.finger).collect();
            fingering.plucks.push(Placed { fingers, group });
        }
    }
    fingering
}

/// Every pluck alone can be one group.
fn playable(table: &Table) -> Result<(), FingeringError> {
    for (pluck, p) in table.line.plucks().iter().enumerate() {
        let (notes, fingers, strings) = (p.strings.len(), table.player.fingers(), width(&p.strings));
        let most = match p.strike {
            Strike::Together => table.reach.block.min(table.reach.rolled),
            Strike::Rolled => table.reach.rolled,
        };
        if notes > fingers {
            return Err(FingeringError::Pluck { pluck, limit: HandLimit::TooManyNotes { notes, fingers } });
        }
        if strings > most as i32 {
            return Err(FingeringError::Pluck { pluck, limit: HandLimit::Reach { strings: strings as u32, most } });
        }
    }
    Ok(())
}

/// The price of a written fingering, group by group. `written` has one entry for each pluck; groups are numbered from 0 upward in order.
pub fn price(line: &Line, hand: Hand, player: &Player, prices: &Prices, written: &[Placed]) -> Result<Vec<Group>, FingeringError> {
    let table = Table::new(line, hand, player, prices);
    playable(&table)?;
    if written.len() != line.plucks().len() {
        return Err(FingeringError::Written(written.len().min(line.plucks().len())));
    }
    let mut groups: Vec<Group> = Vec::new();
    let mut before: Option<Placing> = None;
    let mut first = 0;
    while first < written.len() {
        let end = first + written[first..].iter().take_while(|p| p.group == written[first].group).count();
        let fits = |p: &Placing| {
            (first..end).all(|i| p.touches.iter().filter(|t| t.pluck == i).map(|t| t.finger).eq(written[i].fingers.iter().copied()))
        };
        let placing = table.placings(first, end).into_iter().find(fits).ok_or(FingeringError::Written(first))?;
        let join = before.as_ref().map_or(Parts::default(), |b| table.join(b, &placing));
        groups.push(Group { first, end, parts: placing.own + join });
        before = Some(placing);
        first = end;
    }
    Ok(groups)
}
