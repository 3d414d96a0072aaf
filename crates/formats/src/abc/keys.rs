//! The key field `K:` (ABC 2.1, 3.1.14): tonic, mode, accidentals of its own, the pipes, and what comes after.

use super::fields;
use crate::diagnostic::excerpt;
use music::{Key, Mode, PitchName, Step};
use std::collections::VecDeque;

/// A key field taken apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyText {
    /// `None` where the field only names a clef or an octave.
    pub key: Option<Key>,
    pub parameters: fields::Parameters,
    pub notes: Vec<String>,
}

/// Reads the value of a key field.
pub fn key(value: &str) -> Result<KeyText, String> {
    let mut words: VecDeque<String> = fields::words(value).into();
    let mut found = KeyText { key: None, parameters: fields::Parameters::default(), notes: Vec::new() };
    let mut start = start(&mut words, &mut found.notes);
    let mut explicit: Vec<(Step, i32)> = Vec::new();
    let mut rest = Vec::new();
    let mut only_explicit = false;
    let mut mode_may_come = true;
    while let Some(word) = words.pop_front() {
        let mode = leading_mode(&word).filter(|(_, after)| mode_may_come && !after.starts_with('='));
        mode_may_come = false;
        if word.eq_ignore_ascii_case("exp") {
            only_explicit = true;
        } else if let Some(mut signs) = accidentals(&word) {
            explicit.append(&mut signs);
        } else if let (Some((mode, after)), Start::Tonic(tonic, Mode::Major)) = (mode, &start) {
            start = Start::Tonic(*tonic, mode);
            put_back(after, &mut words);
        } else {
            rest.push(word);
        }
    }
    found.parameters = fields::parameters(&rest);
    if let (Start::Missing, [first, ..]) = (&start, found.parameters.unknown.as_slice()) {
        let first = excerpt(first);
        return Err(format!("the key \"{first}\" is not understood: expected a letter and a mode, like \"D\", \"Em\" or \"Ador\""));
    }
    found.key = match start {
        Start::Tonic(tonic, _) if only_explicit => Some(nearest(Some(tonic), &explicit)),
        Start::Tonic(tonic, mode) => Some(with_explicit(Key::of(tonic, mode), &explicit)),
        Start::Signature(key) => Some(with_explicit(key, &explicit)),
        Start::Missing if !explicit.is_empty() || only_explicit => Some(nearest(None, &explicit)),
        Start::Missing => None,
    };
    Ok(found)
}

enum Start {
    Tonic(PitchName, Mode),
    Signature(Key),
    Missing,
}

/// Takes the tonic, with the mode if it is written without a space, or one of the words that stand for a key. What is written on without a space
/// is a word of its own then: the accidental in "Dm^c", something to be said in "Ador?".
fn start(words: &mut VecDeque<String>, notes: &mut Vec<String>) -> Start {
    let Some(first) = words.front().cloned() else {
        return Start::Signature(Key::new(0, Mode::Other));
    };
    let made = match first.as_str() {
        "HP" => {
            notes.push("the signature of the pipes is not printed: F and C are taken as sharp".into());
            Some((Start::Signature(Key { explicit: vec![(Step::C, 1), (Step::F, 1)], ..Key::new(0, Mode::Other) }), ""))
        }
        "Hp" => Some((Start::Signature(Key::new(2, Mode::Other)), "")),
        f if f.eq_ignore_ascii_case("none") => Some((Start::Signature(Key::new(0, Mode::Other)), "")),
        f => tonic(f),
    };
    match made {
        Some((start, after)) => {
            words.pop_front();
            put_back(after, words);
            start
        }
        None => Start::Missing,
    }
}

fn put_back(after: &str, words: &mut VecDeque<String>) {
    if !after.is_empty() {
        words.push_front(after.to_owned());
    }
}

/// The tonic at the head of a word, its mode, and what else stands in the word.
fn tonic(word: &str) -> Option<(Start, &str)> {
    if fields::is_parameter(word) {
        return None;
    }
    let mut chars = word.chars();
    let step = chars.next().filter(char::is_ascii_alphabetic).and_then(Step::from_letter)?;
    let rest = chars.as_str();
    let (alter, rest) = match rest.chars().next() {
        Some('#' | '♯') => (1, rest.trim_start_matches(['#', '♯'])),
        Some('b' | '♭') => (-1, rest.trim_start_matches(['b', '♭'])),
        _ => (0, rest),
    };
    let tonic = PitchName::new(step, alter);
    match leading_mode(rest) {
        Some((mode, after)) => Some((Start::Tonic(tonic, mode), after)),
        // Letters right behind a letter, and no mode, make another word of it: "Es" is German for E flat, not E major.
        None if alter == 0 && rest.starts_with(char::is_alphabetic) => None,
        None => word.starts_with(|c: char| c.is_ascii_uppercase()).then_some((Start::Tonic(tonic, Mode::Major), rest)),
    }
}

/// The mode that the letters at the head of a word name, and what comes after them.
fn leading_mode(word: &str) -> Option<(Mode, &str)> {
    let after = word.trim_start_matches(char::is_alphabetic);
    mode(&word[..word.len() - after.len()]).map(|mode| (mode, after))
}

/// A mode by its first three letters in any case; `m` alone is minor.
fn mode(word: &str) -> Option<Mode> {
    let word = word.to_lowercase();
    if word == "m" {
        return Some(Mode::Minor);
    }
    let three = word.get(..3)?;
    Mode::NAMED.into_iter().find(|m| m.name().starts_with(three))
}

