//! `undersong figures`: the patterns the left hand can play, what each is, and for whom.

use crate::arguments::FiguresArguments;
use crate::failure::Failure;
use crate::screen;
use crate::wishes;
use arrange::figures::{Figure, Part};
use desk::report::figures::pattern;

const HEAD: &str = "\
What is plucked: b the bass, o another tone of the chord near it, l m u the lower, middle and upper string of the shape above the bass, > a tone that leads
into the next phrase; a number is a string counted from the chord's root. [l u] is plucked together, ~[b l u] rolled, z is a rest.
The fraction in brackets is how long it lasts: (1/4) is a quarter note. Level: 1 is for the first weeks, 7 for advanced players.
Shown is the plain way; most figures have others for a long note, a busy melody and a phrase end.

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
