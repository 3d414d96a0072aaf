//! Which string gives each note, and whether the levers or pedals can be there in time.
//!
//! The page is played through in playing order. At each instant every way of giving its pitches strings that agree is tried; a part (a lever, a pedal)
//! that has to stand otherwise than before is moved as early as it can be: after its string's written end if there is time, else
//! while it sounds, else too late. Of all ways the [`WIDTH`] cheapest are followed:
//!
//! `price(way) = price(way before) + moves + respellings + what is late`
//!
//! So what is called late is late on the best way found; what is impossible at one instant is impossible however long one waits.

use crate::hands::{self, Hands};
use crate::page::Onset;
use harp::settings::{MoveTimes, Part, remedies::neighbours};
use harp::{Instrument, Mechanism, Player};
use music::{Beats, Clock, Frame, Mark, Pitch, Place, Score, Seconds, Step, order};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// Ways followed at once.
const WIDTH: usize = 24;
/// The most ways of one chord that are tried.
const MOST_WAYS: usize = 256;
/// The most of them that are followed, those with the fewest respellings first.
const FOLLOWED: usize = 12;
/// Prices of a way; only their order matters.
const A_MOVE: i64 = 1_000;
const RESPELLED: i64 = 300;
const WHILE_SOUNDING: i64 = 4_000;
const LATE: i64 = 100_000;
/// A string that has sounded this long may be stopped and moved although it is written longer. Ours.
const SOUNDED: i64 = 300_000;
/// The lever hand leaves the strings this long after a pluck, and is back this long before the next (harp facts 2.4, ASSUME).
const AWAY: Seconds = Seconds::from_millis(100);
const BACK: Seconds = Seconds::from_millis(200);

/// What is wrong with the setting of one tone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    NoString,
    NoPitch,
    /// Its string is wanted otherwise at the same instant, and no other string has the pitch.
    Together,
    /// The move comes this much too late.
    Late(Seconds),
    /// The move is made while the string is written to sound.
    WhileSounding,
}

/// The setting of a page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// For each onset and tone the pitch as plucked.
    pub plucked: Vec<Vec<Option<Pitch>>>,
    /// Onset, tone, what is wrong.
    pub faults: Vec<(usize, usize, Fault)>,
    /// Moves made in playing order.
    pub moves: usize,
    /// Onsets whose printed marks do not give what is written.
    pub unmarked: Vec<(usize, usize)>,
}

/// The harp as it can be set before a piece: strings without discs are tuned to what the piece needs (harp facts 1.1).
pub fn tuned(harp: &Instrument) -> Instrument {
    let mut tuned = harp.clone();
    if let Mechanism::Pedals { fixed } = &mut tuned.mechanism {
        fixed.clear();
    }
    tuned
}

/// One tone's string: the pitch as plucked and the part that sets it.
type Seat = (Pitch, Option<Part>);

/// One way of an instant: a seat for each tone, `None` for one left out.
type Way = Vec<Option<Seat>>;

/// Finds the strings and the faults. `harp` is [`tuned`].
pub fn settle(score: &Score, onsets: &[Onset], harp: &Instrument, player: &Player, clock: &Clock) -> Settings {
    let ways: Vec<Vec<Way>> = onsets.iter().map(|o| ways(o, harp)).collect();
    let first: Vec<Vec<Option<Pitch>>> = ways.iter().map(|w| w[0].iter().map(|s| s.map(|s| s.0)).collect()).collect();
    let mut settings = Settings { plucked: first, ..Settings::default() };
    for (index, (onset, ways)) in onsets.iter().zip(&ways).enumerate() {
        for (tone, _) in ways[0].iter().enumerate().filter(|s| s.1.is_none()) {
            let pitch = onset.tones[tone].pitch;
            let on_harp = harp.has_string(pitch.position());
            let fault = match (neighbours(harp, pitch).is_empty(), on_harp) {
                (true, false) => Fault::NoString,
                (true, true) => Fault::NoPitch,
                _ => Fault::Together,
            };
            settings.faults.push((index, tone, fault));
        }
    }
    let marked = printed(score, harp).iter().any(|marks| !marks.is_empty());
    let printed = if marked { Some(replayed(score, onsets, harp, clock)) } else { None };
    if let Some(given) = printed.as_ref().filter(|p| p.missing.is_empty()) {
        return Settings { plucked: given.plucked.clone(), moves: given.moves, ..settings };
    }
    let hands = hands::share(onsets, &settings.plucked, player);
    let mut run = Run::new(player, &hands, clock.end());
    for (pass, _, range, offset) in played(score, onsets, clock) {
        for index in range {
            run.play(pass, index, &onsets[index], &ways[index], offset);
        }
    }
    run.finish(&mut settings);
    match printed {
        Some(printed) => beside(settings, printed),
        None => settings,
    }
}

