//! A change in words: what to do, and what it does to the music.

use super::{Change, Role};
use music::{Beats, Hand, Interval, Mark, Tempo};

impl Change {
    /// What to do, in words.
    pub fn say(&self) -> String {
        match self {
            Change::Roll { .. } => "roll the chord from the bottom".into(),
            Change::LeaveOut { pitch, .. } => format!("leave out {pitch:#}"),
            Change::Leave { pitch, staff, .. } => format!("leave out {pitch:#} on the {} staff: the other hand has it", staff_name(*staff)),
            Change::Octave { pitch, octaves, .. } => format!("play {pitch:#} {}", octaves_in_words(*octaves)),
            Change::WholeOctave { staff, octaves, .. } => {
                format!("play the {} staff's notes here {}", staff_name(*staff), octaves_in_words(*octaves))
            }
            Change::Respell { pitch, to, .. } => format!("pluck {pitch:#} as {to:#}, on the neighbouring string"),
            Change::Later { staff, by, .. } => format!("play the {} staff's note {} later", staff_name(*staff), value(*by)),
            Change::Earlier { staff, by, .. } => format!("play the {} staff's note {} earlier", staff_name(*staff), value(*by)),
            Change::Silence { .. } => "pluck nothing here and let both hands' strings ring on".into(),
            Change::Drop { staff, .. } => format!("leave out the {} staff's pluck here and let its strings ring on", staff_name(*staff)),
            Change::OnlyFirst { staff, .. } => format!("a simpler figure: only the first note of the {} staff here", staff_name(*staff)),
            Change::Pluck { pitches, staff, .. } => {
                let names: Vec<String> = pitches.iter().map(|p| format!("{p:#}")).collect();
                format!("pluck {} on the {} staff here", names.join(" "), staff_name(*staff))
            }
            Change::Becomes { pitch, to, .. } => format!("play {to:#} instead of {pitch:#}"),
            Change::Lasts { staff, length, .. } => format!("let the {} staff's note here last {}", staff_name(*staff), value(*length)),
            Change::Split { staff, after, .. } => format!("pluck the {} staff's note again after {}", staff_name(*staff), value(*after)),
            Change::Finger { pitch, finger, .. } => format!("take {pitch:#} with finger {finger}"),
            Change::Move { mark: Mark::Pedal(name), .. } => format!("move pedal {name:#} here"),
            Change::Move { mark: Mark::Lever(pitch), .. } => format!("move lever {pitch:#} here"),
            Change::Move { .. } => "change the setting here".into(),
            Change::Slower { then, .. } => format!("leave it as it is and play slower: at {} it can be played", tempo(*then)),
            Change::Muffle { pitches, .. } => {
                let names: Vec<String> = pitches.iter().map(|p| format!("{p:#}")).collect();
                format!("muffle {} as the chord changes", names.join(" "))
            }
            Change::Print { mark: Mark::Pedal(name), .. } => format!("print pedal {name:#} here"),
            Change::Print { mark: Mark::Lever(pitch), .. } => format!("print lever {pitch:#} here"),
            Change::Print { .. } => "print the setting here".into(),
            Change::OtherKey { by } => {
                format!("another key: everything {} {}", interval(*by), if by.semitones > 0 { "higher" } else { "lower" })
            }
        }
    }

    /// What it does to the music.
    pub fn effect(&self) -> &'static str {
        match self {
            Change::Roll { .. } => "the chord is spread and its top comes a little later",
            Change::LeaveOut { role, .. } => match role {
                Role::Doubled => "little is lost: the same tone sounds in another octave",
                Role::Inner => "the chord loses an inner tone",
                Role::Lowest => "the chord loses its bass",
                Role::Highest => "the line on top loses a note",
                Role::Repeated => "little is lost: the string still rings, the rhythm is softer",
            },
            Change::Leave { .. } => "nothing is lost: it is one string",
            Change::Octave { .. } => "one tone changes its octave",
            Change::WholeOctave { .. } => "these notes change their octave",
            Change::Respell { .. } => "it sounds the same, but the page is harder to read",
            Change::Later { .. } | Change::Earlier { .. } => "the rhythm of one hand shifts",
            Change::Silence { .. } | Change::Drop { .. } => "one pluck fewer; what sounded before rings on",
            Change::OnlyFirst { .. } => "there is less movement for a moment",
            Change::Pluck { .. } => "one pluck more",
            Change::Becomes { .. } => "one tone is another",
            Change::Lasts { .. } => "the rhythm of one hand changes",
            Change::Split { .. } => "one pluck more",
            Change::Finger { .. } => "nothing sounds otherwise",
            Change::Move { .. } => "a lever or pedal moves at another moment",
            Change::Slower { .. } => "the whole piece is slower",
            Change::Print { .. } => "one move more",
            Change::Muffle { .. } => "a hand has to stop the strings in time",
            Change::OtherKey { by } if by.semitones % 12 == 0 => "everything changes its octave",
            Change::OtherKey { .. } => "everything changes its key, for a singer too",
        }
    }
}

fn staff_name(staff: Hand) -> &'static str {
    match staff {
        Hand::Right => "upper",
        Hand::Left => "lower",
    }
}

fn octaves_in_words(octaves: i32) -> String {
    let way = if octaves > 0 { "higher" } else { "lower" };
    match octaves.abs() {
        1 => format!("an octave {way}"),
        2 => format!("two octaves {way}"),
        n => format!("{n} octaves {way}"),
    }
}

fn interval(by: Interval) -> &'static str {
    match by.semitones.abs() {
        1 => "a half step",
        2 => "a whole step",
        3 => "a minor third",
        5 => "a fourth",
        7 => "a fifth",
        12 => "an octave",
        24 => "two octaves",
        _ => "some way",
    }
}

/// A length in the names of note values where there is one.
pub fn value(length: Beats) -> String {
    match length.fraction() {
        (4, 1) => "a whole note".into(),
        (2, 1) => "a half note".into(),
        (1, 1) => "a quarter note".into(),
        (1, 2) => "an eighth note".into(),
        (1, 4) => "a sixteenth note".into(),
        (3, 2) => "a dotted quarter note".into(),
        (3, 4) => "a dotted eighth note".into(),
        _ => format!("{length} of a quarter note"),
    }
}

/// "quarter note = 72".
pub fn tempo(tempo: Tempo) -> String {
    let named = value(tempo.unit());
    let unit = named.strip_prefix("a ").or(named.strip_prefix("an ")).unwrap_or(&named);
    format!("{unit} = {}", tempo.milli_per_minute() / 1000)
}
