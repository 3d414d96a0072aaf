//! Figure files: text to figures. The grammar stands at the head of `data/figures.txt`; every mistake has its line.

use super::{Figure, FigureError, Figures, Fits, Job, Part, Pattern, Stroke, Tone};
use harmony::kind::KindOfTune;
use music::{Beats, Hand, Pitch};

impl Figures {
    /// Reads a figure file. The grammar stands at the head of `data/figures.txt`.
    pub fn read(text: &str) -> Result<Figures, FigureError> {
        let mut all: Vec<Figure> = Vec::new();
        for (index, line) in text.lines().enumerate() {
            let line = line.split('#').next().unwrap_or_default().trim();
            if !line.is_empty() {
                read_line(&mut all, line).map_err(|what| FigureError { line: index + 1, what })?;
            }
        }
        if let Some(bare) = all.iter().find(|f| f.patterns.is_empty()) {
            return Err(FigureError { line: text.lines().count(), what: format!("the figure {} has no pattern", bare.name) });
        }
        Ok(Figures { all })
    }
}

fn read_line(all: &mut Vec<Figure>, line: &str) -> Result<(), String> {
    if let Some((head, strokes)) = line.split_once(':') {
        let figure = all.last_mut().ok_or("a pattern before the first figure")?;
        let (meter, job) = match head.trim().split_once(' ') {
            Some((meter, job)) => (meter, read_job(job.trim())?),
            None => (head.trim(), Job::Plain),
        };
        let pattern = Pattern { fits: read_fits(meter)?, job, strokes: read_strokes(strokes)? };
        let same = |p: &&Pattern| p.fits == pattern.fits && p.job == pattern.job;
        figure.ways = figure.ways.max(figure.patterns.iter().filter(same).count() + 1);
        figure.patterns.push(pattern);
        return Ok(());
    }
    let (word, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    let rest = rest.trim();
    if word == "figure" {
        return start_figure(all, rest);
    }
    let figure = all.last_mut().ok_or_else(|| format!("\"{word}\" before the first figure"))?;
    let number = || rest.parse::<u8>().map_err(|_| format!("\"{rest}\" after {word}: expected a number"));
    match word {
        "fullness" => figure.fullness = within(number()?, 0..=6, word)?,
        "level" => figure.level = within(number()?, 1..=7, word)?,
        // "roots" is what 0.1.0 called it.
        "bass" | "roots" => {
            let (low, high) = rest.split_once('-').ok_or("expected two pitches, like C2-E3")?;
            figure.bass = (read_position(low)?, read_position(high)?);
            if figure.bass.0 > figure.bass.1 {
                return Err(format!("\"{rest}\": expected the lower pitch first"));
            }
        }
        "upper" => figure.upper = Some(read_position(rest)?),
        "intervals" => figure.intervals = read_intervals(rest)?,
        "suits" => figure.suits = read_kinds(rest)?,
        "never" => figure.never = read_kinds(rest)?,
        "part" => figure.part = read_part(rest)?,
        "hand" => figure.hand = read_hand(rest)?,
        "also" if rest == "final" => figure.also_final = true,
        "also" => return Err(format!("\"{rest}\" after also: expected final")),
        other => {
            return Err(format!(
                "\"{other}\": expected figure, fullness, level, bass, upper, intervals, suits, never, part, hand, also or a meter and a colon"
            ));
        }
    }
    Ok(())
}

fn within(number: u8, range: std::ops::RangeInclusive<u8>, word: &str) -> Result<u8, String> {
    let (low, high) = (*range.start(), *range.end());
    if range.contains(&number) { Ok(number) } else { Err(format!("{number} after {word}: expected {low} to {high}")) }
}

fn start_figure(all: &mut Vec<Figure>, name: &str) -> Result<(), String> {
    if name.is_empty() || name.contains(char::is_whitespace) {
        return Err("a figure has a name of one word; use hyphens".into());
    }
    if all.iter().any(|f| f.name == name) {
        return Err(format!("there is already a figure {name}"));
    }
    let bass = (Pitch::parse("C2").map_or(14, Pitch::position), Pitch::parse("F3").map_or(24, Pitch::position));
    all.push(Figure {
        name: name.into(),
        fullness: 3,
        level: 3,
        bass,
        upper: None,
        intervals: Vec::new(),
        suits: Vec::new(),
        never: Vec::new(),
        part: Part::Ordinary,
        hand: Hand::Left,
        also_final: false,
        patterns: Vec::new(),
        ways: 1,
    });
    Ok(())
}

fn read_position(text: &str) -> Result<i32, String> {
    Pitch::parse(text.trim())
        .map(Pitch::position)
        .ok_or_else(|| format!("\"{text}\" is no pitch: expected a letter and an octave, like C2"))
}

fn read_kinds(text: &str) -> Result<Vec<KindOfTune>, String> {
    text.split_whitespace().map(|w| KindOfTune::parse(&w.replace('-', " ")).ok_or_else(|| format!("\"{w}\" is no kind of tune"))).collect()
}

fn read_part(text: &str) -> Result<Part, String> {
    Ok(match text {
        "rest" => Part::Rest,
        "landing" => Part::Landing,
        "final" => Part::Final,
        "drone" => Part::Drone,
        other => return Err(format!("part \"{other}\": expected rest, landing, final or drone")),
    })
}

fn read_hand(text: &str) -> Result<Hand, String> {
    match text {
        "left" => Ok(Hand::Left),
        "right" => Ok(Hand::Right),
        other => Err(format!("hand \"{other}\": expected left or right")),
    }
}

fn read_job(text: &str) -> Result<Job, String> {
    let known = Job::ALL.into_iter().find(|job| *job != Job::Plain && job.word() == text);
    known.ok_or_else(|| format!("\"{text}\" after a meter: expected held, running, leading, half-close, full-close, late or then"))
}

fn read_fits(text: &str) -> Result<Fits, String> {
    if text == "half" {
        return Ok(Fits::Half);
    }
    let numbers = text.split_once('/').and_then(|(n, d)| Some((n.parse().ok()?, d.parse().ok()?)));
    let real = |(n, d): &(u32, u32)| (1..=64).contains(n) && d.is_power_of_two() && *d <= 64;
    let (n, d) = numbers.filter(real).ok_or_else(|| format!("\"{text}\": expected a meter like 3/4, or half"))?;
    Ok(Fits::Meter(n, d))
}

fn read_strokes(text: &str) -> Result<Vec<Stroke>, String> {
    let mut at = Beats::ZERO;
    let mut strokes = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let (what, after) = rest.split_once('(').ok_or_else(|| format!("\"{rest}\" has no length in brackets"))?;
        let (length, after) = after.split_once(')').ok_or("a bracket is not closed")?;
        let fraction = length.split_once('/').and_then(|(n, d)| Beats::whole(n.parse().ok()?, d.parse().ok()?));
        let length =
            fraction.filter(|l| *l > Beats::ZERO).ok_or_else(|| format!("\"{length}\" is no note value: expected a fraction like 1/4"))?;
        let what = what.trim();
        let tones: Vec<Tone> = match what.trim_start_matches('~').trim_matches(['[', ']']) {
            // "r" is what 0.1.0 called it.
            "z" | "r" => Vec::new(),
            signs => signs.split_whitespace().map(read_tone).collect::<Result<_, _>>()?,
        };
        if tones.is_empty() && !matches!(what, "z" | "r") {
            return Err(format!("\"{what}\": expected tones in the brackets; z is a rest"));
        }
        strokes.push(Stroke { at, length, tones, rolled: what.starts_with('~') });
        at += length;
        rest = after.trim();
    }
    if strokes.is_empty() { Err("a pattern has at least one note or rest".into()) } else { Ok(strokes) }
}

