//! The first walk: the whole sheet against the whole recording in coarse steps, which finds where the tune begins and ends, which repeats are played and about how fast.
//!
//! Best sum for "unit k begins at step t at tempo v": over all units j that k may follow, all lengths d of j near what tempo v' makes of it,
//!     best(k, t, v) = max best(j, t - d, v') + fit(j from t - d to t) - price of d beside v' - price of v beside v'
//! where the first unit may begin anywhere for nothing and the tune may end anywhere. States far behind the best of their moment are left.

use crate::course::Course;
use crate::evidence::Evidence;
use crate::hear::FRAME;

/// How long a step is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// To find the keys worth looking at.
    Quick,
    Careful,
}

impl Pace {
    fn frames(self) -> usize {
        match self {
            Pace::Quick => 8,
            Pace::Careful => 4,
        }
    }

    /// How far a state may be behind the best one of its moment.
    fn behind(self) -> f32 {
        match self {
            Pace::Quick => 20.0,
            Pace::Careful => 45.0,
        }
    }
}

/// Tempos: how much longer than on the sheet, as logarithms.
const TEMPOS: usize = 21;
const WIDE: f32 = 0.075;
/// The longest that a unit lasts, in steps.
const LONGEST: usize = 96;
/// What playing the whole once more costs, and breaking off at the end of the recording.
const AGAIN: f32 = 3.0;
const BROKEN_OFF: f32 = 12.0;

pub fn longer(tempo: usize) -> f32 {
    ((tempo as f32 - (TEMPOS / 2) as f32) * WIDE).exp()
}

/// A measure of the page that begins at a time, as she said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchor {
    /// Index into the measures of the page.
    pub measure: usize,
    pub seconds: f64,
}

/// One unit as it was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    pub unit: usize,
    pub from: f32,
    pub to: f32,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Rough {
    pub score: f32,
    pub path: Vec<Found>,
    /// The recording ends before the tune does.
    pub broken_off: bool,
}

/// A state that was reached, for the way back.
#[derive(Clone, Copy)]
struct Reached {
    before: u32,
    unit: u32,
    step: u32,
}

const NONE: u32 = u32::MAX;

struct Walk<'a> {
    /// Of a step.
    seconds: f32,
    behind: f32,
    course: &'a Course,
    evidence: &'a Evidence<'a>,
    steps: usize,
    anchors: Vec<(usize, usize)>,
    /// For each step ahead and each unit (one more for the end) and tempo: sum and where from.
    ring: Vec<Vec<(f32, u32)>>,
    /// Which units have been reached at each step ahead.
    touched: Vec<Vec<bool>>,
    reached: Vec<Reached>,
}

/// The best walk, if there is one. `length` in seconds.
pub fn walk(course: &Course, evidence: &Evidence, length: f64, anchors: &[Anchor], pace: Pace) -> Option<Rough> {
    let seconds = FRAME * pace.frames() as f64;
    let steps = (length / seconds) as usize;
    let units = course.end() + 1;
    let at = |a: &Anchor| ((a.seconds / seconds).round() as usize, a.measure);
    let walk = Walk {
        seconds: seconds as f32,
        // What she gave may lead through places that sound wrong.
        behind: pace.behind() * if anchors.is_empty() { 1.0 } else { 8.0 },
        course,
        evidence,
        steps,
        anchors: anchors.iter().map(at).collect(),
        ring: vec![vec![(f32::NEG_INFINITY, NONE); units * TEMPOS]; LONGEST + 1],
        touched: vec![vec![false; units]; LONGEST + 1],
        reached: Vec::new(),
    };
    walk.go()
}

