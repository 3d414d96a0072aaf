//! All chord kinds against the words of the standard.
//!
//! The second column is what MusicXML 4.0 says in the documentation of `kind-value`, word for word; a word like "major triad" or "dominant-ninth"
//! stands for the tones of that kind. The standard gives no intervals for the functional sixths, pedal, Tristan, other and none: these come
//! from where the comment says.

use crate::show::{read, score};

const STANDARD: [(&str, &str); 24] = [
    ("major", "major third, perfect fifth"),
    ("minor", "minor third, perfect fifth"),
    ("augmented", "major third, augmented fifth"),
    ("diminished", "minor third, diminished fifth"),
    ("dominant", "major triad, minor seventh"),
    ("major-seventh", "major triad, major seventh"),
    ("minor-seventh", "minor triad, minor seventh"),
    ("diminished-seventh", "diminished triad, diminished seventh"),
    ("augmented-seventh", "augmented triad, minor seventh"),
    ("half-diminished", "diminished triad, minor seventh"),
    ("major-minor", "minor triad, major seventh"),
    ("major-sixth", "major triad, added sixth"),
    ("minor-sixth", "minor triad, added sixth"),
    ("dominant-ninth", "dominant-seventh, major ninth"),
    ("major-ninth", "major-seventh, major ninth"),
    ("minor-ninth", "minor-seventh, major ninth"),
    ("dominant-11th", "dominant-ninth, perfect 11th"),
    ("major-11th", "major-ninth, perfect 11th"),
    ("minor-11th", "minor-ninth, perfect 11th"),
    ("dominant-13th", "dominant-11th, major 13th"),
    ("major-13th", "major-11th, major 13th"),
    ("minor-13th", "minor-11th, major 13th"),
    ("suspended-second", "major second, perfect fifth"),
    ("suspended-fourth", "perfect fourth, perfect fifth"),
];

/// Semitones above the root. Augmented sixths and the Neapolitan over their tonic: harmony textbooks (Italian A-flat C F-sharp in C, French
/// with D, German with E-flat; Neapolitan D-flat F A-flat). Power: the standard's "perfect fifth". Tristan: F B D-sharp G-sharp over F.
const OTHERS: [(&str, &[i32]); 9] = [
    ("Neapolitan", &[1, 5, 8]),
    ("Italian", &[0, 6, 8]),
    ("French", &[0, 2, 6, 8]),
    ("German", &[0, 3, 6, 8]),
    ("pedal", &[0]),
    ("power", &[0, 7]),
    ("Tristan", &[0, 6, 10, 15]),
    ("other", &[0, 4, 7]),
    ("none", &[]),
];

fn interval(words: &str) -> i32 {
    let (quality, size) = words.split_once(' ').expect("a quality and a size");
    let (natural, perfect) = match size {
        "second" => (2, false),
        "third" => (4, false),
        "fourth" => (5, true),
        "fifth" => (7, true),
        "sixth" => (9, false),
        "seventh" => (11, false),
        "ninth" => (14, false),
        "11th" => (17, true),
        "13th" => (21, false),
        other => panic!("no interval {other}"),
    };
    match quality {
        "major" | "perfect" | "added" => natural,
        "minor" => natural - 1,
        "augmented" => natural + 1,
        "diminished" if perfect => natural - 1,
        "diminished" => natural - 2,
        other => panic!("no quality {other}"),
    }
}

fn defined(name: &str) -> Vec<i32> {
    let name = if name == "dominant-seventh" { "dominant" } else { name };
    let words = STANDARD.iter().find(|(kind, _)| *kind == name).unwrap_or_else(|| panic!("no kind {name}")).1;
    let (first, second) = words.split_once(", ").expect("two parts");
    let mut tones = match first.strip_suffix(" triad") {
        Some(triad) => defined(triad),
        None if first.contains('-') => defined(first),
        None => vec![0, interval(first)],
    };
    tones.push(interval(second));
    tones.sort();
    tones
}

fn tones_read(kind: &str) -> Vec<i32> {
    let harmony = format!("<harmony><root><root-step>C</root-step></root><kind>{kind}</kind></harmony>");
    let imported = match read(&score("1/4", &format!("{harmony} {{C4 1}}"))) {
        Ok(imported) => imported,
        Err(error) => panic!("{error}"),
    };
    let symbol = &imported.sheet.measures[0].frame.chords[0].symbol;
    let mut tones: Vec<i32> = symbol.chord().map(|c| c.tones().iter().map(|t| t.semitones).collect()).unwrap_or_default();
    tones.sort();
    tones
}

#[test]
fn kinds_have_the_tones_of_the_standard() {
    for (name, words) in STANDARD {
        assert_eq!(tones_read(name), defined(name), "{name}: {words}");
    }
    for (name, tones) in OTHERS {
        assert_eq!(tones_read(name), tones, "{name}");
    }
}

#[test]
fn all_kinds_of_the_model_are_checked() {
    let checked: Vec<&str> = STANDARD.iter().map(|k| k.0).chain(OTHERS.iter().map(|k| k.0)).collect();
    let missing: Vec<&str> = music::ChordKind::all().map(|k| k.standard_name()).filter(|name| !checked.contains(name)).collect();
    assert_eq!((checked.len(), missing), (33, vec![]));
}
