//! Why an added part is as it is, in a harpist's words.

use music::{Chord, Key, Pitch};
use std::fmt;

/// One thing that is true of an added part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// The end of the tune is heard before it begins.
    LastMeasures(usize),
    /// The end of the tune is heard again between two verses.
    BetweenVerses(usize),
    /// The pickup of that line comes with it.
    WithPickup,
    /// The right hand is still and the left plays these chords.
    Chords(Vec<Chord>, Key),
    /// Why it is not the end of the tune.
    NotTheEnd(NotTheEnd),
    /// The last chord leads home.
    Leads(Chord),
    /// It ends at home, from where the tune sets out on another chord.
    EndsAtHome(Chord),
    /// The last note of the right hand, and the first of the tune.
    ToTheFirstNote(Pitch, Pitch),
    /// The last measure leaves room for the pickup.
    RoomForThePickup,
    /// It goes round.
    GoesRound,
    /// The last two measures once more, slower.
    OnceMore,
    /// One chord, wide and left to ring.
    LastChord(Chord),
    /// The right hand answers an octave higher.
    OctaveHigher,
    /// The melody climbs and the left hand thins out.
    Climbs,
    /// Over the chord a fourth above.
    Plagal(Chord),
}

/// Why an introduction or interlude is not the end of the tune.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotTheEnd {
    /// A dance or a march is led in by its beat.
    Dance,
    /// It closes on no chord from which the tune begins.
    Elsewhere,
    /// It is in another key or meter, too short, or its measures are not whole.
    Cut,
}

fn in_words(count: usize) -> &'static str {
    if count == 2 { "two" } else { "four" }
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Why::LastMeasures(count) => {
                write!(f, "the last {} measures of the tune: its key and its pace are heard, and how it closes", in_words(*count))
            }
            Why::BetweenVerses(count) => {
                write!(f, "the last {} measures of the tune once more, to breathe between the verses", in_words(*count))
            }
            Why::WithPickup => f.write_str("the pickup of that line comes with it"),
            Why::Chords(chords, key) => {
                let names: Vec<String> = chords.iter().map(|c| format!("{c:#}")).collect();
                write!(f, "{} in the left hand say that it is {key:#}, and give the pace", names.join(" "))
            }
            Why::NotTheEnd(NotTheEnd::Dance) => f.write_str("a dance or a march is led in by its beat, not by its last line"),
            Why::NotTheEnd(NotTheEnd::Elsewhere) => f.write_str("the tune's own last line closes where the first would not follow"),
            Why::NotTheEnd(NotTheEnd::Cut) => f.write_str("the tune's own last line is no whole line in the key and meter of the first"),
            Why::Leads(chord) => write!(f, "{chord:#} at the end leads into the tune"),
            Why::EndsAtHome(chord) => write!(f, "it ends on {chord:#}, for the tune itself sets out from another chord"),
            Why::ToTheFirstNote(last, first) if last == first => {
                write!(f, "the last note of the right hand, {last:#}, is the first of the tune")
            }
            Why::ToTheFirstNote(last, first) => write!(f, "{last:#} in the right hand lies beside the first note of the tune, {first:#}"),
            Why::RoomForThePickup => f.write_str("its last measure leaves the pickup its room"),
            Why::GoesRound => f.write_str("it goes round as often as you wish, and the tune may follow each time"),
            Why::OnceMore => f.write_str("the last two measures come once more, slower"),
            Why::LastChord(chord) => write!(f, "{chord:#} at the end, wide and left to ring"),
            Why::OctaveHigher => f.write_str("the right hand answers an octave higher"),
            Why::Climbs => f.write_str("the right hand climbs the chord in long notes while the left hand thins out"),
            Why::Plagal(chord) => write!(f, "by way of {chord:#}, a soft close"),
        }
    }
}
