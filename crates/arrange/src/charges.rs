//! Levers and pedals fed back into the search.
//!
//! The tune alone forces some moves. A left-hand note is priced beforehand by the moves it would add to those, and a left hand that leaves no gap where a
//! lever has to be moved is priced too. Then the settings of the whole page are planned exactly; what causes a move, or stands in the way of one, is charged with
//! it, and the search runs again. Charges only grow; the cheapest round is kept.

mod windows;

use crate::candidates::Candidate;
use crate::hand_time::Pluck;
use crate::measures::LaidMeasure;
use crate::moves::{LEFT_OUT, OVERSTRETCHED, overstretched, wish};
use crate::price::Extra;
use crate::slots::Slot;
use crate::task::Task;
use harp::Mechanism;
use harp::page::PageSettings;
use harp::page::settings::{Duty, PageUse};
use harp::settings::{MoveTimes, Part};
use music::{Beats, Hand, Pitch, PitchName, Seconds};
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;
use windows::{Needed, wanted, windows, windows_of_tune};

/// A left hand that plucks where a lever has to be moved for the tune. OURS.
const NO_GAP: i64 = 3_000;
/// How much more a gap costs each time it is met again. OURS.
const AGAIN: i64 = 8;
/// The most that is charged for one gap: far above any music.
const DEAREST: i64 = 10_000_000;

/// A left-hand note on a string the tune needs otherwise at once.
const IN_THE_WAY: i64 = 6_000;
/// How far from a note of the tune, in quarters, what holds its lever or pedal is charged, and how far where nothing else helped.
const NEAR: i64 = 4;
const WIDE: i64 = 32;

/// Strings that are kept in one position through the piece, with the alteration, so that an accidental has its own string and no lever moves.
pub type Reserved = BTreeMap<i32, i32>;

/// The strings in the middle of the left hand's register on which an altered tone can be reserved: those the tune does not want otherwise, nearest to E3 first.
pub(crate) fn reservable(task: &Task, alone: &PageSettings, name: PitchName) -> Vec<i32> {
    let up = 7 * task.register.octaves;
    let free = |position: &i32| {
        let pitch = Pitch { alter: name.alter, ..Pitch::at_position(*position, 0) };
        let otherwise = (0..alone.uses.len()).filter_map(|u| alone.plucked(u)).any(|p| p.position() == *position && p.alter != name.alter);
        pitch.step == name.step && !otherwise && task.harp.can_sound(pitch)
    };
    let mut all: Vec<i32> = (RESERVED.0 + up..=RESERVED.1 + up).filter(free).collect();
    all.sort_by_key(|p| (p - RESERVED_BEST - up).abs());
    all
}

/// D2 to G4, and E3 in between.
const RESERVED: (i32, i32) = (15, 32);
const RESERVED_BEST: i32 = 23;

/// A stretch of time that the moving hand needs for itself, and what a candidate that plucks within it pays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Gap {
    pub from: Seconds,
    pub to: Seconds,
    price: i64,
}

impl Gap {
    fn is(&self, other: &Gap) -> bool {
        (self.from, self.to) == (other.from, other.to)
    }
}

/// Whether the hand is kept free for the lever of an altered tone, and before which slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum MoveRoom {
    AsItComes,
    Before(usize),
}

/// Which moves of the tune alone the hand is kept free for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Follow {
    /// Those of the levers whose notes a page still lacks.
    Lacking,
    All,
}

/// Positions and alterations a charge is kept for.
const STRINGS: usize = 70;

#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct OfSlot {
    /// For each string and alteration (-1, 0, 1) what plucking it so is charged; empty where nothing is.
    notes: Vec<i64>,
    gaps: Vec<Gap>,
    /// Candidates that were found to leave time enough.
    excused: Vec<usize>,
}

/// What the candidates of each slot are charged for levers and pedals.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Charges(Vec<Arc<OfSlot>>);

fn cell(pitch: Pitch) -> Option<usize> {
    let position = usize::try_from(pitch.position()).ok().filter(|p| *p < STRINGS)?;
    let alter = usize::try_from(pitch.alter + 1).ok().filter(|a| *a < 3)?;
    Some(position * 3 + alter)
}

