//! A page laid out for the planner: its instants, how long the hand is free at each, what is plucked, and the order in which all is played.
//!
//! None of this hangs on the key: one laid page is a passage in every key ([`Laid::passage`]).

use super::{DOUBTFUL, Duty, PageUse, SettingsWish};
use crate::instrument::Instrument;
use crate::player::{MoveTimes, Player};
use crate::settings::remedies::neighbours;
use crate::settings::{GridPlace, Omission, Passage, PassageError, Spelling, Use};
use music::{Beats, Clock, Hand, Interval, Pitch, Place, Score, Seconds};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// Half beats are instants for a move only when they last this long.
const SHORTEST_GRID: Seconds = Seconds::from_millis(250);
/// What a move off the beat costs more: it is read and remembered less easily (harp facts 2.4: a fixed beat).
const OFF_THE_BEAT: u64 = 120;

/// A page laid out.
pub struct Laid {
    pub(super) clock: Clock,
    pub(super) uses: Vec<PageUse>,
    pub(super) grid: Vec<Beats>,
    places: Vec<GridPlace>,
    order: Vec<Range<usize>>,
}

impl Laid {
    /// Lays a page out: its instants, the time of the hand that moves levers, its notes in order.
    pub fn of(score: &Score, player: &Player, wish: &SettingsWish) -> Laid {
        let clock = Clock::of_score(score);
        let uses = uses(score, &clock);
        let grid = grid(score, &clock, &uses);
        let places = places(score, &clock, &grid, &uses, player, wish);
        let order = stretches(score, &clock, &grid);
        Laid { clock, uses, grid, places, order }
    }

    /// The passage that is to be planned on a harp, every note moved by an interval. Errors: a page without measures, or with more jumps than are followed.
    pub fn passage(&self, harp: &Instrument, wish: &SettingsWish, by: Interval) -> Result<Passage, PassageError> {
        let index = |beats: Beats| self.grid.partition_point(|g| *g < beats);
        let moved = |used: &PageUse| passage_use(used, self.clock.beats(used.place()), &index, (harp, by), wish);
        Passage::new(self.places.clone(), self.clock.end(), self.uses.iter().map(moved).collect(), self.order.clone())
    }
}

/// Every plucked pitch in order of time, with the notes tied to it.
fn uses(score: &Score, clock: &Clock) -> Vec<PageUse> {
    let mut all = Vec::new();
    for hand in [Hand::Right, Hand::Left] {
        let mut ringing: BTreeMap<Pitch, usize> = BTreeMap::new();
        for (measure, here) in score.measures.iter().enumerate() {
            for (index, note) in here.hand(hand).iter().enumerate() {
                let new = |written: Pitch, end: Beats, grace: bool| PageUse {
                    hand,
                    duty: if hand == here.melody { Duty::Melody } else { Duty::Accompanies },
                    measure,
                    at: note.at,
                    written,
                    end,
                    notes: vec![(measure, index)],
                    grace,
                };
                let on = clock.beats(Place { measure, at: note.at });
                all.extend(note.grace.iter().flat_map(|g| &g.pitches).map(|p| new(*p, on, true)));
                let mut next = BTreeMap::new();
                for pitch in &note.pitches {
                    let before = ringing.get(pitch).copied().filter(|_| note.tie.from_before);
                    let used = before.unwrap_or(all.len());
                    match before {
                        Some(used) => {
                            let used: &mut PageUse = &mut all[used];
                            used.end = on + note.length;
                            used.notes.push((measure, index));
                        }
                        None => all.push(new(*pitch, on + note.length, false)),
                    }
                    if note.tie.to_next {
                        next.insert(*pitch, used);
                    }
                }
                ringing = next;
            }
        }
    }
    all.sort_by_key(|u| (clock.beats(u.place()), u.hand == Hand::Left, !u.grace, u.written.position()));
    all
}

