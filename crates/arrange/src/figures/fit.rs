//! Fitting a pattern to a length of time: meters made from other meters, chords shorter than a measure, odd meters.

use super::{Figure, Fits, Job, Part, Stroke};
use music::{Beats, Meter};

/// A stretch of time to fill.
#[derive(Clone, Debug)]
pub struct Space<'a> {
    pub meter: &'a Meter,
    pub length: Beats,
    pub full_measure: bool,
    pub job: Job,
    /// Which of the alternatives a figure has for this length, from 0.
    pub way: usize,
}

impl Figure {
    /// How many ways there are at most in a meter: 6/4 has those of two.
    pub fn ways_in(&self, meter: &Meter) -> usize {
        if (meter.numerator(), meter.unit) == (6, 4) { self.ways * 2 } else { self.ways }
    }

    /// The strokes that fill a space, or `None` where the figure has nothing for such a meter or so short a chord.
    pub fn fitted(&self, space: &Space) -> Option<Vec<Stroke>> {
        let strokes = if space.full_measure { self.full(space) } else { self.part_measure(space) }?;
        Some(cut(strokes, space.length))
    }

    fn full(&self, space: &Space) -> Option<Vec<Stroke>> {
        let meter = space.meter;
        let six_eight = || self.pattern(Fits::Meter(6, 8), space);
        let three_four = || self.pattern(Fits::Meter(3, 4), space);
        match (meter.numerator(), meter.unit) {
            (4, 4) | (2, 2) | (8, 8) => self.pattern(Fits::Meter(4, 4), space),
            (2, 4) | (4, 8) => self.pattern(Fits::Meter(2, 4), space).or_else(|| self.half(space)),
            (4, 2) => self.pattern(Fits::Meter(4, 4), space).map(|p| stretched(&p, 2)),
            (3, 4) => three_four(),
            (6, 8) => six_eight(),
            (12, 8) => six_eight().map(|p| joined(&[p.clone(), p])),
            (9, 8) => self.pattern(Fits::Meter(9, 8), space).or_else(|| six_eight().map(|p| lengthened(p, dotted_quarter() * 3))),
            (3, 8) => six_eight(),
            (3, 2) => three_four().map(|p| stretched(&p, 2)),
            (6, 4) => self.six_four(space),
            (5, 4) => three_four().zip(self.half(space)).map(|(a, b)| joined(&[a, b])),
            _ => self.by_groups(space),
        }
    }

    /// As 6/8 in notes twice as long, then as 3/4 twice.
    fn six_four(&self, space: &Space) -> Option<Vec<Stroke>> {
        let broad = self.patterns.iter().filter(|p| p.fits == Fits::Meter(6, 8) && p.job == space.job).count();
        match space.way.checked_sub(broad) {
            None => self.pattern(Fits::Meter(6, 8), space).map(|p| stretched(&p, 2)),
            Some(way) => self.pattern(Fits::Meter(3, 4), &Space { way, ..*space }).map(|p| joined(&[p.clone(), p])),
        }
    }

    fn part_measure(&self, space: &Space) -> Option<Vec<Stroke>> {
        let length = space.length;
        let threes = space.meter.is_compound() && space.meter.unit == 8;
        if threes {
            let whole = self.pattern(Fits::Meter(6, 8), space)?;
            return Some(if length > dotted_quarter() * 2 { lengthened(whole, length) } else { whole });
        }
        if length == Beats::QUARTER * 3 {
            return self.pattern(Fits::Meter(3, 4), space).or_else(|| self.half(space));
        }
        if length > Beats::HALF {
            return self.pattern(Fits::Meter(4, 4), space).or_else(|| self.half(space));
        }
        self.half(space).or_else(|| self.pattern(Fits::Meter(2, 4), space))
    }

    /// Odd meters: the figure's bass at the first group, its next rungs at the heads of the others.
    fn by_groups(&self, space: &Space) -> Option<Vec<Stroke>> {
        if self.part == Part::Rest {
            return Some(vec![Stroke { at: Beats::ZERO, length: space.length, tones: Vec::new(), rolled: false }]);
        }
        if space.job != Job::Plain {
            return None;
        }
        let base = self.pattern(Fits::Meter(4, 4), space).or_else(|| self.half(space))?;
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

    fn half(&self, space: &Space) -> Option<Vec<Stroke>> {
        self.pattern(Fits::Half, space)
    }

    /// The pattern written for a length and a job.
    fn pattern(&self, fits: Fits, space: &Space) -> Option<Vec<Stroke>> {
        let mut all = self.patterns.iter().filter(|p| p.fits == fits && p.job == space.job);
        all.nth(space.way).map(|p| p.strokes.clone())
    }
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
    use super::super::Figures;
    use super::*;

    fn show(strokes: &[Stroke]) -> String {
        let one = |s: &Stroke| format!("{}@{}:{}", s.tones.iter().map(|t| t.sign()).collect::<Vec<_>>().join("+"), s.at, s.length);
        strokes.iter().map(one).collect::<Vec<_>>().join(" ")
    }

    fn fitted(name: &str, meter: (u32, u32), length: (i64, i64)) -> Option<String> {
        let figures = Figures::own();
        let figure = &figures.all[figures.find(name).expect("one of our figures")];
        let meter = Meter::simple(meter.0, meter.1);
        let length = Beats::quarters(length.0, length.1).expect("exact");
        let space = Space { meter: &meter, length, full_measure: length == meter.length(), job: Job::Plain, way: 0 };
        figure.fitted(&space).map(|s| show(&s))
    }

    #[test]
    fn patterns_fill_any_length() {
        assert_eq!(fitted("open-broken-chord", (4, 4), (4, 1)).as_deref(), Some("b@0:1 l@1:1 u@2:1 l@3:1"));
        assert_eq!(fitted("open-broken-chord", (4, 4), (1, 1)).as_deref(), Some("b@0:1/2 l@1/2:1/2"));
        assert_eq!(fitted("open-broken-chord", (3, 2), (6, 1)).as_deref(), Some("b@0:2 l@2:2 u@4:2"));
        assert_eq!(fitted("open-broken-chord", (6, 4), (6, 1)).as_deref(), Some("b@0:2 l@2:1 u@3:3"));
        assert_eq!(fitted("lilt", (6, 8), (3, 2)).as_deref(), Some("b@0:1 l@1:1/2"));
        assert_eq!(fitted("lilt", (12, 8), (6, 1)).as_deref(), Some("b@0:1 l@1:1/2 u@3/2:1 l@5/2:1/2 b@3:1 l@4:1/2 u@9/2:1 l@11/2:1/2"));
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
}
