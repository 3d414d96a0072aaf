//! The words of a song under the notes of one hand in one measure, a line a verse, and back.
//!
//! A syllable belongs to the next note of the hand, rests left out. A syllable inside a word ends with a hyphen. "(skip 2)" passes over two notes; "(3 notes)" after a syllable
//! says that it is sung over three. A space inside a syllable is written as an underscore; a sign that would mean something else has a backslash before it.

use super::tokens::plain;
use music::{Hyphen, Note, Syllable};
use std::collections::{BTreeMap, BTreeSet};

/// The verses that have words here, with what is said of each.
pub fn words(notes: &[Note]) -> BTreeMap<u32, String> {
    let sung: Vec<&Note> = notes.iter().filter(|n| !n.is_rest()).collect();
    let verses: BTreeSet<u32> = sung.iter().flat_map(|n| &n.syllables).map(|s| s.verse).collect();
    verses.into_iter().map(|verse| (verse, verse_words(&sung, verse))).collect()
}

fn verse_words(sung: &[&Note], verse: u32) -> String {
    let (mut said, mut next) = (Vec::new(), 0);
    let places: Vec<usize> = (0..sung.len()).filter(|at| sung[*at].syllables.iter().any(|s| s.verse == verse)).collect();
    for (i, at) in places.iter().enumerate() {
        if *at > next {
            said.push(format!("(skip {})", at - next));
        }
        let here: Vec<&Syllable> = sung[*at].syllables.iter().filter(|s| s.verse == verse).collect();
        let goes_on = here.last().is_some_and(|s| matches!(s.hyphen, Hyphen::Begin | Hyphen::Middle));
        let text = here.iter().map(|s| plain(&s.text)).collect::<Vec<_>>().join(" ");
        said.push(written(&text) + if goes_on { "-" } else { "" });
        let notes = if goes_on || here.iter().any(|s| s.held) { places.get(i + 1).unwrap_or(&sung.len()) - at } else { 1 };
        if notes > 1 {
            said.push(format!("({notes} notes)"));
        }
        next = at + notes;
    }
    said.join(" ")
}

/// A syllable without the hyphen after it.
fn written(text: &str) -> String {
    let mut out = String::new();
    let last = text.chars().count().saturating_sub(1);
    for (i, letter) in text.chars().enumerate() {
        let means = matches!(letter, '\\' | '_') || (i == 0 && letter == '(') || (i == last && letter == '-');
        out += if means { "\\" } else { "" };
        out.push(if letter == ' ' { '_' } else { letter });
    }
    if out.is_empty() { "\\e".into() } else { out }
}

/// Puts the words of one verse to the notes of a hand. Errors: more syllables than notes, or a bracket that is none.
pub fn read(line: &str, verse: u32, notes: &mut [Note]) -> Result<(), String> {
    let mut sung: Vec<&mut Note> = notes.iter_mut().filter(|n| !n.is_rest()).collect();
    let (mut at, mut last, mut inside) = (0usize, None::<usize>, false);
    let mut words = line.split(' ');
    while let Some(word) = words.next() {
        if let Some(opened) = word.strip_prefix('(') {
            let second = words.next().unwrap_or_default();
            let none = || format!("expected \"(skip 2)\" or \"(2 notes)\", found \"{word} {second}\"");
            match (opened, last) {
                ("skip", _) => at = at.saturating_add(second.strip_suffix(')').and_then(|n| n.parse().ok()).ok_or_else(none)?),
                (count, Some(syllable)) if second == "notes)" => {
                    at = syllable.saturating_add(count.parse().map_err(|_| none())?);
                    sung[syllable].syllables.last_mut().expect("it was given a syllable").held = true;
                }
                _ => return Err(none()),
            }
            continue;
        }
        let note = sung.get_mut(at).ok_or("more syllables than notes")?;
        let (text, goes_on) = spelled(word);
        let hyphen = match (inside, goes_on) {
            (false, false) => Hyphen::Single,
            (false, true) => Hyphen::Begin,
            (true, true) => Hyphen::Middle,
            (true, false) => Hyphen::End,
        };
        note.syllables.push(Syllable { verse, text, hyphen, held: false });
        (inside, last, at) = (goes_on, Some(at), at + 1);
    }
    Ok(())
}

/// The text of a syllable, and whether its word goes on.
fn spelled(word: &str) -> (String, bool) {
    let (mut text, mut letters, mut goes_on) = (String::new(), word.chars(), false);
    while let Some(letter) = letters.next() {
        match letter {
            '_' => text.push(' '),
            '\\' => text.extend(letters.next().filter(|l| *l != 'e')),
            '-' if letters.as_str().is_empty() => goes_on = true,
            plain => text.push(plain),
        }
    }
    (text, goes_on)
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text;

    fn sung(line: &str, syllables: &[(usize, &str, Hyphen)]) -> Vec<Note> {
        let mut notes = text::notes(line);
        for (at, text, hyphen) in syllables {
            notes[*at].syllables.push(Syllable { verse: 1, text: (*text).into(), hyphen: *hyphen, held: false });
        }
        notes
    }

    #[test]
    fn syllables_stand_under_their_notes() {
        let notes = sung("r:1 C4:1 D4:1 E4:1 F4:1 G4:1", &[(2, "re", Hyphen::Begin), (3, "gat", Hyphen::Middle), (5, "ta,", Hyphen::End)]);
        let line = words(&notes).remove(&1).expect("words");
        assert_eq!(line, "(skip 1) re- gat- (2 notes) ta,");
        let mut back = text::notes("r:1 C4:1 D4:1 E4:1 F4:1 G4:1");
        read(&line, 1, &mut back).expect("words");
        let heard = |notes: &[Note]| -> Vec<Option<String>> { notes.iter().map(|n| n.syllables.first().map(|s| s.text.clone())).collect() };
        assert_eq!(heard(&back), heard(&notes));
    }

    #[test]
    fn odd_syllables_come_back() {
        for odd in ["(oh", "a b", "so-", "a_b", "\\", "", "(3"] {
            let notes = sung("C4:1 D4:1", &[(0, odd, Hyphen::Begin), (1, "x", Hyphen::End)]);
            let line = words(&notes).remove(&1).expect("words");
            let mut back = text::notes("C4:1 D4:1");
            read(&line, 1, &mut back).expect("words");
            assert_eq!(back, notes, "{line}");
        }
        assert!(read("a b c", 1, &mut text::notes("C4:1 D4:1")).is_err());
    }
}