/// The printed marks are kept where they give most of the page: what they do not give is late only where no plan has it in time either.
fn beside(settings: Settings, printed: Replayed) -> Settings {
    let tones: usize = printed.plucked.iter().map(Vec::len).sum();
    let unmarked: Vec<(usize, usize)> = printed.missing.iter().copied().collect();
    if unmarked.len() * MOSTLY > tones {
        return Settings { unmarked, ..settings };
    }
    let mut faults = settings.faults;
    faults.retain(|(onset, tone, fault)| match fault {
        Fault::Late(_) | Fault::WhileSounding => printed.missing.contains(&(*onset, *tone)),
        Fault::NoString | Fault::NoPitch | Fault::Together => true,
    });
    let mut plucked = printed.plucked;
    for (onset, tone) in &unmarked {
        plucked[*onset][*tone] = settings.plucked[*onset][*tone];
    }
    Settings { plucked, faults, unmarked, moves: printed.moves }
}

/// The printed marks are kept if at most one tone in so many is not given by them.
const MOSTLY: usize = 10;

/// The measures in playing order: pass, measure, its onsets, and what the clock is ahead of the printed page.
fn played(score: &Score, onsets: &[Onset], clock: &Clock) -> Vec<(usize, usize, Range<usize>, i64)> {
    let frames: Vec<&Frame> = score.measures.iter().map(|m| &m.frame).collect();
    let start = |measure: usize| clock.at(Place { measure, at: Beats::ZERO }).micros();
    let of = |measure: usize| onsets.partition_point(|o| o.place.measure < measure)..onsets.partition_point(|o| o.place.measure <= measure);
    let mut heard = vec![0; frames.len()];
    let mut now = 0;
    let mut found = Vec::new();
    for measure in order::playing_order(&frames).measures {
        found.push((heard[measure], measure, of(measure), now - start(measure)));
        heard[measure] += 1;
        now += start(measure + 1) - start(measure);
    }
    found
}

/// All ways of giving the tones of an instant strings that agree, the written spellings first. Where there is none, as many tones as can be.
fn ways(onset: &Onset, harp: &Instrument) -> Vec<Way> {
    let seats: Vec<Vec<Seat>> =
        onset.tones.iter().map(|t| neighbours(harp, t.pitch).into_iter().map(|p| (p, Part::of(harp, p))).collect()).collect();
    let mut found: Vec<Way> = Vec::new();
    let most = seats.iter().filter(|s| !s.is_empty()).count();
    for out in 0..=most {
        extend(&seats, out, &mut Vec::new(), &mut BTreeMap::new(), &mut found);
        if !found.is_empty() {
            break;
        }
    }
    found.sort_by_key(|way| way.iter().zip(&onset.tones).filter(|(s, t)| s.is_some_and(|s| s.0 != t.pitch)).count());
    found.truncate(FOLLOWED);
    if found.is_empty() { vec![vec![None; onset.tones.len()]] } else { found }
}

fn extend(seats: &[Vec<Seat>], out: usize, way: &mut Way, stands: &mut BTreeMap<Part, i32>, found: &mut Vec<Way>) {
    if found.len() >= MOST_WAYS {
        return;
    }
    let Some(choices) = seats.get(way.len()) else {
        found.push(way.clone());
        return;
    };
    for seat in choices {
        let known = seat.1.and_then(|part| stands.get(&part).copied());
        if known.is_some_and(|alter| alter != seat.0.alter) {
            continue;
        }
        if let Some(part) = seat.1 {
            stands.insert(part, seat.0.alter);
        }
        way.push(Some(*seat));
        extend(seats, out, way, stands, found);
        way.pop();
        if let (Some(part), None) = (seat.1, known) {
            stands.remove(&part);
        }
    }
    if choices.is_empty() || out > 0 {
        way.push(None);
        extend(seats, if choices.is_empty() { out } else { out - 1 }, way, stands, found);
        way.pop();
    }
}

