//! What is heard: for every moment which of the twelve tones sound, and where tones begin.
//!
//! Tones: spectral peaks of a long window, to the nearest of twelve pitch classes after the recording's own tuning was found from the peaks (E. Gómez, Tonal description of
//! music audio signals, 2006). Beginnings: what grows in a short window, against the largest of the neighbouring bins a moment before, so that vibrato is no beginning
//! (S. Böck and G. Widmer, Maximum filter vibrato suppression for onset detection, DAFx 2013), folded to pitch classes (S. Ewert, M. Müller and P. Grosche, High
//! resolution audio synchronization using chroma onset features, ICASSP 2009).

use crate::decode::{RATE, Sound};
use realfft::RealFftPlanner;

/// Samples from one frame to the next.
pub const HOP: usize = 220;
/// Seconds from one frame to the next.
pub const FRAME: f64 = HOP as f64 / RATE as f64;
/// Frames from one look at the tones to the next.
pub const TONES_EVERY: usize = 2;

/// Window for the tones: 0.37 s.
const LONG: usize = 4096;
/// Window for the beginnings: 93 ms.
const SHORT: usize = 1024;
/// Frames between the two spectra whose growth is a beginning.
const LAG: usize = 2;
/// Peaks kept of a spectrum.
const PEAKS: usize = 24;

pub type Tones = [f32; 12];

/// A recording as it is compared with a sheet.
#[derive(Clone, Debug)]
pub struct Heard {
    /// Seconds.
    pub length: f64,
    /// How far the recording's tuning lies from A = 440 Hz, in cents, to the nearest half step.
    pub cents: i32,
    /// Every [`TONES_EVERY`] frames; of length 1, or all zero where nothing sounds.
    pub tones: Vec<Tones>,
    /// Every frame: what begins in each pitch class, about zero in the mean.
    pub begins: Vec<Tones>,
    /// The same over all pitch classes.
    pub any_begins: Vec<f32>,
}

impl Heard {
    pub fn frames(&self) -> usize {
        self.begins.len()
    }
}

/// Listens to a recording once.
pub fn listen(sound: &Sound) -> Heard {
    let frames = sound.samples.len() / HOP;
    let peaks = peaks(&sound.samples, frames);
    let tuning = tuning(&peaks);
    let tones = peaks.iter().map(|peaks| fold(peaks, tuning)).collect();
    let (begins, any_begins) = begins(&sound.samples, frames, tuning);
    Heard { length: sound.samples.len() as f64 / f64::from(RATE), cents: (tuning * 100.0).round() as i32, tones, begins, any_begins }
}

fn hann(length: usize) -> Vec<f32> {
    (0..length).map(|i| 0.5 - 0.5 * (std::f32::consts::TAU * (i as f32 + 0.5) / length as f32).cos()).collect()
}

/// Calls `with` for each frame's spectrum: the magnitudes of a window centred on the frame.
fn spectra(samples: &[f32], length: usize, every: usize, frames: usize, mut with: impl FnMut(&[f32])) {
    let window = hann(length);
    let plan = RealFftPlanner::<f32>::new().plan_fft_forward(length);
    let mut into = plan.make_input_vec();
    let mut out = plan.make_output_vec();
    let mut scratch = plan.make_scratch_vec();
    let mut magnitudes = vec![0.0; out.len()];
    for frame in (0..frames).step_by(every) {
        let begin = (frame * HOP) as isize - length as isize / 2;
        for (i, (x, w)) in into.iter_mut().zip(&window).enumerate() {
            let place = begin + i as isize;
            *x = usize::try_from(place).ok().and_then(|p| samples.get(p)).copied().unwrap_or(0.0) * w;
        }
        if plan.process_with_scratch(&mut into, &mut out, &mut scratch).is_ok() {
            magnitudes.iter_mut().zip(&out).for_each(|(m, c)| *m = (c.re * c.re + c.im * c.im).sqrt());
        }
        with(&magnitudes);
    }
}

/// A spectral peak: pitch in semitones as MIDI counts them, and its weight.
type Peak = (f32, f32);

fn midi(hertz: f32) -> f32 {
    69.0 + 12.0 * (hertz / 440.0).log2()
}

fn peaks(samples: &[f32], frames: usize) -> Vec<Vec<Peak>> {
    let bin = RATE as f32 / LONG as f32;
    let (low, high) = ((75.0 / bin) as usize, (3_000.0 / bin) as usize);
    let mut all: Vec<Vec<Peak>> = Vec::with_capacity(frames / TONES_EVERY + 1);
    let mut loudest = 0.0_f32;
    spectra(samples, LONG, TONES_EVERY, frames, |m| {
        let top = m[low..high].iter().copied().fold(0.0, f32::max);
        loudest = loudest.max(top);
        let mut found: Vec<Peak> = Vec::new();
        for b in low..high {
            if m[b] > m[b - 1] && m[b] >= m[b + 1] && m[b] > top * 0.02 && m[b] > 1e-6 {
                let [before, here, after] = [m[b - 1], m[b], m[b + 1]].map(|x| x.max(1e-9).ln());
                let bend = before - 2.0 * here + after;
                let aside = if bend.abs() > 1e-6 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
                found.push((midi((b as f32 + aside) * bin), m[b]));
            }
        }
        found.sort_by(|a, b| b.1.total_cmp(&a.1));
        found.truncate(PEAKS);
        all.push(found);
    });
    // What is far softer than the loudest is the room.
    for peaks in &mut all {
        peaks.retain(|p| p.1 > loudest * 2e-3);
        peaks.iter_mut().for_each(|p| p.1 = p.1.sqrt());
    }
    all
}

