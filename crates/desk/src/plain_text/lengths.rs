//! Note values, places in a measure and tempos in words, and back.
//!
//! A length is a note value ("dotted quarter"), a sum of them ("half plus eighth"), or, where no few of them make it, a fraction of a quarter ("7 over 24 of a
//! quarter"). A place is a beat from 1 and what comes after it ("beat 2 plus eighth").

use super::tokens::Tokens;
use music::{Beats, Meter, Tempo};

/// Names and lengths in quarter notes, the longest first.
const VALUES: [(&str, i64, i64); 13] = [
    ("double whole", 8, 1),
    ("whole", 4, 1),
    ("half", 2, 1),
    ("quarter", 1, 1),
    ("eighth", 1, 2),
    ("sixteenth", 1, 4),
    ("thirty-second", 1, 8),
    ("sixty-fourth", 1, 16),
    ("128th", 1, 32),
    ("256th", 1, 64),
    ("512th", 1, 128),
    ("1024th", 1, 256),
    ("2048th", 1, 512),
];

/// Dots and by how much they lengthen.
const DOTS: [(&str, i64, i64); 3] = [("double dotted ", 7, 4), ("dotted ", 3, 2), ("", 1, 1)];

/// A sum of more values than this is told as a fraction.
const MOST_VALUES: usize = 3;

/// A length as a sum of few note values.
pub fn values(length: Beats) -> Option<String> {
    let (mut rest, mut said) = (length, Vec::new());
    while rest > Beats::ZERO && said.len() < MOST_VALUES {
        let (name, value) = all().filter(|(_, value)| *value <= rest).max_by_key(|(_, value)| *value)?;
        rest -= value;
        said.push(name);
    }
    (rest.is_zero() && !said.is_empty()).then(|| said.join(" plus "))
}

/// Every note value with its dots.
fn all() -> impl Iterator<Item = (String, Beats)> {
    let with_dots = |(name, n, d): (&'static str, i64, i64)| {
        DOTS.into_iter().filter_map(move |(dots, times, by)| Some((format!("{dots}{name}"), Beats::quarters(n * times, d * by)?)))
    };
    VALUES.into_iter().flat_map(with_dots)
}

/// A fraction of a quarter, for what no note values make.
pub fn fraction(length: Beats) -> String {
    let (n, d) = length.fraction();
    format!("{n} over {d} of a quarter")
}

/// A length whatever it is.
pub fn length(length: Beats) -> String {
    values(length).unwrap_or_else(|| fraction(length))
}

/// A length as it was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// As note values, which a tuplet shortens.
    Values(Beats),
    /// As a fraction, which is what it is.
    Fraction(Beats),
}

impl Told {
    pub fn beats(self) -> Beats {
        match self {
            Told::Values(beats) | Told::Fraction(beats) => beats,
        }
    }
}

/// A length, if one comes next.
pub fn read(tokens: &mut Tokens) -> Result<Option<Told>, String> {
    if let Some(beats) = read_fraction(tokens) {
        return Ok(Some(Told::Fraction(beats)));
    }
    let Some(first) = read_value(tokens) else { return Ok(None) };
    let mut sum = first;
    while tokens.take("plus") {
        sum += read_value(tokens).ok_or_else(|| tokens.expected("a note value"))?;
    }
    Ok(Some(Told::Values(sum)))
}

fn read_fraction(tokens: &mut Tokens) -> Option<Beats> {
    let mut ahead = tokens.clone();
    let n = ahead.number()?;
    let d = ahead.take("over").then(|| ahead.number())??;
    let beats = ahead.take("of a quarter").then(|| Beats::quarters(n, d))??;
    *tokens = ahead;
    Some(beats)
}

fn read_value(tokens: &mut Tokens) -> Option<Beats> {
    let mut names: Vec<(String, Beats)> = all().collect();
    // "double whole" before "whole", "double dotted whole" before "dotted whole".
    names.sort_by_key(|(name, _)| std::cmp::Reverse(name.len()));
    names.into_iter().find_map(|(name, value)| tokens.take(&name).then_some(value))
}