impl Charges {
    /// What the tune alone lets us foresee. A reserved string is taken to stand as it is reserved.
    pub fn foreseen(task: &Task, slots: &[Slot], alone: &PageSettings, reserved: &Reserved) -> Charges {
        let wanted = wanted(task, alone);
        let price = wish(task.harp, task.player).prices.a_move as i64;
        let charged = |slot: &Slot| {
            let mut notes = vec![0; STRINGS * 3];
            let highest = if slot.hand == Hand::Left { task.register.highest } else { task.harp.highest() };
            for position in task.harp.lowest()..=highest.min(task.harp.highest()) {
                for alter in task.harp.settings_of(position) {
                    let pitch = Pitch::at_position(position, alter);
                    if let (Some(cell), Some(part)) = (cell(pitch), Part::of(task.harp, pitch)) {
                        let home = reserved.get(&position).copied();
                        let home = home.or_else(|| alone.opening.alter(task.harp, position)).unwrap_or(alter);
                        notes[cell] = price * added(wanted.get(&part).map_or(&[], Vec::as_slice), home, alter, slot);
                    }
                }
            }
            let notes = if notes.iter().all(|n| *n == 0) { Vec::new() } else { notes };
            Arc::new(OfSlot { notes, ..OfSlot::default() })
        };
        Charges(slots.iter().map(charged).collect())
    }

    /// Asks for a gap in which a lever can be moved for a note of the tune: in its window, where the present plan plucks least.
    fn keep_open(&mut self, task: &Task, slots: &[Slot], window: (Beats, Beats), page: &PageSettings, price: i64, several: i64) {
        let times = MoveTimes::of(task.player.fluency);
        let takes = times.lever + Seconds::from_micros(times.distant.micros() * (several - 1));
        let seconds = |beats: Beats| task.tune.clock.at_beats(beats);
        let stretch = |at: Beats| (seconds(at) - times.away, seconds(at) + takes + times.back);
        let left = page.uses.iter().filter(|u| u.duty == Duty::Accompanies);
        let plucks: Vec<(Seconds, i64)> = left
            .map(|u| {
                let at = task.tune.on_page(u.measure, u.at);
                (seconds(at), loss(slots, at))
            })
            .collect();
        let disturbed = |at: Beats| {
            let (from, to) = stretch(at);
            plucks.iter().filter(|(p, _)| *p > from && *p < to).map(|(_, loss)| loss).sum::<i64>()
        };
        let halves = (window.1 - window.0).div_floor(Beats::EIGHTH);
        let places = (0..=halves.max(0)).map(|i| window.0 + Beats::EIGHTH * i).filter(|at| seconds(*at) + takes <= seconds(window.1));
        let Some(best) = places.min_by_key(|at| (disturbed(*at), !(*at % Beats::QUARTER).is_zero(), Beats::ZERO - *at)) else { return };
        let (from, to) = stretch(best);
        self.reserve(task, slots, Gap { from, to, price });
    }

    /// Charges what a planned page shows: notes that cause moves, notes left out, and what is in the way of a note of the tune. Whether anything grew.
    pub fn blame(&mut self, task: &Task, slots: &[Slot], alone: &PageSettings, page: &PageSettings) -> bool {
        let before = self.clone();
        let a_move = wish(task.harp, task.player).prices.a_move as i64;
        let mut caused: BTreeMap<usize, i64> = BTreeMap::new();
        for used in page.moves.iter().filter_map(|m| m.needed_by).filter(|u| page.uses[*u].duty == Duty::Accompanies) {
            *caused.entry(used).or_default() += a_move;
        }
        for (used, price) in caused {
            self.charge(task, slots, &page.uses[used], page.plucked(used), |old| old.max(price));
        }
        for used in page.left_out() {
            self.charge(task, slots, used, Some(used.written), |old| old + LEFT_OUT);
        }
        for used in overstretched(page, task.player) {
            self.charge(task, slots, &page.uses[used], page.plucked(used).or(Some(page.uses[used].written)), |old| old + OVERSTRETCHED);
            self.charge(task, slots, &page.uses[used], Some(page.uses[used].written), |old| old + OVERSTRETCHED);
        }
        let had = |m: &&harp::page::MissingNote| {
            page.uses[m.used].duty == Duty::Melody
                && !alone.missing.iter().any(|a| (a.measure, a.at, a.pitch) == (m.measure, m.at, m.pitch))
        };
        let wanted = wanted(task, alone);
        let missing: Vec<&PageUse> = page.missing.iter().filter(had).map(|m| &page.uses[m.used]).collect();
        let dearest = self.0.iter().flat_map(|s| &s.gaps).map(|g| g.price).max();
        let price = dearest.map_or(NO_GAP, |p| p.saturating_mul(AGAIN)).min(DEAREST);
        // Only the left hand's own plucks can make room, and only where it is the hand that moves levers; feet are always free.
        for used in &missing {
            let mover = moves_levers(task, LaidMeasure::at(used.measure));
            self.clear_the_way(task, slots, page, used, NEAR);
            for window in windows_of_tune(task, &wanted, alone, used).into_iter().filter(|_| mover) {
                let several = missing.iter().filter(|m| windows_of_tune(task, &wanted, alone, m).contains(&window)).count() as i64;
                self.keep_open(task, slots, window, page, price, several.max(1));
            }
        }
        *self != before
    }

