//! `undersong chords`: the chords of a score that has several voices, measure by measure, with a reason for each on wish.

use crate::arguments::ChordsArguments;
use crate::failure::Failure;
use crate::{read, screen};
use formats::ReadOptions;
use harmony::voices::{FoundChord, Weights, chords};
use music::{Beats, Voices};
use std::path::Path;

pub fn run(arguments: &ChordsArguments) -> Result<(), Failure> {
    let options = ReadOptions { tune: arguments.tune, ..ReadOptions::default() };
    let read = read::voices(&arguments.score, &options)?;
    for line in read::problems(&arguments.score, &read.diagnostics) {
        screen::aside(&line);
    }
    let found = chords(&read.voices, &Weights::ours());
    screen::print(&if arguments.csv { csv(&arguments.score, &found) } else { text(&arguments.score, &read.voices, &found, arguments) })
}

/// One row a chord; times in quarter notes from the start of the score as written.
fn csv(path: &Path, found: &[FoundChord]) -> String {
    let work = path.file_stem().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let work = if work.contains(['"', ',', '\n', '\r']) { format!("\"{}\"", work.replace('"', "\"\"")) } else { work };
    let mut text = String::from("work,onset_quarter,root_pc,quality\n");
    for chord in found {
        text += &format!("{work},{},{},{}\n", chord.start.as_f64(), chord.label.root, chord.label.quality.in_tables());
    }
    text
}

fn text(path: &Path, voices: &Voices, found: &[FoundChord], arguments: &ChordsArguments) -> String {
    let title = voices.words.title.trim();
    let name = if title.is_empty() { path.display().to_string() } else { title.to_owned() };
    let count = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let (measures, lines) = (count(voices.frames.len(), "measure"), count(voices.lines.len(), "voice"));
    let mut text = format!("{name}\n  Read       {measures}, {lines}\n  Chords     {}, as Undersong hears them\n\n", found.len());
    for (measure, frame) in voices.frames.iter().enumerate() {
        let here: Vec<&FoundChord> = found.iter().filter(|c| c.measure == measure).collect();
        if arguments.why {
            for chord in here {
                let reasons: Vec<String> = chord.reasons.iter().map(ToString::to_string).collect();
                let (place, name) = (place(chord.at, frame.meter.beat()), format!("{:#}", chord.chord));
                text += &format!("  {:<5}{place:<10}{name:<9}{}\n", frame.number, reasons.join("; "));
            }
            continue;
        }
        let before = found.iter().rfind(|c| c.measure < measure).filter(|_| here.first().is_none_or(|c| c.at > Beats::ZERO));
        let names = before.map(|c| format!("({:#})", c.chord)).into_iter().chain(here.iter().map(|c| format!("{:#}", c.chord)));
        text += format!("  {:<5}{}", frame.number, names.map(|n| format!("{n:<9}")).collect::<String>()).trim_end();
        text.push('\n');
    }
    text
}

/// "beat 2", "beat 2½": halves have a sign of their own, any other place its fraction of a beat.
fn place(at: Beats, beat: Beats) -> String {
    let whole = at.div_floor(beat);
    match (at - beat * whole).thousandths_of(beat) {
        0 => format!("beat {}", whole + 1),
        500 => format!("beat {}½", whole + 1),
        more => format!("beat {}.{:02}", whole + 1, more / 10),
    }
}
