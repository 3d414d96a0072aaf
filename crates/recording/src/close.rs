//! The second walk: frame by frame, near where the first one went, in the order it found; and how sure each place is.
//!
//! Forwards and backwards over the same lattice as [`crate::rough`], a band of frames about each unit's beginning. The sum of both is what the best walk through a place is
//! worth; where places far from the best are worth nearly as much, the best is not sure.

use crate::course::Course;
use crate::evidence::Evidence;
use crate::hear::FRAME;
use crate::rough::Found;

const SECONDS: f32 = FRAME as f32;
/// Frames on each side of the first walk's place.
const BAND: usize = 75;
const WIDTH: usize = 2 * BAND + 1;
const TEMPOS: usize = 33;
const WIDE: f32 = 0.04;
/// Of the tempos, how many lie below the first walk's own.
const BELOW: usize = 13;
/// Frames by which a unit may last longer or shorter than its tempo makes it.
const LOOSE: isize = 6;
/// How much a frame off costs: its deviation, in frames.
const OFF: f32 = 2.2;
/// How much of a change of tempo from beat to beat is usual, as a logarithm.
const CHANGE: f32 = 0.045;
/// What lies further behind the best of its boundary is left: it would make no place less sure.
const BEHIND: f32 = 40.0;
/// Neighbouring moments say the same again: by how much less all is worth when it comes to how sure a place is. Fitted on `outside`'s recordings.
const TOLD_AGAIN: f32 = 2.5;

/// A unit's beginning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    pub seconds: f64,
    /// How likely it lies within 0.2 s, 0 to 1.
    pub sure: f32,
}

struct Lattice<'a> {
    course: &'a Course,
    evidence: &'a Evidence<'a>,
    path: &'a [Found],
    /// The first frame of each boundary's band.
    bands: Vec<isize>,
    /// How much longer than on the sheet the whole is.
    whole: f32,
    /// Boundaries that must lie at a frame.
    fixed: Vec<Option<isize>>,
    frames: isize,
}

type Layer = Vec<f32>;

/// The beginnings of the path's units and the end of the last. `fixed`: frames that boundaries must have.
pub fn place(course: &Course, evidence: &Evidence, path: &[Found], frames: usize, fixed: &[Option<f64>]) -> Vec<Placed> {
    let frame = |seconds: f32| (seconds / SECONDS).round() as isize;
    let fixed: Vec<Option<isize>> = fixed.iter().map(|f| f.map(|s| (s / FRAME).round() as isize)).collect();
    let mut bands: Vec<isize> = path.iter().map(|f| frame(f.from) - BAND as isize).collect();
    bands.push(path.last().map_or(0, |f| frame(f.to)) - BAND as isize);
    for (band, fixed) in bands.iter_mut().zip(&fixed) {
        if let Some(at) = fixed {
            *band = at - BAND as isize;
        }
    }
    let meant: f32 = path.iter().map(|f| course.units[f.unit].seconds).sum();
    let took: f32 = path.iter().filter(|f| !course.units[f.unit].held).map(|f| f.to - f.from).sum();
    let plain: f32 = path.iter().map(|f| &course.units[f.unit]).filter(|u| !u.held).map(|u| u.seconds).sum();
    let whole = if plain > 0.0 { took / plain } else { took / meant.max(0.1) };
    let lattice = Lattice { course, evidence, path, bands, whole: whole.max(0.05), fixed, frames: frames as isize };
    lattice.places()
}