/// How a part stands on one way.
#[derive(Clone, Copy, Debug)]
struct Stand {
    alter: i32,
    /// When its string was last plucked, and until when that is written.
    plucked: i64,
    until: i64,
}

#[derive(Clone, Debug)]
struct State {
    stands: BTreeMap<Part, Stand>,
    /// Busy stretches of each limb, the latest few, in order.
    busy: [Vec<(i64, i64)>; 2],
    price: i64,
    /// The last step in the run's list.
    trace: usize,
}

/// What one step decided: the step before, the onset, the way, and what was late.
struct Taken {
    before: usize,
    pass: usize,
    onset: usize,
    way: usize,
    faults: Vec<(usize, Fault)>,
    moves: usize,
}

struct Run {
    times: MoveTimes,
    free: [Vec<(i64, i64)>; 2],
    states: Vec<State>,
    steps: Vec<Taken>,
    ways: BTreeMap<usize, Vec<Way>>,
}

/// What a move comes to: in time, while its string sounds, or too late by so much.
enum Moved {
    InTime,
    WhileSounding,
    Late(i64),
}

impl Run {
    fn new(player: &Player, hands: &Hands, end: Seconds) -> Run {
        let free = [&hands.left, &hands.right].map(|plucks| hands::free(plucks, AWAY, BACK, end));
        let start = State { stands: BTreeMap::new(), busy: [Vec::new(), Vec::new()], price: 0, trace: 0 };
        let root = Taken { before: 0, pass: 0, onset: 0, way: 0, faults: Vec::new(), moves: 0 };
        let times = MoveTimes::of(player.fluency);
        Run { times, free, states: vec![start], steps: vec![root], ways: BTreeMap::new() }
    }

    fn play(&mut self, pass: usize, index: usize, onset: &Onset, ways: &[Way], offset: i64) {
        let mut next: Vec<State> = Vec::with_capacity(self.states.len());
        let states = std::mem::take(&mut self.states);
        for state in &states {
            for (number, way) in ways.iter().enumerate() {
                let (mut after, faults, moves) = self.after(state, onset, way, offset);
                self.steps.push(Taken { before: state.trace, pass, onset: index, way: number, faults, moves });
                after.trace = self.steps.len() - 1;
                next.push(after);
            }
        }
        next.sort_by_key(|s| s.price);
        let mut kept: Vec<State> = Vec::with_capacity(WIDTH);
        let mut seen: BTreeSet<Vec<(Part, i32)>> = BTreeSet::new();
        for state in next {
            if kept.len() < WIDTH && seen.insert(state.stands.iter().map(|(p, s)| (*p, s.alter)).collect()) {
                kept.push(state);
            }
        }
        self.states = kept;
        self.ways.entry(index).or_insert_with(|| ways.to_vec());
    }

    fn after(&self, state: &State, onset: &Onset, way: &Way, offset: i64) -> (State, Vec<(usize, Fault)>, usize) {
        let mut after = state.clone();
        let now = onset.time.micros() + offset;
        let (mut faults, mut moves) = (Vec::new(), 0);
        for (tone, seat) in way.iter().enumerate() {
            let Some((pitch, part)) = seat else { continue };
            if *pitch != onset.tones[tone].pitch {
                after.price += RESPELLED;
            }
            let Some(part) = *part else { continue };
            let stood = after.stands.get(&part).copied();
            if let Some(stood) = stood.filter(|s| s.alter != pitch.alter) {
                moves += 1;
                after.price += A_MOVE + if (stood.alter - pitch.alter).abs() > 1 { A_MOVE / 2 } else { 0 };
                match self.moved(&mut after, part, stood, now, offset) {
                    Moved::InTime => {}
                    Moved::WhileSounding => {
                        after.price += WHILE_SOUNDING;
                        faults.push((tone, Fault::WhileSounding));
                    }
                    Moved::Late(by) => {
                        after.price += LATE;
                        faults.push((tone, Fault::Late(Seconds::from_micros(by))));
                    }
                }
            }
            let until = now + onset.tones[tone].lasts.micros();
            let before = stood.filter(|s| s.alter == pitch.alter).map_or(i64::MIN / 4, |s| s.until);
            after.stands.insert(part, Stand { alter: pitch.alter, plucked: now, until: until.max(before) });
        }
        (after, faults, moves)
    }

