//! What a chord symbol means: root, kind, changed degrees, bass; and the tones it asks for, spelled.
//!
//! The kinds are those of the MusicXML 4.0 standard (type `kind-value`), whose documentation defines each of them by its
//! intervals; degrees follow the same standard (`degree-value`, `degree-alter`, `degree-type`).

use crate::pitch::{Interval, PitchName};
use std::fmt;

/// The 33 chord kinds of MusicXML 4.0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChordKind {
    /// Major third and fifth: C E G.
    Major,
    /// Minor third and fifth: C E♭ G.
    Minor,
    /// Major third and raised fifth: C E G♯.
    Augmented,
    /// Minor third and lowered fifth: C E♭ G♭.
    Diminished,
    /// The dominant seventh: C E G B♭.
    Dominant,
    /// C E G B.
    MajorSeventh,
    /// C E♭ G B♭.
    MinorSeventh,
    /// C E♭ G♭ B𝄫.
    DiminishedSeventh,
    /// C E G♯ B♭.
    AugmentedSeventh,
    /// The minor seventh with a lowered fifth: C E♭ G♭ B♭.
    HalfDiminished,
    /// Minor with a major seventh: C E♭ G B.
    MajorMinor,
    /// Major with a sixth: C E G A.
    MajorSixth,
    /// Minor with a (major) sixth: C E♭ G A.
    MinorSixth,
    /// The dominant seventh with a major ninth: C E G B♭ D.
    DominantNinth,
    /// C E G B D.
    MajorNinth,
    /// The minor seventh with a major ninth: C E♭ G B♭ D.
    MinorNinth,
    /// The dominant ninth with an eleventh: C E G B♭ D F.
    Dominant11th,
    /// C E G B D F.
    Major11th,
    /// C E♭ G B♭ D F.
    Minor11th,
    /// The dominant eleventh with a thirteenth: C E G B♭ D F A.
    Dominant13th,
    /// C E G B D F A.
    Major13th,
    /// C E♭ G B♭ D F A.
    Minor13th,
    /// A second in the place of the third: C D G.
    SuspendedSecond,
    /// A fourth in the place of the third: C F G.
    SuspendedFourth,
    /// The major chord on the lowered second degree, told by its function: its root is the tonic.
    Neapolitan,
    /// The Italian augmented sixth, told by its function: in C, A♭ C F♯.
    Italian,
    /// The French augmented sixth: in C, A♭ C D F♯.
    French,
    /// The German augmented sixth: in C, A♭ C E♭ F♯.
    German,
    /// A pedal point: the root alone.
    Pedal,
    /// A fifth without a third: C G.
    Power,
    /// Told above its bass: in C, C F♯ A♯ D♯.
    Tristan,
    /// A chord that the standard has no name for; it has no tones of its own.
    Other,
    /// Explicitly no chord.
    None,
}

use ChordKind::*;

/// A kind, its name in the standard, and its tones.
type KindRow = (ChordKind, &'static str, &'static [(i32, i32)]);

