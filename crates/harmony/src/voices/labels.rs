//! The chords that are looked for: a root and one of nine qualities; and the same as a chord symbol, spelled.

use music::{ChordKind, Key, PitchName};

/// The third, fifth and seventh of a chord, as far as an analysis tells them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quality {
    /// Major third, fifth.
    Major,
    /// Minor third, fifth.
    Minor,
    /// Minor third, lowered fifth.
    Diminished,
    /// Major third, raised fifth.
    Augmented,
    /// Major with a minor seventh.
    Dominant7,
    /// Major with a major seventh.
    Major7,
    /// Minor with a minor seventh.
    Minor7,
    /// Diminished with a minor seventh.
    HalfDiminished7,
    /// Diminished with a diminished seventh.
    Diminished7,
    /// Sounds as a dominant seventh but is written with an augmented sixth, and leads outward. Not searched for: told afterwards by the spelling; its
    /// root in tables is the raised tone.
    AugmentedSixth,
}

use Quality::*;

impl Quality {
    /// Those that are searched for.
    pub const ALL: [Quality; QUALITIES] = [Major, Minor, Diminished, Augmented, Dominant7, Major7, Minor7, HalfDiminished7, Diminished7];

    /// Semitones of third, fifth and seventh above the root.
    pub fn above_root(self) -> &'static [usize] {
        match self {
            Major => &[4, 7],
            Minor => &[3, 7],
            Diminished => &[3, 6],
            Augmented => &[4, 8],
            Dominant7 => &[4, 7, 10],
            AugmentedSixth => &[2, 6, 9],
            Major7 => &[4, 7, 11],
            Minor7 => &[3, 7, 10],
            HalfDiminished7 => &[3, 6, 10],
            Diminished7 => &[3, 6, 9],
        }
    }

    /// How far third, fifth and seventh lie from the root on the line of fifths.
    pub(super) fn spelled(self) -> &'static [i64] {
        match self {
            Major => &[4, 1],
            Minor => &[-3, 1],
            Diminished => &[-3, -6],
            Augmented => &[4, 8],
            Dominant7 => &[4, 1, -2],
            Major7 => &[4, 1, 5],
            Minor7 => &[-3, 1, -2],
            HalfDiminished7 => &[-3, -6, -2],
            Diminished7 => &[-3, -6, -9],
            AugmentedSixth => &[-10, -6, -9],
        }
    }

    /// The kind of its chord symbol; an augmented sixth is written as the dominant seventh that it sounds like.
    pub fn kind(self) -> ChordKind {
        match self {
            Major => ChordKind::Major,
            Minor => ChordKind::Minor,
            Diminished => ChordKind::Diminished,
            Augmented => ChordKind::Augmented,
            Dominant7 | AugmentedSixth => ChordKind::Dominant,
            Major7 => ChordKind::MajorSeventh,
            Minor7 => ChordKind::MinorSeventh,
            HalfDiminished7 => ChordKind::HalfDiminished,
            Diminished7 => ChordKind::DiminishedSeventh,
        }
    }

    /// How it is called in a table: maj min dim aug dom7 maj7 min7 hdim7 dim7 other.
    pub fn in_tables(self) -> &'static str {
        ["maj", "min", "dim", "aug", "dom7", "maj7", "min7", "hdim7", "dim7", "other"][self as usize]
    }

    /// What the chord wants to do: rest (major, minor), lead on (dominant seventh), lead up (diminished).
    pub(super) fn family(self) -> usize {
        match self {
            Major | Augmented | Major7 => 0,
            Minor | Minor7 => 1,
            Dominant7 | AugmentedSixth => 2,
            Diminished | HalfDiminished7 | Diminished7 => 3,
        }
    }
}

/// How many families there are.
pub(super) const FAMILIES: usize = 4;

/// How many qualities are searched for, and how many labels there are: every root with every quality.
pub(super) const QUALITIES: usize = 9;
pub(super) const LABELS: usize = 12 * QUALITIES;

/// A root, 0 for C to 11 for B, with a quality.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Label {
    /// Pitch class, 0 for C.
    pub root: usize,
    /// What stands on it.
    pub quality: Quality,
}

impl Label {
    pub(super) fn at(index: usize) -> Label {
        Label { root: index / QUALITIES, quality: Quality::ALL[index % QUALITIES] }
    }

    /// Pitch classes, the root first.
    pub fn tones(self) -> impl Iterator<Item = usize> {
        std::iter::once(self.root).chain(self.quality.above_root().iter().map(move |s| (self.root + s) % 12))
    }

    /// Places in a state of root and family, for what leads where.
    pub(super) fn state(self) -> usize {
        self.root * FAMILIES + self.quality.family()
    }
}

/// The name of a pitch class as the notes spell it, else as the key does.
pub(super) fn spelled(class: usize, sounding: &[PitchName], key: &Key) -> PitchName {
    let written = sounding.iter().copied().find(|n| n.pitch_class() as usize == class && n.alter.abs() < 2);
    written.unwrap_or_else(|| {
        let tonic = key.tonic().fifths();
        let near = (tonic - 5..=tonic + 6).map(PitchName::from_fifths).find(|n| n.pitch_class() as usize == class);
        near.unwrap_or_else(|| PitchName::from_fifths(class as i32 * 7 % 12))
    })
}