    /// Moves a part as early as can be before `now`.
    fn moved(&self, state: &mut State, part: Part, stood: Stand, now: i64, offset: i64) -> Moved {
        let sounded = stood.until.min(stood.plucked + SOUNDED);
        for (release, moved) in [(stood.until, Moved::InTime), (sounded, Moved::WhileSounding)] {
            if release <= now && self.slot(state, part, release, now, offset) {
                return moved;
            }
        }
        // Done all the same, so that one shortage is not said again at every note after it.
        let needed = match part {
            Part::Lever(_) => self.times.lever.micros(),
            Part::Pedal(_) => self.times.foot.micros(),
        };
        Moved::Late((needed - self.room(state, part, sounded, now, offset)).clamp(1, needed))
    }

    /// The longest stretch before `now` in which a limb could have moved the part.
    fn room(&self, state: &State, part: Part, release: i64, now: i64, offset: i64) -> i64 {
        match part {
            Part::Pedal(_) => {
                let busy = state.busy[part.limb()].last().map_or(release, |b| b.1 - self.times.foot.micros());
                now - release.max(busy)
            }
            Part::Lever(_) => {
                let inside = |f: &(i64, i64)| (f.1 + offset).min(now) - (f.0 + offset).max(release);
                let near = self.free.iter().flat_map(|free| {
                    let from = free.partition_point(|f| f.1 + offset <= release);
                    free[from..].iter().take_while(|f| f.0 + offset < now)
                });
                near.map(inside).max().unwrap_or(0)
            }
        }
    }

    /// Books the first stretch of a limb that is free for long enough from `release` on.
    fn slot(&self, state: &mut State, part: Part, release: i64, now: i64, offset: i64) -> bool {
        match part {
            Part::Pedal(_) => {
                let (foot, limb) = (self.times.foot.micros(), part.limb());
                let busy = &mut state.busy[limb];
                let starts = std::iter::once(release).chain(busy.iter().map(|b| b.1)).filter(|s| *s >= release && *s <= now);
                let fits = |s: &i64| busy.iter().all(|b| *s >= b.1 || s + foot <= b.0);
                let Some(start) = starts.filter(fits).min() else { return false };
                book(busy, start, start + foot);
                true
            }
            Part::Lever(_) => {
                let takes = self.times.lever.micros();
                for limb in 0..2 {
                    let from = self.free[limb].partition_point(|f| f.1 + offset <= release);
                    let windows = self.free[limb][from..].iter().take_while(|f| f.0 + offset < now);
                    let busy = &state.busy[limb];
                    let start = windows
                        .flat_map(|f| {
                            let (low, high) = ((f.0 + offset).max(release), (f.1 + offset).min(now));
                            let starts: Vec<i64> = std::iter::once(low).chain(busy.iter().map(|b| b.1)).collect();
                            starts.into_iter().filter(move |s| *s >= low && s + takes <= high)
                        })
                        .find(|s| busy.iter().all(|b| *s >= b.1 || s + takes <= b.0));
                    if let Some(start) = start {
                        book(&mut state.busy[limb], start, start + takes);
                        return true;
                    }
                }
                false
            }
        }
    }

