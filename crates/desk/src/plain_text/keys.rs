//! Keys and meters in words, and back: "G-major, 1 sharp", "3 quarters a measure".

use super::pitches::{name, name_of};
use super::tokens::{Token, Tokens};
use music::{Key, Meter, MeterSign, Mode, PitchName};

/// Names of the note values that a meter counts, one and several of them.
const UNITS: [(u32, &str, &str); 7] = [
    (1, "whole", "wholes"),
    (2, "half", "halves"),
    (4, "quarter", "quarters"),
    (8, "eighth", "eighths"),
    (16, "sixteenth", "sixteenths"),
    (32, "thirty-second", "thirty-seconds"),
    (64, "sixty-fourth", "sixty-fourths"),
];

/// "E-flat major, 3 flats", "A-minor, no sharps or flats", "2 sharps, but B-flat" where no tonic is named.
pub fn key(key: &Key) -> String {
    let signature = match key.fifths {
        0 => "no sharps or flats".to_owned(),
        1 => "1 sharp".to_owned(),
        -1 => "1 flat".to_owned(),
        n if n > 0 => format!("{n} sharps"),
        n => format!("{} flats", -n),
    };
    let tonic = match key.mode {
        Mode::Other => String::new(),
        mode => format!("{}, ", after(key.tonic(), mode.name())),
    };
    let but = key.explicit.iter().map(|(step, alter)| {
        let name = name(PitchName::new(*step, *alter));
        if *alter == 0 { format!("{name}-natural") } else { name }
    });
    let but: Vec<String> = but.collect();
    let but = if but.is_empty() { String::new() } else { format!(", but {}", but.join(" and ")) };
    format!("{tonic}{signature}{but}")
}

/// A name and the word after it; a bare letter is joined to it, so that "A-major" is not read as an article.
pub fn after(root: PitchName, word: &str) -> String {
    let between = if root.alter == 0 { "-" } else { " " };
    format!("{}{between}{word}", name(root))
}

/// A name and the word after it as [`after`] writes them; the word stays where none is joined to the name.
pub fn read_after(tokens: &mut Tokens) -> Result<(PitchName, Option<String>), String> {
    let expected = tokens.expected("a letter from A to G");
    let word = tokens.word().ok_or(&expected)?;
    if let Some(name) = name_of(&word) {
        return Ok((name, None));
    }
    let (letter, joined) = word.split_once('-').ok_or(&expected)?;
    let name = name_of(letter).ok_or(expected)?;
    Ok((name, Some(joined.to_owned())))
}

/// A key to the end of the line.
pub fn read_key(tokens: &mut Tokens) -> Result<Key, String> {
    let mut key = Key::C_MAJOR;
    let counted = |word: &str| word == "no" || word.starts_with(|c: char| c.is_ascii_digit());
    if tokens.peek().is_some_and(counted) {
        key.mode = Mode::Other;
        key.fifths = signature(tokens)?;
    } else {
        let (tonic, joined) = read_after(tokens)?;
        let mode = joined.or_else(|| tokens.word()).ok_or_else(|| tokens.expected("a mode"))?;
        let mode = Mode::NAMED.into_iter().find(|m| m.name() == mode).ok_or_else(|| format!("no mode \"{mode}\""))?;
        key = Key::of(tonic, mode);
        if !tokens.sign(&Token::Comma) {
            return Err(tokens.expected("a comma"));
        }
        let said = signature(tokens)?;
        if said != key.fifths {
            return Err(format!("{} does not have this signature", after(tonic, mode.name())));
        }
    }
    if tokens.sign(&Token::Comma) {
        if !tokens.take("but") {
            return Err(tokens.expected("\"but\""));
        }
        loop {
            let word = tokens.word().ok_or_else(|| tokens.expected("a letter"))?;
            let name = name_of(word.strip_suffix("-natural").unwrap_or(&word)).ok_or_else(|| format!("no letter \"{word}\""))?;
            key.explicit.push((name.step, name.alter));
            if !tokens.take("and") {
                break;
            }
        }
    }
    Ok(key)
}

