//! Chord symbols as `<harmony>`: what they mean, and the suffix that is printed.

use super::xml::Xml;
use music::chord::kind_suffix;
use music::{Chord, ChordKind, ChordOrigin, Degree, DegreeChange, Harmony, PitchName, PlacedChord};
use std::fmt::Display;

/// Writes a chord symbol on the upper staff, `offset` divisions after the place reached. The program's own are in italics.
pub fn write(xml: &mut Xml, placed: &PlacedChord, offset: i64) {
    let mut attributes: Vec<(&str, &dyn Display)> = vec![("placement", &"above"), ("print-frame", &"no")];
    if placed.origin == ChordOrigin::Ours {
        attributes.push(("font-style", &"italic"));
    }
    xml.within("harmony", &attributes, |xml| {
        match &placed.symbol.harmony {
            Harmony::Chord(of) => chord(xml, of, &placed.symbol.source),
            Harmony::NoChord => {
                xml.within("root", &[], |xml| xml.text_with("root-step", &[("text", &"")], "C"));
                xml.text_with("kind", &[("text", &"N.C.")], "none");
            }
        }
        if offset != 0 {
            xml.text("offset", offset);
        }
        xml.text("staff", 1);
    });
}

fn chord(xml: &mut Xml, chord: &Chord, source: &str) {
    named(xml, "root", chord.root);
    xml.text_with("kind", &[("text", &suffix(chord, source))], chord.kind.standard_name());
    if let Some(bass) = chord.bass {
        named(xml, "bass", bass);
    }
    for degree in chord.degrees.iter().filter(|d| d.value > 0) {
        // The suffix names the degrees already.
        xml.within("degree", &[("print-object", &"no")], |xml| {
            xml.text("degree-value", degree.value);
            xml.text("degree-alter", degree.alter);
            xml.text("degree-type", change_name(degree.change));
        });
    }
}

fn named(xml: &mut Xml, element: &str, name: PitchName) {
    xml.within(element, &[], |xml| {
        xml.text(&format!("{element}-step"), name.step.letter());
        if name.alter != 0 {
            xml.text(&format!("{element}-alter"), name.alter);
        }
    });
}

fn change_name(change: DegreeChange) -> &'static str {
    match change {
        DegreeChange::Add => "add",
        DegreeChange::Alter => "alter",
        DegreeChange::Subtract => "subtract",
    }
}

/// What is printed after the root: kind and changed degrees in the plain letters of lead sheets.
///
/// A kind without a name of its own is printed as the source had it.
fn suffix(chord: &Chord, source: &str) -> String {
    if chord.kind == ChordKind::Other {
        let own = source.split('/').next().unwrap_or_default();
        return own.strip_prefix(&chord.root.to_string()).unwrap_or_default().to_owned();
    }
    let (mut text, rest) = suspended_seventh(chord).unwrap_or_else(|| (kind_suffix(chord.kind).to_owned(), chord.degrees.clone()));
    for degree in &rest {
        let word = degree_word(chord.kind, degree);
        // "Cb5" would be a fifth on C flat.
        let ambiguous = text.is_empty() && word.starts_with(['b', '#']);
        text.push_str(&if ambiguous { format!("({word})") } else { word });
    }
    text
}

/// "7sus4" and the like, however they were put together: a suspended chord with a seventh, or a seventh chord with 4 for 3.
fn suspended_seventh(chord: &Chord) -> Option<(String, Vec<Degree>)> {
    let plain = |change, value| Degree { change, value, alter: 0 };
    let (wanted, name) = match chord.kind {
        ChordKind::SuspendedFourth => (vec![plain(DegreeChange::Add, 7)], "7sus4"),
        ChordKind::SuspendedSecond => (vec![plain(DegreeChange::Add, 7)], "7sus2"),
        ChordKind::Dominant => (vec![plain(DegreeChange::Subtract, 3), plain(DegreeChange::Add, 4)], "7sus4"),
        ChordKind::DominantNinth => (vec![plain(DegreeChange::Subtract, 3), plain(DegreeChange::Add, 4)], "9sus4"),
        _ => return None,
    };
    let found = wanted.iter().all(|w| chord.degrees.contains(w));
    let mut rest: Vec<Degree> = chord.degrees.iter().filter(|d| !wanted.contains(d)).copied().collect();
    let ninth = plain(DegreeChange::Add, 9);
    let name = if rest.contains(&ninth) { name.replace('7', "9") } else { name.to_owned() };
    rest.retain(|d| *d != ninth);
    found.then_some((name, rest))
}

fn degree_word(kind: ChordKind, degree: &Degree) -> String {
    let sign = if degree.alter < 0 { "b" } else { "#" }.repeat(degree.alter.unsigned_abs().min(2) as usize);
    let has_seventh = kind.tones().iter().any(|t| t.0 == 7);
    match degree.change {
        DegreeChange::Add if matches!(kind, ChordKind::MajorSixth | ChordKind::MinorSixth) && degree.value == 9 && degree.alter == 0 => {
            "9".to_owned()
        }
        DegreeChange::Add if has_seventh && degree.alter != 0 => format!("{sign}{}", degree.value),
        DegreeChange::Add => format!("add{sign}{}", degree.value),
        DegreeChange::Alter => format!("{sign}{}", degree.value),
        DegreeChange::Subtract => format!("no{}", degree.value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::Step;

    fn printed(kind: ChordKind, degrees: &[(DegreeChange, i32, i32)]) -> String {
        let degrees = degrees.iter().map(|(change, value, alter)| Degree { change: *change, value: *value, alter: *alter });
        let chord = Chord { degrees: degrees.collect(), ..Chord::new(PitchName::new(Step::C, 0), kind) };
        format!("{}{}", chord.root, suffix(&chord, "C?"))
    }

    /// Common practice of lead sheets.
    #[test]
    fn suffixes_are_plain() {
        use ChordKind::*;
        use DegreeChange::*;
        assert_eq!(printed(Minor, &[]), "Cm");
        assert_eq!(printed(Dominant, &[(Add, 9, -1)]), "C7b9");
        assert_eq!(printed(Major, &[(Add, 9, 0)]), "Cadd9");
        assert_eq!(printed(Major, &[(Alter, 5, -1)]), "C(b5)");
        assert_eq!(printed(Dominant, &[(Alter, 5, 1)]), "C7#5");
        assert_eq!(printed(SuspendedFourth, &[(Add, 7, 0)]), "C7sus4");
        assert_eq!(printed(Dominant, &[(Subtract, 3, 0), (Add, 4, 0)]), "C7sus4");
        assert_eq!(printed(MajorSixth, &[(Add, 9, 0)]), "C69");
        assert_eq!(printed(Other, &[]), "C?");
    }
}