    /// Keeps the hand free wherever the tune alone moves levers, for good: then that plan can be carried out.
    pub fn follow(&mut self, task: &Task, slots: &[Slot], alone: &PageSettings, page: &PageSettings, follow: Follow) {
        if task.tune.measures().all(|m| !moves_levers(task, m)) {
            page.missing.iter().for_each(|m| self.clear_the_way(task, slots, page, &page.uses[m.used], WIDE));
            return;
        }
        let times = MoveTimes::of(task.player.fluency);
        let strings = page.missing.iter().flat_map(|m| harp::settings::remedies::neighbours(task.harp, m.pitch));
        let lacking: Vec<Part> = strings.filter_map(|p| Part::of(task.harp, p)).collect();
        let mut gestures: BTreeMap<Beats, i64> = BTreeMap::new();
        for m in alone.moves.iter().filter(|m| follow == Follow::All || lacking.contains(&m.part)) {
            *gestures.entry(task.tune.on_page(m.measure, m.at)).or_default() += 1;
        }
        for (at, several) in gestures {
            let at = task.tune.clock.at_beats(at);
            let takes = times.lever + Seconds::from_micros(times.distant.micros() * (several - 1));
            self.reserve(task, slots, Gap { from: at - times.away, to: at + takes + times.back, price: DEAREST });
        }
    }

    fn reserve(&mut self, task: &Task, slots: &[Slot], gap: Gap) {
        let seconds = |beats: Beats| task.tune.clock.at_beats(beats);
        for (_, of) in slots.iter().zip(&mut self.0).filter(|(s, _)| seconds(s.start) < gap.to && seconds(s.end()) > gap.from) {
            let of = Arc::make_mut(of);
            match of.gaps.iter_mut().find(|g| (g.from, g.to) == (gap.from, gap.to)) {
                Some(old) => old.price = old.price.max(gap.price),
                None => of.gaps.push(gap),
            }
        }
    }

    /// Every stretch that is kept free, with how many slots that reach into it are bare.
    pub(crate) fn gaps(&self, task: &Task, slots: &[Slot], bare: impl Fn(usize) -> bool) -> Vec<(Gap, usize)> {
        let seconds = |beats: Beats| task.tune.clock.at_beats(beats);
        let mut all: Vec<(Gap, usize)> = Vec::new();
        for (index, (slot, of)) in slots.iter().zip(&self.0).enumerate() {
            for gap in of.gaps.iter().filter(|g| seconds(slot.start) < g.to && seconds(slot.end()) > g.from) {
                let bare = usize::from(bare(index));
                match all.iter_mut().find(|(other, _)| other.is(gap)) {
                    Some((_, sum)) => *sum += bare,
                    None => all.push((*gap, bare)),
                }
            }
        }
        all
    }

    /// Whether a slot is charged for a stretch in which a lever is moved.
    pub(crate) fn kept_free(&self, slot: usize) -> bool {
        self.0.get(slot).is_some_and(|of| !of.gaps.is_empty())
    }

    /// The same, but one candidate is not charged for the stretches kept free in its slot.
    pub(crate) fn excusing(&self, slot: usize, candidate: usize) -> Charges {
        let mut charges = self.clone();
        Arc::make_mut(&mut charges.0[slot]).excused.push(candidate);
        charges
    }

