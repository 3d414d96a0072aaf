//! The chords that may stand under a bare melody, as degrees above the tonic; and the sets of three for the plainest version.
//!
//! Written as in any harmony book: capital for a major third, small for a minor one, ° for a diminished fifth, "b" for a lowered degree. V7 and V are two
//! chords on one degree. There are two families, by the third above the tonic; modes choose among the chords of theirs.

use super::tonic::Tonic;
use music::{Chord, ChordKind, Interval, Mode};

/// One chord of a palette, by its place in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Numeral(pub u8);

/// What a numeral means: its name, its root above the tonic (steps, semitones), its kind.
struct Row(&'static str, i32, i32, ChordKind);

/// As many chords in each family.
pub const CHORDS: usize = 16;

use ChordKind::{Diminished, Dominant, Major, Minor};

const OF_MAJOR: [Row; CHORDS] = [
    Row("I", 0, 0, Major),
    Row("IV", 3, 5, Major),
    Row("V", 4, 7, Major),
    Row("V7", 4, 7, Dominant),
    Row("ii", 1, 2, Minor),
    Row("vi", 5, 9, Minor),
    Row("iii", 2, 4, Minor),
    Row("v", 4, 7, Minor),
    Row("bVII", 6, 10, Major),
    Row("II7", 1, 2, Dominant),
    Row("VI7", 5, 9, Dominant),
    Row("III7", 2, 4, Dominant),
    Row("I7", 0, 0, Dominant),
    Row("II", 1, 2, Major),
    Row("iv", 3, 5, Minor),
    Row("vii°", 6, 11, Diminished),
];

const OF_MINOR: [Row; CHORDS] = [
    Row("i", 0, 0, Minor),
    Row("iv", 3, 5, Minor),
    Row("V", 4, 7, Major),
    Row("V7", 4, 7, Dominant),
    Row("bVII", 6, 10, Major),
    Row("bIII", 2, 3, Major),
    Row("bVI", 5, 8, Major),
    Row("v", 4, 7, Minor),
    Row("IV", 3, 5, Major),
    Row("bVII7", 6, 10, Dominant),
    Row("ii°", 1, 2, Diminished),
    Row("ii", 1, 2, Minor),
    Row("I7", 0, 0, Dominant),
    Row("II7", 1, 2, Dominant),
    Row("bII", 1, 1, Major),
    Row("vii°", 6, 11, Diminished),
];

/// Whether the third above the tonic is major or minor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// A major third.
    Major,
    /// A minor third.
    Minor,
}

impl Family {
    /// Both.
    pub const ALL: [Family; 2] = [Family::Major, Family::Minor];

    /// The family of a mode.
    pub fn of(mode: Mode) -> Family {
        if mode.is_minor() { Family::Minor } else { Family::Major }
    }

    /// Its name in the tables.
    pub fn name(self) -> &'static str {
        match self {
            Family::Major => "major",
            Family::Minor => "minor",
        }
    }

    fn rows(self) -> &'static [Row; CHORDS] {
        match self {
            Family::Major => &OF_MAJOR,
            Family::Minor => &OF_MINOR,
        }
    }
}

impl Numeral {
    /// The tonic chord of either family.
    pub const TONIC: Numeral = Numeral(0);

    /// Every chord of the palette, the tonic first.
    pub fn all() -> impl Iterator<Item = Numeral> {
        (0..CHORDS as u8).map(Numeral)
    }

    fn row(self, family: Family) -> &'static Row {
        &family.rows()[usize::from(self.0)]
    }

    /// As a degree, "V7", "bVII".
    pub fn name(self, family: Family) -> &'static str {
        self.row(family).0
    }

    /// The chord of a name; `None`: the family has none of that name.
    pub fn named(name: &str, family: Family) -> Option<Numeral> {
        Numeral::all().find(|n| n.name(family) == name)
    }

    /// Semitones of the root above the tonic.
    pub fn root(self, family: Family) -> usize {
        self.row(family).2 as usize
    }

    /// Semitones of the tones above the tonic, root first: third, fifth, seventh if there is one.
    pub fn tones(self, family: Family) -> impl Iterator<Item = usize> {
        let Row(_, _, root, kind) = *self.row(family);
        kind.tones().iter().map(move |(_, above)| (root + above).rem_euclid(12) as usize)
    }

    /// The same tones on the line of fifths, from the tonic: a chord of F has no E sharp.
    pub fn spelled(self, family: Family) -> impl Iterator<Item = i32> {
        let Row(_, steps, semitones, kind) = *self.row(family);
        let place = |steps: i32, semitones: i32| 7 * semitones - 12 * steps;
        kind.tones().iter().map(move |(degree, above)| place(steps + degree - 1, semitones + above))
    }

    /// The chord itself, spelled from the tonic.
    pub fn chord(self, tonic: &Tonic) -> Chord {
        let Row(_, steps, semitones, kind) = *self.row(tonic.family());
        Chord::new(tonic.name().up(Interval::new(steps, semitones)), kind)
    }

    /// The chord of the palette that is this one as far as it can say: the same root and third; a seventh where both have one.
    pub fn of(chord: &Chord, tonic: &Tonic) -> Option<Numeral> {
        let family = tonic.family();
        let above = |class: i32| (class - tonic.name().pitch_class()).rem_euclid(12);
        let root = above(chord.root.pitch_class()) as usize;
        let third = chord.third().map(|t| t.semitones);
        let fifth = chord.fifth().map(|t| t.semitones);
        let seventh = chord.seventh().map(|t| t.semitones);
        let alike = |n: &Numeral| {
            let kind = n.row(family).3;
            let of = |degree: i32| kind.tones().iter().find(|t| t.0 == degree).map(|t| t.1);
            let same_third = third.is_none() || third == of(3);
            n.root(family) == root && same_third && (kind != Diminished || fifth == Some(6))
        };
        let misses = |n: &Numeral| {
            let kind = n.row(family).3;
            let dominant = kind == Dominant;
            usize::from(dominant != (seventh == Some(10))) + usize::from((kind == Diminished) != (fifth == Some(6)))
        };
        Numeral::all().filter(alike).min_by_key(misses)
    }
}

