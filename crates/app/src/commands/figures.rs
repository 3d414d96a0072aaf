//! `undersong figures`: the patterns the left hand can play, what each is, and for whom.

use crate::arguments::FiguresArguments;
use crate::failure::Failure;
use crate::wishes;
use arrange::figures::{Figure, Fits, Part, Stroke};

pub fn run(arguments: &FiguresArguments) -> Result<(), Failure> {
    let figures = wishes::figures(arguments.figures.as_deref())?;
    println!("Numbers are strings counted from the chord's root, 8 the octave; [ ] together, ~ rolled; behind / the length of each in the measure.\n");
    println!("{:<22} {:<6} {:<9} pattern", "figure", "level", "fullness");
    for figure in &figures.all {
        println!("{:<22} {:<6} {:<9} {}{}", figure.name, figure.level, figure.fullness, pattern(figure), duty(figure));
    }
    Ok(())
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
    let kinds = |kinds: &[harmony::kind::KindOfTune]| kinds.iter().map(|k| k.name()).collect::<Vec<_>>().join(", ");
    let mut notes: Vec<String> = Vec::new();
    if !duty.is_empty() {
        notes.push(duty.into());
    }
    if !figure.suits.is_empty() {
        notes.push(format!("for {}", kinds(&figure.suits)));
    }
    if notes.is_empty() { String::new() } else { format!("   {}", notes.join("; ")) }
}