/// `^f`, `_b`, `=c`, several in one word.
fn accidentals(word: &str) -> Option<Vec<(Step, i32)>> {
    let mut found = Vec::new();
    let mut alter = None;
    for c in word.chars() {
        match c {
            '^' => alter = Some(alter.unwrap_or(0) + 1),
            '_' => alter = Some(alter.unwrap_or(0) - 1),
            '=' => alter = Some(0),
            _ => found.push((Step::from_letter(c)?, alter.take()?.clamp(-2, 2))),
        }
    }
    (alter.is_none() && !found.is_empty()).then_some(found)
}

/// The key with these letters changed; letters that the signature already has so are left out.
fn with_explicit(key: Key, explicit: &[(Step, i32)]) -> Key {
    let plain = Key { explicit: Vec::new(), ..key.clone() };
    let mut all: Vec<(Step, i32)> = Vec::new();
    for step in Step::ALL {
        let wanted = explicit.iter().rev().find(|e| e.0 == step).map_or_else(|| key.alter(step), |e| e.1);
        if wanted != plain.alter(step) {
            all.push((step, wanted));
        }
    }
    Key { explicit: all, ..key }
}

/// The key with exactly these accidentals: the mode on the tonic that needs the fewest changes, its third first.
fn nearest(tonic: Option<PitchName>, explicit: &[(Step, i32)]) -> Key {
    let alter = |step: Step| explicit.iter().rev().find(|e| e.0 == step).map_or(0, |e| e.1);
    let exact: Vec<(Step, i32)> = Step::ALL.into_iter().map(|s| (s, alter(s))).collect();
    let candidates: Vec<Key> = match tonic {
        Some(tonic) => Mode::NAMED.into_iter().map(|mode| Key::of(tonic, mode)).collect(),
        None => (-7..=7).map(|fifths| Key::new(fifths, Mode::Other)).collect(),
    };
    let third = |key: &Key| key.alter(Step::from_index(key.tonic().step.index() + 2));
    let price = |key: &Key| {
        let changed = with_explicit(key.clone(), &exact).explicit.len();
        let wrong_third = i32::from(third(key) != alter(Step::from_index(key.tonic().step.index() + 2)));
        (changed, wrong_third, key.fifths.abs())
    };
    let best = candidates.into_iter().min_by_key(price).expect("there is at least one candidate");
    with_explicit(best, &exact)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(value: &str) -> String {
        match key(value) {
            Ok(KeyText { key: Some(key), parameters, .. }) => {
                let signs: Vec<String> = key.explicit.iter().map(|(s, a)| format!("{}{a:+}", s.letter())).collect();
                let octave = parameters.octaves.map(|o| format!(" octave {o}")).unwrap_or_default();
                let unknown = parameters.unknown.iter().map(|word| format!(" ({word})"));
                format!("{key} {} {}", key.fifths, signs.join(" ")).trim_end().to_owned() + &octave + &unknown.collect::<String>()
            }
            Ok(_) => "no key".into(),
            Err(error) => error,
        }
    }

    /// ABC 2.1, 3.1.14: its own examples, and the modes of its table.
    #[test]
    fn keys_and_modes() {
        let table = [
            ("C", "C major 0"),
            ("F#m", "F# minor 3"),
            ("Bb", "Bb major -2"),
            ("A minor", "A minor 0"),
            ("Amin", "A minor 0"),
            ("AMix", "A mixolydian 2"),
            ("A MIX", "A mixolydian 2"),
            ("D dorian", "D dorian 0"),
            ("Edor", "E dorian 2"),
            ("Bphr", "B phrygian 1"),
            ("F Lydian", "F lydian 0"),
            ("Bloc", "B locrian 0"),
            ("Gaeo", "G aeolian -2"),
            ("Cion", "C ionian 0"),
            ("Eb minor", "Eb minor -6"),
            ("D exp _b _e ^f", "D phrygian -2 F+1"),
            ("D Phr ^f", "D phrygian -2 F+1"),
            ("D maj =c", "D major 2 C+0"),
            ("Amix ^g", "A mixolydian 2 G+1"),
            ("none", "signature of C 0"),
            ("", "signature of C 0"),
            ("Hp", "signature of D 2"),
            ("HP", "signature of C 0 C+1 F+1"),
            ("_b ^f", "signature of F -1 F+1"),
            ("G treble-8", "G major 1 octave -1"),
            ("Am clef=bass octave=-1", "A minor 0 octave -1"),
            ("bass", "no key"),
            ("clef=alto", "no key"),
            ("Bass", "no key"),
            ("Clef=alto", "no key"),
            ("D m=B", "D major 2"),
            ("Dm^c", "D minor -1 C+1"),
            ("Gmix=b", "G mixolydian 0"),
            ("G=f", "G major 1 F+0"),
            ("D^g_b", "D major 2 G+1 B-1"),
            ("A minor^g", "A minor 0 G+1"),
            ("Ador?", "A dorian 1 (?)"),
            ("A dor?", "A dorian 1 (?)"),
            ("Dmaj7", "D major 2 (7)"),
            ("Ebfoo bass", "Eb major -3 octave 0 (foo)"),
            ("Es", "the key \"Es\" is not understood: expected a letter and a mode, like \"D\", \"Em\" or \"Ador\""),
            ("Q", "the key \"Q\" is not understood: expected a letter and a mode, like \"D\", \"Em\" or \"Ador\""),
        ];
        for (value, expected) in table {
            assert_eq!(read(value), expected, "K:{value}");
        }
    }
}
