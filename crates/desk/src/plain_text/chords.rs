//! Chord symbols in words, and back: "G-major", "A-minor seventh", "F-sharp half diminished over C".

use super::keys::{after, read_after};
use super::pitches::{name, name_of};
use super::tokens::Tokens;
use music::{Chord, ChordKind, ChordSymbol, Degree, DegreeChange, Harmony};

/// What each kind is called when it is spoken (theory books; the standard's names for the rest).
fn spoken(kind: ChordKind) -> &'static str {
    match kind {
        ChordKind::Dominant => "seventh",
        ChordKind::MajorSeventh => "major seventh",
        ChordKind::MinorSeventh => "minor seventh",
        ChordKind::DiminishedSeventh => "diminished seventh",
        ChordKind::AugmentedSeventh => "augmented seventh",
        ChordKind::HalfDiminished => "half diminished",
        ChordKind::MajorMinor => "minor major seventh",
        ChordKind::MajorSixth => "sixth",
        ChordKind::MinorSixth => "minor sixth",
        ChordKind::DominantNinth => "ninth",
        ChordKind::MajorNinth => "major ninth",
        ChordKind::MinorNinth => "minor ninth",
        ChordKind::Dominant11th => "eleventh",
        ChordKind::Major11th => "major eleventh",
        ChordKind::Minor11th => "minor eleventh",
        ChordKind::Dominant13th => "thirteenth",
        ChordKind::Major13th => "major thirteenth",
        ChordKind::Minor13th => "minor thirteenth",
        ChordKind::SuspendedSecond => "suspended second",
        ChordKind::SuspendedFourth => "suspended fourth",
        ChordKind::Pedal => "pedal tone",
        ChordKind::Power => "open fifth",
        ChordKind::Other => "of another kind",
        ChordKind::None => "without chord",
        kind => kind.standard_name(),
    }
}

/// A chord symbol.
pub fn chord(symbol: &ChordSymbol) -> String {
    let Harmony::Chord(chord) = &symbol.harmony else { return "no chord".to_owned() };
    let degrees: String = chord.degrees.iter().map(|d| format!(" {}", degree(*d))).collect();
    let bass = chord.bass.map(|bass| format!(" over {}", name(bass))).unwrap_or_default();
    format!("{}{degrees}{bass}", after(chord.root, spoken(chord.kind)))
}

fn degree(degree: Degree) -> String {
    let change = match degree.change {
        DegreeChange::Add => "add",
        DegreeChange::Alter => "with",
        DegreeChange::Subtract => "without",
    };
    let sign = match degree.alter {
        0 => String::new(),
        1 => "sharp ".to_owned(),
        -1 => "flat ".to_owned(),
        n if n > 0 => format!("{n} times sharp "),
        n => format!("{} times flat ", -n),
    };
    format!("{change} {sign}{}", degree.value)
}

/// A chord symbol; its text in the source is not known.
pub fn read(tokens: &mut Tokens) -> Result<ChordSymbol, String> {
    if tokens.take("no chord") {
        return Ok(ChordSymbol { harmony: Harmony::NoChord, source: String::new() });
    }
    let (root, joined) = read_after(tokens)?;
    let kind = kind(tokens, joined)?;
    let mut chord = Chord::new(root, kind);
    while let Some(degree) = read_degree(tokens)? {
        chord.degrees.push(degree);
    }
    if tokens.take("over") {
        let word = tokens.word().ok_or_else(|| tokens.expected("the bass"))?;
        chord.bass = Some(name_of(&word).ok_or_else(|| format!("no bass \"{word}\""))?);
    }
    Ok(ChordSymbol { harmony: Harmony::Chord(chord), source: String::new() })
}

/// The kind whose name is the longest that stands there, its first word joined to the root or not.
fn kind(tokens: &mut Tokens, joined: Option<String>) -> Result<ChordKind, String> {
    let mut kinds: Vec<ChordKind> = ChordKind::all().collect();
    kinds.sort_by_key(|kind| std::cmp::Reverse(spoken(*kind).split(' ').count()));
    let stands = |kind: &ChordKind| match &joined {
        None => tokens.take(spoken(*kind)),
        Some(first) => match spoken(*kind).split_once(' ') {
            None => first == spoken(*kind),
            Some((own, more)) => first == own && tokens.take(more),
        },
    };
    let found = kinds.into_iter().find(stands);
    found.ok_or_else(|| tokens.expected("a kind of chord"))
}

fn read_degree(tokens: &mut Tokens) -> Result<Option<Degree>, String> {
    let changes = [("add", DegreeChange::Add), ("without", DegreeChange::Subtract), ("with", DegreeChange::Alter)];
    let Some((_, change)) = changes.into_iter().find(|(word, _)| tokens.take(word)) else { return Ok(None) };
    let mut alter = 0;
    if tokens.take("sharp") {
        alter = 1;
    } else if tokens.take("flat") {
        alter = -1;
    }
    let value: i32 = tokens.number().ok_or_else(|| tokens.expected("the number of a degree"))?;
    if alter != 0 || !tokens.take("times") {
        return Ok(Some(Degree { change, value, alter }));
    }
    let alter = if tokens.take("sharp") { value } else { -value };
    if alter < 0 && !tokens.take("flat") {
        return Err(tokens.expected("sharp or flat"));
    }
    let value = tokens.number().ok_or_else(|| tokens.expected("the number of a degree"))?;
    Ok(Some(Degree { change, value, alter }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::PitchName;

    fn symbol(chord: Chord) -> ChordSymbol {
        ChordSymbol { harmony: Harmony::Chord(chord), source: String::new() }
    }

    /// Every kind of the standard on every root, and what else a symbol may have.
    #[test]
    fn chords_come_back() {
        let mut all: Vec<ChordSymbol> = Vec::new();
        for kind in ChordKind::all() {
            all.extend((-8..9).map(|fifths| symbol(Chord::new(PitchName::from_fifths(fifths), kind))));
        }
        let changes = [DegreeChange::Add, DegreeChange::Alter, DegreeChange::Subtract];
        for change in changes {
            all.extend((-2..3).map(|alter| {
                let degrees = vec![Degree { change, value: 9, alter }, Degree { change, value: 5, alter: -1 }];
                symbol(Chord { degrees, bass: Some(PitchName::from_fifths(3)), ..Chord::new(PitchName::from_fifths(3), ChordKind::Minor) })
            }));
        }
        all.push(ChordSymbol { harmony: Harmony::NoChord, source: String::new() });
        for written in all {
            let words = chord(&written);
            let mut tokens = Tokens::of(&words).expect("a line");
            assert_eq!(read(&mut tokens), Ok(written), "{words}");
            assert_eq!(tokens.end(), Ok(()), "{words}");
        }
    }

    #[test]
    fn chords_are_called_as_they_are_spoken() {
        let a = PitchName::from_fifths(3);
        assert_eq!(chord(&symbol(Chord::new(a, ChordKind::Major))), "A-major");
        let over = Chord { bass: Some(PitchName::from_fifths(1)), ..Chord::new(a, ChordKind::MinorSeventh) };
        assert_eq!(chord(&symbol(over)), "A-minor seventh over G");
        assert_eq!(chord(&symbol(Chord::new(PitchName::from_fifths(-2), ChordKind::Dominant))), "B-flat seventh");
    }
}