/// Each kind's name in the standard and its tones as (degree, semitones above the root). Augmented sixths and the Neapolitan are
/// named by function: their root is the tonic and the tones lie above it (harmony textbooks); Tristan's tones lie above its bass.
const KINDS: [KindRow; 33] = [
    (Major, "major", &[(1, 0), (3, 4), (5, 7)]),
    (Minor, "minor", &[(1, 0), (3, 3), (5, 7)]),
    (Augmented, "augmented", &[(1, 0), (3, 4), (5, 8)]),
    (Diminished, "diminished", &[(1, 0), (3, 3), (5, 6)]),
    (Dominant, "dominant", &[(1, 0), (3, 4), (5, 7), (7, 10)]),
    (MajorSeventh, "major-seventh", &[(1, 0), (3, 4), (5, 7), (7, 11)]),
    (MinorSeventh, "minor-seventh", &[(1, 0), (3, 3), (5, 7), (7, 10)]),
    (DiminishedSeventh, "diminished-seventh", &[(1, 0), (3, 3), (5, 6), (7, 9)]),
    (AugmentedSeventh, "augmented-seventh", &[(1, 0), (3, 4), (5, 8), (7, 10)]),
    (HalfDiminished, "half-diminished", &[(1, 0), (3, 3), (5, 6), (7, 10)]),
    (MajorMinor, "major-minor", &[(1, 0), (3, 3), (5, 7), (7, 11)]),
    (MajorSixth, "major-sixth", &[(1, 0), (3, 4), (5, 7), (6, 9)]),
    (MinorSixth, "minor-sixth", &[(1, 0), (3, 3), (5, 7), (6, 9)]),
    (DominantNinth, "dominant-ninth", &[(1, 0), (3, 4), (5, 7), (7, 10), (9, 14)]),
    (MajorNinth, "major-ninth", &[(1, 0), (3, 4), (5, 7), (7, 11), (9, 14)]),
    (MinorNinth, "minor-ninth", &[(1, 0), (3, 3), (5, 7), (7, 10), (9, 14)]),
    (Dominant11th, "dominant-11th", &[(1, 0), (3, 4), (5, 7), (7, 10), (9, 14), (11, 17)]),
    (Major11th, "major-11th", &[(1, 0), (3, 4), (5, 7), (7, 11), (9, 14), (11, 17)]),
    (Minor11th, "minor-11th", &[(1, 0), (3, 3), (5, 7), (7, 10), (9, 14), (11, 17)]),
    (Dominant13th, "dominant-13th", &[(1, 0), (3, 4), (5, 7), (7, 10), (9, 14), (11, 17), (13, 21)]),
    (Major13th, "major-13th", &[(1, 0), (3, 4), (5, 7), (7, 11), (9, 14), (11, 17), (13, 21)]),
    (Minor13th, "minor-13th", &[(1, 0), (3, 3), (5, 7), (7, 10), (9, 14), (11, 17), (13, 21)]),
    (SuspendedSecond, "suspended-second", &[(1, 0), (2, 2), (5, 7)]),
    (SuspendedFourth, "suspended-fourth", &[(1, 0), (4, 5), (5, 7)]),
    (Neapolitan, "Neapolitan", &[(2, 1), (4, 5), (6, 8)]),
    (Italian, "Italian", &[(6, 8), (1, 0), (4, 6)]),
    (French, "French", &[(6, 8), (1, 0), (2, 2), (4, 6)]),
    (German, "German", &[(6, 8), (1, 0), (3, 3), (4, 6)]),
    (Pedal, "pedal", &[(1, 0)]),
    (Power, "power", &[(1, 0), (5, 7)]),
    (Tristan, "Tristan", &[(1, 0), (4, 6), (6, 10), (9, 15)]),
    (Other, "other", &[]),
    (None, "none", &[]),
];

impl ChordKind {
    /// All kinds, in the standard's order.
    pub fn all() -> impl Iterator<Item = ChordKind> {
        KINDS.iter().map(|k| k.0)
    }

    /// The kind's name in MusicXML.
    pub fn standard_name(self) -> &'static str {
        KINDS[self as usize].1
    }

    /// The kind of a name in MusicXML, letters as they stand there; `None` for any other text.
    pub fn from_standard_name(name: &str) -> Option<ChordKind> {
        KINDS.iter().find(|k| k.1 == name).map(|k| k.0)
    }

    /// The kind's own tones as (degree, semitones above the root).
    pub fn tones(self) -> &'static [(i32, i32)] {
        KINDS[self as usize].2
    }
}

/// What a `degree` does to the kind's tones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DegreeChange {
    /// A tone more.
    Add,
    /// A tone of the kind, raised or lowered.
    Alter,
    /// A tone of the kind is left out.
    Subtract,
}

/// One changed degree. For `Add`, `alter` counts from the tone of a dominant chord (major or perfect, but a minor seventh); for
/// `Alter`, from the tone already in the kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Degree {
    /// What happens to it.
    pub change: DegreeChange,
    /// Which degree, from 1; 9, 11 and 13 lie above the octave.
    pub value: i32,
    /// Half steps up (negative: down).
    pub alter: i32,
}

/// One tone of a chord: its degree (1, 3, 5, 7, 9 …) and its distance above the root in semitones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChordTone {
    /// 1, 3, 5, 7, 9 …, as the chord names it.
    pub degree: i32,
    /// Half steps above the root.
    pub semitones: i32,
}