impl Lattice<'_> {
    fn longer(&self, tempo: usize) -> f32 {
        self.whole * ((tempo as f32 - BELOW as f32) * WIDE).exp()
    }

    fn places(&self) -> Vec<Placed> {
        let last = self.path.len();
        let mut forwards: Vec<Layer> = Vec::with_capacity(last + 1);
        forwards.push(self.open(0));
        for i in 0..last {
            let next = self.forth(i, &forwards[i]);
            forwards.push(next);
        }
        let mut backwards = self.open(last);
        let mut placed = vec![self.best(last, &forwards[last], &backwards)];
        for i in (0..last).rev() {
            backwards = self.back(i, &backwards, &forwards[i]);
            placed.push(self.best(i, &forwards[i], &backwards));
            forwards.truncate(i);
        }
        placed.reverse();
        placed
    }

    fn may(&self, boundary: usize, j: usize) -> bool {
        let frame = self.bands[boundary] + j as isize;
        frame >= 0 && frame <= self.frames && self.fixed.get(boundary).copied().flatten().is_none_or(|f| f == frame)
    }

    fn open(&self, boundary: usize) -> Layer {
        let mut layer = vec![f32::NEG_INFINITY; WIDTH * TEMPOS];
        for j in (0..WIDTH).filter(|j| self.may(boundary, *j)) {
            layer[j * TEMPOS..(j + 1) * TEMPOS].fill(0.0);
        }
        layer
    }

    /// Each sum after the best change of tempo; the change is worth the same in both directions.
    fn bent(&self, i: usize, layer: &Layer) -> Layer {
        let beats = self.course.units[self.path[i].unit].beats.max(0.25);
        let price: [f32; 4] = std::array::from_fn(|n| 0.5 * (n as f32 * WIDE).powi(2) / (CHANGE * CHANGE * beats));
        let mut out = layer.clone();
        for (to, from) in out.chunks_exact_mut(TEMPOS).zip(layer.chunks_exact(TEMPOS)) {
            if from.iter().all(|x| *x == f32::NEG_INFINITY) {
                continue;
            }
            for v in 0..TEMPOS {
                for w in v.saturating_sub(3)..=(v + 3).min(TEMPOS - 1) {
                    to[v] = to[v].max(from[w] - price[v.abs_diff(w)]);
                }
            }
        }
        out
    }

    /// Which frames of a boundary are worth going on from, by what the walks up to there are worth.
    fn live(layer: &Layer) -> Vec<bool> {
        let tops: Vec<f32> = layer.chunks_exact(TEMPOS).map(|row| row.iter().copied().fold(f32::NEG_INFINITY, f32::max)).collect();
        let best = tops.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        tops.iter().map(|t| *t > best - BEHIND).collect()
    }

    /// Calls `with(j, next j, tempo, worth)` for every way through unit i from a frame that is `live`.
    fn each(&self, i: usize, live: &[bool], mut with: impl FnMut(usize, usize, usize, f32)) {
        let unit = &self.course.units[self.path[i].unit];
        let nominal = unit.seconds / SECONDS;
        let meant: Vec<f32> = (0..TEMPOS).map(|v| nominal * self.longer(v)).collect();
        let least = (meant[0].round() as isize - LOOSE).max(1);
        let most = meant[TEMPOS - 1].round() as isize + if unit.held { 3 * meant[TEMPOS - 1] as isize } else { LOOSE };
        for j in (0..WIDTH).filter(|j| live[*j] && self.may(i, *j)) {
            let from = self.bands[i] + j as isize;
            for d in least..=most {
                let Ok(next) = usize::try_from(from + d - self.bands[i + 1]) else { continue };
                if next >= WIDTH {
                    break;
                }
                if !self.may(i + 1, next) {
                    continue;
                }
                let fit = self.evidence.all(unit, from as f32 * SECONDS, (from + d) as f32 * SECONDS);
                // Longer than its tempo makes it only a held unit may be much; tempos are in order of length.
                let first = if unit.held { 0 } else { meant.partition_point(|m| *m < (d - LOOSE) as f32) };
                for (v, meant) in meant.iter().enumerate().skip(first) {
                    if *meant > (d + LOOSE) as f32 {
                        break;
                    }
                    let off = d as f32 - meant;
                    if unit.held && off > 0.0 {
                        with(j, next, v, fit - (0.5 * (off / OFF).powi(2)).min(1.0));
                    } else if off.abs() <= LOOSE as f32 {
                        with(j, next, v, fit - 0.5 * (off / OFF).powi(2));
                    }
                }
            }
        }
    }

    fn forth(&self, i: usize, layer: &Layer) -> Layer {
        let bent = self.bent(i, layer);
        let mut out = vec![f32::NEG_INFINITY; WIDTH * TEMPOS];
        self.each(i, &Lattice::live(layer), |j, next, v, worth| {
            let to = &mut out[next * TEMPOS + v];
            *to = to.max(bent[j * TEMPOS + v] + worth);
        });
        out
    }

    /// `forwards` are the walks up to unit i.
    fn back(&self, i: usize, layer: &Layer, forwards: &Layer) -> Layer {
        let mut out = vec![f32::NEG_INFINITY; WIDTH * TEMPOS];
        self.each(i, &Lattice::live(forwards), |j, next, v, worth| {
            let to = &mut out[j * TEMPOS + v];
            *to = to.max(layer[next * TEMPOS + v] + worth);
        });
        self.bent(i, &out)
    }

    fn best(&self, boundary: usize, forwards: &Layer, backwards: &Layer) -> Placed {
        let through = |j: usize| {
            let row = j * TEMPOS..(j + 1) * TEMPOS;
            forwards[row.clone()].iter().zip(&backwards[row]).map(|(f, b)| f + b).fold(f32::NEG_INFINITY, f32::max)
        };
        let worth: Vec<f32> = (0..WIDTH).map(through).collect();
        let best = (0..WIDTH).max_by(|a, b| worth[*a].total_cmp(&worth[*b])).unwrap_or(BAND);
        if worth[best] == f32::NEG_INFINITY {
            let here = self.path.get(boundary).map_or_else(|| self.path[boundary - 1].to, |f| f.from);
            return Placed { seconds: f64::from(here), sure: 0.0 };
        }
        let share = |j: usize| ((worth[j] - worth[best]) / TOLD_AGAIN).exp();
        let near = (0.2 / FRAME) as usize;
        let all: f32 = (0..WIDTH).map(share).sum();
        let close: f32 = (best.saturating_sub(near)..=(best + near).min(WIDTH - 1)).map(share).sum();
        let seconds = (self.bands[boundary] + best as isize) as f64 * FRAME;
        Placed { seconds, sure: close / all }
    }
}
