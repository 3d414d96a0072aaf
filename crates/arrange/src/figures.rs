//! Figures: what the left hand does in time, as data.
//!
//! A figure is a few lines of text that a harpist can read and extend (`data/figures.txt`); [`Figures::read`] reads them, with the place of every
//! mistake. This file knows how a pattern is fitted to a length of time; which strings the rungs mean is [`crate::rungs`]'s business.

use harmony::kind::KindOfTune;
use music::{Beats, Meter, Pitch};
use thiserror::Error;

/// All figures, in the order of their file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figures {
    pub all: Vec<Figure>,
}

/// One accompaniment pattern.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    pub name: String,
    /// The fullness it is typical of, 0 to 6. It never filters.
    pub fullness: u8,
    /// The player's level, 1 to 7.
    pub level: u8,
    /// Lowest and highest position of the chord's root.
    pub roots: (i32, i32),
    /// The lowest position of everything above the bass.
    pub upper: Option<i32>,
    /// Kinds of tune it belongs to; empty: all equally.
    pub suits: Vec<KindOfTune>,
    pub never: Vec<KindOfTune>,
    pub part: Part,
    pub patterns: Vec<Pattern>,
    /// How many ways it has at most for one length.
    pub ways: usize,
}

/// The duty a figure has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// An ordinary figure.
    Ordinary,
    Rest,
    /// Ends a phrase and leaves room.
    Landing,
    /// The last chord of the piece.
    Final,
    /// Stays on the tonic through all chords.
    Drone,
}

/// What is plucked in one stretch of time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    pub fits: Fits,
    /// For the second measure of a chord that lasts.
    pub goes_on: bool,
    pub strokes: Vec<Stroke>,
}

/// The length of time a pattern is written for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fits {
    Meter(u32, u32),
    /// One chord for two quarters.
    Half,
}

/// One pluck of a pattern. No rungs: a rest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stroke {
    pub at: Beats,
    pub length: Beats,
    pub rungs: Vec<u8>,
    pub rolled: bool,
}

/// A mistake in a figure file.
#[derive(Debug, Error, PartialEq, Eq)]
#[error("line {line}: {what}")]
pub struct FigureError {
    pub line: usize,
    pub what: String,
}

impl Figures {
    /// The figures that come with the program.
    pub fn own() -> Figures {
        Figures::read(include_str!("../../../data/figures.txt")).expect("the program's own figures are well written")
    }

    pub fn find(&self, name: &str) -> Option<usize> {
        self.all.iter().position(|f| f.name == name)
    }

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
        let (meter, goes_on) = match head.trim().split_once(' ') {
            Some((meter, "then")) => (meter, true),
            Some((_, other)) => return Err(format!("\"{other}\" after a meter: expected \"then\"")),
            None => (head.trim(), false),
        };
        let pattern = Pattern { fits: read_fits(meter)?, goes_on, strokes: read_strokes(strokes)? };
        let same = |p: &&Pattern| p.fits == pattern.fits && p.goes_on == pattern.goes_on;
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
        "fullness" => figure.fullness = number()?,
        "level" => figure.level = number()?,
        "roots" => {
            let (low, high) = rest.split_once('-').ok_or("expected two pitches, like C2-E3")?;
            figure.roots = (read_position(low)?, read_position(high)?);
        }
        "upper" => figure.upper = Some(read_position(rest)?),
        "suits" => figure.suits = read_kinds(rest)?,
        "never" => figure.never = read_kinds(rest)?,
        "part" => figure.part = read_part(rest)?,
        other => {
            return Err(format!("\"{other}\": expected figure, fullness, level, roots, upper, suits, never, part or a meter and a colon"));
        }
    }
    Ok(())
}

