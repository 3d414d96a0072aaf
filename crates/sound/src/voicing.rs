//! What decides how a string sounds, and the laws of the model that follow from a string's pitch.
//!
//! All figures are ours unless a source is named: starting values, chosen so that the strings sound like those of a harp, never shown as facts.

use crate::error::SoundError;
use crate::samples::Rate;
use harp::ring::RingModel;
use harp::strings::ConcertPitch;
use music::{Pitch, Seconds};

/// The choices for a string's sound.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Voicing {
    /// Default A4 = 440 Hz, equal temperament.
    pub concert: ConcertPitch,
    /// Default 48,000 a second.
    pub rate: Rate,
    /// How long each string rings: the same model that the planner uses.
    pub ring: RingModel,
}

/// B0, the C1 string with its pedal flat, and C8: beyond the strings of any harp.
const MIDI: std::ops::RangeInclusive<i32> = 23..=108;

/// The largest sample of the lowest string, plucked with full strength.
pub(crate) const STRONGEST: f32 = 0.18;

/// The shortest ring of a string that still has a pitch, in seconds.
const SHORTEST: f64 = 0.1;

/// One string at one pitch: what the model needs to know of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct StringFacts {
    pub hertz: f64,
    /// Seconds until the fundamental has fallen by 60 dB: "until nobody hears it", as the ring model has it, said in a figure.
    pub ring: f64,
}

/// The natural logarithm of a thousand: 60 dB.
const SIXTY_DECIBELS: f64 = 6.907_755_278_982_137;

impl StringFacts {
    /// An error where no harp has such a string.
    pub fn of(pitch: Pitch, voicing: &Voicing) -> Result<StringFacts, SoundError> {
        if !MIDI.contains(&pitch.midi()) {
            return Err(SoundError::Pitch(pitch));
        }
        let ring = voicing.ring.time(pitch.position()).as_f64().max(SHORTEST);
        Ok(StringFacts { hertz: voicing.concert.frequency(pitch), ring })
    }

    /// How fast a partial at this frequency dies away, in nepers a second: b1 + b3·f², the sum of air and inner losses that is usual in string models
    /// (Chaigne and Askenfelt 1994 for struck strings; the figures are ours). Higher strings lose relatively more of their overtones.
    pub fn loss(&self, hertz: f64) -> f64 {
        let own = SIXTY_DECIBELS / self.ring;
        let inner = 1.4e-6 * (self.hertz / 65.0).powf(-0.4);
        let most = 0.5 * own / (self.hertz * self.hertz);
        own + inner.min(most) * (hertz * hertz - self.hertz * self.hertz)
    }

    /// Where the string is plucked, as a share of its length: a little below the middle in the bass, nearer the end in the treble (harp players pluck
    /// between a third and the middle; common practice).
    pub fn pluck_place(&self) -> f64 {
        (0.42 - 0.012 * (self.hertz / 32.7).log2()).clamp(0.3, 0.45)
    }

    /// How long the finger takes to let the string go, in seconds: what makes a pluck mellow.
    pub fn release(&self) -> f64 {
        0.000_9 * (32.7 / self.hertz).powf(0.42)
    }

    /// The largest sample of a string plucked with full strength: six such strings at once stay below full scale, and thicker pages are
    /// lowered as a whole ([`crate::Strings::level`]). The treble is a little softer, as on a harp.
    pub fn peak(&self) -> f64 {
        f64::from(STRONGEST) - 0.006 * (self.hertz / 32.7).log2().clamp(0.0, 7.0)
    }
}

/// How fast a finger stops a string: the time in which it falls to 1/e, again and again. Short enough for a stop, long enough for no click.
pub const STOPPING: Seconds = Seconds::from_millis(18);

/// Where a string stands between left (-1) and right (1): low strings a little to the left. The law is that of equal power, the same that a browser's
/// stereo panner has (Web Audio API, StereoPannerNode, one channel in).
pub fn pan(pitch: Pitch) -> f64 {
    (f64::from(pitch.midi()) - 62.0).clamp(-38.0, 38.0) / 38.0 * 0.4
}

/// The factors for left and right.
pub fn sides(pitch: Pitch) -> (f32, f32) {
    let angle = (pan(pitch) + 1.0) / 2.0 * std::f64::consts::FRAC_PI_2;
    (angle.cos() as f32, angle.sin() as f32)
}
