//! A note, chord or rest of one hand, with everything that is printed at it.

use crate::pitch::{Interval, Pitch};
use crate::time::Beats;

/// One event of a line: a rest (no pitches), a note, or several strings plucked together.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Note {
    /// Place in the measure.
    pub at: Beats,
    pub length: Beats,
    /// Lowest first; empty for a rest.
    pub pitches: Vec<Pitch>,
    pub tie: Tie,
    pub tuplet: Option<Tuplet>,
    pub grace: Vec<Grace>,
    pub slurs_start: u8,
    pub slurs_stop: u8,
    pub syllables: Vec<Syllable>,
    pub decorations: Vec<Decoration>,
    /// Spread from bottom to top.
    pub rolled: bool,
    /// Finger 1 (thumb) to 4 for each pitch, lowest first; empty where none is printed.
    pub fingers: Vec<u8>,
    /// Fingers the player chose for pitches of it; the others go by them.
    pub own_fingers: Vec<(Pitch, u8)>,
    pub bracket: Bracket,
    /// Pitches, of its own or of its grace notes, that cannot be played on the harp the page is for; they are printed with a sign.
    pub unplayable: Vec<Pitch>,
}

/// What a note does to the bracket over strings that are placed together before the first of them is plucked (common practice on harp pages).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Bracket {
    #[default]
    None,
    Begins,
    Ends,
}

impl Note {
    pub fn rest(at: Beats, length: Beats) -> Note {
        Note { at, length, ..Note::default() }
    }

    pub fn of(at: Beats, length: Beats, pitches: Vec<Pitch>) -> Note {
        Note { at, length, pitches, ..Note::default() }
    }

    pub fn is_rest(&self) -> bool {
        self.pitches.is_empty()
    }

    pub fn end(&self) -> Beats {
        self.at + self.length
    }

    /// A pluck begins here: sounding and not the continuation of a tie.
    pub fn is_plucked(&self) -> bool {
        !self.is_rest() && !self.tie.from_before
    }

    /// Its pitches that can be played on the harp the page is for.
    pub fn playable(&self) -> impl Iterator<Item = Pitch> + '_ {
        self.pitches.iter().copied().filter(|p| !self.unplayable.contains(p))
    }

    pub fn top(&self) -> Option<Pitch> {
        self.pitches.iter().copied().max_by_key(|p| p.midi())
    }

    pub fn bottom(&self) -> Option<Pitch> {
        self.pitches.iter().copied().min_by_key(|p| p.midi())
    }

    pub fn up(&self, interval: Interval) -> Note {
        Note {
            pitches: self.pitches.iter().map(|p| p.up(interval)).collect(),
            unplayable: self.unplayable.iter().map(|p| p.up(interval)).collect(),
            own_fingers: self.own_fingers.iter().map(|(p, finger)| (p.up(interval), *finger)).collect(),
            grace: self.grace.iter().map(|g| Grace { pitches: g.pitches.iter().map(|p| p.up(interval)).collect(), ..g.clone() }).collect(),
            ..self.clone()
        }
    }
}

/// Ties to the neighbouring notes; they hold for the pitches both notes share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Tie {
    pub from_before: bool,
    pub to_next: bool,
}

/// `actual` notes in the time of `normal`. The length of the note already has the ratio applied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tuplet {
    pub actual: u32,
    pub normal: u32,
    pub edge: TupletEdge,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TupletEdge {
    Start,
    Inside,
    Stop,
}

/// A grace note before its note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grace {
    pub pitches: Vec<Pitch>,
    /// Written value: 8 for an eighth.
    pub value: u32,
    /// Printed with a stroke (acciaccatura).
    pub slashed: bool,
}

/// One syllable under a note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Syllable {
    /// Line of words, from 1.
    pub verse: u32,
    pub text: String,
    pub hyphen: Hyphen,
    /// The syllable is held over the notes that follow.
    pub held: bool,
}

/// Place of a syllable in its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hyphen {
    Single,
    Begin,
    Middle,
    End,
}

/// Signs at a note. The ones the arranger heeds have a name of their own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Decoration {
    Fermata,
    Breath,
    Staccato,
    Tenuto,
    Accent,
    Marcato,
    Trill,
    Turn,
    Mordent,
    InvertedMordent,
    UpBow,
    DownBow,
    Arpeggio,
    Dynamic(String),
    /// Kept by its name in the source.
    Other(String),
}
