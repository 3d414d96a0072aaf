//! A sheet written down in ABC (standard 2.1): our own melody, in a form that everything else of the program reads.

use super::Sheet;
use super::chords::second_chord;
use super::melody::Tone;
use super::rhythm::Meter;
use music::{Key, Mode, Pitch, PitchName, Step};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Measures in a line.
const IN_A_LINE: usize = 4;

impl Sheet {
    /// The sheet as a tune.
    pub fn abc(&self) -> String {
        let unit = if self.meter == Meter::SixEight { "3/8" } else { "1/4" };
        let mut out = format!(
            "X:{}\nT:{}\nC:Undersong\nM:{}\nL:1/8\nQ:{unit}={}\nK:{}\n",
            self.number,
            self.title,
            self.meter.text(),
            self.tempo,
            key_field(&self.key)
        );
        if !self.pickup.is_empty() {
            out += &self.line(&self.pickup, self.meter.length() - self.pickup.iter().map(|t| t.length).sum::<u32>(), &[]);
            out += " | ";
        }
        let last = self.measures.len() - 1;
        for (measure, tones) in self.measures.iter().enumerate() {
            let chords: Vec<(u32, String)> = [0, second_chord(self.meter)]
                .into_iter()
                .zip(&self.chords[measure])
                .map(|(at, h)| (at, symbol(&h.chord(&self.key))))
                .collect();
            out += &self.line(tones, 0, &chords);
            out += match measure {
                m if m == last => " |]\n",
                m if m % IN_A_LINE == IN_A_LINE - 1 => " |\n",
                _ => " | ",
            };
        }
        out
    }

    /// The notes of a measure that begins at `from`, beamed by the beat.
    fn line(&self, tones: &[Tone], from: u32, chords: &[(u32, String)]) -> String {
        let mut out = String::new();
        let mut known: BTreeMap<i32, i32> = BTreeMap::new();
        let mut at = from;
        for (index, tone) in tones.iter().enumerate() {
            if index > 0 && at.is_multiple_of(self.meter.beat()) {
                out.push(' ');
            }
            if let Some((_, symbol)) = chords.iter().find(|(place, _)| *place == at) {
                let _ = write!(out, "\"{symbol}\"");
            }
            let pitch = self.pitch(tone);
            let usual = known.get(&pitch.position()).copied().unwrap_or_else(|| self.key.alter(pitch.step));
            if pitch.alter != usual {
                out += match pitch.alter {
                    -1 => "_",
                    1 => "^",
                    2 => "^^",
                    _ => "=",
                };
                known.insert(pitch.position(), pitch.alter);
            }
            out += &note(pitch);
            out += &length(tone.length);
            at += tone.length;
        }
        out
    }

    /// The pitch of a note: the tonic lies from F4 (in the small ranges of the first levels) or G4 upwards, so that the left hand has room below.
    pub fn pitch(&self, tone: &Tone) -> Pitch {
        let lowest = if self.level <= 2 { Step::F } else { Step::G };
        let tonic = Pitch::new(lowest, 0, 4).position() + (self.key.tonic().step.index() - lowest.index()).rem_euclid(7);
        let plain = Pitch::at_position(tonic + tone.step, 0);
        Pitch { alter: self.key.alter(plain.step) + i32::from(tone.raised), ..plain }
    }
}

fn key_field(key: &Key) -> String {
    let mode = match key.mode {
        Mode::Minor => "m",
        Mode::Dorian => " dor",
        Mode::Mixolydian => " mix",
        _ => "",
    };
    format!("{}{mode}", key.tonic())
}

fn symbol(chord: &music::Chord) -> String {
    let root: PitchName = chord.root;
    format!("{root}{}", music::chord::kind_suffix(chord.kind))
}

/// ABC 2.1, 4.1: C is the note below the treble staff's first line, c the octave above; commas and apostrophes go on from there.
fn note(pitch: Pitch) -> String {
    let letter = pitch.step.letter();
    match pitch.octave {
        5.. => format!("{}{}", letter.to_ascii_lowercase(), "'".repeat((pitch.octave - 5) as usize)),
        octave => format!("{letter}{}", ",".repeat((4 - octave).max(0) as usize)),
    }
}

/// Sixteenths in units of an eighth.
fn length(sixteenths: u32) -> String {
    match sixteenths {
        1 => "/".into(),
        2 => String::new(),
        even if even % 2 == 0 => (even / 2).to_string(),
        odd => format!("{odd}/2"),
    }
}
