//! `undersong figures`: the patterns the left hand can play, what each is, and for whom.

use crate::arguments::FiguresArguments;
use crate::failure::Failure;
use crate::screen;
use crate::wishes;
use arrange::figures::{Figure, Part};
use desk::report::figures::pattern;

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
