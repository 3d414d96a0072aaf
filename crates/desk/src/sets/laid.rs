//! A set followed from its first note to its last: how the harp stands, what is moved between two tunes, links, lengths, and whether another order would ask for less.
//!
//! A tune that cannot be had (its file is gone, it is arranged for another harp) stays in its place with its sentence; the others are followed without it.

use super::source::{Known, Source};
use super::{Entry, TuneSet};
use crate::failure::Failure;
use crate::harps;
use harp::page::Opening;
use harp::settings::Part;
use music::Seconds;
use practice::set::link::{Between, NoLink, link, shortest};
use practice::set::order::{Price, prices};
use practice::set::{Change, Course, Held, Link, Ordered, Proof, SetTune, best_order, course};
use std::sync::Arc;

/// A set with its tunes.
pub struct Laid {
    pub set: TuneSet,
    pub rows: Vec<Row>,
    /// The order that asks for least.
    pub best: Best,
}

/// One tune in its place.
pub struct Row {
    pub entry: Entry,
    pub tune: Result<InPlace, String>,
    /// From the tune before it; none before the first.
    pub between: Option<Step>,
}

/// A tune that is played.
pub struct InPlace {
    pub known: Arc<Known>,
    /// How everything stands when it begins.
    pub stands: Opening,
    /// All the times it is played.
    pub seconds: Seconds,
    /// What is set back before it is played again.
    pub again: Vec<Change>,
}

/// The way from one tune to the next.
pub struct Step {
    pub changes: Vec<Change>,
    pub price: Price,
    pub link: Option<Result<Link, Missing>>,
}

/// There is no link of the length that was wished.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Missing {
    pub measures: u8,
    pub why: NoLink,
    /// The shortest link there is.
    pub enough: Option<usize>,
}

/// The cheapest order beside the one there is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Best {
    /// Places of the set's tunes; those that cannot be had stay behind the others.
    pub order: Vec<usize>,
    pub proof: Proof,
    /// What the order there is asks for, and what the best one does, in the prices of [`practice::set::order`].
    pub price: u32,
    pub least: u32,
    /// Levers or pedals moved between tunes in each.
    pub moves: usize,
    pub fewest: usize,
}

impl Laid {
    /// Follows a set.
    pub fn of(set: TuneSet, source: &dyn Source) -> Laid {
        let found = found(&set, source);
        let had: Vec<usize> = (0..found.len()).filter(|at| found[*at].is_ok()).collect();
        let tunes: Vec<SetTune> = had.iter().filter_map(|at| Some(found[*at].as_ref().ok()?.tune.clone())).collect();
        let here = Followed::of(&tunes.iter().collect::<Vec<_>>());
        let best = best(&set, &had, &tunes, &here);
        let mut rows: Vec<Row> = Vec::new();
        for (at, (entry, known)) in set.tunes.iter().zip(found).enumerate() {
            let place = had.iter().position(|h| *h == at);
            let tune = known.map(|known| in_place(entry, known, place.map_or_else(Opening::default, |p| here.course.stands[p].clone())));
            let between = place.filter(|p| *p > 0).map(|p| {
                let before = &set.tunes[had[p - 1]];
                let next_to_it = had[p - 1] + 1 == at;
                let link = (next_to_it && before.link > 0).then(|| linked(before.link, &entry.tune, source, &here, p)).flatten();
                Step { changes: here.course.changes[p - 1].clone(), price: here.prices[p - 1], link }
            });
            rows.push(Row { entry: entry.clone(), tune, between });
        }
        Laid { set, rows, best }
    }

    /// The tunes that can be had, in order.
    pub fn tunes(&self) -> impl Iterator<Item = &InPlace> {
        self.rows.iter().filter_map(|row| row.tune.as_ref().ok())
    }

    /// The links with the place of the tune that each leads to.
    pub fn links(&self) -> impl Iterator<Item = (usize, &Link)> {
        self.rows.iter().enumerate().filter_map(|(at, row)| Some((at, link_of(row)?)))
    }

    /// How long the music is, links among it; not what passes between two tunes without one.
    pub fn seconds(&self) -> Seconds {
        let tunes = self.tunes().fold(Seconds::ZERO, |sum, t| sum.saturating_add(t.seconds));
        self.links().fold(tunes, |sum, (_, l)| sum.saturating_add(music::Clock::of_score(&l.score).played_end()))
    }