impl Walk<'_> {
    fn go(mut self) -> Option<Rough> {
        let mut best: Option<(f32, u32, usize, bool)> = None;
        let (first, last) = (self.anchors.first().map_or(usize::MAX, |a| a.0), self.anchors.last().map_or(0, |a| a.0));
        for step in 0..=self.steps {
            let slot = step % (LONGEST + 1);
            let mut now = std::mem::take(&mut self.ring[slot]);
            let mut touched = std::mem::take(&mut self.touched[slot]);
            let end = self.course.end();
            if touched[end] && step >= last {
                for state in &now[end * TEMPOS..] {
                    if best.is_none_or(|b| state.0 > b.0) {
                        best = Some((state.0, state.1, step, false));
                    }
                }
            }
            self.begin(&mut now, &mut touched, step <= first);
            self.keep_to_anchor(step, &mut now, &mut touched);
            let live: Vec<usize> = (0..end).filter(|u| touched[*u]).collect();
            let top = live.iter().flat_map(|u| &now[u * TEMPOS..(u + 1) * TEMPOS]).map(|s| s.0).fold(f32::MIN, f32::max);
            if step + 1 >= self.steps && step >= last {
                for state in live.iter().flat_map(|u| &now[u * TEMPOS..(u + 1) * TEMPOS]) {
                    if state.1 != NONE && best.is_none_or(|b| state.0 - BROKEN_OFF > b.0) {
                        best = Some((state.0 - BROKEN_OFF, state.1, step, true));
                    }
                }
            }
            for unit in live {
                self.from(unit, step, &now[unit * TEMPOS..(unit + 1) * TEMPOS], top - self.behind);
            }
            now.iter_mut().for_each(|s| *s = (f32::NEG_INFINITY, NONE));
            touched.iter_mut().for_each(|t| *t = false);
            self.ring[slot] = now;
            self.touched[slot] = touched;
        }
        let (score, mut at, step, broken_off) = best?;
        let mut path: Vec<Found> = Vec::new();
        let mut to = step;
        while at != NONE {
            let Reached { before, unit, step } = self.reached[at as usize];
            path.push(Found { unit: unit as usize, from: step as f32 * self.seconds, to: to as f32 * self.seconds });
            (to, at) = (step as usize, before);
        }
        path.reverse();
        (!path.is_empty()).then_some(Rough { score, path, broken_off })
    }

    /// The tune may begin here, for the first time or once more.
    fn begin(&self, now: &mut [(f32, u32)], touched: &mut [bool], fresh: bool) {
        let end = self.course.end();
        touched[0] |= fresh || touched[end];
        for tempo in 0..TEMPOS {
            let away = (tempo as f32 - (TEMPOS / 2) as f32) * WIDE / 0.4;
            let again = (now[end * TEMPOS + tempo].0 - AGAIN, now[end * TEMPOS + tempo].1);
            let first = if fresh { (-0.5 * away * away, NONE) } else { (f32::NEG_INFINITY, NONE) };
            for state in [again, first] {
                if state.0 > now[tempo].0 {
                    now[tempo] = state;
                }
            }
        }
    }

    /// At a time she gave, only the beginning of her measure is left.
    fn keep_to_anchor(&self, step: usize, now: &mut [(f32, u32)], touched: &mut [bool]) {
        let here: Vec<usize> = self.anchors.iter().filter(|a| a.0 == step).map(|a| a.1).collect();
        if here.is_empty() {
            return;
        }
        for unit in 0..self.course.end() {
            let of = &self.course.units[unit];
            let begins = self.course.firsts[of.pass] == unit && here.contains(&self.course.order[of.pass]);
            if !begins && touched[unit] {
                touched[unit] = false;
                now[unit * TEMPOS..(unit + 1) * TEMPOS].iter_mut().for_each(|s| *s = (f32::NEG_INFINITY, NONE));
            }
        }
    }

    fn from(&mut self, unit: usize, step: usize, states: &[(f32, u32)], least: f32) {
        let of = &self.course.units[unit];
        let nominal = of.seconds / self.seconds;
        let until = self.anchors.iter().map(|a| a.0).find(|a| *a > step).unwrap_or(self.steps).min(step + LONGEST) - step;
        let mut fits = [f32::NAN; LONGEST + 1];
        for tempo in 0..TEMPOS {
            let (sum, before) = bent(states, tempo, of.beats);
            if sum < least {
                continue;
            }
            let meant = nominal * longer(tempo);
            let room = if of.held { meant * 3.0 } else { meant + 0.6 + 0.08 * meant };
            let shortest = ((meant - 0.6 - 0.08 * meant).ceil().max(1.0)) as usize;
            let longest = (room.floor() as usize).min(until);
            let entry = self.reached.len() as u32;
            let mut used = false;
            let last = longest.max(shortest).min(until);
            for (d, fit) in fits.iter_mut().enumerate().take(last + 1).skip(shortest) {
                if fit.is_nan() {
                    let (a, b) = (step as f32 * self.seconds, (step + d) as f32 * self.seconds);
                    *fit = self.evidence.all(of, a, b);
                }
                let off = (d as f32 - meant) / (0.6 + 0.05 * meant);
                let price = if of.held && off > 0.0 { (0.5 * off * off).min(1.0) } else { 0.25 * off * off };
                let arrives = sum + *fit - price;
                used = true;
                let slot = (step + d) % (LONGEST + 1);
                for way in &self.course.ways[unit] {
                    let cell = &mut self.ring[slot][way.to * TEMPOS + tempo];
                    if arrives - way.cost > cell.0 {
                        *cell = (arrives - way.cost, entry);
                        self.touched[slot][way.to] = true;
                    }
                }
            }
            if used {
                self.reached.push(Reached { before, unit: unit as u32, step: step as u32 });
            }
        }
    }
}

/// The best way to be at a tempo now: it changes a little from unit to unit.
fn bent(states: &[(f32, u32)], tempo: usize, beats: f32) -> (f32, u32) {
    let mut best = states[tempo];
    for (other, (sum, before)) in states.iter().enumerate().take(tempo + 3).skip(tempo.saturating_sub(2)) {
        let change = (tempo as f32 - other as f32) * WIDE;
        let sum = sum - 0.5 * change * change / (0.06 * 0.06 * beats.max(0.25));
        if sum > best.0 {
            best = (sum, *before);
        }
    }
    best
}
