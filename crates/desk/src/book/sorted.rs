//! The order of a book's tunes, and how titles are sorted: as one looks for them, without the article, capitals, accents and signs, and numbers by their worth.

use super::bound::Places;
use super::facts::Facts;
use crate::failure::Failure;
use practice::set::order::Held;
use practice::set::{MOST, SetTune, best_order};
use std::cmp::Ordering;

/// In which order a book has its tunes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// As they were named, or as they stand in their file.
    Given,
    Title,
    Key,
    /// So that the fewest levers or pedals are moved from one to the next, and keys vary.
    Levers,
}

/// An order, and whether she wished it: then no tune is brought forward to fill a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wished {
    pub order: Order,
    pub places: Places,
}

impl Wished {
    /// By the word that was typed; without one, `usual`.
    pub fn read(word: Option<&str>, usual: Order) -> Result<Wished, Failure> {
        let order = match word {
            None => return Ok(Wished { order: usual, places: Places::MayChange }),
            Some("given") => Order::Given,
            Some("title") => Order::Title,
            Some("key") => Order::Key,
            Some("levers") => Order::Levers,
            Some(other) => return Err(Failure::wrong(format!("order \"{other}\" of a book: expected given, title, key or levers"))),
        };
        Ok(Wished { order, places: Places::Kept })
    }

    /// Whether so many tunes can be ordered so.
    pub fn check(self, tunes: usize) -> Result<(), Failure> {
        if self.order == Order::Levers && tunes > MOST {
            return Err(Failure::wrong(format!(
                "{tunes} tunes in the order that moves fewest levers: expected at most {MOST}; take given, title or key"
            )));
        }
        Ok(())
    }
}

/// The places of tunes in the order that is wished.
pub fn sorted(tunes: &[Facts], order: Order) -> Vec<usize> {
    let mut places: Vec<usize> = (0..tunes.len()).collect();
    match order {
        Order::Given => {}
        Order::Title => places.sort_by_cached_key(|at| (key(&tunes[*at].title), *at)),
        Order::Key => places.sort_by(|a, b| by_key(&tunes[*a], &tunes[*b]).then(a.cmp(b))),
        Order::Levers => {
            let all: Vec<SetTune> = tunes.iter().map(|facts| facts.in_a_set.clone()).collect();
            places = best_order(&all, Held::default()).order;
        }
    }
    places
}

/// From most flats to most sharps; of one signature major before the others; of one key by title.
pub fn by_key(one: &Facts, other: &Facts) -> Ordering {
    let of = |facts: &Facts| (facts.key.fifths, facts.key.mode.fifths_above_major(), facts.key.to_string(), key(&facts.title));
    of(one).cmp(&of(other))
}

/// What a title is sorted by.
pub fn key(title: &str) -> String {
    let plain = plain(title);
    let article = ["the ", "a ", "an "].into_iter().find_map(|article| plain.strip_prefix(article));
    article.map_or(plain.clone(), str::to_owned)
}

/// Small letters without accents, one space between words, numbers as long as any.
fn plain(title: &str) -> String {
    let mut words = String::new();
    let mut digits = String::new();
    for c in title.chars().flat_map(char::to_lowercase).chain([' ']) {
        if c.is_ascii_digit() {
            digits.push(c);
            continue;
        }
        if !digits.is_empty() {
            words += &format!("{:0>12}", std::mem::take(&mut digits).trim_start_matches('0'));
        }
        match bare(c) {
            Some(letters) => words += letters,
            None if c.is_alphanumeric() => words.push(c),
            // An apostrophe parts no words.
            None if "'’ʼ`".contains(c) || is_mark(c) => {}
            None if !words.is_empty() && !words.ends_with(' ') => words.push(' '),
            None => {}
        }
    }
    words.trim_end().to_owned()
}

fn is_mark(c: char) -> bool {
    matches!(c, '\u{300}'..='\u{36f}')
}

