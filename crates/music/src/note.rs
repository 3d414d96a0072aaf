//! A note, chord or rest of one hand, with everything that is printed at it.

use crate::pitch::{Interval, Pitch};
use crate::time::Beats;

/// One event of a line: a rest (no pitches), a note, or several strings plucked together.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Note {
    /// Place in the measure.
    pub at: Beats,
    /// How long it is written, with the ratio of its tuplet applied; longer than nothing.
    pub length: Beats,
    /// Lowest first; empty for a rest.
    pub pitches: Vec<Pitch>,
    /// Whether it goes on from the note before, and on into the next.
    pub tie: Tie,
    /// The tuplet it stands in, if any.
    pub tuplet: Option<Tuplet>,
    /// Grace notes before it, in order.
    pub grace: Vec<Grace>,
    /// Slurs that begin here.
    pub slurs_start: u8,
    /// Slurs that end here.
    pub slurs_stop: u8,
    /// Words under it, one for each verse.
    pub syllables: Vec<Syllable>,
    /// Signs at it.
    pub decorations: Vec<Decoration>,
    /// Spread from bottom to top.
    pub rolled: bool,
    /// Finger 1 (thumb) to 4 for each pitch, lowest first; empty where none is printed.
    pub fingers: Vec<u8>,
    /// Fingers the player chose for pitches of it; the others go by them.
    pub own_fingers: Vec<(Pitch, u8)>,
    /// What it does to the bracket of a placing.
    pub bracket: Bracket,
    /// Pitches, of its own or of its grace notes, that cannot be played on the harp the page is for; they are printed with a sign.
    pub unplayable: Vec<Pitch>,
}

/// What a note does to the bracket over strings that are placed together before the first of them is plucked (common practice on harp pages).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Bracket {
    /// Nothing.
    #[default]
    None,
    /// It is the first under a bracket.
    Begins,
    /// It is the last under a bracket.
    Ends,
}

impl Note {
    /// A rest.
    pub fn rest(at: Beats, length: Beats) -> Note {
        Note { at, length, ..Note::default() }
    }

    /// A note, or strings plucked together: `pitches` from the lowest up.
    pub fn of(at: Beats, length: Beats, pitches: Vec<Pitch>) -> Note {
        Note { at, length, pitches, ..Note::default() }
    }

    /// Whether nothing sounds in it.
    pub fn is_rest(&self) -> bool {
        self.pitches.is_empty()
    }

    /// Where in the measure it is over.
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

    /// Its highest pitch by sound; `None` for a rest.
    pub fn top(&self) -> Option<Pitch> {
        self.pitches.iter().copied().max_by_key(|p| p.midi())
    }

    /// Its lowest pitch by sound; `None` for a rest.
    pub fn bottom(&self) -> Option<Pitch> {
        self.pitches.iter().copied().min_by_key(|p| p.midi())
    }

    /// The same moved by an interval, grace notes and fingers with it.
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
    /// It goes on from the note before and is not plucked again.
    pub from_before: bool,
    /// It goes on into the next note.
    pub to_next: bool,
}

/// `actual` notes in the time of `normal`. The length of the note already has the ratio applied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tuplet {
    /// So many notes …
    pub actual: u32,
    /// … in the time of so many.
    pub normal: u32,
    /// Whether it is the first, the last or between.
    pub edge: TupletEdge,
}

/// Where in its tuplet a note stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TupletEdge {
    /// The first.
    Start,
    /// Between the first and the last.
    Inside,
    /// The last.
    Stop,
}

/// A grace note before its note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grace {
    /// Lowest first.
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
    /// What is sung, without its hyphens.
    pub text: String,
    /// Where in its word it stands.
    pub hyphen: Hyphen,
    /// The syllable is held over the notes that follow.
    pub held: bool,
}

/// Place of a syllable in its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hyphen {
    /// A word of its own.
    Single,
    /// The first of its word.
    Begin,
    /// Between the first and the last.
    Middle,
    /// The last of its word.
    End,
}

/// Signs at a note. The ones the arranger heeds have a name of their own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Decoration {
    /// 𝄐: held longer.
    Fermata,
    /// One breathes, or lifts, after it.
    Breath,
    /// Short.
    Staccato,
    /// Held for its full length, with weight.
    Tenuto,
    /// Louder than its neighbours.
    Accent,
    /// Much louder.
    Marcato,
    /// With its upper neighbour, quickly to and fro.
    Trill,
    /// Through the neighbours above and below.
    Turn,
    /// With its lower neighbour and back.
    Mordent,
    /// With its upper neighbour and back.
    InvertedMordent,
    /// A bow's sign: up.
    UpBow,
    /// A bow's sign: down.
    DownBow,
    /// A chord spread from bottom to top.
    Arpeggio,
    /// How loud, in the source's letters: "mf".
    Dynamic(String),
    /// Kept by its name in the source.
    Other(String),
}
