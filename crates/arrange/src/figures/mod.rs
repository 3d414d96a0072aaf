//! Figures: what the hand that accompanies does in time, as data.
//!
//! A figure is a texture in a few lines of text that a harpist can read and extend (`data/figures.txt`). [`text`] reads them, with the place of every
//! mistake; [`fit`] fits a pattern to a length of time. Which strings its tones are is the business of [`crate::voicing`] (roles) and
//! [`crate::rungs`] (numbered strings).

pub mod fit;
mod text;

pub use fit::Space;

use harmony::kind::KindOfTune;
use music::{Beats, Hand};
use thiserror::Error;

/// All figures, in the order of their file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figures {
    pub all: Vec<Figure>,
}

/// One accompaniment pattern.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    pub name: String,
    /// The fullness it is typical of, 0 to 6. It never filters.
    pub fullness: u8,
    /// The player's level, 1 to 7.
    pub level: u8,
    /// Lowest and highest position of the bass.
    pub bass: (i32, i32),
    /// The lowest position of everything above the bass.
    pub upper: Option<i32>,
    /// How far the upper string may lie above the bass, in steps counted as intervals are (6 is a sixth); empty where any will do.
    pub intervals: Vec<i32>,
    /// Kinds of tune it belongs to; empty: all equally.
    pub suits: Vec<KindOfTune>,
    pub never: Vec<KindOfTune>,
    pub part: Part,
    /// The hand that plays it: the left, or the right over a melody in the left hand.
    pub hand: Hand,
    /// An ordinary figure that may be the last chord too.
    pub also_final: bool,
    pub patterns: Vec<Pattern>,
    /// How many ways it has at most for one length.
    pub ways: usize,
}

/// The duty a figure has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// An ordinary figure.
    Ordinary,
    Rest,
    /// Ends a phrase and leaves room.
    Landing,
    /// The last chord of the piece.
    Final,
    /// Stays on the tonic through all chords.
    Drone,
}

/// What is plucked in one stretch of time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    pub fits: Fits,
    pub job: Job,
    pub strokes: Vec<Stroke>,
}

/// What a way of playing a figure is for; going from one way to another is no change of figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Job {
    /// Anywhere.
    Plain,
    /// The second measure of a chord that lasts.
    GoesOn,
    /// Under a long note or rest of the tune.
    Held,
    /// Under a busy tune.
    Running,
    /// Into the next phrase.
    Leading,
    /// At the end of a phrase that stays open.
    HalfClose,
    /// At the end of a phrase that closes.
    FullClose,
    /// After the beat, where the tune has the beat and the hand was at a lever.
    Late,
}

impl Job {
    pub const ALL: [Job; 8] = [Job::Plain, Job::GoesOn, Job::Held, Job::Running, Job::Leading, Job::HalfClose, Job::FullClose, Job::Late];

    /// Its word in a figure file; none for the plain way.
    pub fn word(self) -> &'static str {
        match self {
            Job::Plain => "",
            Job::GoesOn => "then",
            Job::Held => "held",
            Job::Running => "running",
            Job::Leading => "leading",
            Job::HalfClose => "half-close",
            Job::FullClose => "full-close",
            Job::Late => "late",
        }
    }
}

/// One tone of a stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tone {
    /// A string counted from the chord's root: 1 3 5 8 10 12 15.
    Rung(u8),
    Bass,
    /// Another tone of the chord near the bass.
    OtherBass,
    Lower,
    Middle,
    Upper,
    /// The tone before a leading one, a step further off: both walk into the next bass.
    Walk,
    /// Leads by step into the next bass.
    Lead,
}

impl Tone {
    /// The letter or number of a figure file.
    pub fn sign(self) -> String {
        match self {
            Tone::Rung(rung) => rung.to_string(),
            Tone::Bass => "b".into(),
            Tone::OtherBass => "o".into(),
            Tone::Lower => "l".into(),
            Tone::Middle => "m".into(),
            Tone::Upper => "u".into(),
            Tone::Walk => "w".into(),
            Tone::Lead => ">".into(),
        }
    }
}

/// The length of time a pattern is written for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fits {
    Meter(u32, u32),
    /// One chord for two quarters.
    Half,
}

/// One pluck of a pattern. No tones: a rest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stroke {
    pub at: Beats,
    pub length: Beats,
    pub tones: Vec<Tone>,
    pub rolled: bool,
}

/// A mistake in a figure file.
#[derive(Debug, Error, PartialEq, Eq)]
#[error("line {line}: {what}")]
pub struct FigureError {
    pub line: usize,
    pub what: String,
}

impl Figures {
    /// The figures that come with the program.
    pub fn own() -> Figures {
        Figures::read(include_str!("../../../../data/figures.txt")).expect("the program's own figures are well written")
    }

    pub fn find(&self, name: &str) -> Option<usize> {
        self.all.iter().position(|f| f.name == name)
    }
}

/// A figure's name as it is said: hyphens between words become spaces, those between rungs stay (broken 1-5-8).
pub(crate) fn spaced(name: &str) -> String {
    let parts: Vec<&str> = name.split('-').collect();
    let number = |part: &str| part.chars().all(|c| c.is_ascii_digit());
    let mut said = parts[0].to_owned();
    for pair in parts.windows(2) {
        said.push(if number(pair[0]) && number(pair[1]) { '-' } else { ' ' });
        said.push_str(pair[1]);
    }
    said
}