/// The chords of the fuller version. Major and minor borrow and lead; the other modes keep to their own scale, or they would no longer sound as what they are.
pub fn of_mode(mode: Mode) -> Vec<Numeral> {
    let names: &[&str] = match mode {
        Mode::Mixolydian => &["I", "IV", "bVII", "v", "ii", "vi"],
        Mode::Lydian => &["I", "II", "V", "iii", "vi"],
        Mode::Dorian => &["i", "bVII", "IV", "bIII", "v", "ii"],
        Mode::Aeolian => &["i", "bVII", "iv", "bIII", "bVI", "v", "ii°"],
        Mode::Phrygian | Mode::Locrian => &["i", "bII", "bVII", "iv", "bIII", "bVI"],
        _ => return Numeral::all().collect(),
    };
    names.iter().filter_map(|n| Numeral::named(n, Family::of(mode))).collect()
}

/// The three chords (by name) that a section may do with, the plainest first.
pub fn threes(mode: Mode) -> &'static [[&'static str; 3]] {
    match mode {
        Mode::Mixolydian => &[["I", "bVII", "IV"], ["I", "bVII", "v"], ["I", "IV", "v"], ["I", "IV", "V"]],
        Mode::Lydian => &[["I", "II", "V"], ["I", "IV", "V"], ["I", "II", "IV"]],
        Mode::Dorian => &[["i", "bVII", "IV"], ["i", "bVII", "v"], ["i", "IV", "v"], ["i", "bVII", "bIII"]],
        Mode::Phrygian | Mode::Locrian => &[["i", "bII", "bVII"], ["i", "iv", "bII"], ["i", "iv", "bVII"]],
        Mode::Aeolian => &[["i", "bVII", "bVI"], ["i", "iv", "bVII"], ["i", "iv", "v"], ["i", "bVII", "v"], ["i", "bVII", "bIII"]],
        Mode::Minor => &[
            ["i", "iv", "V"],
            ["i", "iv", "V7"],
            ["i", "bVII", "V"],
            ["i", "bVII", "V7"],
            ["i", "bIII", "V"],
            ["i", "bIII", "V7"],
            ["i", "bVI", "V7"],
        ],
        _ => &[["I", "IV", "V"], ["I", "IV", "V7"]],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::{Key, PitchName, Step};

    fn tonic(step: Step, mode: Mode) -> Tonic {
        Tonic::of(&Key::of(PitchName::new(step, 0), mode))
    }

    /// Any harmony book.
    #[test]
    fn numerals_are_spelled_from_the_tonic() {
        let names = |tonic: &Tonic| {
            let all: Vec<String> = Numeral::all().map(|n| n.chord(tonic).to_string()).collect();
            all.join(" ")
        };
        assert_eq!(names(&tonic(Step::D, Mode::Major)), "D G A A7 Em Bm F#m Am C E7 B7 F#7 D7 E Gm C#dim");
        assert_eq!(names(&tonic(Step::E, Mode::Dorian)), "Em Am B B7 D G C Bm A D7 F#dim F#m E7 F#7 F D#dim");
    }

    #[test]
    fn every_numeral_finds_itself_again() {
        for tonic in [tonic(Step::D, Mode::Major), tonic(Step::E, Mode::Dorian)] {
            for numeral in Numeral::all() {
                assert_eq!(Numeral::of(&numeral.chord(&tonic), &tonic), Some(numeral));
                assert_eq!(Numeral::named(numeral.name(tonic.family()), tonic.family()), Some(numeral));
            }
        }
    }

    /// Any harmony book: the third of E is G sharp, not A flat.
    #[test]
    fn tones_have_names() {
        let third = Numeral::named("III7", Family::Major).map(|n| n.spelled(Family::Major).collect::<Vec<_>>());
        assert_eq!(third, Some(vec![4, 8, 5, 2]));
    }

    #[test]
    fn sets_of_three_have_known_names() {
        for mode in Mode::NAMED {
            for name in threes(mode).iter().flatten() {
                assert!(Numeral::named(name, Family::of(mode)).is_some(), "{name} in {}", mode.name());
            }
        }
    }
}