/// A chord. `bass` is the slash note (or the bass that an inversion number means), `None` for the root.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Chord {
    /// The tone it is built on and called by.
    pub root: PitchName,
    /// The tones above it.
    pub kind: ChordKind,
    /// What departs from the kind, in the order of the symbol.
    pub degrees: Vec<Degree>,
    /// The tone that is wished lowest; `None`: the root.
    pub bass: Option<PitchName>,
}

/// Semitones of a degree in a dominant chord, above the root; degrees above 7 lie an octave higher.
fn dominant_semitones(degree: i32) -> i32 {
    const FIRST: [i32; 7] = [0, 2, 4, 5, 7, 9, 10];
    FIRST[(degree - 1).rem_euclid(7) as usize] + 12 * (degree - 1).div_euclid(7)
}

impl Chord {
    /// A chord with its kind's own tones and its root in the bass.
    ///
    /// ```
    /// use music::{Chord, ChordKind, PitchName, Step};
    ///
    /// // MusicXML 4.0, kind-value: "major-third, perfect-fifth, minor-seventh" above D.
    /// let chord = Chord::new(PitchName::new(Step::D, 0), ChordKind::Dominant);
    /// let names: Vec<String> = chord.tones().into_iter().map(|tone| chord.name_of(tone).to_string()).collect();
    /// assert_eq!((chord.to_string().as_str(), names.join(" ").as_str()), ("D7", "D F# A C"));
    /// ```
    pub fn new(root: PitchName, kind: ChordKind) -> Chord {
        Chord { root, kind, degrees: Vec::new(), bass: Option::None }
    }

    /// All tones, changed degrees applied, lowest degree first.
    pub fn tones(&self) -> Vec<ChordTone> {
        let mut tones: Vec<ChordTone> = self.kind.tones().iter().map(|&(degree, semitones)| ChordTone { degree, semitones }).collect();
        if self.kind == Other && !self.degrees.iter().any(|d| d.value == 1) {
            tones.push(ChordTone { degree: 1, semitones: 0 });
        }
        for d in &self.degrees {
            match d.change {
                DegreeChange::Add => {
                    tones.retain(|t| t.degree != d.value);
                    tones.push(ChordTone { degree: d.value, semitones: dominant_semitones(d.value) + d.alter });
                }
                DegreeChange::Alter => match tones.iter_mut().find(|t| t.degree == d.value) {
                    Some(tone) => tone.semitones += d.alter,
                    Option::None => tones.push(ChordTone { degree: d.value, semitones: dominant_semitones(d.value) + d.alter }),
                },
                DegreeChange::Subtract => tones.retain(|t| t.degree != d.value),
            }
        }
        tones.sort();
        tones
    }

    /// The spelled name of a tone of this chord.
    pub fn name_of(&self, tone: ChordTone) -> PitchName {
        self.root.up(Interval::new(tone.degree - 1, tone.semitones))
    }

    /// The written bass: the slash note, else the root.
    pub fn bass_name(&self) -> PitchName {
        self.bass.unwrap_or(self.root)
    }

    /// Pitch classes of all tones and of the bass, sorted, each once.
    pub fn pitch_classes(&self) -> Vec<i32> {
        let mut all: Vec<i32> = self.tones().iter().map(|t| (self.root.pitch_class() + t.semitones).rem_euclid(12)).collect();
        all.extend(self.bass.map(PitchName::pitch_class));
        all.sort();
        all.dedup();
        all
    }

    fn tone(&self, degrees: &[i32]) -> Option<ChordTone> {
        if self.degrees.is_empty() && self.kind != Other {
            let own = |degree: &i32| self.kind.tones().iter().find(|(d, _)| d == degree);
            return degrees.iter().find_map(own).map(|&(degree, semitones)| ChordTone { degree, semitones });
        }
        let tones = self.tones();
        degrees.iter().find_map(|d| tones.iter().find(|t| t.degree == *d).copied())
    }

    /// The third (none in suspended and power chords).
    pub fn third(&self) -> Option<ChordTone> {
        self.tone(&[3])
    }

    /// Its fifth of whatever size; `None` where it has none.
    pub fn fifth(&self) -> Option<ChordTone> {
        self.tone(&[5])
    }