    /// The same tunes in the order that asks for least; links are kept where their two tunes are still neighbours.
    pub fn in_order(&self) -> TuneSet {
        let follows = |a: usize, b: usize| a + 1 == b;
        let places = &self.best.order;
        let entry = |(at, place): (usize, &usize)| {
            let kept = places.get(at + 1).is_some_and(|next| follows(*place, *next));
            let entry = self.set.tunes[*place].clone();
            Entry { link: if kept { entry.link } else { 0 }, ..entry }
        };
        TuneSet { tunes: places.iter().enumerate().map(entry).collect(), ..self.set.clone() }
    }
}

fn link_of(row: &Row) -> Option<&Link> {
    row.between.as_ref()?.link.as_ref()?.as_ref().ok()
}

/// The tunes, or why one cannot be had. All are played on one harp: the first one's.
fn found(set: &TuneSet, source: &dyn Source) -> Vec<Result<Arc<Known>, String>> {
    let mut harp = None;
    let one = |entry: &Entry| {
        let known = source.known(&entry.tune).map_err(|failure| said(&failure))?;
        let own = harp.get_or_insert_with(|| known.harp.clone());
        if known.harp == *own {
            return Ok(known);
        }
        let (theirs, ours) = (harps::on(&known.harp.name), harps::on(&own.name));
        Err(format!("it is arranged for another harp ({theirs}) than the first tune ({ours}): choose one harp for all of them"))
    };
    set.tunes.iter().map(one).collect()
}

fn said(failure: &Failure) -> String {
    failure.text().unwrap_or_else(|| "it cannot be arranged".to_owned())
}

/// Tunes in an order.
struct Followed {
    course: Course,
    prices: Vec<Price>,
}

impl Followed {
    fn of(tunes: &[&SetTune]) -> Followed {
        Followed { course: course(tunes), prices: prices(tunes) }
    }

    fn price(&self) -> u32 {
        self.prices.iter().map(|p| p.total()).sum()
    }
}

fn in_place(entry: &Entry, known: Arc<Known>, stands: Opening) -> InPlace {
    let once = known.tune.seconds;
    let seconds = Seconds::from_micros(once.micros().saturating_mul(i64::from(entry.times)));
    let back = |(part, leaves): (&Part, &i32)| {
        let to = known.tune.needs.get(part).copied()?;
        (to != *leaves).then_some(Change { part: *part, from: *leaves, to })
    };
    let again = if entry.times > 1 { known.tune.leaves.iter().filter_map(back).collect() } else { Vec::new() };
    InPlace { stands, seconds, again, known }
}

/// The link that leads to a tune; `None` where the tune cannot be arranged after all.
fn linked(measures: u8, to: &str, source: &dyn Source, here: &Followed, place: usize) -> Option<Result<Link, Missing>> {
    let next = source.worktable(to).ok()?;
    let between = Between {
        stands: &here.course.after[place - 1],
        changes: &here.course.changes[place - 1],
        next: &next.job.arrangement,
        harp: &next.setup.harp,
        player: &next.setup.player,
    };
    match link(between, usize::from(measures)) {
        Ok(link) => Some(Ok(link)),
        Err(NoLink::NoTune) => None,
        Err(why) => Some(Err(Missing { measures, why, enough: shortest(between) })),
    }
}

fn best(set: &TuneSet, had: &[usize], tunes: &[SetTune], here: &Followed) -> Best {
    let at = |place: Option<usize>| place.and_then(|p| had.iter().position(|h| *h == p));
    let last = set.tunes.len().checked_sub(1).filter(|_| set.hold_last);
    let held = Held { first: at(set.hold_first.then_some(0)), last: at(last).filter(|l| *l > 0 || !set.hold_first) };
    let Ordered { order, price, proof } = best_order(tunes, held);
    let there = Followed::of(&order.iter().map(|t| &tunes[*t]).collect::<Vec<_>>());
    // What is as cheap stays as it is.
    let (own, moves) = (here.price(), here.course.moves());
    let stays = own <= price;
    let order: Vec<usize> = if stays { had.to_vec() } else { order.into_iter().map(|t| had[t]).collect() };
    let others = (0..set.tunes.len()).filter(|p| !had.contains(p));
    let (least, fewest) = if stays { (own, moves) } else { (price, there.course.moves()) };
    Best { order: order.iter().copied().chain(others).collect(), proof, price: own, least, moves, fewest }
}
