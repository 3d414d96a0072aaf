//! `undersong figures`: the patterns the left hand can play, what each is, and for whom.

use crate::arguments::FiguresArguments;
use crate::failure::Failure;
use crate::screen;
use crate::wishes;
use arrange::figures::{Figure, Fits, Part, Stroke};

const HEAD: &str = "\
A number is a string counted from the chord's root: 5 the fifth, 8 the octave, 10 the tenth. [1 5] is plucked together, ~[1 5 8] rolled.
The fraction in brackets is how long it lasts: (1/4) is a quarter note. Level: 1 is for the first weeks, 7 for advanced players.

";

pub fn run(arguments: &FiguresArguments) -> Result<(), Failure> {
    let figures = wishes::figures(arguments.figures.as_deref())?;
    let mut text = String::from(HEAD);
    text += &format!("{:<22} {:<6} {:<9} pattern\n", "figure", "level", "fullness");
    for figure in &figures.all {
        text += &format!("{:<22} {:<6} {:<9} {}{}\n", figure.name, figure.level, figure.fullness, pattern(figure), duty(figure));
    }
    screen::print(&text)
}

/// The first pattern of a figure, behind its meter.
fn pattern(figure: &Figure) -> String {
    let Some(first) = figure.patterns.first() else { return String::new() };
    let meter = match first.fits {
        Fits::Meter(above, below) => format!("{above}/{below}"),
        Fits::Half => "half a measure".into(),
    };
    let strokes: Vec<String> = first.strokes.iter().map(stroke).collect();
    format!("{meter}: {}", strokes.join(" "))
}

fn stroke(stroke: &Stroke) -> String {
    let rungs: Vec<String> = stroke.rungs.iter().map(u8::to_string).collect();
    let together = match rungs.len() {
        0 => "rest".to_owned(),
        1 => rungs[0].clone(),
        _ => format!("{}[{}]", if stroke.rolled { "~" } else { "" }, rungs.join(" ")),
    };
    format!("{together}({})", crate::wishes::tempo::value(stroke.length))
}

fn duty(figure: &Figure) -> String {
    let duty = match figure.part {
        Part::Ordinary => "",
        Part::Rest => "the hand rests",
        Part::Landing => "at phrase ends",
        Part::Final => "the last chord",
        Part::Drone => "on the tonic through all chords",
    };
    let mut kinds: Vec<&str> = figure.suits.iter().map(|k| k.name()).collect();
    kinds.sort();
    kinds.dedup();
    let mut notes: Vec<String> = Vec::new();
    if !duty.is_empty() {
        notes.push(duty.into());
    }
    if !figure.suits.is_empty() {
        notes.push(format!("for {}", kinds.join(", ")));
    }
    if notes.is_empty() { String::new() } else { format!("   {}", notes.join("; ")) }
}