    /// Its seventh of whatever size; `None` where it has none.
    pub fn seventh(&self) -> Option<ChordTone> {
        self.tone(&[7])
    }

    /// Moved by an interval, spelling kept.
    pub fn up(&self, interval: Interval) -> Chord {
        Chord { root: self.root.up(interval), bass: self.bass.map(|b| b.up(interval)), ..self.clone() }
    }
}

/// What stands above the staff at one place: a chord, or an explicit silence of chords (N.C.).
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Harmony {
    /// This chord sounds.
    Chord(Chord),
    /// "N.C.": until the next symbol none does.
    NoChord,
}

/// A chord symbol: what it means and, where the source wrote it as text, that text.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChordSymbol {
    /// What it means.
    pub harmony: Harmony,
    /// Its text in the source; empty where the source wrote it as data.
    pub source: String,
}

impl ChordSymbol {
    /// The chord it means; `None` for "N.C.".
    pub fn chord(&self) -> Option<&Chord> {
        match &self.harmony {
            Harmony::Chord(chord) => Some(chord),
            Harmony::NoChord => Option::None,
        }
    }

    /// Moved by an interval. The source text no longer holds, so it gives way to the plain spelling.
    pub fn up(&self, interval: Interval) -> ChordSymbol {
        match &self.harmony {
            Harmony::Chord(chord) if interval != Interval::UNISON => {
                let moved = chord.up(interval);
                ChordSymbol { source: moved.to_string(), harmony: Harmony::Chord(moved) }
            }
            _ => self.clone(),
        }
    }
}

/// The suffix a lead sheet prints for a kind, in plain letters.
pub fn kind_suffix(kind: ChordKind) -> &'static str {
    match kind {
        Major => "",
        Minor => "m",
        Augmented => "+",
        Diminished => "dim",
        Dominant => "7",
        MajorSeventh => "maj7",
        MinorSeventh => "m7",
        DiminishedSeventh => "dim7",
        AugmentedSeventh => "+7",
        HalfDiminished => "m7b5",
        MajorMinor => "m(maj7)",
        MajorSixth => "6",
        MinorSixth => "m6",
        DominantNinth => "9",
        MajorNinth => "maj9",
        MinorNinth => "m9",
        Dominant11th => "11",
        Major11th => "maj11",
        Minor11th => "m11",
        Dominant13th => "13",
        Major13th => "maj13",
        Minor13th => "m13",
        SuspendedSecond => "sus2",
        SuspendedFourth => "sus4",
        Neapolitan => " Neapolitan",
        Italian => " It+6",
        French => " Fr+6",
        German => " Ger+6",
        Pedal => " pedal",
        Power => "5",
        Tristan => " Tristan",
        Other => " other",
        None => " none",
    }
}

impl Chord {
    /// A suspended chord with a seventh above it is printed number first, "7sus4", "9sus4": the number, and how many degrees it covers.
    fn suspended_number(&self) -> (&'static str, usize) {
        let added = |values: &[i32]| {
            let mut degrees = self.degrees.iter();
            values.iter().all(|v| degrees.next() == Some(&Degree { change: DegreeChange::Add, value: *v, alter: 0 }))
        };
        match self.kind {
            SuspendedSecond | SuspendedFourth if added(&[7, 9, 13]) => ("13", 3),
            SuspendedSecond | SuspendedFourth if added(&[7, 9]) => ("9", 2),
            SuspendedSecond | SuspendedFourth if added(&[7]) => ("7", 1),
            _ => ("", 0),
        }
    }

    fn in_files(&self) -> String {
        let (number, covered) = self.suspended_number();
        let degrees: String = self.degrees[covered..].iter().map(|degree| degree_text(degree, self.kind)).collect();
        let bass = self.bass.map_or_else(String::new, |bass| format!("/{bass}"));
        format!("{}{number}{}{degrees}{bass}", self.root, kind_suffix(self.kind))
    }
}

/// The degree as a lead sheet prints it: "add9", "no3", "(b5)". A raised or lowered degree stands in brackets, so that it is never taken for
/// the root's own sign.
fn degree_text(degree: &Degree, kind: ChordKind) -> String {
    let sign = if degree.alter < 0 { "b" } else { "#" }.repeat(degree.alter.unsigned_abs() as usize);
    let in_kind = kind.tones().iter().any(|t| t.0 == degree.value);
    match degree.change {
        DegreeChange::Subtract => format!("no{}", degree.value),
        DegreeChange::Add if degree.alter == 0 || in_kind => format!("add{sign}{}", degree.value),
        _ => format!("({sign}{})", degree.value),
    }
}