fn read_intervals(text: &str) -> Result<Vec<i32>, String> {
    let one = |word: &str| word.parse().ok().filter(|n| (2..=15).contains(n));
    let all: Option<Vec<i32>> = text.split_whitespace().map(one).collect();
    all.filter(|all| !all.is_empty()).ok_or_else(|| format!("intervals \"{text}\": expected numbers from 2 to 15, as 6 10"))
}

fn read_tone(text: &str) -> Result<Tone, String> {
    let of_shape = match text {
        "b" => Some(Tone::Bass),
        "o" => Some(Tone::OtherBass),
        "l" => Some(Tone::Lower),
        "m" => Some(Tone::Middle),
        "u" => Some(Tone::Upper),
        "w" => Some(Tone::Walk),
        ">" => Some(Tone::Lead),
        _ => None,
    };
    match (of_shape, text.parse()) {
        (Some(tone), _) => Ok(tone),
        (_, Ok(rung @ (1 | 3 | 5 | 8 | 10 | 12 | 15))) => Ok(Tone::Rung(rung)),
        _ => Err(format!("\"{text}\" is no tone: expected b, o, l, m, u, w, > or a string counted from the root: 1, 3, 5, 8, 10, 12, 15")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mistakes_have_their_place() {
        let wrong = |text: &str| Figures::read(text).expect_err("a mistake").to_string();
        assert_eq!(
            wrong("figure a\n4/4: 1(1/4) 6(1/4)"),
            "line 2: \"6\" is no tone: expected b, o, l, m, u, w, > or a string counted from the root: 1, 3, 5, 8, 10, 12, 15"
        );
        assert_eq!(wrong("figure a\nlevel x"), "line 2: \"x\" after level: expected a number");
        assert_eq!(wrong("4/4: 1(1/4)"), "line 1: a pattern before the first figure");
        assert_eq!(wrong("figure a\n0/4: 1(1/4)"), "line 2: \"0/4\": expected a meter like 3/4, or half");
        assert_eq!(wrong("figure a\n4/4: [](1/4)"), "line 2: \"[]\": expected tones in the brackets; z is a rest");
        assert_eq!(wrong("figure a\nbass E3-C2"), "line 2: \"E3-C2\": expected the lower pitch first");
        assert_eq!(wrong("figure a\nintervals 6 x"), "line 2: intervals \"6 x\": expected numbers from 2 to 15, as 6 10");
        assert_eq!(wrong("figure a\nfullness 99"), "line 2: 99 after fullness: expected 0 to 6");
        assert_eq!(
            wrong("figure a\n4/4 sleepy: b(1/4)"),
            "line 2: \"sleepy\" after a meter: expected held, running, leading, half-close, full-close, late or then"
        );
    }
}