    /// The same, but what is moved in or into one slot is moved in another, after its first pluck.
    pub(crate) fn moved(&self, task: &Task, slots: &[Slot], (from, to): (usize, usize)) -> Charges {
        let mut charges = self.clone();
        let seconds = |beats: Beats| task.tune.clock.at_beats(beats);
        let (start, end) = (seconds(slots[from].start), seconds(slots[from].end()));
        // A stretch that only reaches over from the slot before belongs to another move, where one begins here too.
        let begins = |g: &Gap| g.from >= start && g.from < end;
        let own = self.0.iter().flat_map(|of| &of.gaps).any(begins);
        charges.keep_gaps(|g| if own { !begins(g) } else { g.to <= start || g.from >= end });
        let times = MoveTimes::of(task.player.fluency);
        let at = seconds(slots[to].start);
        charges.reserve(task, slots, Gap { from: at, to: at + times.away + times.lever + times.back, price: DEAREST });
        charges
    }

    /// The same, but the notes of a slot that a page had to leave out are not to be had there.
    pub(crate) fn without_the_lost(&self, task: &Task, slots: &[Slot], page: &PageSettings, slot: usize) -> Charges {
        let mut charges = self.clone();
        let here = |used: &&PageUse| {
            let at = task.tune.on_page(used.measure, used.at);
            at >= slots[slot].start && at < slots[slot].end()
        };
        for used in page.left_out().filter(here) {
            charges.charge(task, slots, used, Some(used.written), |old| old + LEFT_OUT * 8);
        }
        charges
    }

    /// The same, but a string for an altered tone of the chords in `run` is not charged there, and the hand is kept free where its lever can be moved.
    pub(crate) fn asking(
        &self,
        task: &Task,
        slots: &[Slot],
        page: &PageSettings,
        run: Range<usize>,
        pitch: Pitch,
        room: MoveRoom,
    ) -> Charges {
        let mut charges = self.clone();
        for of in charges.0[run.clone()].iter_mut().map(Arc::make_mut) {
            if let Some(charged) = cell(pitch).and_then(|c| of.notes.get_mut(c)) {
                *charged = 0;
            }
        }
        if let MoveRoom::Before(slot) = room {
            let (measure, from) = (slots[slot].measure, slots[slot].start);
            let needed = Needed { pitch, measure, from, to: slots[run.end - 1].end() };
            for window in windows(task, &wanted(task, page), needed) {
                charges.keep_open(task, slots, window, page, NO_GAP * AGAIN, 1);
            }
        }
        charges
    }

    fn keep_gaps(&mut self, keep: impl Fn(&Gap) -> bool) {
        for of in self.0.iter_mut().filter(|of| !of.gaps.iter().all(&keep)) {
            Arc::make_mut(of).gaps.retain(&keep);
        }
    }

    /// The same without one stretch.
    pub(crate) fn without(&self, gap: Gap) -> Charges {
        let mut charges = self.clone();
        charges.keep_gaps(|g| !g.is(&gap));
        charges
    }

    /// Charges the left-hand notes that hold a lever or pedal otherwise shortly before a note of the tune.
    fn clear_the_way(&mut self, task: &Task, slots: &[Slot], page: &PageSettings, used: &PageUse, quarters: i64) {
        let near = Beats::QUARTER * quarters;
        let on = task.tune.on_page(used.measure, used.at);
        for (index, other) in page.uses.iter().enumerate().filter(|(_, o)| o.duty == Duty::Accompanies) {
            let Some(pitch) = page.plucked(index) else { continue };
            let shares = harp::settings::remedies::neighbours(task.harp, used.written)
                .iter()
                .any(|p| Part::of(task.harp, *p) == Part::of(task.harp, pitch) && p.alter != pitch.alter);
            let start = task.tune.on_page(other.measure, other.at);
            if shares && start < on + near && other.end > on - near {
                self.charge(task, slots, other, Some(pitch), |old| old + IN_THE_WAY);
            }
        }
    }

