//! The sound of a performance: Debian's `fluidsynth` with `timgm6mb-soundfont`, and noise like applause laid over it.

use super::chance::Chance;
use super::midi;
use super::played::{Played, Wanted};
use recording::Sound;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Where the SoundFont lies; `UNDERSONG_OTHER_SOUND` names another.
fn font() -> PathBuf {
    std::env::var_os("UNDERSONG_OTHER_SOUND").map_or_else(|| PathBuf::from("/usr/share/sounds/sf2/TimGM6mb.sf2"), PathBuf::from)
}

/// A MIDI file as WAV.
pub fn wav(midi: &[u8], to: &Path) {
    let file = to.with_extension("mid");
    std::fs::write(&file, midi).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
    let mut synthesizer = Command::new("fluidsynth");
    synthesizer.args(["-ni", "-q", "-r", "22050", "-g", "0.6", "-T", "wav", "-O", "s16", "-F"]).arg(to).arg(font()).arg(&file);
    let ended = synthesizer.stdout(Stdio::null()).stderr(Stdio::null()).status();
    let ended = ended.expect("fluidsynth can be run: scripts/install tests installs it");
    assert!(ended.success() && to.exists(), "fluidsynth makes a sound of {} with {}", file.display(), font().display());
}

/// The sound as the program would read it.
pub fn sound(played: &Played, wanted: &Wanted, chance: &mut Chance) -> Sound {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let file = folder.path().join("played.wav");
    wav(&midi::write(played, wanted), &file);
    let mut sound = recording::open(&file).unwrap_or_else(|e| panic!("{e}"));
    let rate = f64::from(recording::decode::RATE);
    let long = played.applause.iter().map(|a| a.1).fold(0.0, f64::max);
    sound.samples.resize(sound.samples.len().max((long * rate) as usize), 0.0);
    for (from, to) in &played.applause {
        clap(&mut sound.samples[(from * rate) as usize..(to * rate) as usize], chance);
    }
    // The room: about 50 dB below full scale.
    sound.samples.iter_mut().for_each(|s| *s += 0.003 * (chance.share() as f32 - 0.5));
    sound
}

/// Many hands: bursts of noise that die away in some 30 ms.
fn clap(samples: &mut [f32], chance: &mut Chance) {
    let mut level = 0.0_f32;
    for s in samples {
        if chance.share() < 0.002 {
            level += chance.between(0.02, 0.08) as f32;
        }
        *s += level * (2.0 * chance.share() as f32 - 1.0);
        level *= 0.9985;
    }
}
