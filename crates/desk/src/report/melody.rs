//! Verses whose melody the left hand plays: in a line of the report, and why it does not, with what would help.

use super::remarks::in_measures;
use crate::job::Job;
use crate::reader::Reader;
use crate::wishes::tempo;
use arrange::below::{Help, Refused};
use harp::fingering::alone::Why;
use music::Seconds;

/// "verse 2: the melody, an octave lower, and chords above it in the right hand", for each such verse.
pub fn lines(job: &Job) -> Vec<String> {
    let arrangement = &job.arrangement;
    let several = arrangement.fullness.len() > 1;
    let line = |(verse, octaves): (&usize, &i32)| {
        let lead = if several { format!("verse {}: ", verse + 1) } else { String::new() };
        let place = match octaves {
            0 => "where it is written",
            -1 => "an octave lower",
            -2 => "two octaves lower",
            1 => "an octave higher",
            _ => "three octaves lower",
        };
        format!("{lead}the melody, {place}, and chords above it in the right hand")
    };
    arrangement.tune.below.iter().map(line).collect()
}

/// "verse 2", "verses 2 and 3"; counted from 0.
pub fn of_verses(verses: &[usize]) -> String {
    let named: Vec<String> = verses.iter().map(|v| (v + 1).to_string()).collect();
    match named.as_slice() {
        [one] => format!("verse {one}"),
        [first @ .., last] => format!("verses {} and {last}", first.join(", ")),
        [] => "no verse".into(),
    }
}

/// The whole sentence.
pub fn stays(verses: &[usize], why: &Refused, reader: Reader) -> String {
    let lead = format!("The melody of {} stays in the right hand", of_verses(verses));
    match why {
        Refused::NoOctave { strings, harp } => {
            format!(
                "{lead}: with chords above it the melody wants {strings} strings, and in no octave does this harp with its {harp} have them."
            )
        }
        Refused::Hand { first, places, why, help } => {
            let more = match places - 1 {
                0 => String::new(),
                1 => ", and at one more place".into(),
                n => format!(", and at {n} more places"),
            };
            format!(
                "{lead}: the left hand alone cannot play it, first in {}{more}: {}.{}",
                first.in_words(),
                hindrance(*why),
                helps(help, reader)
            )
        }
        Refused::Levers { measures, help } => {
            format!(
                "{lead}: with the left hand at the melody there is no time to set the harp for {}.{}",
                in_measures(measures),
                helps(help, reader)
            )
        }
    }
}

fn hindrance(why: Why) -> String {
    let times = |time: Seconds, wanted: Seconds| format!("{} s, and it wants {} s", hundredths(time), hundredths(wanted));
    match why {
        Why::Hand(limit) => limit.to_string(),
        Why::Placing { time, wanted } => format!("it has to be placed anew in {}", times(time, wanted)),
        Why::Run { time, wanted } => format!("plucks follow each other after {}", times(time, wanted)),
        Why::String { time, wanted } => format!("a string is plucked again after {}", times(time, wanted)),
    }
}

fn hundredths(time: Seconds) -> String {
    format!("{:.2}", time.micros() as f64 / 1e6)
}

fn helps(help: &[Help], reader: Reader) -> String {
    let one = |help: &Help| match help {
        Help::Slower(slower) => format!("at {} it can", tempo::in_words(*slower)),
        Help::Fluency(fluency) => format!("an {} player's hand can", fluency.name()).replace("an fluent", "a fluent"),
        Help::LeversRight => reader
            .either(
                "with the right hand at the levers it goes (levers = \"right\" in the player's file)",
                "with the right hand at the levers it goes",
            )
            .into(),
        Help::AnotherKey => {
            reader.either("in another key it may (undersong keys)", "in another key it may (the keys are under Whole tune)").into()
        }
    };
    let all: Vec<String> = help.iter().map(one).collect();
    if all.is_empty() {
        return String::new();
    }
    let text = all.join("; ");
    format!(" {}.", text[..1].to_uppercase() + &text[1..])
}
