//! A voice that says what comes next, where the system has one: `espeak-ng`, found among the programs of the PATH.
//!
//! It is called with fixed arguments and without a shell, has its words on its standard input, and is ended when it takes too long. Whatever goes wrong with it, a part is not announced and
//! everything else is the same.

use hound::{SampleFormat, WavReader, WavSpec};
use sound::lesson::at_rate;
use sound::{Rate, Samples};
use std::io::{Read, Write};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::channel;
use std::thread;
use std::time::Duration;

/// What the program is called.
const PROGRAM: &str = "espeak-ng";
/// Sound to standard output, text from standard input, a plain English voice, a little slower than its usual 175 words a minute.
const ARGUMENTS: [&str; 5] = ["--stdout", "-v", "en", "-s", "150"];
/// The longest it may take for one sentence.
const PATIENCE: Duration = Duration::from_secs(10);
/// More sound than a minute is no sentence: 16 bits at 22,050 a second.
const MOST_BYTES: u64 = 60 * 22_050 * 2;
/// Samples a second that a voice may have.
const RATES: RangeInclusive<u32> = 4_000..=192_000;
/// How loud the voice is: its peaks reach this.
const PEAK: f32 = 0.5;

/// A voice, or none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Voice {
    program: Option<PathBuf>,
}

impl Voice {
    /// Nobody speaks.
    pub fn none() -> Voice {
        Voice::default()
    }

    /// The system's, by its PATH.
    pub fn of_the_system() -> Voice {
        let path = std::env::var_os("PATH").unwrap_or_default();
        let found =
            std::env::split_paths(&path).filter(|folder| folder.is_absolute()).map(|folder| folder.join(PROGRAM)).find(|p| p.is_file());
        Voice { program: found }
    }

    /// What is said to her of it.
    pub fn in_words(&self) -> String {
        match self.program {
            Some(_) => "A voice says what comes next.".into(),
            None => format!("No voice says what comes next: {PROGRAM} is not on this system."),
        }
    }

    pub fn is_there(&self) -> bool {
        self.program.is_some()
    }

    /// A sentence as sound; `None` where there is no voice or it fails.
    pub fn says(&self, words: &str, rate: Rate) -> Option<Samples> {
        let file = spoken(self.program.as_deref()?, words, PATIENCE)?;
        let (sound, hertz) = read(&file)?;
        let peak = sound.iter().fold(0.0f32, |most, s| most.max(s.abs()));
        let level = if peak > 0.0 { PEAK / peak } else { return None };
        Some(at_rate(&sound.iter().map(|s| s * level).collect::<Vec<_>>(), hertz, rate))
    }
}

/// What the program writes, if it ends well and in time.
fn spoken(program: &Path, words: &str, patience: Duration) -> Option<Vec<u8>> {
    let mut child =
        Command::new(program).args(ARGUMENTS).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().ok()?;
    let answer = answer(&mut child, words, patience);
    // Ended or not: it is gone after this, and leaves nothing behind.
    if answer.is_none() {
        let _ = child.kill();
    }
    let well = child.wait().is_ok_and(|status| status.success());
    answer.filter(|_| well)
}

fn answer(child: &mut Child, words: &str, patience: Duration) -> Option<Vec<u8>> {
    let (mut input, output) = (child.stdin.take()?, child.stdout.take()?);
    let (done, heard) = channel();
    thread::spawn(move || {
        let mut bytes = Vec::new();
        if output.take(MOST_BYTES).read_to_end(&mut bytes).is_ok() {
            let _ = done.send(bytes);
        }
    });
    // A sentence is shorter than any pipe.
    input.write_all(words.as_bytes()).ok()?;
    drop(input);
    heard.recv_timeout(patience).ok()
}

/// The samples of a WAV file of one channel and 16 bits, and its rate. A program that writes to a pipe does not know how long its sound is and says too much: what is there counts.
fn read(file: &[u8]) -> Option<(Vec<f32>, u32)> {
    let file = WavReader::new(file).ok()?;
    let spec = file.spec();
    let expected = WavSpec { channels: 1, bits_per_sample: 16, sample_format: SampleFormat::Int, ..spec };
    let samples = file.into_samples::<i16>().map_while(Result::ok).map(|sample| f32::from(sample) / 32_768.0);
    (spec == expected && RATES.contains(&spec.sample_rate)).then(|| (samples.collect(), spec.sample_rate))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(length: u32) -> Vec<u8> {
        let mut file = b"RIFF\xff\xff\xff\x7fWAVEfmt \x10\0\0\0\x01\0\x01\0".to_vec();
        file.extend(22_050u32.to_le_bytes());
        file.extend(44_100u32.to_le_bytes());
        file.extend([2, 0, 16, 0]);
        file.extend(b"data");
        file.extend(length.to_le_bytes());
        file.extend([0, 0, 0, 0x40, 0, 0xc0]);
        file
    }

    /// The format's own description (RIFF WAVE): 16 bits, two's complement, little-endian. The length is what espeak-ng 1.51 writes to a pipe.
    #[test]
    fn what_a_pipe_says_of_its_length_is_not_believed() {
        for length in [6, 0x7fff_f000] {
            assert_eq!(read(&file(length)), Some((vec![0.0, 0.5, -0.5], 22_050)));
        }
        assert_eq!(read(b"RIFF"), None);
        assert_eq!(read(&file(6)[..30]), None);
    }

    #[test]
    fn without_a_voice_nothing_is_said() {
        assert_eq!(Voice::none().says("Phrase 1.", Rate::default()), None);
        assert!(Voice::none().in_words().contains("espeak-ng is not on this system"));
    }

    /// A program in its place.
    #[cfg(unix)]
    fn voice(folder: &Path, script: &str) -> PathBuf {
        use std::os::unix::fs::PermissionsExt;
        let program = folder.join("voice");
        std::fs::write(&program, format!("#!/bin/sh\n{script}\n")).expect("a program");
        std::fs::set_permissions(&program, std::fs::Permissions::from_mode(0o755)).expect("a program");
        program
    }

    /// One that says nothing, one that says no sound, one that fails.
    #[cfg(unix)]
    #[test]
    fn a_voice_that_fails_is_no_voice() {
        let folder = tempfile::tempdir().expect("a folder");
        for script in ["exit 0", "echo no sound", "exit 3"] {
            let voice = Voice { program: Some(voice(folder.path(), script)) };
            assert_eq!(voice.says("Phrase 1.", Rate::default()), None, "{script}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_voice_that_never_ends_is_ended() {
        let folder = tempfile::tempdir().expect("a folder");
        let program = voice(folder.path(), "exec tail -f /dev/null");
        assert_eq!(spoken(&program, "Phrase 1.", Duration::from_millis(200)), None);
    }
}
