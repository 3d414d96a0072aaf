//! All strings that a performance needs, rendered once each, and their plucks laid over each other.
//!
//! The model is linear, so a page is the sum of its single strings: each pluck is its string's samples times its strength, faded where a finger stops it. The
//! level is known beforehand from the strings' envelopes ([`Strings::level`]): nothing is limited and nothing clips until a whole page is made louder ([`Strings::file`]). Work is shared between threads so that
//! every sample is added up in the same order whatever their number.

use crate::error::SoundError;
use crate::loudness::{BEYOND, LEVEL, finished};
use crate::performance::{Performance, Pluck};
use crate::samples::{Rate, Samples};
use crate::soundfont::SoundFont;
use crate::string::string;
use crate::voicing::{STOPPING, Voicing, sides};
use music::Pitch;
use std::collections::{BTreeMap, BTreeSet};
use std::num::NonZero;
use std::sync::Arc;
use std::thread;

/// The longest performance that is rendered, in minutes: 700 megabytes.
const LONGEST: i64 = 30;

/// The level below which every sample stays.
pub(crate) const CEILING: f32 = 0.97;

/// Samples in one step of an envelope.
const STEP: usize = 960;

/// The whole page as stereo samples: [`Strings::of`] and [`Strings::mix`].
pub fn render(performance: &Performance, voicing: &Voicing) -> Result<Samples, SoundError> {
    Strings::of(performance, voicing)?.mix(performance)
}

/// Rendered strings, for any performance that uses no others; another tempo or one hand needs no rendering anew. A copy shares what is rendered.
#[derive(Clone)]
pub struct Strings {
    voicing: Voicing,
    /// Where they sound from; our own model where there is none.
    font: Option<SoundFont>,
    strings: BTreeMap<Pitch, Arc<Rendered>>,
}

struct Rendered {
    sound: Vec<f32>,
    /// For each step, the largest sample from there on.
    envelope: Vec<f32>,
    /// The sum of the squares of all samples before each step, and of all.
    energy: Vec<f64>,
}

impl Rendered {
    fn new(sound: Vec<f32>) -> Rendered {
        let mut most = 0.0f32;
        let mut envelope: Vec<f32> = sound
            .chunks(STEP)
            .rev()
            .map(|step| {
                most = step.iter().fold(most, |m, s| m.max(s.abs()));
                most
            })
            .collect();
        envelope.reverse();
        let mut sum = 0.0;
        let steps = sound.chunks(STEP).map(|step| {
            sum += step.iter().map(|s| f64::from(*s).powi(2)).sum::<f64>();
            sum
        });
        let energy = std::iter::once(0.0).chain(steps).collect();
        Rendered { sound, envelope, energy }
    }
}

/// Renders strings on all cores.
fn rendered(
    pitches: &[Pitch],
    string: &(dyn Fn(Pitch) -> Result<Vec<f32>, SoundError> + Sync),
) -> Result<BTreeMap<Pitch, Arc<Rendered>>, SoundError> {
    let threads = threads();
    // Low strings take longest: dealt out like cards, every thread gets its share of them.
    let share = |first: usize| -> Result<Vec<(Pitch, Arc<Rendered>)>, SoundError> {
        let rendered = |pitch: &Pitch| Ok((*pitch, Arc::new(Rendered::new(string(*pitch)?))));
        pitches.iter().skip(first).step_by(threads).map(rendered).collect()
    };
    let shares: Vec<_> = thread::scope(|scope| {
        let share = &share;
        let running: Vec<_> = (0..threads.min(pitches.len())).map(|first| scope.spawn(move || share(first))).collect();
        running.into_iter().map(|r| r.join().expect("rendering a string does not panic")).collect()
    });
    let mut strings = BTreeMap::new();
    for share in shares {
        strings.extend(share?);
    }
    Ok(strings)
}

fn threads() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get)
}

/// The one channel of a string.
fn single(mut samples: Samples) -> Vec<f32> {
    samples.channels.swap_remove(0)
}

impl Strings {
    /// No strings yet, of our own model.
    pub fn own(voicing: &Voicing) -> Strings {
        Strings { voicing: voicing.clone(), font: None, strings: BTreeMap::new() }
    }

    /// No strings yet, of a SoundFont, as loud as ours.
    pub fn font(voicing: &Voicing, font: &SoundFont) -> Strings {
        Strings { font: Some(font.clone()), ..Strings::own(voicing) }
    }

