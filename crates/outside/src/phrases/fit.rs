//! What the cues are worth: the worths under which the marked phrases are likeliest.
//!
//! A division of a tune is as likely as the exponential of the sum of its cues' worths, among all divisions of that tune. The logarithm of the likelihood has one
//! top, which is climbed with a fixed number of steps from zero; a small price on large worths keeps rare cues small. Nothing is random.

use super::Case;
use crate::ascent::Ascent;
use harmony::phrases::{breaths::MOST_NOTES, cues::Cue, table::Table};

/// A price on the square of each worth. Ours.
const SMALL: f64 = 3.0;
const STEPS: usize = 80;

/// A tune as the numbers of its cues.
pub struct Counted {
    /// By note.
    begins: Vec<Vec<u16>>,
    /// By the end of a stretch, then its length less one.
    lengths: Vec<Vec<Vec<u16>>>,
    /// Where its marked phrases end.
    ends: Vec<usize>,
}

impl Counted {
    pub fn of(case: &Case) -> Counted {
        let (line, count) = (&case.line, case.line.notes.len());
        let numbers = |cues: &mut dyn Iterator<Item = Cue>| cues.map(|c| c as u16).collect::<Vec<u16>>();
        let begins = (0..=count).map(|k| if k == 0 || k == count { Vec::new() } else { numbers(&mut line.cues(k).into_iter()) }).collect();
        let stretches = |end: usize| (1..=end.min(MOST_NOTES)).map(|n| numbers(&mut line.length_cues(end - n, end))).collect();
        let ends = case.begins.iter().copied().chain([count]).collect();
        Counted { begins, lengths: (0..=count).map(stretches).collect(), ends }
    }

    /// Whether the search can cut it as it is marked.
    fn is_in_reach(&self) -> bool {
        self.ends.iter().scan(0, |at, end| Some(end - std::mem::replace(at, *end))).all(|n| n <= MOST_NOTES)
    }

    /// Adds to `slope` the derivative of the log likelihood, times `weight`.
    fn add_slope(&self, worths: &[f64], weight: f64, slope: &mut [f64]) {
        let sum = |cues: &[u16]| cues.iter().map(|c| worths[usize::from(*c)]).sum::<f64>();
        let begins: Vec<f64> = self.begins.iter().map(|c| sum(c)).collect();
        let lengths: Vec<Vec<f64>> = self.lengths.iter().map(|all| all.iter().map(|c| sum(c)).collect()).collect();
        let count = begins.len() - 1;
        let mut before = vec![0.0; count + 1];
        for end in 1..=count {
            before[end] = begins[end] + log_sum(lengths[end].iter().zip(1..).map(|(length, n)| before[end - n] + length));
        }
        let mut after = vec![0.0; count + 1];
        for start in (0..count).rev() {
            let ends = start + 1..=count.min(start + MOST_NOTES);
            after[start] = log_sum(ends.map(|end| lengths[end][end - start - 1] + begins[end] + after[end]));
        }
        let mut add = |cues: &[u16], share: f64| cues.iter().for_each(|c| slope[usize::from(*c)] += weight * share);
        for end in 1..=count {
            add(&self.begins[end], -(before[end] + after[end] - before[count]).exp());
            for (n, length) in (1..).zip(&lengths[end]) {
                let share = (before[end - n] + length + begins[end] + after[end] - before[count]).exp();
                add(&self.lengths[end][n - 1], -share);
            }
        }
        let mut start = 0;
        for end in &self.ends {
            add(&self.begins[*end], 1.0);
            add(&self.lengths[*end][end - start - 1], 1.0);
            start = *end;
        }
    }
}

fn log_sum(all: impl Iterator<Item = f64> + Clone) -> f64 {
    let most = all.clone().fold(f64::NEG_INFINITY, f64::max);
    most + all.map(|x| (x - most).exp()).sum::<f64>().ln()
}

/// The worths for tunes with their weights.
pub fn fit(tunes: &[(&Counted, f64)]) -> Vec<f64> {
    let ascent = Ascent { steps: STEPS, stride: 0.15, shortens: 0.9, small: SMALL };
    ascent.climb(Cue::ALL.len(), |worths, slope| {
        tunes.iter().filter(|t| t.0.is_in_reach()).for_each(|(tune, weight)| tune.add_slope(worths, *weight, slope))
    })
}

/// Rounded to hundredths, with `more` for every phrase.
pub fn table(worths: &[f64], more: f64) -> Table {
    let worth = |(worth, cue): (&f64, &Cue)| worth + if *cue == Cue::Begins { more } else { 0.0 };
    Table::of(worths.iter().zip(Cue::ALL).map(|pair| (worth(pair) * 100.0).round() as i64).collect())
}