/// A letter with an accent without it: those of the Latin and Greek letters that titles of tunes have.
fn bare(c: char) -> Option<&'static str> {
    Some(match c {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' | 'ā' | 'ă' | 'ą' => "a",
        'æ' => "ae",
        'ç' | 'ć' | 'ĉ' | 'č' => "c",
        'ď' | 'đ' | 'ð' => "d",
        'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ė' | 'ę' | 'ě' => "e",
        'ĝ' | 'ğ' | 'ġ' => "g",
        'ì' | 'í' | 'î' | 'ï' | 'ī' | 'ı' => "i",
        'ł' | 'ĺ' | 'ľ' => "l",
        'ñ' | 'ń' | 'ň' => "n",
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' | 'ō' | 'ő' => "o",
        'œ' => "oe",
        'ŕ' | 'ř' => "r",
        'ś' | 'ş' | 'š' | 'ș' => "s",
        'ß' => "ss",
        'ţ' | 'ť' | 'ț' => "t",
        'þ' => "th",
        'ù' | 'ú' | 'û' | 'ü' | 'ū' | 'ů' | 'ű' => "u",
        'ŵ' => "w",
        'ý' | 'ÿ' | 'ŷ' => "y",
        'ź' | 'ż' | 'ž' => "z",
        'ά' | 'ἀ' | 'ἁ' | 'ἄ' | 'ἅ' | 'ὰ' | 'ᾶ' => "α",
        'έ' | 'ἐ' | 'ἑ' | 'ἔ' | 'ἕ' | 'ὲ' => "ε",
        'ή' | 'ἠ' | 'ἡ' | 'ἤ' | 'ἥ' | 'ὴ' | 'ῆ' => "η",
        'ί' | 'ἰ' | 'ἱ' | 'ἴ' | 'ἵ' | 'ὶ' | 'ῖ' | 'ϊ' | 'ΐ' => "ι",
        'ό' | 'ὀ' | 'ὁ' | 'ὄ' | 'ὅ' | 'ὸ' => "ο",
        'ύ' | 'ὐ' | 'ὑ' | 'ὔ' | 'ὕ' | 'ὺ' | 'ῦ' | 'ϋ' | 'ΰ' => "υ",
        'ώ' | 'ὠ' | 'ὡ' | 'ὤ' | 'ὥ' | 'ὼ' | 'ῶ' | 'ᾠ' => "ω",
        'ς' => "σ",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_stand_where_one_looks_for_them() {
        let mut titles =
            ["The Ferry", "Étude", "a Fog", "Dawn", "Tune 10", "Tune 2", "An Egg", "“Quay”", "Σῆμα", "ΑΡΧΗ", "The", "Eel", "Ångström"];
        titles.sort_by_key(|title| key(title));
        assert_eq!(
            titles,
            ["Ångström", "Dawn", "Eel", "An Egg", "Étude", "The Ferry", "a Fog", "“Quay”", "The", "Tune 2", "Tune 10", "ΑΡΧΗ", "Σῆμα"]
        );
    }

    #[test]
    fn accents_capitals_and_signs_are_nothing() {
        for (one, other) in [("E\u{301}tude!", "étude"), ("Fisher's  Way", "FISHERS WAY"), ("No. 007", "no 7"), ("Ἀρχὴ", "αρχη")]
        {
            assert_eq!(key(one), key(other));
        }
        assert_eq!(key("???"), "");
    }

    #[test]
    fn orders_are_read() {
        assert_eq!(Wished::read(None, Order::Title), Ok(Wished { order: Order::Title, places: Places::MayChange }));
        assert_eq!(Wished::read(Some("title"), Order::Given), Ok(Wished { order: Order::Title, places: Places::Kept }));
        let levers = Wished::read(Some("levers"), Order::Given).expect("an order");
        assert!(levers.check(MOST).is_ok() && levers.check(MOST + 1).is_err());
        assert!(Wished::read(Some("random"), Order::Given).is_err());
    }
}
