//! A file of sound as samples of one channel at [`RATE`], through the `symphonia` and `rubato` libraries.
//!
//! Bounded: ordinary files only, so many bytes, so many minutes; what is malformed ends with an error and the second at which it lies.

use crate::error::{MIB, MINUTES, RecordingError};
use rubato::audioadapter_buffers::direct::InterleavedSlice;
use rubato::{Fft, FixedSync, Indexing, Resampler};
use std::fs::File;
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use symphonia::core::codecs::audio::AudioDecoderOptions;
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::core::meta::MetadataOptions;

/// Samples a second of everything that is listened to: notes and their first partials lie below half of it.
pub const RATE: u32 = 11_025;

/// Mono samples at [`RATE`].
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    pub samples: Vec<f32>,
    /// What the recording is called in messages.
    pub name: String,
}

/// Reads a recording that lies on the disk. Errors: no ordinary file, too large, not one of the four kinds, damaged, too long, silent.
pub fn open(path: &Path) -> Result<Sound, RecordingError> {
    let world = |error: std::io::Error| RecordingError::World { path: path.to_owned(), error };
    let checked = |file: &std::fs::Metadata| match file {
        file if !file.is_file() => Err(RecordingError::NoFile(path.to_owned())),
        file if file.len() > MIB * 1024 * 1024 => Err(RecordingError::TooLarge(path.to_owned())),
        _ => Ok(()),
    };
    checked(&std::fs::metadata(path).map_err(world)?)?;
    let file = File::open(path).map_err(world)?;
    // It may have become another one since.
    checked(&file.metadata().map_err(world)?)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    read(Box::new(file), &name)
}

/// The same from bytes in memory.
pub fn bytes(bytes: Vec<u8>, name: &str) -> Result<Sound, RecordingError> {
    read(Box::new(Cursor::new(bytes)), name)
}

fn read(source: Box<dyn MediaSource>, name: &str) -> Result<Sound, RecordingError> {
    // A damaged file may break a promise inside a decoder; that is the file's fault and not the end of the program.
    let samples = catch_unwind(AssertUnwindSafe(|| decode(source, name))).unwrap_or_else(|_| Err(RecordingError::Unknown(name.into())))?;
    if samples.len() < 2 * RATE as usize {
        return Err(RecordingError::TooShort(name.into()));
    }
    if samples.iter().all(|s| s.abs() < 1e-4) {
        return Err(RecordingError::Silent(name.into()));
    }
    Ok(Sound { samples, name: name.into() })
}

fn decode(source: Box<dyn MediaSource>, name: &str) -> Result<Vec<f32>, RecordingError> {
    let unknown = |_: Error| RecordingError::Unknown(name.into());
    let stream = MediaSourceStream::new(source, Default::default());
    let mut hint = Hint::new();
    if let Some((_, ending)) = name.rsplit_once('.') {
        hint.with_extension(ending);
    }
    let mut format =
        symphonia::default::get_probe().probe(&hint, stream, FormatOptions::default(), MetadataOptions::default()).map_err(unknown)?;
    let track = format.default_track(TrackType::Audio).ok_or_else(|| RecordingError::Unknown(name.into()))?;
    let (id, of) = (track.id, track.codec_params.as_ref().and_then(|c| c.audio()));
    let of = of.ok_or_else(|| RecordingError::Unknown(name.into()))?;
    let mut decoder = symphonia::default::get_codecs().make_audio_decoder(of, &AudioDecoderOptions::default()).map_err(unknown)?;
    let mut mono = Mono::default();
    let mut interleaved: Vec<f32> = Vec::new();
    let (mut good, mut bad) = (0_u64, 0_u64);
    loop {
        let packet = match format.next_packet() {
            Ok(Some(packet)) => packet,
            Ok(None) | Err(Error::ResetRequired) => break,
            // A recording that breaks off is used as far as it goes.
            Err(_) if good > 0 => break,
            Err(error) => return Err(mono.damaged(name, &error)),
        };
        if packet.track_id != id {
            continue;
        }
        match decoder.decode(&packet) {
            Ok(sound) => {
                good += 1;
                let (channels, rate) = (sound.spec().channels().count(), sound.spec().rate());
                sound.copy_to_vec_interleaved(&mut interleaved);
                mono.take(&interleaved, channels, rate).map_err(|why| why.of(name, &mono))?;
            }
            Err(Error::DecodeError(why)) => {
                bad += 1;
                if bad > 200 + good {
                    return Err(mono.damaged(name, &Error::DecodeError(why)));
                }
            }
            Err(error) => return Err(mono.damaged(name, &error)),
        }
    }
    mono.finish().map_err(|why| why.of(name, &mono))
}

