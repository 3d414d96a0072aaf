//! Decorations by name and by letter (ABC 2.1, 4.14 and 4.16), and the words that send the player elsewhere.

use music::{Decoration, Jump};
use std::collections::BTreeMap;

/// What a decoration's name means here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sign {
    Decoration(Decoration),
    Jump(Jump),
    /// A coda sign: the place or the way to it, which only the whole tune tells.
    Coda,
    /// The chord is spread.
    Rolled,
    Finger(u8),
    Nothing,
}

/// The letters that stand for decorations before any `U:` field (4.16).
pub fn shorthands() -> BTreeMap<char, String> {
    let plain = [
        ('.', "staccato"),
        ('~', "roll"),
        ('H', "fermata"),
        ('L', "accent"),
        ('M', "lowermordent"),
        ('O', "coda"),
        ('P', "uppermordent"),
        ('S', "segno"),
        ('T', "trill"),
        ('u', "upbow"),
        ('v', "downbow"),
    ];
    plain.into_iter().map(|(letter, name)| (letter, name.to_owned())).collect()
}

/// A decoration by its name.
pub fn sign(name: &str) -> Sign {
    use Decoration::*;
    if let Some(jump) = jump(name) {
        return jump;
    }
    Sign::Decoration(match name {
        "." | "staccato" => Staccato,
        "tenuto" => Tenuto,
        ">" | "accent" | "emphasis" => Accent,
        "^" | "marcato" => Marcato,
        "fermata" | "invertedfermata" => Fermata,
        "breath" | "shortphrase" => Breath,
        "trill" | "tr" => Trill,
        "turn" => Turn,
        "lowermordent" | "mordent" => Mordent,
        "uppermordent" | "pralltriller" => InvertedMordent,
        "upbow" => UpBow,
        "downbow" => DownBow,
        "pppp" | "ppp" | "pp" | "p" | "mp" | "mf" | "f" | "ff" | "fff" | "ffff" | "sfz" => Dynamic(name.to_owned()),
        "arpeggio" => return Sign::Rolled,
        "nil" | "none" | "beambr1" | "beambr2" | "rbstop" => return Sign::Nothing,
        n => match n.parse() {
            Ok(finger @ 1..=4) => return Sign::Finger(finger),
            _ => Other(n.to_owned()),
        },
    })
}

/// A sign that sends the player elsewhere, by its name or as words above the staff: "D.C. al Fine".
pub fn jump(words: &str) -> Option<Sign> {
    let plain: String = words.chars().filter(|c| c.is_alphabetic()).collect::<String>().to_lowercase();
    Some(match plain.as_str() {
        "segno" => Sign::Jump(Jump::Segno),
        "coda" => Sign::Coda,
        "fine" => Sign::Jump(Jump::Fine),
        "dacoda" | "tocoda" => Sign::Jump(Jump::ToCoda),
        "dc" | "dacapo" | "dcalfine" | "dcalcoda" | "dacapoalfine" | "dacapoalcoda" => Sign::Jump(Jump::DaCapo),
        "ds" | "dalsegno" | "dsalfine" | "dsalcoda" | "dalsegnoalfine" | "dalsegnoalcoda" => Sign::Jump(Jump::DalSegno),
        _ => return None,
    })
}

/// The longest name of a decoration, or text above the staff, that a letter may stand for, in characters.
const LONGEST_MEANING: usize = 100;

/// `U: T = !trill!` or `U: n = "^cresc."`: the letter, and the name without its marks.
pub fn definition(value: &str) -> Option<(char, String)> {
    let (letter, meaning) = value.split_once('=')?;
    let mut letters = letter.trim().chars();
    let letter = letters.next().filter(|c| matches!(c, 'H'..='W' | 'h'..='w' | '~'))?;
    let name = meaning.trim().trim_matches(['!', '+']).trim();
    let good = letters.next().is_none() && !name.is_empty() && name.chars().nth(LONGEST_MEANING).is_none();
    good.then(|| (letter, name.to_owned()))
}
