//! What the planner asks of a chord, looked up once.

use music::Chord;

/// What the principles ask of a slot's chord.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChordFacts {
    pub root: i32,
    pub bass: i32,
    pub third: Option<i32>,
    pub fifth: Option<i32>,
    pub seventh: Option<i32>,
    /// A major third and a minor seventh: the third is a leading tone.
    pub leads: bool,
    /// The letter of the bass as a position in the lowest octave.
    pub bass_step: i32,
    /// The bass is written apart from the root.
    pub slash: bool,
    /// All pitch classes, sorted.
    pub classes: Vec<i32>,
}

impl ChordFacts {
    pub fn of(chord: &Chord) -> ChordFacts {
        ChordFacts {
            root: chord.root.pitch_class(),
            bass: chord.bass_name().pitch_class(),
            third: chord.third().map(|t| chord.name_of(t).pitch_class()),
            fifth: chord.fifth().map(|t| chord.name_of(t).pitch_class()),
            seventh: chord.seventh().map(|t| chord.name_of(t).pitch_class()),
            leads: {
                let above =
                    |t: Option<music::ChordTone>| t.map(|t| (chord.name_of(t).pitch_class() - chord.root.pitch_class()).rem_euclid(12));
                above(chord.third()) == Some(4) && above(chord.seventh()) == Some(10)
            },
            bass_step: chord.bass_name().step.index(),
            slash: chord.bass.is_some(),
            classes: chord.pitch_classes(),
        }
    }
}