    /// Renders each string of the performance once. Errors: a pitch that is on no harp.
    pub fn of(performance: &Performance, voicing: &Voicing) -> Result<Strings, SoundError> {
        Strings::own(voicing).with(&performance.strings())
    }

    /// The same with the strings of a SoundFont. Errors: a pitch that is on no harp, a damaged font.
    pub fn of_font(performance: &Performance, voicing: &Voicing, font: &SoundFont) -> Result<Strings, SoundError> {
        Strings::font(voicing, font).with(&performance.strings())
    }

    /// These strings and the others that are wanted; only the others are rendered, and each sounds as if all had been rendered together.
    pub fn with(&self, wanted: &BTreeSet<Pitch>) -> Result<Strings, SoundError> {
        let new: Vec<Pitch> = wanted.iter().copied().filter(|pitch| !self.strings.contains_key(pitch)).collect();
        let found = match &self.font {
            None => rendered(&new, &|pitch| Ok(single(string(pitch, &self.voicing)?))),
            Some(font) => {
                let factor = font.factor()?;
                rendered(&new, &|pitch| {
                    let mut sound = single(font.string(pitch, &self.voicing)?);
                    sound.iter_mut().for_each(|s| *s *= factor);
                    Ok(sound)
                })
            }
        }?;
        let mut all = self.clone();
        all.strings.extend(found);
        Ok(all)
    }

    /// Of these strings those that are wanted.
    pub fn only(&self, wanted: &BTreeSet<Pitch>) -> Strings {
        let strings = self.strings.iter().filter(|(pitch, _)| wanted.contains(pitch)).map(|(pitch, string)| (*pitch, string.clone()));
        Strings { voicing: self.voicing.clone(), font: self.font.clone(), strings: strings.collect() }
    }

    /// How many strings there are.
    pub fn count(&self) -> usize {
        self.strings.len()
    }

    /// One string's samples, one channel, for a page that schedules single strings; `None` for one that was not rendered.
    pub fn sound(&self, pitch: Pitch) -> Option<&[f32]> {
        self.strings.get(&pitch).map(|s| s.sound.as_slice())
    }

    /// The factor for all plucks with which no sample can reach full scale: 1 for all but very thick pages.
    pub fn level(&self, performance: &Performance) -> f32 {
        let most = self.bound(performance);
        if most > CEILING { CEILING / most } else { 1.0 }
    }

    /// The factor for all plucks with which the page is as loud as a file of it, for a page that schedules single strings and has a limiter of its own. The
    /// energies of the plucks are added: strings swing without regard to each other.
    pub fn loud(&self, performance: &Performance) -> f32 {
        let energy = |pluck: &Pluck| {
            let rendered = self.strings.get(&pluck.pitch)?;
            let steps = pluck.stopped.map_or(usize::MAX, |stop| self.voicing.rate.index(stop - pluck.at) / STEP);
            Some(rendered.energy[steps.min(rendered.energy.len() - 1)] * f64::from(pluck.strength.gain()).powi(2))
        };
        let all: f64 = performance.plucks.iter().filter_map(energy).sum();
        let count = 2 * self.voicing.rate.index(performance.end).max(1);
        let mean = (all / count as f64).sqrt();
        if mean == 0.0 {
            return 1.0;
        }
        (LEVEL / mean).min(BEYOND * f64::from(CEILING / self.bound(performance))) as f32
    }

    /// The largest sample that could come about if all strings swung together: the largest sum of their envelopes.
    fn bound(&self, performance: &Performance) -> f32 {
        let mut sums: Vec<f32> = Vec::new();
        for pluck in &performance.plucks {
            let Some(rendered) = self.strings.get(&pluck.pitch) else { continue };
            let (from, gain) = (self.voicing.rate.index(pluck.at), pluck.strength.gain());
            let stopped = pluck.stopped.map_or(usize::MAX, |stop| self.voicing.rate.index(stop));
            let first = from / STEP;
            for step in first..first + rendered.envelope.len() + 1 {
                let here = step * STEP;
                let heard = rendered.envelope.get(here.saturating_sub(from) / STEP).map_or(0.0, |e| e * gain);
                let faded =
                    here.checked_sub(stopped).map_or(1.0, |since| (-(since as f32) / stopping_samples(self.voicing.rate) as f32).exp());
                if faded < 1e-6 {
                    break;
                }
                if sums.len() <= step {
                    sums.resize(step + 1, 0.0);
                }
                sums[step] += heard * faded;
            }
        }
        sums.into_iter().fold(0.0f32, f32::max)
    }