/// Names of chords, keys and pitches as people read them, from their form in files: "F#m7b5/C#" becomes "F♯m7♭5/C♯", "Bb2+F3" becomes "B♭2+F3".
/// Whatever is no sign of a letter or a number stays.
///
/// ```
/// // Common practice: signs as a player reads them; the b of "dim7b5" is one before a number only.
/// assert_eq!(music::as_read("F#m7b5/C#"), "F♯m7♭5/C♯");
/// ```
pub fn as_read(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let word = |at: usize| at.checked_sub(1).is_none_or(|before| !letters[before].is_alphanumeric());
    let after_root = |at: usize| {
        let root = letters[..at].iter().rposition(|letter| *letter != 'b');
        root.is_some_and(|root| matches!(letters[root], 'A'..='G') && word(root))
    };
    let before_number = |at: usize| letters.get(at + 1).is_some_and(char::is_ascii_digit);
    let sign = |(at, letter): (usize, &char)| match letter {
        '#' => '♯',
        'b' if after_root(at) || before_number(at) => '♭',
        other => *other,
    };
    letters.iter().enumerate().map(sign).collect()
}

/// `{}` is the form of files, `{:#}` the form that people read, as for pitches.
impl fmt::Display for Chord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = self.in_files();
        f.write_str(&if f.alternate() { as_read(&text) } else { text })
    }
}

impl fmt::Display for Harmony {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Harmony::Chord(chord) => chord.fmt(f),
            Harmony::NoChord => f.write_str("N.C."),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pitch::Step;

    #[test]
    fn texts_for_people() {
        for (text, read) in [
            ("F#m7b5/C#", "F♯m7♭5/C♯"),
            ("Bb", "B♭"),
            ("Bbb7", "B♭♭7"),
            ("Abb", "A♭♭"),
            ("D7(#5,b9)", "D7(♯5,♭9)"),
            ("Ab/Eb", "A♭/E♭"),
            ("Gsus4", "Gsus4"),
            ("N.C.", "N.C."),
            ("Bb dorian", "B♭ dorian"),
            ("~Bb2+F#3 Ab3", "~B♭2+F♯3 A♭3"),
        ] {
            assert_eq!(as_read(text), read);
        }
    }

    fn names(chord: &Chord) -> String {
        chord.tones().iter().map(|t| chord.name_of(*t).to_string()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn the_table_is_in_the_order_of_the_enum() {
        for (i, kind) in ChordKind::all().enumerate() {
            assert_eq!(kind as usize, i);
            assert_eq!(ChordKind::from_standard_name(kind.standard_name()), Some(kind));
        }
    }

    /// Open Music Theory, "Triads" (D-sharp dim over F-sharp) and the lead-sheet reference for C dim 7.
    #[test]
    fn tones_are_spelled() {
        let chord = |step, alter, kind| Chord::new(PitchName::new(step, alter), kind);
        assert_eq!(names(&chord(Step::D, 1, Diminished)), "D# F# A");
        assert_eq!(names(&chord(Step::C, 0, DiminishedSeventh)), "C Eb Gb Bbb");
        assert_eq!(names(&chord(Step::E, -1, Dominant)), "Eb G Bb Db");
    }

    /// MusicXML 4.0, element `degree`: added degrees count from a dominant chord, altered ones from the kind's own tone.
    #[test]
    fn degrees_change_tones() {
        let mut c = Chord::new(PitchName::new(Step::C, 0), Dominant);
        c.degrees.push(Degree { change: DegreeChange::Add, value: 9, alter: -1 });
        c.degrees.push(Degree { change: DegreeChange::Alter, value: 5, alter: 1 });
        assert_eq!(names(&c), "C E G# Bb Db");
        let mut sus = Chord::new(PitchName::new(Step::G, 0), Major);
        sus.degrees.push(Degree { change: DegreeChange::Subtract, value: 3, alter: 0 });
        assert_eq!(names(&sus), "G D");
    }
}