/// "beat 2 plus eighth".
pub fn place(meter: &Meter, at: Beats) -> String {
    let beat = meter.beat();
    let count = at.div_floor(beat);
    let after = at - beat * count;
    let plus = if after.is_zero() { String::new() } else { format!(" plus {}", length(after)) };
    format!("beat {}{plus}", count + 1)
}

/// A place, if one comes next.
pub fn read_place(tokens: &mut Tokens, meter: &Meter) -> Result<Option<Beats>, String> {
    if !tokens.take("beat") {
        return Ok(None);
    }
    let count: i64 = tokens.number().ok_or_else(|| tokens.expected("the number of the beat"))?;
    let mut at = meter.beat() * (count - 1);
    if tokens.take("plus") {
        at += read(tokens)?.ok_or_else(|| tokens.expected("a length"))?.beats();
    }
    Ok(Some(at))
}

/// "dotted quarter at 100 a minute".
pub fn tempo(tempo: Tempo) -> String {
    let (whole, rest) = (tempo.milli_per_minute() / 1000, tempo.milli_per_minute() % 1000);
    let decimals = format!(".{rest:03}");
    let decimals = if rest == 0 { "" } else { decimals.trim_end_matches('0') };
    format!("{} at {whole}{decimals} a minute", length(tempo.unit()))
}

/// A tempo.
pub fn read_tempo(tokens: &mut Tokens) -> Result<Tempo, String> {
    let unit = read(tokens)?.ok_or_else(|| tokens.expected("a note value"))?.beats();
    if !tokens.take("at") {
        return Err(tokens.expected("\"at\""));
    }
    let many = tokens.word().ok_or_else(|| tokens.expected("how many a minute"))?;
    let (whole, decimals) = many.split_once('.').unwrap_or((&many, ""));
    let milli = format!("{whole}{decimals:0<3}").parse().map_err(|_| format!("expected how many a minute, found \"{many}\""))?;
    if !tokens.take("a minute") {
        return Err(tokens.expected("\"a minute\""));
    }
    Tempo::new(unit, milli).ok_or_else(|| format!("no tempo of {many} a minute"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quarters(n: i64, d: i64) -> Beats {
        Beats::quarters(n, d).expect("exact")
    }

    /// Common practice for the names; arithmetic for the sums.
    #[test]
    fn lengths_have_names_and_come_back() {
        for ((n, d), words) in [
            ((1, 1), "quarter"),
            ((3, 2), "dotted quarter"),
            ((7, 2), "double dotted half"),
            ((8, 1), "double whole"),
            ((12, 1), "dotted double whole"),
            ((5, 2), "half plus eighth"),
            ((1, 32), "128th"),
            ((1, 3), "1 over 3 of a quarter"),
            ((0, 1), "0 over 1 of a quarter"),
        ] {
            assert_eq!(length(quarters(n, d)), words);
            let told = read(&mut Tokens::of(words).expect("a line")).expect("a length").expect("a length");
            assert_eq!(told.beats(), quarters(n, d), "{words}");
        }
        assert_eq!(read(&mut Tokens::of("C4").expect("a line")), Ok(None));
    }

    /// Common practice: in 6/8 the beat is a dotted quarter.
    #[test]
    fn places_are_beats() {
        let (waltz, jig) = (Meter::simple(3, 4), Meter::simple(6, 8));
        for (meter, (n, d), words) in [
            (&waltz, (0, 1), "beat 1"),
            (&waltz, (3, 2), "beat 2 plus eighth"),
            (&jig, (3, 2), "beat 2"),
            (&jig, (1, 1), "beat 1 plus quarter"),
        ] {
            assert_eq!(place(meter, quarters(n, d)), words);
            assert_eq!(read_place(&mut Tokens::of(words).expect("a line"), meter), Ok(Some(quarters(n, d))));
        }
    }

    #[test]
    fn tempos_come_back() {
        for (milli, words) in
            [(88_000, "quarter at 88 a minute"), (92_500, "quarter at 92.5 a minute"), (60_050, "quarter at 60.05 a minute")]
        {
            let tempo_here = Tempo::new(Beats::QUARTER, milli).expect("in range");
            assert_eq!(tempo(tempo_here), words);
            assert_eq!(read_tempo(&mut Tokens::of(words).expect("a line")), Ok(tempo_here));
        }
    }
}
