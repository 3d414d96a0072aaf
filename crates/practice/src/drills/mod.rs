//! Drills: short tasks from the places of a tune that are dearest for her hand.
//!
//! [`places`] finds them by what the fingering asks between one chord and the next; the other files make a task of each. Every drill names measures that are
//! really in the tune, and plays from the page as it stands.

pub mod places;
mod tasks;

use crate::cues::ShapePicture;
use crate::lesson::{Lesson, Verses};
use music::{Beats, MeasureNumber, Place};

/// What is to be said of the drills of a tune, a sentence: why there is none, or why none is about the left hand's chords.
pub fn note(lesson: &Lesson, drills: &[Drill]) -> Option<&'static str> {
    match lesson.below() {
        (below, Verses::All) if !below.is_empty() => Some(
            "On this page the left hand has the melody and the right hand the chords: there is no change of chord for the left hand to drill.",
        ),
        _ if drills.is_empty() => Some("The left hand has nothing to do in this tune: there is nothing to drill."),
        _ => None,
    }
}

/// A task.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    pub kind: Kind,
    /// "G to C: measures 3 and 4".
    pub title: String,
    /// What to do, a step each.
    pub steps: Vec<String>,
    /// The stretch of the page that it is about.
    pub stretch: Stretch,
    /// The printed numbers of the first and the last measure.
    pub numbers: (MeasureNumber, MeasureNumber),
    /// Shapes to look at, in the order of the task.
    pub shapes: Vec<ShapePicture>,
    /// What is called out, and where: figures, "end now".
    pub calls: Vec<Call>,
    /// For a backward chain: where each turn begins, the last beat first.
    pub chain: Vec<Place>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Two chords, placed and let go without a sound, then played.
    Change,
    /// One hand whole, of the other a note more each time.
    AddANote,
    /// The last beat, the last two, and so on to the whole.
    BackwardChain,
    /// A lever as a counted note.
    LeverBeat,
    /// The next figure is called a measure ahead.
    PatternCall,
    /// "End now": the way out lights up.
    Interruption,
    /// A chord symbol: where is its shape?
    FindTheShape,
}

impl Kind {
    pub const ALL: [Kind; 7] =
        [Kind::Change, Kind::AddANote, Kind::BackwardChain, Kind::LeverBeat, Kind::PatternCall, Kind::Interruption, Kind::FindTheShape];

    /// What it is called in files and addresses.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Change => "change",
            Kind::AddANote => "add-a-note",
            Kind::BackwardChain => "backward-chain",
            Kind::LeverBeat => "lever-beat",
            Kind::PatternCall => "pattern-call",
            Kind::Interruption => "end-now",
            Kind::FindTheShape => "find-the-shape",
        }
    }

    pub fn title(self) -> &'static str {
        match self {
            Kind::Change => "Change of chord",
            Kind::AddANote => "Add a note",
            Kind::BackwardChain => "From the end",
            Kind::LeverBeat => "Lever on its beat",
            Kind::PatternCall => "Figures on call",
            Kind::Interruption => "End now",
            Kind::FindTheShape => "Find the shape",
        }
    }
}

/// From a measure of the page through another, by index.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stretch {
    pub first: usize,
    pub last: usize,
}

/// Something that is called while she plays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Call {
    /// When it is called: a measure before it holds.
    pub said: Place,
    /// The measure from which it holds.
    pub holds: usize,
    pub words: String,
}

/// The drills of a lesson, the kinds in their order, the dearest places first.
pub fn drills(lesson: &Lesson) -> Vec<Drill> {
    let dear = places::dear_changes(lesson);
    let mut all = tasks::changes(lesson, &dear);
    all.extend(tasks::add_a_note(lesson, &dear));
    all.extend(tasks::backward_chain(lesson, &dear));
    all.extend(tasks::lever_beats(lesson));
    all.extend(tasks::pattern_call(lesson));
    all.extend(tasks::interruption(lesson));
    all.extend(tasks::find_the_shape(lesson));
    all
}

impl Drill {
    fn new(lesson: &Lesson, kind: Kind, title: String, stretch: Stretch, steps: Vec<String>) -> Drill {
        let numbers = (lesson.number(stretch.first), lesson.number(stretch.last));
        Drill { kind, title, steps, stretch, numbers, shapes: Vec::new(), calls: Vec::new(), chain: Vec::new() }
    }
}

/// "measure 3", "measures 3 and 4", "measures 3 to 6", "the pickup and measure 1".
pub fn measures_in_words(first: MeasureNumber, last: MeasureNumber) -> String {
    if first == last {
        return first.in_words();
    }
    let ours = first.part == last.part && first.count > 0;
    match last.follows(first) {
        true if ours && first.in_the_tune().is_some() => format!("measures {first} and {}", last.count),
        false if ours => format!("measures {first} to {}", last.count),
        true => format!("{} and {}", first.in_words(), last.in_words()),
        false => format!("{} to {}", first.in_words(), last.in_words()),
    }
}

/// The beat of a place, counted from 1 as its meter counts.
pub(crate) fn beat_in_words(lesson: &Lesson, place: Place) -> String {
    let beat = check::finding::beat(&lesson.made.score, place);
    let whole = beat.floor() as i64;
    if (beat - beat.floor()).abs() < 0.01 { format!("beat {whole}") } else { format!("after beat {whole}") }
}

/// A moment that nothing shorter divides.
pub(crate) const START: Beats = Beats::ZERO;