/// In semitones, -0.5 to 0.5: where the peaks of all frames lie beside the half steps, as a mean on a circle.
fn tuning(all: &[Vec<Peak>]) -> f32 {
    let (mut x, mut y) = (0.0_f64, 0.0_f64);
    for (pitch, weight) in all.iter().flatten().filter(|p| (50.0..90.0).contains(&p.0)) {
        let angle = f64::from(pitch.rem_euclid(1.0)) * std::f64::consts::TAU;
        (x, y) = (x + angle.cos() * f64::from(*weight), y + angle.sin() * f64::from(*weight));
    }
    (y.atan2(x) / std::f64::consts::TAU) as f32
}

fn fold(peaks: &[Peak], tuning: f32) -> Tones {
    let mut tones = [0.0_f32; 12];
    for (pitch, weight) in peaks {
        let pitch = pitch - tuning;
        let near = pitch.round();
        for step in [-1.0, 0.0, 1.0] {
            let away = (pitch - near - step) / 0.3;
            tones[(near + step).rem_euclid(12.0) as usize] += weight * (-0.5 * away * away).exp();
        }
    }
    unit(tones)
}

/// The same direction with length 1; nothing stays nothing.
pub fn unit(mut tones: Tones) -> Tones {
    let length = tones.iter().map(|t| t * t).sum::<f32>().sqrt();
    if length > 1e-6 {
        tones.iter_mut().for_each(|t| *t /= length);
    }
    tones
}

fn begins(samples: &[f32], frames: usize, tuning: f32) -> (Vec<Tones>, Vec<f32>) {
    let bin = RATE as f32 / SHORT as f32;
    let (low, high) = ((200.0 / bin) as usize, (4_000.0 / bin) as usize);
    // Each bin belongs to the pitch classes nearest to its middle.
    let class = |b: usize| (midi(b as f32 * bin) - tuning).round().rem_euclid(12.0) as usize;
    let classes: Vec<usize> = (0..high).map(|b| class(b.max(1))).collect();
    let mut level = 0.0_f32;
    spectra(samples, SHORT, 8, frames, |m| level = level.max(m[low..high].iter().copied().fold(0.0, f32::max)));
    let scale = 300.0 / level.max(1e-6);
    let mut before: Vec<Vec<f32>> = Vec::new();
    let mut grown: Vec<Tones> = Vec::with_capacity(frames);
    spectra(samples, SHORT, 1, frames, |m| {
        let now: Vec<f32> = m[..high + 1].iter().map(|x| (x * scale).ln_1p()).collect();
        let mut tones = [0.0_f32; 12];
        if before.len() == LAG {
            let old = &before[0];
            for b in low..high {
                let was = old[b - 1].max(old[b]).max(old[b + 1]);
                tones[classes[b]] += (now[b] - was).max(0.0);
            }
            before.remove(0);
        }
        before.push(now);
        grown.push(tones);
    });
    // What grew from two frames ago to now began in the middle.
    grown.drain(..(LAG / 2).min(grown.len()));
    grown.resize(frames, [0.0; 12]);
    let all: Vec<f32> = grown.iter().map(|t| t.iter().sum()).collect();
    let near = around(&all, 100);
    let floor = 0.25 * all.iter().sum::<f32>() / frames.max(1) as f32 + 1e-3;
    let any: Vec<f32> = all.iter().zip(&near).map(|(a, n)| a / (n + floor) - n / (n + floor)).collect();
    let one: Vec<Tones> = (0..frames).map(|f| grown[f].map(|t| 6.0 * t / (near[f] + floor))).collect();
    let mut centred = one;
    for class in 0..12 {
        let line: Vec<f32> = centred.iter().map(|t| t[class].min(8.0)).collect();
        let mean = around(&line, 100);
        let soft = blurred(&line);
        centred.iter_mut().zip(soft.iter().zip(&mean)).for_each(|(t, (s, m))| t[class] = s - m);
    }
    (centred, blurred(&any))
}

/// The mean of so many frames on both sides.
fn around(line: &[f32], frames: usize) -> Vec<f32> {
    let mut sums = Vec::with_capacity(line.len() + 1);
    sums.push(0.0_f64);
    line.iter().for_each(|x| sums.push(sums[sums.len() - 1] + f64::from(*x)));
    let mean = |i: usize| {
        let (from, to) = (i.saturating_sub(frames), (i + frames + 1).min(line.len()));
        ((sums[to] - sums[from]) / (to - from) as f64) as f32
    };
    (0..line.len()).map(mean).collect()
}

/// A beginning a frame or two early or late is still one.
fn blurred(line: &[f32]) -> Vec<f32> {
    const SHAPE: [f32; 5] = [0.35, 0.8, 1.0, 0.8, 0.35];
    let at = |i: isize| usize::try_from(i).ok().and_then(|i| line.get(i)).copied().unwrap_or(0.0);
    (0..line.len() as isize).map(|i| SHAPE.iter().enumerate().map(|(k, w)| w * at(i + k as isize - 2)).sum::<f32>() / 2.0).collect()
}
