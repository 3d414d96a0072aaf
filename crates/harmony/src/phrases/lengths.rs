//! The lengths of the phrases of one line: a dynamic programme over bar lines.
//!
//! Let `best(j)` be the least price of cutting the first `j` measures into phrases. Then
//! `best(0) = 0` and `best(j) = min over n of best(j - n) + LENGTH(n) + break(j - n)`, where `break(i)` is the price of a phrase
//! beginning with measure `i`: nothing for `i = 0`, else [`OFF_FOURS`] where `i` is no multiple of four, less what the bar line has in its
//! favour (see [`super::evidence`]). Of equal prices the length that stands first in [`LENGTHS`] wins. Cost: 16 steps a measure.

use std::collections::BTreeSet;

/// Lengths of phrases in measures with their prices, the preferred first. Ours: fours are the rule of songs and dances; eight is one long
/// breath; two and three want a reason (a rest, a long note, a full stop); five and seven are four with an extension.
const LENGTHS: [(usize, i64); 16] = [
    (4, 0),
    (8, 20),
    (2, 28),
    (6, 30),
    (3, 24),
    (5, 34),
    (7, 44),
    (1, 80),
    (9, 60),
    (10, 60),
    (11, 72),
    (12, 60),
    (13, 90),
    (14, 90),
    (15, 96),
    (16, 90),
];

/// The price of a phrase that begins off the fours counted from the head of the section. Ours.
const OFF_FOURS: i64 = 3;

/// Bar lines whose fate another line through the section has settled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fixed {
    until: usize,
    breaks: BTreeSet<usize>,
}

impl Fixed {
    /// Up to and including bar line `until`, phrases begin where they begin in `lengths`.
    pub fn until(until: usize, lengths: &[usize]) -> Fixed {
        let mut at = 0;
        let ends = lengths.iter().map(|n| {
            at += n;
            at
        });
        Fixed { until, breaks: ends.filter(|end| *end <= until).collect() }
    }

    fn forbids(&self, at: usize) -> bool {
        at > 0 && at <= self.until && !self.breaks.contains(&at)
    }

    fn crossed(&self, from: usize, to: usize) -> bool {
        self.breaks.range(from + 1..to).next().is_some()
    }
}

/// The lengths of the phrases, adding up to the number of measures. `favour[i]` is what speaks for a phrase beginning with measure
/// `i`; its first entry counts for nothing. Where settled bar lines leave no way, the stretch
/// between them is one phrase.
pub fn choose(favour: &[i64], fixed: Option<&Fixed>) -> Vec<usize> {
    let mut best: Vec<Option<(i64, usize)>> = vec![Some((0, 0))];
    for end in 1..=favour.len() {
        let ways = LENGTHS.iter().filter(|(n, _)| *n <= end).filter_map(|&(n, price)| {
            let start = end - n;
            let stays = fixed.is_none_or(|f| !f.forbids(start) && !f.crossed(start, end));
            let before = best[start].filter(|_| stays)?.0;
            Some((before + price + break_price(favour, start), n))
        });
        best.push(ways.reduce(|a, b| if b.0 < a.0 { b } else { a }));
    }
    trace(&best)
}

/// What a division of a line costs: the sum that [`choose`] makes least. Lengths outside the table count like the longest in it.
pub fn price(favour: &[i64], lengths: &[usize]) -> i64 {
    let mut at = 0;
    let mut sum = 0;
    for n in lengths {
        let known = LENGTHS.iter().find(|l| l.0 == *n).unwrap_or(&LENGTHS[15]);
        sum += known.1 + break_price(favour, at);
        at += n;
    }
    sum
}

fn break_price(favour: &[i64], start: usize) -> i64 {
    match start {
        0 => 0,
        i => {
            if i % 4 == 0 {
                -favour[i]
            } else {
                OFF_FOURS - favour[i]
            }
        }
    }
}

fn trace(best: &[Option<(i64, usize)>]) -> Vec<usize> {
    let mut lengths = Vec::new();
    let mut end = best.len() - 1;
    while end > 0 {
        let n = best[end].map_or(end, |(_, n)| n);
        lengths.push(n);
        end -= n;
    }
    lengths.reverse();
    lengths
}

#[cfg(test)]
mod tests {
    use super::*;

    fn neutral(measures: usize) -> Vec<usize> {
        choose(&vec![0; measures], None)
    }

    /// Common practice: sixteen measures are four fours, ten are four, four and two.
    #[test]
    fn without_evidence_fours_rule() {
        assert_eq!(neutral(0), []);
        assert_eq!(neutral(1), [1]);
        assert_eq!(neutral(4), [4]);
        assert_eq!(neutral(5), [5]);
        assert_eq!(neutral(6), [4, 2]);
        assert_eq!(neutral(8), [4, 4]);
        assert_eq!(neutral(9), [4, 5]);
        assert_eq!(neutral(10), [4, 4, 2]);
        assert_eq!(neutral(16), [4; 4]);
    }

    #[test]
    fn evidence_moves_the_breaks() {
        assert_eq!(choose(&[0, 0, 50, 0, 0, 0], None), [2, 4]);
        assert_eq!(choose(&[0, 0, 0, 50, 0, 0], None), [3, 3]);
        assert_eq!(choose(&[0, 0, 0, 0, -40, 0, 0, 0], None), [8]);
        assert_eq!(choose(&[0, 0, 0, 60, 0, 0, 0, 0, 0], None), [3, 6]);
    }

    /// Every division of short lines is priced outright; the programme finds the cheapest.
    #[test]
    fn equals_the_search_through_all_divisions() {
        for seed in 0..60_i64 {
            let n = 1 + (seed as usize % 11);
            let favour: Vec<i64> = (0..n as i64).map(|i| (seed * 7919 + i * 104_729 + i * i * seed * 31) % 97 - 30).collect();
            let mut cheapest = i64::MAX;
            for cuts in 0..1_u32 << (n - 1) {
                let mut lengths = vec![1];
                for i in 0..n - 1 {
                    if cuts >> i & 1 == 1 { lengths.push(1) } else { *lengths.last_mut().expect("never empty") += 1 }
                }
                cheapest = cheapest.min(price(&favour, &lengths));
            }
            assert_eq!(price(&favour, &choose(&favour, None)), cheapest, "{favour:?}");
        }
    }

    #[test]
    fn another_line_may_have_settled_the_start() {
        let fixed = Fixed::until(7, &[3, 5]);
        assert_eq!(choose(&[0; 9], Some(&fixed)), [3, 6]);
        assert_eq!(choose(&[0; 8], Some(&fixed)), [3, 5]);
    }
}
