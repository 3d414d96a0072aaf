//! Words under the notes: `w:` lines taken apart and laid on the notes (ABC 2.1, chapter 5).

use super::text;
use music::{Hyphen, Syllable};

/// One step of a line of words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Item {
    /// A syllable, and whether its word goes on.
    Syllable(String, Word),
    /// The syllable before is held for one more note.
    Hold,
    Skip,
    /// On to the next measure.
    Bar,
}

/// Whether a word goes on after a syllable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    Ends,
    GoesOn,
}

/// Where a note that can carry a syllable stands: its measure, and its place among the measure's notes.
pub type Slot = (usize, usize);

/// Takes a line of words apart.
pub fn items(line: &str) -> Vec<Item> {
    let line = join_number(line.trim());
    let mut items = Vec::new();
    let mut syllable = String::new();
    let mut chars = line.chars();
    while let Some(c) = chars.next() {
        let simple = match c {
            '-' if !syllable.is_empty() => {
                finish(&mut syllable, Word::GoesOn, &mut items);
                continue;
            }
            '-' => {
                if let Some(Item::Syllable(_, word)) = items.iter_mut().rev().find(|i| **i != Item::Hold) {
                    *word = Word::GoesOn;
                }
                Item::Hold
            }
            '_' => Item::Hold,
            '*' => Item::Skip,
            '|' => Item::Bar,
            c if c.is_whitespace() => {
                finish(&mut syllable, Word::Ends, &mut items);
                continue;
            }
            '~' => {
                syllable.push('\u{a0}');
                continue;
            }
            '\\' => {
                match chars.next() {
                    Some('-') => syllable.push('-'),
                    Some(next) => syllable.extend(['\\', next]),
                    None => {}
                }
                continue;
            }
            c => {
                syllable.push(c);
                continue;
            }
        };
        finish(&mut syllable, Word::Ends, &mut items);
        items.push(simple);
    }
    finish(&mut syllable, Word::Ends, &mut items);
    items
}

fn finish(syllable: &mut String, word: Word, items: &mut Vec<Item>) {
    if !syllable.is_empty() {
        items.push(Item::Syllable(text::clean(syllable).replace('\u{a0}', " "), word));
        syllable.clear();
    }
}

/// "1. Three blind mice": the number of the verse belongs to the first syllable (5.3).
fn join_number(line: &str) -> String {
    let first = line.split_whitespace().next().unwrap_or("");
    let number = first.starts_with(|c: char| c.is_ascii_digit()) && first.chars().all(|c| c.is_ascii_digit() || ".):".contains(c));
    if number { format!("{first}~{}", line[first.len()..].trim_start()) } else { line.to_owned() }
}

/// How many notes a line of words reaches over, bars left aside.
pub fn reach(items: &[Item]) -> usize {
    items.iter().filter(|i| **i != Item::Bar).count()
}

/// A line of words laid on notes: each syllable with its slot, and how many syllables found no note.
pub struct Aligned {
    pub syllables: Vec<(Slot, Syllable)>,
    pub left_over: usize,
}

/// Lays the items of one verse on the slots.
pub fn align(items: &[Item], slots: &[Slot], verse: u32) -> Aligned {
    let mut found = Aligned { syllables: Vec::new(), left_over: 0 };
    let mut place = 0;
    let mut measure = slots.first().map_or(0, |s| s.0);
    let mut before = Word::Ends;
    for item in items {
        let slot = slots.get(place).copied();
        match item {
            Item::Bar => {
                while slots.get(place).is_some_and(|s| s.0 <= measure) {
                    place += 1;
                }
                measure += 1;
                continue;
            }
            Item::Syllable(text, word) => {
                match slot {
                    Some(slot) => found.syllables.push((slot, syllable(verse, text, before, *word))),
                    None => found.left_over += 1,
                }
                before = *word;
            }
            Item::Hold => {
                if let Some((_, last)) = found.syllables.last_mut() {
                    last.held |= slot.is_some();
                }
            }
            Item::Skip => {}
        }
        measure = slot.map_or(measure, |s| s.0);
        place += 1;
    }
    found
}

fn syllable(verse: u32, text: &str, before: Word, after: Word) -> Syllable {
    let hyphen = match (before, after) {
        (Word::Ends, Word::Ends) => Hyphen::Single,
        (Word::Ends, Word::GoesOn) => Hyphen::Begin,
        (Word::GoesOn, Word::GoesOn) => Hyphen::Middle,
        (Word::GoesOn, Word::Ends) => Hyphen::End,
    };
    Syllable { verse, text: text.to_owned(), hyphen, held: false }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line of words on two measures of three notes: a word a note, `-` where its word goes on, `_` where it is held, `.` for none.
    fn laid(line: &str) -> String {
        let slots: Vec<Slot> = (0..6).map(|i| (i / 3, i % 3)).collect();
        let aligned = align(&items(line), &slots, 1);
        let word = |slot: &Slot| match aligned.syllables.iter().find(|s| s.0 == *slot) {
            Some((_, s)) => {
                let hyphen = if matches!(s.hyphen, Hyphen::Begin | Hyphen::Middle) { "-" } else { "" };
                format!("{}{hyphen}{}", s.text, if s.held { "_" } else { "" })
            }
            None => ".".into(),
        };
        let mut shown: Vec<String> = slots.iter().map(word).collect();
        if aligned.left_over > 0 {
            shown.push(format!("({} left over)", aligned.left_over));
        }
        shown.join(" ")
    }

    /// ABC 2.1, 5.1 and 5.3: the examples of the standard.
    #[test]
    fn words_are_laid_on_notes() {
        let table = [
            ("syll-a-ble", "syll- a- ble . . ."),
            ("syll-a--ble", "syll- a-_ . ble . ."),
            ("syll-a -ble", "syll- a-_ . ble . ."),
            ("time__", "time_ . . . . ."),
            ("of~the~day", "of the day . . . . ."),
            ("*see ** see", ". see . . see ."),
            (r"x\-ray", "x-ray . . . . ."),
            ("yeah|yeah", "yeah . . yeah . ."),
            ("a b c|d", "a b c d . ."),
            ("ban-_ner yet_ wave", "ban-_ . ner yet_ . wave"),
            ("1.~Three blind mice", "1. Three blind mice . . ."),
            ("2. Three blind mice", "2. Three blind mice . . ."),
            ("a b c d e f g h", "a b c d e f (2 left over)"),
            ("Za\\'ibe &eacute;", "Zaíbe é . . . ."),
        ];
        for (line, expected) in table {
            assert_eq!(laid(line), expected, "w:{line}");
        }
    }
}