fn signature(tokens: &mut Tokens) -> Result<i32, String> {
    if tokens.take("no sharps or flats") {
        return Ok(0);
    }
    let many: i32 = tokens.number().ok_or_else(|| tokens.expected("how many sharps or flats"))?;
    let word = tokens.word().ok_or_else(|| tokens.expected("sharps or flats"))?;
    match word.trim_end_matches('s') {
        "sharp" => Ok(many),
        "flat" => Ok(-many),
        _ => Err(format!("expected sharps or flats, found \"{word}\"")),
    }
}

/// "3 quarters a measure", "2 plus 3 eighths a measure", "4 quarters a measure, common time sign", "4 quarters, free".
pub fn meter(meter: &Meter) -> String {
    let groups: Vec<String> = meter.groups.iter().map(u32::to_string).collect();
    let (_, one, several) = UNITS.into_iter().find(|(unit, ..)| *unit == meter.unit).unwrap_or(UNITS[2]);
    let unit = if meter.groups == [1] { one } else { several };
    let counted = format!("{} {unit}", groups.join(" plus "));
    match meter.sign {
        MeterSign::Numbers => format!("{counted} a measure"),
        MeterSign::Common => format!("{counted} a measure, common time sign"),
        MeterSign::Cut => format!("{counted} a measure, cut time sign"),
        MeterSign::Free => format!("{counted}, free"),
    }
}

/// A meter to the end of the line.
pub fn read_meter(tokens: &mut Tokens) -> Result<Meter, String> {
    let mut groups = Vec::new();
    loop {
        groups.push(tokens.number().ok_or_else(|| tokens.expected("a number"))?);
        if !tokens.take("plus") {
            break;
        }
    }
    let word = tokens.word().ok_or_else(|| tokens.expected("a note value"))?;
    let unit = UNITS.into_iter().find(|(_, one, several)| word == *one || word == *several);
    let (unit, ..) = unit.ok_or_else(|| format!("no meter counts in \"{word}\""))?;
    let measured = tokens.take("a measure");
    let sign = match (measured, tokens.sign(&Token::Comma)) {
        (true, false) => MeterSign::Numbers,
        (true, true) if tokens.take("common time sign") => MeterSign::Common,
        (true, true) if tokens.take("cut time sign") => MeterSign::Cut,
        (false, true) if tokens.take("free") => MeterSign::Free,
        _ => return Err(tokens.expected("\"a measure\"")),
    };
    Meter::new(groups, unit, sign).ok_or_else(|| "no such meter".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::Step;

    /// Theory books: the signature of each key.
    #[test]
    fn keys_come_back() {
        for (fifths, mode, words) in [
            (0, Mode::Minor, "A-minor, no sharps or flats"),
            (-3, Mode::Major, "E-flat major, 3 flats"),
            (1, Mode::Dorian, "A-dorian, 1 sharp"),
            (-1, Mode::Other, "1 flat"),
        ] {
            let written = Key::new(fifths, mode);
            assert_eq!(key(&written), words);
            assert_eq!(read_key(&mut Tokens::of(words).expect("a line")), Ok(written));
        }
        let bent = Key { explicit: vec![(Step::B, -1), (Step::F, 0)], ..Key::new(2, Mode::Major) };
        assert_eq!(key(&bent), "D-major, 2 sharps, but B-flat and F-natural");
        assert_eq!(read_key(&mut Tokens::of(&key(&bent)).expect("a line")), Ok(bent));
        assert!(read_key(&mut Tokens::of("G-major, 2 sharps").expect("a line")).is_err());
    }

    #[test]
    fn meters_come_back() {
        let grouped = Meter::new(vec![2, 3], 8, MeterSign::Numbers).expect("a meter");
        let free = Meter::new(vec![4], 4, MeterSign::Free).expect("a meter");
        let common = Meter::new(vec![4], 4, MeterSign::Common).expect("a meter");
        for (written, words) in [
            (Meter::simple(3, 4), "3 quarters a measure"),
            (Meter::simple(1, 4), "1 quarter a measure"),
            (grouped, "2 plus 3 eighths a measure"),
            (common, "4 quarters a measure, common time sign"),
            (free, "4 quarters, free"),
        ] {
            assert_eq!(meter(&written), words);
            assert_eq!(read_meter(&mut Tokens::of(words).expect("a line")), Ok(written));
        }
    }
}