    /// The page as a file of its own: half a second of silence, then [`Strings::mix`] as loud as other music ([`crate::loudness`]). Errors: those of the mix.
    pub fn file(&self, performance: &Performance) -> Result<Samples, SoundError> {
        Ok(finished(self.mix(performance)?))
    }

    /// The performance as stereo samples, from its beginning to the end of the last ring. Errors: longer than half an hour. Strings that were not rendered are
    /// not heard.
    pub fn mix(&self, performance: &Performance) -> Result<Samples, SoundError> {
        let minutes = performance.end.micros() / 60_000_000;
        if minutes >= LONGEST {
            return Err(SoundError::TooLong(minutes, LONGEST));
        }
        let level = self.level(performance);
        let voices: Vec<Voice> = performance.plucks.iter().filter_map(|p| self.voice(p, level)).collect();
        let length = voices.iter().map(|v| v.from + v.sound.len()).max().unwrap_or(0).max(self.voicing.rate.index(performance.end));
        let (mut left, mut right) = (vec![0.0f32; length], vec![0.0f32; length]);
        let stretch = length.div_ceil(threads()).max(1);
        let (voices, fade) = (&voices, &fade(self.voicing.rate));
        thread::scope(|scope| {
            for (i, (left, right)) in left.chunks_mut(stretch).zip(right.chunks_mut(stretch)).enumerate() {
                scope.spawn(move || voices.iter().for_each(|v| v.add(i * stretch, left, right, fade)));
            }
        });
        Ok(Samples { rate: self.voicing.rate, channels: vec![left, right] })
    }

    fn voice(&self, pluck: &Pluck, level: f32) -> Option<Voice<'_>> {
        let sound = self.strings.get(&pluck.pitch)?.sound.as_slice();
        let from = self.voicing.rate.index(pluck.at);
        let stop = pluck.stopped.map_or(sound.len(), |stop| self.voicing.rate.index(stop).saturating_sub(from).min(sound.len()));
        let (left, right) = sides(pluck.pitch);
        let gain = pluck.strength.gain() * level;
        Some(Voice { sound, from, stop, left: left * gain, right: right * gain })
    }
}

fn stopping_samples(rate: Rate) -> f64 {
    STOPPING.as_f64() * rate.as_f64()
}

/// How a stopped string falls silent: to 1/e again and again, ten times over, the last of them down to nothing.
fn fade(rate: Rate) -> Vec<f32> {
    let tenth = stopping_samples(rate);
    let length = (10.0 * tenth).ceil() as usize;
    (0..length).map(|i| ((-(i as f64) / tenth).exp() * ((length - i) as f64 / tenth).min(1.0)) as f32).collect()
}

/// One pluck, ready to be added.
struct Voice<'a> {
    sound: &'a [f32],
    /// The sample at which it begins, and after how many of its own samples it is stopped.
    from: usize,
    stop: usize,
    left: f32,
    right: f32,
}

impl Voice<'_> {
    /// Adds what falls into a stretch of both channels that begins at sample `start`.
    fn add(&self, start: usize, left: &mut [f32], right: &mut [f32], fade: &[f32]) {
        self.add_open(start, left, right);
        let faded = self.stop..(self.stop + fade.len()).min(self.sound.len());
        let Some((here, there)) = self.overlap(start, left.len(), faded) else { return };
        let fade = &fade[there.start - self.stop..];
        let pairs = left[here.clone()].iter_mut().zip(&mut right[here]);
        for (((l, r), s), f) in pairs.zip(&self.sound[there]).zip(fade) {
            *l += s * f * self.left;
            *r += s * f * self.right;
        }
    }

    fn add_open(&self, start: usize, left: &mut [f32], right: &mut [f32]) {
        let Some((here, there)) = self.overlap(start, left.len(), 0..self.stop) else { return };
        let pairs = left[here.clone()].iter_mut().zip(&mut right[here]);
        for ((l, r), s) in pairs.zip(&self.sound[there]) {
            *l += s * self.left;
            *r += s * self.right;
        }
    }

    /// The part of the string's samples in `own` that falls into a stretch: as indices of the stretch and of the string.
    fn overlap(
        &self,
        start: usize,
        length: usize,
        own: std::ops::Range<usize>,
    ) -> Option<(std::ops::Range<usize>, std::ops::Range<usize>)> {
        let from = (self.from + own.start).max(start);
        let to = (self.from + own.end).min(start + length);
        (from < to).then(|| (from - start..to - start, from - self.from..to - self.from))
    }
}
