//! One string of our own model, plucked once.
//!
//! A loop of one delay (`resonance`) is fed with one period of the force at the bridge of a plucked string (`excitation`); a second, weaker loop is the
//! string's other direction of swing. The octaves and the twelfth ring along (`sympathy`), and the sound passes the soundboard (`body`). Method:
//! Karplus and Strong 1983, Jaffe and Smith 1983; Smith 1993 for taking pluck and body into the feed.

mod resonance;
mod excitation;
mod sympathy;
mod body;

use crate::error::SoundError;
use crate::samples::Samples;
use crate::voicing::{StringFacts, Voicing};
use music::Pitch;
use resonance::Resonance;

/// The string goes on for this share of its ring time, to 72 dB below its beginning, and fades over the last tenth.
pub(crate) const SOUNDING: f64 = 1.2;

/// The string's other direction of swing: its strength, how much faster it dies away, how much sharper it is.
const CROSSWISE: (f64, f64, f64) = (0.25, 1.6, 1.000_6);

/// A string plucked with full strength and left alone: one channel, ending in silence. The letter and octave of the pitch name the string, which has its
/// ring time whatever its accidental. Errors: a pitch that is on no harp.
pub fn string(pitch: Pitch, voicing: &Voicing) -> Result<Samples, SoundError> {
    let facts = StringFacts::of(pitch, voicing)?;
    let rate = voicing.rate;
    let length = rate.count(facts.ring * SOUNDING).max(rate.count(0.05));
    let pluck = excitation::pluck(&facts, rate);
    let mut sound = Resonance::design(facts.hertz, rate, &|hertz| facts.loss(hertz)).ring(&pluck, length);
    let (strength, faster, sharper) = CROSSWISE;
    let crosswise = Resonance::design(facts.hertz * sharper, rate, &|hertz| facts.loss(hertz) * faster).ring(&pluck, length);
    for (s, c) in sound.iter_mut().zip(&crosswise) {
        *s += strength * c;
    }
    sympathy::ring_along(&mut sound, pitch, voicing);
    body::through(&mut sound, rate);
    fade(&mut sound);
    scale(&mut sound, facts.peak());
    Ok(Samples { rate, channels: vec![sound.iter().map(|s| *s as f32).collect()] })
}

/// The last tenth falls to nothing along half a cosine.
pub(crate) fn fade(sound: &mut [f64]) {
    let over = sound.len() / 10;
    let from = sound.len() - over;
    for (i, s) in sound[from..].iter_mut().enumerate() {
        *s *= 0.5 + 0.5 * (std::f64::consts::PI * (i as f64 + 1.0) / over as f64).cos();
    }
}

fn scale(sound: &mut [f64], peak: f64) {
    let most = sound.iter().fold(0.0f64, |most, s| most.max(s.abs()));
    if most > 0.0 {
        let factor = peak / most;
        sound.iter_mut().for_each(|s| *s *= factor);
    }
}
