//! What the cues are worth: the worths under which the chords that tunes are known with are likeliest among all rows of chords.
//!
//! A row of chords is as likely as the exponential of the sum of its cues' worths. The logarithm of the likelihood has one top, which is climbed with a fixed number of
//! steps; a small price on large worths keeps rare cues small. Places whose chord is not in the palette, or which have none, are left open. Nothing is random.

use super::{Case, counts};
use crate::ascent::Ascent;
use harmony::bare::cues::{self, COUNT};
use harmony::bare::palette::{CHORDS, Numeral};
use harmony::bare::search::change;
use harmony::bare::table::{Habits, Worths};

/// A price on the square of each worth. Ours.
const SMALL: f64 = 2.0;
const STEPS: usize = 120;

type Cues = Vec<(u16, f32)>;

fn gathered(fill: impl FnOnce(&mut Vec<(usize, i64)>)) -> Cues {
    let mut all = Vec::new();
    fill(&mut all);
    all.into_iter().map(|(cue, much)| (cue as u16, much as f32 / 100.0)).collect()
}

/// A tune as the numbers of its cues.
pub struct Counted {
    at: Vec<[Cues; CHORDS]>,
    between: Vec<Vec<[Cues; CHORDS]>>,
    known: Vec<Option<Numeral>>,
}

impl Counted {
    pub fn of(case: &Case, habits: &Habits) -> Counted {
        let ground = &case.ground;
        let at = ground.spots.iter().map(|spot| {
            std::array::from_fn(|c| {
                gathered(|all| cues::at(spot, Numeral(c as u8), ground.tonic(spot), habits, &mut |cue, much| all.push((cue, much))))
            })
        });
        let between = ground.spots.windows(2).map(|pair| {
            let row = |from| {
                std::array::from_fn(|to| {
                    gathered(|all| change(ground, &pair[0], &pair[1], (from, to), habits, &mut |cue, much| all.push((cue, much))))
                })
            };
            (0..CHORDS).map(row).collect()
        });
        Counted { at: at.collect(), between: between.collect(), known: counts::numerals(case) }
    }

    /// Adds the derivative of the log likelihood.
    fn add_slope(&self, worths: &[f64], slope: &mut [f64]) {
        let sum = |cues: &Cues| cues.iter().map(|(c, much)| worths[usize::from(*c)] * f64::from(*much)).sum::<f64>();
        let at: Vec<[f64; CHORDS]> = self.at.iter().map(|all| std::array::from_fn(|c| sum(&all[c]))).collect();
        let between: Vec<Vec<[f64; CHORDS]>> =
            self.between.iter().map(|all| all.iter().map(|row| std::array::from_fn(|c| sum(&row[c]))).collect()).collect();
        let open = self.sides(&at, &between, |_, _| true);
        let held = self.sides(&at, &between, |i, c| self.known[i].is_none_or(|k| usize::from(k.0) == c));
        for (side, sign) in [(&open, -1.0), (&held, 1.0)] {
            self.add_shares(side, sign, &at, &between, slope);
        }
    }

    fn sides(&self, at: &[[f64; CHORDS]], between: &[Vec<[f64; CHORDS]>], may: impl Fn(usize, usize) -> bool) -> Sides {
        let count = at.len();
        let own = |i: usize, c: usize| if may(i, c) { at[i][c] } else { f64::NEG_INFINITY };
        let mut before: Vec<[f64; CHORDS]> = vec![std::array::from_fn(|c| own(0, c))];
        for i in 1..count {
            let come = |c: usize| log_sum(std::array::from_fn(|b| before[i - 1][b] + between[i - 1][b][c]));
            before.push(std::array::from_fn(|c| come(c) + own(i, c)));
        }
        let mut after = vec![[0.0; CHORDS]; count];
        for i in (0..count - 1).rev() {
            let next = after[i + 1];
            let left = |b: usize| log_sum(std::array::from_fn(|c| between[i][b][c] + own(i + 1, c) + next[c]));
            after[i] = std::array::from_fn(left);
        }
        let whole = log_sum(before[count - 1]);
        let own = (0..count).map(|i| std::array::from_fn(|c| own(i, c))).collect();
        Sides { before, after, own, whole }
    }

    fn add_shares(&self, side: &Sides, sign: f64, at: &[[f64; CHORDS]], between: &[Vec<[f64; CHORDS]>], slope: &mut [f64]) {
        let mut add = |cues: &Cues, share: f64| {
            if share > 1e-9 {
                cues.iter().for_each(|(c, much)| slope[usize::from(*c)] += sign * share * f64::from(*much));
            }
        };
        for i in 0..at.len() {
            (0..CHORDS).for_each(|c| add(&self.at[i][c], (side.before[i][c] + side.after[i][c] - side.whole).exp()));
        }
        let pairs = (0..CHORDS * CHORDS).map(|n| (n / CHORDS, n % CHORDS));
        for (i, (b, c)) in (1..at.len()).flat_map(|i| pairs.clone().map(move |pair| (i, pair))) {
            let share = side.before[i - 1][b] + between[i - 1][b][c] + side.own[i][c] + side.after[i][c] - side.whole;
            add(&self.between[i - 1][b][c], share.exp());
        }
    }
}

struct Sides {
    before: Vec<[f64; CHORDS]>,
    after: Vec<[f64; CHORDS]>,
    own: Vec<[f64; CHORDS]>,
    whole: f64,
}

fn log_sum(all: [f64; CHORDS]) -> f64 {
    let most = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY { most } else { most + all.iter().map(|x| (x - most).exp()).sum::<f64>().ln() }
}

/// The worths for tunes.
pub fn fit(tunes: &[&Counted]) -> Vec<f64> {
    let ascent = Ascent { steps: STEPS, stride: 0.12, shortens: 0.95, small: SMALL };
    ascent.climb(COUNT, |worths, slope| tunes.iter().for_each(|tune| tune.add_slope(worths, slope)))
}

/// Rounded to hundredths.
pub fn table(worths: &[f64]) -> Worths {
    Worths(worths.iter().map(|w| (w * 100.0).round() as i64).collect())
}