    fn charge(&mut self, task: &Task, slots: &[Slot], used: &PageUse, pitch: Option<Pitch>, grow: impl Fn(i64) -> i64) {
        let at = task.tune.on_page(used.measure, used.at);
        let slot = slots.partition_point(|s| s.start <= at).saturating_sub(1);
        let (Some(of), Some(cell)) = (self.0.get_mut(slot).map(Arc::make_mut), pitch.and_then(cell)) else { return };
        if of.notes.is_empty() {
            of.notes = vec![0; STRINGS * 3];
        }
        of.notes[cell] = grow(of.notes[cell]);
    }

    /// Charges the candidates of each slot; `before` is what they are charged already.
    pub fn put(&self, task: &Task, slots: &[Slot], candidates: &[&[Candidate]], before: &Charges, extra: &mut [Vec<Extra>]) {
        for (i, (((of, slot), candidates), extra)) in self.0.iter().zip(slots).zip(candidates).zip(extra).enumerate() {
            if before.0.get(i).is_some_and(|before| Arc::ptr_eq(before, of) || before == of) {
                continue;
            }
            let mut times = Times { task, slot, known: Vec::new() };
            for (index, (candidate, price)) in candidates.iter().zip(extra).enumerate() {
                price.settings = of.price(&candidate.plucks, index, &mut times);
            }
        }
    }
}

/// When the places of a slot come: its many candidates pluck at few places.
struct Times<'t> {
    task: &'t Task<'t>,
    slot: &'t Slot,
    known: Vec<(Beats, Seconds)>,
}

impl Times<'_> {
    fn at(&mut self, place: Beats) -> Seconds {
        if let Some((_, time)) = self.known.iter().find(|(known, _)| *known == place) {
            return *time;
        }
        let time = self.task.tune.clock.at_beats(self.slot.start + place);
        self.known.push((place, time));
        time
    }
}

impl OfSlot {
    fn price(&self, plucks: &[Pluck], candidate: usize, times: &mut Times) -> i64 {
        let mut sum = 0;
        if !self.notes.is_empty() {
            let mut seen = [0u128; 2];
            for cell in plucks.iter().flat_map(|p| &p.pitches).filter_map(|p| cell(*p)) {
                let bit = 1 << (cell % 128);
                if seen[cell / 128] & bit == 0 {
                    seen[cell / 128] |= bit;
                    sum += self.notes[cell];
                }
            }
        }
        if self.gaps.is_empty() || self.excused.contains(&candidate) {
            return sum;
        }
        let mut within = |gap: &Gap| plucks.iter().map(|p| times.at(p.at)).any(|at| at > gap.from && at < gap.to);
        sum + self.gaps.iter().filter(|g| within(g)).map(|g| g.price).sum::<i64>()
    }
}

/// How much it hurts to give up a pluck: an inner one least, a chord's first more, a cadence's or the first of a measure most. OURS.
fn loss(slots: &[Slot], at: Beats) -> i64 {
    let Some(slot) = slots.get(slots.partition_point(|s| s.start <= at).saturating_sub(1)) else { return 1 };
    let first = if slot.start == at { 3 } else { 0 };
    let measure = if slot.start == at && slot.at.is_zero() { 2 } else { 0 };
    1 + first + measure + if slot.duty.cadence || slot.duty.section_first { 4 } else { 0 }
}

/// Moves that a note in a slot adds to those the tune forces: `home` is how the lever or pedal stands where the tune does not ask.
fn added(wanted: &[(Beats, Beats, i32)], home: i32, alter: i32, slot: &Slot) -> i64 {
    let first = wanted.partition_point(|w| w.0 < slot.start);
    let last = wanted.partition_point(|w| w.0 < slot.end());
    let before = first.checked_sub(1).map_or(home, |i| wanted[i].2);
    let inside = &wanted[first..last];
    let after = wanted.get(last).map_or(home, |w| w.2);
    if before == alter || after == alter || inside.iter().any(|w| w.2 == alter) {
        return 0;
    }
    let row = std::iter::once(before).chain(inside.iter().map(|w| w.2)).chain([after]);
    let next = inside.iter().map(|w| w.2).chain([after]);
    if row.zip(next).any(|(a, b)| a != b) { 1 } else { 2 }
}

/// Whether the hand that accompanies in a measure has levers to move.
fn moves_levers(task: &Task, measure: LaidMeasure) -> bool {
    task.tune.melody_in[measure] != task.player.lever_hand && matches!(task.harp.mechanism, Mechanism::Levers(_))
}
