//! A SoundFont of the player's own instead of our strings, through the `rustysynth` library.
//!
//! Each string that is needed is played once with the font's harp and kept; strengths, stops, sides and level are those of [`crate::Strings`], so that the page
//! sounds and clips no differently. The bytes are the player's and may be anything: chunk lengths are checked before the library sees them, and what makes it
//! give up is an error like any other.

use crate::error::SoundError;
use crate::performance::Performance;
use crate::samples::Samples;
use crate::string::{SOUNDING, fade};
use crate::strings::Strings;
use crate::voicing::{STRONGEST, StringFacts, Voicing};
use music::{Pitch, Step};
use rustysynth::{Synthesizer, SynthesizerSettings};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, OnceLock};

/// Orchestral Harp in General MIDI, counted from 0, in bank 0.
const HARP: (i32, i32) = (0, 46);

/// The strength at which every string is played; softer plucks are the same sound, quieter. Ours: fonts are recorded at middling strength.
const VELOCITY: i32 = 96;

/// How much of a string is listened to for its loudness, in seconds: plucked strings are loudest at their beginning.
const BEGINNING: f64 = 0.3;

/// Below this a font counts as silent.
const SILENT: f32 = 1e-4;

/// A font, read once; a copy shares its samples.
#[derive(Clone)]
pub struct SoundFont {
    font: Arc<rustysynth::SoundFont>,
    /// Bank and number of the sound that is used.
    preset: (i32, i32),
    factor: OnceLock<f32>,
}

/// The whole page with a font's harp, or with its first sound where it has none, as stereo samples.
pub fn render(performance: &Performance, font: &[u8], voicing: &Voicing) -> Result<Samples, SoundError> {
    Strings::of_font(performance, voicing, &SoundFont::read(font)?)?.mix(performance)
}

impl SoundFont {
    /// Reads an SF2 file. Errors: no SoundFont, cut short, damaged, or without a sound.
    pub fn read(bytes: &[u8]) -> Result<SoundFont, SoundError> {
        if !bytes.starts_with(b"RIFF") || bytes.get(8..12) != Some(b"sfbk") {
            return Err(SoundError::NoSoundFont);
        }
        whole(&bytes[12..], Depth::Lists).ok_or(SoundError::SoundFontCut)?;
        let font = guarded(|| rustysynth::SoundFont::new(&mut &*bytes))?.map_err(SoundError::SoundFont)?;
        let presets = font.get_presets().iter().map(|p| (p.get_bank_number(), p.get_patch_number()));
        let preset = presets.min_by_key(|p| (*p != HARP, *p)).ok_or(SoundError::SoundFontEmpty)?;
        Ok(SoundFont { font: Arc::new(font), preset, factor: OnceLock::new() })
    }

    /// The name of the sound that is used.
    pub fn sound(&self) -> &str {
        let mut presets = self.font.get_presets().iter();
        presets.find(|p| (p.get_bank_number(), p.get_patch_number()) == self.preset).map_or("", |p| p.get_name())
    }

    /// A string as the font has it, one channel, held and faded as long as the ring model says. Its level is the font's own.
    pub fn string(&self, pitch: Pitch, voicing: &Voicing) -> Result<Samples, SoundError> {
        let facts = StringFacts::of(pitch, voicing)?;
        let length = voicing.rate.count(facts.ring * SOUNDING);
        let (left, right) = guarded(|| self.play(pitch, voicing, length))?;
        let mut sound: Vec<f64> = left.iter().zip(&right).map(|(l, r)| f64::midpoint(f64::from(*l), f64::from(*r))).collect();
        fade(&mut sound);
        let finite = |s: &f64| if s.is_finite() { *s as f32 } else { 0.0 };
        Ok(Samples { rate: voicing.rate, channels: vec![sound.iter().map(finite).collect()] })
    }

    /// What makes the font as loud as our strings: the strongest of its C strings then begins as strong as ours do. It belongs to the font alone, so that a
    /// string sounds the same whatever others are rendered with it. Errors: a damaged font.
    pub(crate) fn factor(&self) -> Result<f32, SoundError> {
        if let Some(known) = self.factor.get() {
            return Ok(*known);
        }
        let voicing = Voicing::default();
        let mut most = 0.0f32;
        for octave in 1..=7 {
            let (left, right) = guarded(|| self.play(Pitch::new(Step::C, 0, octave), &voicing, voicing.rate.count(BEGINNING)))?;
            let both = left.iter().zip(&right).map(|(l, r)| f32::midpoint(*l, *r).abs());
            most = both.filter(|s| s.is_finite()).fold(most, f32::max);
        }
        let factor = if most > SILENT { STRONGEST / most } else { 1.0 };
        Ok(*self.factor.get_or_init(|| factor))
    }

    fn play(&self, pitch: Pitch, voicing: &Voicing, length: usize) -> (Vec<f32>, Vec<f32>) {
        let mut settings = SynthesizerSettings::new(voicing.rate.hertz() as i32);
        settings.enable_reverb_and_chorus = false;
        let mut synthesizer = Synthesizer::new(&self.font, &settings).expect("every rate from 44,100 to 96,000 is allowed");
        let (bank, number) = self.preset;
        synthesizer.process_midi_message(0, 0xb0, 0, bank);
        synthesizer.process_midi_message(0, 0xc0, number, 0);
        tune(&mut synthesizer, voicing);
        synthesizer.note_on(0, pitch.midi(), VELOCITY);
        let (mut left, mut right) = (vec![0.0; length], vec![0.0; length]);
        synthesizer.render(&mut left, &mut right);
        (left, right)
    }
}

/// The concert pitch as registered parameters 1 (fine tuning, 14 bits for a semitone each way) and 2 (coarse tuning) of the MIDI 1.0 specification.
fn tune(synthesizer: &mut Synthesizer, voicing: &Voicing) {
    let a4 = voicing.concert.frequency(Pitch::new(Step::A, 0, 4));
    let semitones = 12.0 * (a4 / 440.0).log2();
    let coarse = semitones.round();
    let fine = (8192.0 + (semitones - coarse) * 8192.0).round() as i32;
    for (parameter, high, low) in [(1, fine >> 7, fine & 127), (2, 64 + coarse as i32, 0)] {
        for (controller, value) in [(0x65, 0), (0x64, parameter), (0x06, high), (0x26, low)] {
            synthesizer.process_midi_message(0, 0xb0, controller, value);
        }
    }
}

/// Runs the library on the player's bytes: where their numbers contradict each other so that it gives up in the middle, that is an error of the file.
fn guarded<T>(run: impl FnOnce() -> T) -> Result<T, SoundError> {
    catch_unwind(AssertUnwindSafe(run)).map_err(|_| SoundError::SoundFontDamaged)
}

/// How deep chunks lie in each other.
#[derive(Clone, Copy)]
enum Depth {
    Lists,
    Chunks,
}

/// Whether every chunk's length fits into what is there (RIFF: four letters, the length in four bytes, lowest first), so that nobody makes room for gigabytes
/// that a damaged length promises. `None` where one does not.
fn whole(mut bytes: &[u8], depth: Depth) -> Option<()> {
    while !bytes.is_empty() {
        let length = u32::from_le_bytes(bytes.get(4..8)?.try_into().ok()?) as usize;
        let inside = bytes.get(8..8usize.checked_add(length)?)?;
        if matches!(depth, Depth::Lists) {
            whole(inside.get(4..)?, Depth::Chunks)?;
        }
        bytes = &bytes[8 + length..];
    }
    Some(())
}
