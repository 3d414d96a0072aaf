//! Musical time as MIDI ticks.

use midly::num::u15;
use music::{Beats, Clock, Score};

/// The finest division a file can have.
const MOST: i64 = 32_767;
const LEAST: i64 = 480;
/// Where no division fits all times exactly.
const ROUNDED: i64 = 960;

/// So many ticks a quarter note.
pub struct Ticks {
    per_quarter: i64,
}

impl Ticks {
    /// The smallest division of at least 480 in which every note, measure and change of tempo is exact, if there is one.
    pub fn of(score: &Score, clock: &Clock) -> Ticks {
        let times = score.measures.iter().enumerate().flat_map(|(index, m)| {
            let notes = m.right.iter().chain(&m.left).flat_map(|n| [n.at, n.length]);
            notes.chain([m.frame.length]).chain(clock.tempos(index).into_iter().map(|t| t.0))
        });
        let needed = times.map(|t| t.fraction().1).try_fold(1, |a, b| Some(common_multiple(a, b)).filter(|m| *m <= MOST));
        let exact = needed.map(|needed| needed * ((LEAST + needed - 1) / needed)).filter(|t| *t <= MOST);
        Ticks { per_quarter: exact.or(needed).unwrap_or(ROUNDED) }
    }

    pub fn per_quarter(&self) -> u15 {
        u15::new(self.per_quarter as u16)
    }

    /// A time in ticks, rounded to the nearest.
    pub fn count(&self, time: Beats) -> i64 {
        let (numerator, denominator) = time.fraction();
        let above = i128::from(numerator) * i128::from(self.per_quarter) * 2 + i128::from(denominator);
        above.div_euclid(i128::from(denominator) * 2) as i64
    }
}

fn common_multiple(a: i64, b: i64) -> i64 {
    let (mut x, mut y) = (a, b);
    while y != 0 {
        (x, y) = (y, x % y);
    }
    a / x * b
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::{Key, Meter, Note, Preparation, ScoreMeasure, Tempo, Words};

    fn per_quarter(lengths: &[(i64, i64)]) -> i64 {
        let note = |(n, d): &(i64, i64)| Note::rest(Beats::ZERO, Beats::quarters(*n, *d).expect("exact"));
        let frame = music::Frame::plain(1, Meter::simple(4, 4), Key::C_MAJOR);
        let measure = ScoreMeasure {
            frame,
            right: lengths.iter().map(note).collect(),
            left: vec![],
            heading: None,
            marks: vec![],
            source: None,
            melody: music::Hand::Right,
        };
        let tempo = Tempo::of(Beats::QUARTER, 100).expect("in range");
        let score = Score { words: Words::default(), tempo, preparation: Preparation::default(), measures: vec![measure] };
        Ticks::of(&score, &Clock::of_score(&score)).per_quarter
    }

    /// Arithmetic.
    #[test]
    fn the_division_holds_every_length() {
        assert_eq!(per_quarter(&[(1, 4), (1, 3), (1, 5)]), 480);
        assert_eq!(per_quarter(&[(1, 7)]), 483);
        assert_eq!(per_quarter(&[(1, 1024), (1, 3)]), 3072);
        assert_eq!(per_quarter(&[(1, 11), (1, 13), (1, 17), (1, 19)]), ROUNDED);
    }
}