/// The instants of the page, in beats from its beginning.
fn grid(score: &Score, clock: &Clock, uses: &[PageUse]) -> Vec<Beats> {
    let mut all: BTreeSet<Beats> = uses.iter().map(|u| clock.beats(u.place())).collect();
    for (index, measure) in score.measures.iter().enumerate() {
        let (frame, start) = (&measure.frame, clock.beats(Place { measure: index, at: Beats::ZERO }));
        let beat = frame.meter.beat();
        let half = beat.scaled(1, 2).unwrap_or(beat);
        let slow = |at: Beats| clock.tempo(Place { measure: index, at }).seconds(half) >= SHORTEST_GRID;
        let halves = frame.length.div_floor(half).max(0);
        let places = (0..=halves).map(|i| half * i).filter(|at| *at < frame.length);
        all.extend(places.filter(|at| (*at % beat).is_zero() || slow(*at)).map(|at| start + at));
    }
    let mut last = None;
    all.retain(|beats| {
        let at = clock.at_beats(*beats);
        last.replace(at).is_none_or(|before| before < at) && at < clock.end()
    });
    all.into_iter().collect()
}

fn places(score: &Score, clock: &Clock, grid: &[Beats], uses: &[PageUse], player: &Player, wish: &SettingsWish) -> Vec<GridPlace> {
    let mut hands: Vec<Vec<Seconds>> = match &wish.either {
        Some(hands) => {
            hands.iter().map(|plucks| plucks.iter().map(|(measure, at)| clock.at(Place { measure: *measure, at: *at })).collect()).collect()
        }
        None => vec![uses.iter().filter(|u| u.hand == wish.mover).map(|u| clock.at(u.place())).collect()],
    };
    hands.iter_mut().for_each(Vec::dedup);
    let MoveTimes { away, back, .. } = MoveTimes::of(player.fluency);
    let place = |beats: &Beats| {
        let at = clock.at_beats(*beats);
        let Place { measure, at: inside } = clock.place(*beats);
        let free = |plucks: &Vec<Seconds>| {
            let next = plucks.partition_point(|p| *p < at);
            let due = plucks.get(next).map_or(clock.end(), |p| *p - back);
            let free = next.checked_sub(1).is_none_or(|before| plucks[before] + away <= at);
            if free && due > at { due - at } else { Seconds::ZERO }
        };
        let room = hands.iter().map(free).max().unwrap_or(Seconds::ZERO);
        let beat = score.measures[measure].frame.meter.beat();
        GridPlace { at, room, awkward: if (inside % beat).is_zero() { 0 } else { OFF_THE_BEAT } }
    };
    grid.iter().map(place).collect()
}

fn passage_use(used: &PageUse, on: Beats, index: &dyn Fn(Beats) -> usize, (harp, by): (&Instrument, Interval), wish: &SettingsWish) -> Use {
    let written = used.written.up(by);
    let other = |pitch: Pitch| wish.respelled.map(|price| Spelling { pitch, price });
    let others = neighbours(harp, written).into_iter().filter(|p| *p != written).filter_map(other);
    let spellings = std::iter::once(Spelling { pitch: written, price: 0 }).chain(others).collect();
    let omission = match (used.duty, wish.left_out) {
        _ if used.is_doubtful(wish) => Omission::Price(DOUBTFUL),
        (Duty::Accompanies, Some(price)) => Omission::Price(price),
        _ => Omission::Never,
    };
    let place = index(on);
    Use { place, until: index(used.end).max(place + 1), spellings, omission }
}

/// The playing order as stretches of places.
fn stretches(score: &Score, clock: &Clock, grid: &[Beats]) -> Vec<Range<usize>> {
    let first: Vec<usize> =
        (0..=score.measures.len()).map(|m| grid.partition_point(|g| *g < clock.beats(Place { measure: m, at: Beats::ZERO }))).collect();
    clock.order().iter().map(|m| first[*m]..first[m + 1]).filter(|r| !r.is_empty()).collect()
}