/// Why samples were not taken.
enum Refused {
    TooLong,
    Rate,
}

impl Refused {
    fn of(self, name: &str, mono: &Mono) -> RecordingError {
        match self {
            Refused::TooLong => RecordingError::TooLong(name.into()),
            Refused::Rate => mono.damaged(name, &Error::Unsupported("its sample rate is unusual or changes")),
        }
    }
}

/// Mixes to one channel and brings to [`RATE`] as the samples come, so that never more than the low rate is kept.
#[derive(Default)]
struct Mono {
    rate: u32,
    resampler: Option<Fft<f32>>,
    waiting: Vec<f32>,
    made: Vec<f32>,
    /// Samples still to be dropped: what the resampler puts before the first.
    late: usize,
    taken: u64,
}

/// The samples that are resampled at once.
const CHUNK: usize = 4096;

impl Mono {
    fn damaged(&self, name: &str, why: &Error) -> RecordingError {
        let second = self.made.len() as u64 / u64::from(RATE);
        RecordingError::Damaged { name: name.into(), second, why: why.to_string() }
    }

    fn take(&mut self, interleaved: &[f32], channels: usize, rate: u32) -> Result<(), Refused> {
        if self.rate == 0 {
            self.begin(rate)?;
        }
        if rate != self.rate || channels == 0 {
            return Err(Refused::Rate);
        }
        let share = 1.0 / channels as f32;
        let one = |frame: &[f32]| frame.iter().map(|s| if s.is_finite() { s.clamp(-8.0, 8.0) } else { 0.0 }).sum::<f32>() * share;
        self.waiting.extend(interleaved.chunks_exact(channels).map(one));
        self.taken += (interleaved.len() / channels) as u64;
        if self.taken > MINUTES * 60 * u64::from(rate) {
            return Err(Refused::TooLong);
        }
        while self.resampler.as_ref().is_some_and(|r| self.waiting.len() >= r.input_frames_next()) {
            self.resample(None)?;
        }
        Ok(())
    }

    fn begin(&mut self, rate: u32) -> Result<(), Refused> {
        if !(4_000..=384_000).contains(&rate) {
            return Err(Refused::Rate);
        }
        self.rate = rate;
        let resampler = Fft::new(rate as usize, RATE as usize, CHUNK, 1, FixedSync::Input).map_err(|_| Refused::Rate)?;
        self.late = resampler.output_delay();
        self.resampler = Some(resampler);
        Ok(())
    }

    /// One chunk of what waits; the last may be a part of one.
    fn resample(&mut self, part: Option<usize>) -> Result<(), Refused> {
        let Some(resampler) = self.resampler.as_mut() else { return Ok(()) };
        let wants = resampler.input_frames_next();
        self.waiting.resize(self.waiting.len().max(wants), 0.0);
        let from = InterleavedSlice::new(&self.waiting[..wants], 1, wants).map_err(|_| Refused::Rate)?;
        let indexing = Indexing { input_offset: 0, output_offset: 0, partial_len: part, active_channels_mask: None };
        let room = resampler.output_frames_next();
        let mut out = vec![0.0_f32; room];
        let mut to = InterleavedSlice::new_mut(&mut out, 1, room).map_err(|_| Refused::Rate)?;
        let (_, made) = resampler.process_into_buffer(&from, &mut to, Some(&indexing)).map_err(|_| Refused::Rate)?;
        self.waiting.drain(..wants);
        let drop = self.late.min(made);
        self.late -= drop;
        self.made.extend_from_slice(&out[drop..made]);
        Ok(())
    }

