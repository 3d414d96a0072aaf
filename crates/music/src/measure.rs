//! The frame of a measure, shared by the lead sheet and the score: number, meter, key, bar lines, repeats, chord symbols.

use crate::chord::ChordSymbol;
use crate::key::Key;
use crate::meter::Meter;
use crate::number::MeasureNumber;
use crate::time::{Beats, Tempo};

/// Everything about a measure but its notes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Frame {
    /// The printed number; 0 for a pickup. Completing a measure at a repeat keeps the number of its first half.
    pub number: MeasureNumber,
    /// The measure's true length, which a pickup or a split measure has shorter than its meter's.
    pub length: Beats,
    /// The meter that holds in it.
    pub meter: Meter,
    /// The key that holds in it.
    pub key: Key,
    /// The line before it.
    pub left: Barline,
    /// The line after it.
    pub right: Barline,
    /// A stretch that is played again begins here.
    pub repeat_start: bool,
    /// The stretch that ends here is played this many times in all (2 for an ordinary repeat).
    pub repeat_end: Option<u32>,
    /// The bracket it stands under ("1.", "2."), if any.
    pub ending: Option<Ending>,
    /// Signs that send the player elsewhere, or that are sent to.
    pub jumps: Vec<Jump>,
    /// Tempo marks with their places.
    pub tempos: Vec<(Beats, Tempo)>,
    /// Words above the staff with their places: annotations, expression.
    pub words: Vec<(Beats, String)>,
    /// A label at the head of a section ("A", "Refrain").
    pub section: Option<String>,
    /// Chord symbols in the order of their places; one holds until the next.
    pub chords: Vec<PlacedChord>,
}

impl Frame {
    /// A full measure of this meter and key with nothing else in it.
    pub fn plain(number: impl Into<MeasureNumber>, meter: Meter, key: Key) -> Frame {
        Frame {
            number: number.into(),
            length: meter.length(),
            meter,
            key,
            left: Barline::None,
            right: Barline::Plain,
            repeat_start: false,
            repeat_end: None,
            ending: None,
            jumps: Vec::new(),
            tempos: Vec::new(),
            words: Vec::new(),
            section: None,
            chords: Vec::new(),
        }
    }

    /// As long as its meter says.
    pub fn is_full(&self) -> bool {
        self.length >= self.meter.length()
    }
}

/// A chord symbol at a place in the measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedChord {
    /// Where in the measure.
    pub at: Beats,
    /// What stands there.
    pub symbol: ChordSymbol,
    /// Who put it there.
    pub origin: ChordOrigin,
}

impl PlacedChord {
    /// One that stands in the source.
    pub fn new(at: Beats, symbol: ChordSymbol) -> PlacedChord {
        PlacedChord { at, symbol, origin: ChordOrigin::Source }
    }

    /// The same by somebody else.
    pub fn with(self, origin: ChordOrigin) -> PlacedChord {
        PlacedChord { origin, ..self }
    }
}

/// Who put a chord where it stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChordOrigin {
    /// The tune's own file.
    #[default]
    Source,
    /// The player, by hand.
    Hers,
    /// Found or made by the program.
    Ours,
}

/// How a bar line is drawn; a repeat is not told here but in the [`Frame`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Barline {
    /// None drawn.
    None,
    /// One thin line.
    Plain,
    /// Two thin lines: a section ends.
    Double,
    /// A thin and a thick line: the piece ends.
    Final,
    /// A dotted line: a measure is divided for reading.
    Dotted,
}

/// A measure under an ending bracket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ending {
    /// The passes in which it is played, from 1.
    pub passes: Vec<u32>,
    /// The bracket begins at this measure.
    pub starts: bool,
    /// The bracket ends at this measure.
    pub stops: bool,
}

/// Signs that send the player elsewhere. `Segno` and `Coda` are the places; they hold at the start of the measure, the rest at its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Jump {
    /// The sign (𝄋) that "D.S." goes back to.
    Segno,
    /// The coda begins here.
    Coda,
    /// From here to the coda, once a jump back was made.
    ToCoda,
    /// Here it ends, once a jump back was made.
    Fine,
    /// Back to the beginning.
    DaCapo,
    /// Back to the sign.
    DalSegno,
}
