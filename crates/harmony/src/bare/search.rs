//! The dearest row of chords for the places of a tune.
//!
//! best(i, c) = worth(i, c) + the largest over b of: best(i − 1, b) + between(b, c at i)
//! after(i, b) = the largest over c of: between(b, c at i + 1) + worth(i + 1, c) + after(i + 1, c)
//! Only the chords that are allowed at a place are weighed; ties go to the first of the palette. best + after is the worth of the best whole that has a chord at
//! a place.

use super::cues;
use super::palette::{CHORDS, Numeral};
use super::places::{Ground, Spot};
use super::table::{Habits, Worths};

/// The worth of every chord and every change, as sums of cues times worths (in ten-thousandths of log odds).
pub struct Values {
    /// Of each chord at each place.
    pub at: Vec<[i64; CHORDS]>,
    /// Into each place but the first, by the chord before and the chord.
    pub between: Vec<[[i64; CHORDS]; CHORDS]>,
}

impl Values {
    /// Weighs every chord at every place.
    pub fn of(ground: &Ground, worths: &Worths, habits: &Habits) -> Values {
        let at = ground.spots.iter().map(|spot| {
            std::array::from_fn(|c| {
                let mut sum = 0;
                cues::at(spot, Numeral(c as u8), ground.tonic(spot), habits, &mut |cue, much| sum += worths.0[cue] * much);
                sum
            })
        });
        let between = ground.spots.windows(2).map(|pair| {
            std::array::from_fn(|from| {
                std::array::from_fn(|to| {
                    let mut sum = 0;
                    change(ground, &pair[0], &pair[1], (from, to), habits, &mut |cue, much| sum += worths.0[cue] * much);
                    sum
                })
            })
        });
        Values { at: at.collect(), between: between.collect() }
    }
}

/// The cues of a change from one place to the next.
pub fn change(ground: &Ground, before: &Spot, spot: &Spot, (from, to): (usize, usize), habits: &Habits, take: &mut impl cues::Take) {
    let from = (Numeral(from as u8), ground.tonic(before), before);
    let to = (Numeral(to as u8), ground.tonic(spot), spot);
    cues::between(from, to, habits, take);
}

/// Which chords may stand at each place; never none.
pub type Allowed = Vec<Vec<Numeral>>;

const NEVER: i64 = i64::MIN / 4;

/// The chords of the best whole.
pub fn best(values: &Values, allowed: &Allowed) -> (i64, Vec<Numeral>) {
    let count = values.at.len();
    if count == 0 {
        return (0, Vec::new());
    }
    let mut reached = vec![[(NEVER, 0u8); CHORDS]; count];
    for c in &allowed[0] {
        reached[0][usize::from(c.0)] = (values.at[0][usize::from(c.0)], 0);
    }
    for i in 1..count {
        for c in &allowed[i] {
            let to = usize::from(c.0);
            let mut most = (NEVER, 0);
            for b in &allowed[i - 1] {
                let from = usize::from(b.0);
                let here = reached[i - 1][from].0 + values.between[i - 1][from][to];
                if here > most.0 {
                    most = (here, b.0);
                }
            }
            reached[i][to] = (most.0 + values.at[i][to], most.1);
        }
    }
    let mut chord = allowed[count - 1][0];
    for c in &allowed[count - 1] {
        if reached[count - 1][usize::from(c.0)].0 > reached[count - 1][usize::from(chord.0)].0 {
            chord = *c;
        }
    }
    let total = reached[count - 1][usize::from(chord.0)].0;
    let mut row = vec![chord; count];
    for i in (1..count).rev() {
        row[i - 1] = Numeral(reached[i][usize::from(row[i].0)].1);
    }
    (total, row)
}