    fn finish(self, settings: &mut Settings) {
        let Some(best) = self.states.iter().min_by_key(|s| s.price) else { return };
        let mut at = best.trace;
        let mut faults: BTreeMap<(usize, usize), Fault> = BTreeMap::new();
        while at > 0 {
            let step = &self.steps[at];
            if let Some(way) = self.ways.get(&step.onset).and_then(|w| w.get(step.way)).filter(|_| step.pass == 0) {
                settings.plucked[step.onset] = way.iter().map(|s| s.map(|s| s.0)).collect();
            }
            settings.moves += step.moves;
            for (tone, fault) in &step.faults {
                faults.insert((step.onset, *tone), *fault);
            }
            at = step.before;
        }
        settings.faults.extend(faults.into_iter().map(|((onset, tone), fault)| (onset, tone, fault)));
        settings.faults.sort_by_key(|f| (f.0, f.1));
    }
}

/// How many busy stretches are remembered.
const REMEMBERED: usize = 8;

fn book(busy: &mut Vec<(i64, i64)>, from: i64, to: i64) {
    let at = busy.partition_point(|b| b.0 < from);
    busy.insert(at, (from, to));
    if busy.len() > REMEMBERED {
        busy.remove(0);
    }
}

/// The lever and pedal marks of each measure, in order.
fn printed(score: &Score, harp: &Instrument) -> Vec<Vec<(Beats, Part, i32)>> {
    let pedals = matches!(harp.mechanism, Mechanism::Pedals { .. });
    let parts = |mark: &Mark| -> Vec<(Part, i32)> {
        match mark {
            Mark::Lever(pitch) => Part::of(harp, *pitch).into_iter().map(|p| (p, pitch.alter)).collect(),
            Mark::Pedal(name) if pedals => vec![(Part::Pedal(name.step), name.alter)],
            Mark::Pedals(alters) if pedals => Step::ALL.into_iter().zip(alters).map(|(step, alter)| (Part::Pedal(step), *alter)).collect(),
            _ => Vec::new(),
        }
    };
    let of = |m: &music::ScoreMeasure| {
        let mut marks: Vec<_> = m.marks.iter().flat_map(|p| parts(&p.mark).into_iter().map(|(part, to)| (p.at, part, to))).collect();
        marks.sort_by_key(|m| m.0);
        marks
    };
    score.measures.iter().map(of).collect()
}

/// What the printed marks give: the strings, and the tones that are not given.
struct Replayed {
    plucked: Vec<Vec<Option<Pitch>>>,
    missing: BTreeSet<(usize, usize)>,
    /// Moves made in playing order.
    moves: usize,
}

/// Follows the printed marks through every pass. What a part stands at before its first mark is what its first note wants.
fn replayed(score: &Score, onsets: &[Onset], harp: &Instrument, clock: &Clock) -> Replayed {
    let printed = printed(score, harp);
    let mut stands: BTreeMap<Part, i32> = BTreeMap::new();
    let mut plucked: Vec<Vec<Option<Pitch>>> = onsets.iter().map(|o| vec![None; o.tones.len()]).collect();
    let mut missing: BTreeSet<(usize, usize)> = BTreeSet::new();
    let mut moves = 0;
    for (_, measure, range, _) in played(score, onsets, clock) {
        let mut marks = printed[measure].iter().peekable();
        for index in range {
            while let Some((_, part, to)) = marks.next_if(|m| m.0 <= onsets[index].place.at) {
                moves += usize::from(stands.insert(*part, *to).is_some_and(|stood| stood != *to));
            }
            for (tone, t) in onsets[index].tones.iter().enumerate() {
                let choices = neighbours(harp, t.pitch);
                let stood = |p: &&Pitch| Part::of(harp, **p).is_none_or(|part| stands.get(&part) == Some(&p.alter));
                let open = |p: &&Pitch| Part::of(harp, **p).is_some_and(|part| !stands.contains_key(&part));
                match choices.iter().find(stood).or_else(|| choices.iter().find(open)) {
                    Some(pitch) => {
                        stands.extend(Part::of(harp, *pitch).map(|part| (part, pitch.alter)));
                        plucked[index][tone] = Some(*pitch);
                    }
                    None if choices.is_empty() => {}
                    None => drop(missing.insert((index, tone))),
                }
            }
        }
        for (_, part, to) in marks {
            moves += usize::from(stands.insert(*part, *to).is_some_and(|stood| stood != *to));
        }
    }
    Replayed { plucked, missing, moves }
}
