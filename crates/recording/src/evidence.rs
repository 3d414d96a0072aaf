//! How well each sound of the sheet fits each moment of the recording, as sums that give any stretch at once.
//!
//! A sound counts by how much better it fits than the sheet's sounds fit on the whole: applause and speech, which fit all alike, count nothing, and so does what lies
//! before and after the tune. Units are natural logarithms.

use crate::course::{Course, Unit};
use crate::hear::{FRAME, Heard, TONES_EVERY, Tones};

/// How sharply a better likeness counts. Fitted on `outside`'s recordings.
const SHARP: f32 = 9.0;
/// What a second of the right sound is worth beside the sharpness. Fitted likewise.
const A_SECOND: f32 = 5.0;
/// What a note that begins where it should is worth. Fitted likewise.
const BEGINS: f32 = 0.5;
const ANY_BEGINS: f32 = 0.15;
/// What the right sound is better by on the whole; only what is above it speaks for the tune, so that it is not played through silence or applause.
const USUAL: f32 = 0.35;
/// The least that one moment counts: a wrong note is no proof.
const LEAST: f32 = -2.0;

/// Seconds from one look at the tones to the next.
pub const LOOK: f64 = FRAME * TONES_EVERY as f64;

pub struct Evidence<'a> {
    heard: &'a Heard,
    shift: usize,
    looks: usize,
    /// For each sound the sum of all looks before each look.
    sums: Vec<Vec<f32>>,
}

impl<'a> Evidence<'a> {
    /// `shift`: by how many semitones the recording sounds above the sheet.
    pub fn of(course: &Course, heard: &'a Heard, shift: i32) -> Evidence<'a> {
        let shift = shift.rem_euclid(12) as usize;
        let looks = heard.tones.len();
        let mut sums = vec![Vec::with_capacity(looks + 1); course.sounds.len()];
        sums.iter_mut().for_each(|s| s.push(0.0));
        let mut fits = vec![0.0_f32; course.sounds.len()];
        for tones in &heard.tones {
            let moved: Tones = std::array::from_fn(|i| tones[(i + shift) % 12]);
            let like = |a: &Tones| a.iter().zip(&moved).map(|(x, y)| x * y).sum::<f32>();
            fits.iter_mut().zip(&course.sounds).for_each(|(f, s)| *f = SHARP * like(&s[0]).max(like(&s[1])));
            let top = fits.iter().copied().fold(f32::MIN, f32::max);
            let all = fits.iter().zip(&course.shares).map(|(f, s)| s * (f - top).exp()).sum::<f32>().max(1e-9).ln() + top;
            for (sum, fit) in sums.iter_mut().zip(&fits) {
                let before = sum[sum.len() - 1];
                sum.push(before + ((fit - all).max(LEAST) - USUAL) * A_SECOND * LOOK as f32);
            }
        }
        Evidence { heard, shift, looks, sums }
    }

    fn sum(&self, sound: usize, seconds: f32) -> f32 {
        let place = (seconds / LOOK as f32 + 0.5).clamp(0.0, self.looks as f32);
        let (whole, part) = (place as usize, place.fract());
        let sums = &self.sums[sound];
        let next = sums[(whole + 1).min(self.looks)];
        sums[whole] + part * (next - sums[whole])
    }

    /// What the tones say for a unit from one second to another.
    pub fn tones(&self, unit: &Unit, from: f32, to: f32) -> f32 {
        let long = to - from;
        unit.pieces.iter().map(|p| self.sum(p.sound, from + p.to * long) - self.sum(p.sound, from + p.from * long)).sum()
    }

    /// The same with the notes that begin.
    pub fn all(&self, unit: &Unit, from: f32, to: f32) -> f32 {
        let begins = |share: f32, class: usize| {
            let frame = ((from + share * (to - from)) / FRAME as f32).round() as usize;
            let Some(here) = self.heard.begins.get(frame) else { return 0.0 };
            BEGINS * here[(class + self.shift) % 12] + ANY_BEGINS * self.heard.any_begins[frame]
        };
        self.tones(unit, from, to) + unit.onsets.iter().map(|o| o.weight * begins(o.at, o.class)).sum::<f32>()
    }
}
