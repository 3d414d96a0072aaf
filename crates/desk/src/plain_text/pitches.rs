//! Pitches in words, and back: "A4", "F-sharp 4", "B-double-flat 2".
//!
//! A voice that reads takes a bare "A" for the article: "A flat" and "A 4" lose their letter. With the number beside it or a hyphen after it, it is read as the
//! letter it is.

use super::tokens::Tokens;
use music::{Pitch, PitchName, Step};

/// "A", "F-sharp".
pub fn name(name: PitchName) -> String {
    let sign = if name.alter < 0 { "flat" } else { "sharp" };
    let times = match name.alter.unsigned_abs() {
        0 => return name.step.letter().to_string(),
        1 => String::new(),
        2 => "double-".to_owned(),
        3 => "triple-".to_owned(),
        more => format!("{more}-times-"),
    };
    format!("{}-{times}{sign}", name.step.letter())
}

/// "A4", "F-sharp 4".
pub fn pitch(pitch: Pitch) -> String {
    let space = if pitch.alter == 0 && pitch.octave >= 0 { "" } else { " " };
    let minus = if pitch.octave < 0 { "minus " } else { "" };
    format!("{}{space}{minus}{}", name(pitch.name()), pitch.octave.unsigned_abs())
}

/// Several: "C3 and G3".
pub fn pitches(all: &[Pitch]) -> String {
    all.iter().map(|p| pitch(*p)).collect::<Vec<_>>().join(" and ")
}

/// A name from one word, octaves left aside.
pub fn name_of(word: &str) -> Option<PitchName> {
    let mut parts = word.split('-');
    let letter = parts.next()?;
    let step = Step::ALL.into_iter().find(|s| letter.chars().eq([s.letter()]))?;
    let signs: Vec<&str> = parts.collect();
    let (times, sign) = match signs.as_slice() {
        [] => return Some(PitchName::new(step, 0)),
        [sign] => (1, *sign),
        ["double", sign] => (2, *sign),
        ["triple", sign] => (3, *sign),
        [many, "times", sign] => (many.parse().ok().filter(|n| (4..1000).contains(n))?, *sign),
        _ => return None,
    };
    match sign {
        "sharp" => Some(PitchName::new(step, times)),
        "flat" => Some(PitchName::new(step, -times)),
        _ => None,
    }
}

/// A pitch, if one comes next.
pub fn read(tokens: &mut Tokens) -> Result<Option<Pitch>, String> {
    let Some(word) = tokens.peek().map(str::to_owned) else { return Ok(None) };
    let letters = word.trim_end_matches(|c: char| c.is_ascii_digit());
    let Some(name) = name_of(letters) else { return Ok(None) };
    tokens.next();
    if letters.len() < word.len() {
        let octave = word[letters.len()..].parse().map_err(|_| format!("no octave {}", &word[letters.len()..]))?;
        return Ok(Some(name.at_octave(octave)));
    }
    let sign = if tokens.take("minus") { -1 } else { 1 };
    let octave: i32 = tokens.number().ok_or_else(|| tokens.expected("the number of the octave"))?;
    Ok(Some(name.at_octave(sign * octave)))
}

/// "C3 and G3".
pub fn read_several(tokens: &mut Tokens) -> Result<Vec<Pitch>, String> {
    let mut all = Vec::new();
    loop {
        all.push(read(tokens)?.ok_or_else(|| tokens.expected("a note"))?);
        if !tokens.take("and") {
            return Ok(all);
        }
    }
}

/// A text with the signs of accidentals in words, where a letter from A to G stands before them: "tuned in E♭" is "tuned in E-flat", "C♯4" "C-sharp 4".
pub fn in_words(text: &str) -> String {
    let (mut out, mut rest) = (String::new(), text);
    while let Some(at) = rest.find(['♭', '♯', '♮']) {
        let (before, after) = rest.split_at(at);
        let sign = after.chars().next().unwrap_or_default();
        out += before;
        out += match sign {
            '♭' => "-flat",
            '♯' => "-sharp",
            _ => "-natural",
        };
        rest = &after[sign.len_utf8()..];
        if rest.starts_with(|c: char| c.is_ascii_digit()) {
            out.push(' ');
        }
    }
    out + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Scientific octaves: middle C is C4.
    #[test]
    fn pitches_are_read_as_letters() {
        for (short, words) in [
            ("A4", "A4"),
            ("Ab3", "A-flat 3"),
            ("F#4", "F-sharp 4"),
            ("B##2", "B-double-sharp 2"),
            ("C-1", "C minus 1"),
            ("Ebbb5", "E-triple-flat 5"),
        ] {
            let written = Pitch::parse(short).expect("a pitch");
            assert_eq!(pitch(written), words);
            assert_eq!(read(&mut Tokens::of(words).expect("a line")), Ok(Some(written)));
        }
        let far = Pitch::new(Step::G, 5, 4);
        assert_eq!(read(&mut Tokens::of(&pitch(far)).expect("a line")), Ok(Some(far)));
        assert_eq!(read(&mut Tokens::of("rest").expect("a line")), Ok(None));
    }

    #[test]
    fn signs_become_words() {
        assert_eq!(in_words("34 strings, tuned in E♭ (C♯4, B♮)"), "34 strings, tuned in E-flat (C-sharp 4, B-natural)");
    }
}