fn start_figure(all: &mut Vec<Figure>, name: &str) -> Result<(), String> {
    if name.is_empty() || name.contains(char::is_whitespace) {
        return Err("a figure has a name of one word; use hyphens".into());
    }
    if all.iter().any(|f| f.name == name) {
        return Err(format!("there is already a figure {name}"));
    }
    let roots = (Pitch::parse("C2").map_or(14, Pitch::position), Pitch::parse("F3").map_or(24, Pitch::position));
    all.push(Figure {
        name: name.into(),
        fullness: 3,
        level: 3,
        roots,
        upper: None,
        suits: Vec::new(),
        never: Vec::new(),
        part: Part::Ordinary,
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

fn read_fits(text: &str) -> Result<Fits, String> {
    if text == "half" {
        return Ok(Fits::Half);
    }
    let numbers = text.split_once('/').and_then(|(n, d)| Some((n.parse().ok()?, d.parse().ok()?)));
    let (n, d) = numbers.ok_or_else(|| format!("\"{text}\": expected a meter like 3/4, or half"))?;
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
        let rungs = match what.trim_start_matches('~').trim_matches(['[', ']']) {
            "r" => Vec::new(),
            numbers => numbers.split_whitespace().map(read_rung).collect::<Result<_, _>>()?,
        };
        strokes.push(Stroke { at, length, rungs, rolled: what.starts_with('~') });
        at += length;
        rest = after.trim();
    }
    if strokes.is_empty() { Err("a pattern has at least one note or rest".into()) } else { Ok(strokes) }
}

fn read_rung(text: &str) -> Result<u8, String> {
    match text.parse() {
        Ok(rung @ (1 | 3 | 5 | 8 | 10 | 12 | 15)) => Ok(rung),
        _ => Err(format!("\"{text}\" is no rung: expected 1, 3, 5, 8, 10, 12 or 15")),
    }
}

/// A stretch of time to fill.
#[derive(Clone, Debug)]
pub struct Space<'a> {
    pub meter: &'a Meter,
    pub length: Beats,
    pub full_measure: bool,
    pub goes_on: bool,
    /// Which of the alternatives a figure has for this length, from 0.
    pub way: usize,
}

impl Figure {
    /// The strokes that fill a space, or `None` where the figure has nothing for such a meter or so short a chord.
    pub fn fitted(&self, space: &Space) -> Option<Vec<Stroke>> {
        let strokes = if space.full_measure { self.full(space) } else { self.part_measure(space) }?;
        Some(cut(strokes, space.length))
    }

    fn full(&self, space: &Space) -> Option<Vec<Stroke>> {
        let meter = space.meter;
        let six_eight = || self.pattern(Fits::Meter(6, 8), space.goes_on, space.way);
        let three_four = || self.pattern(Fits::Meter(3, 4), space.goes_on, space.way);
        match (meter.numerator(), meter.unit) {
            (4, 4) | (2, 2) | (8, 8) => self.pattern(Fits::Meter(4, 4), space.goes_on, space.way),
            (2, 4) | (4, 8) => self.pattern(Fits::Meter(2, 4), space.goes_on, space.way).or_else(|| self.half(space.way)),
            (4, 2) => self.pattern(Fits::Meter(4, 4), space.goes_on, space.way).map(|p| stretched(&p, 2)),
            (3, 4) => three_four(),
            (6, 8) => six_eight(),
            (12, 8) => six_eight().map(|p| joined(&[p.clone(), p])),
            (9, 8) => self.pattern(Fits::Meter(9, 8), space.goes_on, space.way).or_else(|| {
                let last = Stroke { at: Beats::ZERO, length: dotted_quarter(), rungs: vec![5], rolled: false };
                six_eight()
                    .filter(|p| !is_rest(p))
                    .map(|p| joined(&[p, vec![last]]))
                    .or_else(|| six_eight().map(|p| lengthened(p, dotted_quarter() * 3)))
            }),
            (3, 8) => six_eight(),
            (3, 2) => three_four().map(|p| stretched(&p, 2)),
            (6, 4) => three_four().map(|p| joined(&[p.clone(), p])),
            (5, 4) => three_four().zip(self.half(space.way)).map(|(a, b)| joined(&[a, b])),
            _ => self.by_groups(space),
        }
    }

    fn part_measure(&self, space: &Space) -> Option<Vec<Stroke>> {
        let length = space.length;
        let threes = space.meter.is_compound() && space.meter.unit == 8;
        if threes {
            let whole = self.pattern(Fits::Meter(6, 8), false, space.way)?;
            return Some(if length > dotted_quarter() * 2 { lengthened(whole, length) } else { whole });
        }
        if length == Beats::QUARTER * 3 {
            return self.pattern(Fits::Meter(3, 4), false, space.way).or_else(|| self.half(space.way));
        }
        if length > Beats::HALF {
            return self.pattern(Fits::Meter(4, 4), false, space.way).or_else(|| self.half(space.way));
        }
        self.half(space.way).or_else(|| self.pattern(Fits::Meter(2, 4), false, space.way))
    }

    /// Odd meters: the figure's bass at the first group, its next rungs at the heads of the others.
    fn by_groups(&self, space: &Space) -> Option<Vec<Stroke>> {
        if self.part == Part::Rest {
            return Some(vec![Stroke { at: Beats::ZERO, length: space.length, rungs: Vec::new(), rolled: false }]);
        }
        let base = self.pattern(Fits::Meter(4, 4), false, space.way).or_else(|| self.half(space.way))?;
        let unit = space.meter.unit_length();
        let mut at = Beats::ZERO;
        let mut made = Vec::new();
        for (index, group) in odd_groups(space.meter).into_iter().enumerate() {
            let length = unit * i64::from(group);
            let model = &base[index.min(base.len() - 1)];
            made.push(Stroke { at, length, ..model.clone() });
            at += length;
        }
        Some(made)
    }

    fn half(&self, way: usize) -> Option<Vec<Stroke>> {
        self.pattern(Fits::Half, false, way)
    }

    /// The pattern written for a length; the first where it has fewer ways.
    fn pattern(&self, fits: Fits, goes_on: bool, way: usize) -> Option<Vec<Stroke>> {
        let find = |goes_on| {
            let mut all = self.patterns.iter().filter(move |p| p.fits == fits && p.goes_on == goes_on);
            let first = all.clone().next();
            all.nth(way).or(first)
        };
        let found = if goes_on { find(true).or_else(|| find(false)) } else { find(false) };
        found.map(|p| p.strokes.clone())
    }
}

fn is_rest(strokes: &[Stroke]) -> bool {
    strokes.iter().all(|s| s.rungs.is_empty())
}

fn dotted_quarter() -> Beats {
    Beats::EIGHTH * 3
}

/// How an odd numerator is grouped when the meter does not say: twos, with a three at the end (2+3, 2+2+3); common practice varies, the tune may say otherwise.
fn odd_groups(meter: &Meter) -> Vec<u32> {
    if meter.groups.len() > 1 {
        return meter.groups.clone();
    }
    match meter.numerator() {
        n @ 1..=3 => vec![n],
        n if n % 3 == 0 => vec![3; (n / 3) as usize],
        n if n % 2 == 0 => vec![2; (n / 2) as usize],
        n => (0..(n - 3) / 2).map(|_| 2).chain([3]).collect(),
    }
}

fn stretched(strokes: &[Stroke], times: i64) -> Vec<Stroke> {
    strokes.iter().map(|s| Stroke { at: s.at * times, length: s.length * times, ..s.clone() }).collect()
}

fn joined(pieces: &[Vec<Stroke>]) -> Vec<Stroke> {
    let mut offset = Beats::ZERO;
    let mut all = Vec::new();
    for piece in pieces {
        all.extend(piece.iter().map(|s| Stroke { at: s.at + offset, ..s.clone() }));
        offset += piece.iter().map(|s| s.length).sum();
    }
    all
}

fn lengthened(mut strokes: Vec<Stroke>, length: Beats) -> Vec<Stroke> {
    if let Some(last) = strokes.last_mut() {
        last.length = length - last.at;
    }
    strokes
}

/// Cut at the length; the last stroke that is left fills up to the end.
fn cut(strokes: Vec<Stroke>, length: Beats) -> Vec<Stroke> {
    let kept: Vec<Stroke> = strokes.into_iter().filter(|s| s.at < length).collect();
    lengthened(kept, length)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn show(strokes: &[Stroke]) -> String {
        let one = |s: &Stroke| format!("{}@{}:{}", s.rungs.iter().map(u8::to_string).collect::<Vec<_>>().join("+"), s.at, s.length);
        strokes.iter().map(one).collect::<Vec<_>>().join(" ")
    }

    fn fitted(name: &str, meter: (u32, u32), length: (i64, i64)) -> Option<String> {
        let figures = Figures::own();
        let figure = &figures.all[figures.find(name).expect("one of our figures")];
        let meter = Meter::simple(meter.0, meter.1);
        let length = Beats::quarters(length.0, length.1).expect("exact");
        let space = Space { meter: &meter, length, full_measure: length == meter.length(), goes_on: false, way: 0 };
        figure.fitted(&space).map(|s| show(&s))
    }

    #[test]
    fn patterns_fill_any_length() {
        assert_eq!(fitted("broken-1-5-8", (4, 4), (4, 1)).as_deref(), Some("1@0:1 5@1:1 8@2:2"));
        assert_eq!(fitted("broken-1-5-8", (4, 4), (1, 1)).as_deref(), Some("1@0:1/2 5@1/2:1/2"));
        assert_eq!(fitted("broken-1-5-8", (3, 2), (6, 1)).as_deref(), Some("1@0:2 5@2:2 8@4:2"));
        assert_eq!(fitted("jig-lilt", (6, 8), (3, 2)).as_deref(), Some("1@0:1 5@1:1/2"));
        assert_eq!(
            fitted("jig-lilt", (12, 8), (6, 1)).as_deref(),
            Some("1@0:1 5@1:1/2 8@3/2:1 5@5/2:1/2 1@3:1 5@4:1/2 8@9/2:1 5@11/2:1/2")
        );
        assert_eq!(fitted("open-fifth", (7, 8), (7, 2)).as_deref(), Some("1+5@0:1 1+5@1:1 1+5@2:3/2"));
        assert_eq!(fitted("waltz-bass", (4, 4), (4, 1)), None);
    }

    #[test]
    fn every_own_pattern_fills_its_meter() {
        for figure in Figures::own().all {
            for pattern in &figure.patterns {
                let sum: Beats = pattern.strokes.iter().map(|s| s.length).sum();
                let wanted = match pattern.fits {
                    Fits::Half => Beats::HALF,
                    Fits::Meter(n, d) => Meter::simple(n, d).length(),
                };
                assert_eq!(sum, wanted, "{} {:?}", figure.name, pattern.fits);
            }
        }
    }

    #[test]
    fn mistakes_have_their_place() {
        let wrong = |text: &str| Figures::read(text).expect_err("a mistake").to_string();
        assert_eq!(wrong("figure a\n4/4: 1(1/4) 6(1/4)"), "line 2: \"6\" is no rung: expected 1, 3, 5, 8, 10, 12 or 15");
        assert_eq!(wrong("figure a\nlevel x"), "line 2: \"x\" after level: expected a number");
        assert_eq!(wrong("4/4: 1(1/4)"), "line 1: a pattern before the first figure");
    }
}