    fn finish(&mut self) -> Result<Vec<f32>, Refused> {
        let whole = (self.taken * u64::from(RATE) / u64::from(self.rate.max(1))) as usize;
        let mut left = self.waiting.len();
        while self.made.len() < whole && self.resampler.is_some() {
            self.resample(Some(left))?;
            left = 0;
        }
        self.made.truncate(whole);
        Ok(std::mem::take(&mut self.made))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wav(rate: u32, channels: u16, seconds: f32, hertz: f32) -> Vec<u8> {
        let spec = hound::WavSpec { channels, sample_rate: rate, bits_per_sample: 16, sample_format: hound::SampleFormat::Int };
        let mut file = Cursor::new(Vec::new());
        let mut writer = hound::WavWriter::new(&mut file, spec).expect("a heading");
        for i in 0..(rate as f32 * seconds) as u32 {
            let s = (i as f32 / rate as f32 * hertz * std::f32::consts::TAU).sin() * 8_000.0;
            (0..channels).for_each(|_| writer.write_sample(s as i16).expect("a sample"));
        }
        writer.finalize().expect("an end");
        file.into_inner()
    }

    /// Arithmetic: three seconds are three times [`RATE`] samples, and a sine of 440 Hz crosses zero upwards 440 times a second.
    #[test]
    fn length_and_pitch_stay_at_every_rate() {
        for (rate, channels) in [(8_000, 1), (11_025, 1), (22_050, 2), (44_100, 2), (48_000, 1), (96_000, 2)] {
            let sound = bytes(wav(rate, channels, 3.0, 440.0), "a.wav").expect("a recording");
            assert_eq!(sound.samples.len(), 3 * RATE as usize, "{rate}");
            let up = sound.samples.windows(2).filter(|w| w[0] <= 0.0 && w[1] > 0.0).count();
            assert!((1318..=1321).contains(&up), "{rate}: {up}");
            // The first wave stands where it stood: its top a quarter of a period in.
            let top = (0..20).max_by(|a, b| sound.samples[*a].total_cmp(&sound.samples[*b])).expect("samples");
            assert!((5..=7).contains(&top), "{rate}: {top}");
        }
    }

    #[test]
    fn what_is_no_recording_is_said() {
        let says = |b: Vec<u8>| bytes(b, "a.wav").expect_err("it is refused").to_string();
        assert_eq!(says(Vec::new()), "a.wav is no recording that can be read: expected WAV, MP3, FLAC or Ogg Vorbis");
        assert_eq!(says(vec![7; 100_000]), "a.wav is no recording that can be read: expected WAV, MP3, FLAC or Ogg Vorbis");
        assert_eq!(says(wav(22_050, 1, 1.0, 440.0)), "a.wav lasts less than two seconds: expected a whole tune");
        assert_eq!(says(wav(22_050, 1, 3.0, 0.0)), "a.wav is silent from beginning to end: choose another recording");
        let long = wav(4_000, 1, (MINUTES * 60 + 1) as f32, 440.0);
        assert_eq!(says(long), "a.wav lasts longer than 15 minutes, the most that is listened to: cut out the tune");
    }

    #[test]
    fn a_file_that_breaks_off_is_used_as_far_as_it_goes() {
        let mut whole = wav(22_050, 1, 4.0, 440.0);
        whole.truncate(whole.len() * 3 / 4);
        assert!(bytes(whole, "a.wav").is_ok_and(|s| s.samples.len() > 2 * RATE as usize));
    }

    #[cfg(unix)]
    #[test]
    fn only_ordinary_files() {
        let folder = tempfile::tempdir().expect("a folder");
        let pipe = folder.path().join("pipe");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().expect("the system can make pipes").success());
        for path in [pipe.as_path(), Path::new("/dev/zero"), folder.path()] {
            assert!(matches!(open(path), Err(RecordingError::NoFile(_))), "{}", path.display());
        }
    }
}
