//! Hits and misses, folds by melody, and intervals by drawing works again.

use super::Case;
use super::fit::{Counted, fit, table};
use harmony::phrases::{breaths, table::Table};
use std::collections::{BTreeMap, BTreeSet};

/// Beginnings found and right, found, and marked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Hits {
    pub right: usize,
    pub found: usize,
    pub marked: usize,
}

impl Hits {
    pub fn of(found: &BTreeSet<usize>, marked: &BTreeSet<usize>) -> Hits {
        Hits { right: found.intersection(marked).count(), found: found.len(), marked: marked.len() }
    }

    pub fn sum(all: impl IntoIterator<Item = Hits>) -> Hits {
        let add = |a: Hits, b: Hits| Hits { right: a.right + b.right, found: a.found + b.found, marked: a.marked + b.marked };
        all.into_iter().fold(Hits::default(), add)
    }

    pub fn precision(self) -> f64 {
        self.right as f64 / self.found.max(1) as f64
    }

    pub fn recall(self) -> f64 {
        self.right as f64 / self.marked.max(1) as f64
    }

    pub fn f1(self) -> f64 {
        2.0 * self.right as f64 / (self.found + self.marked).max(1) as f64
    }
}

/// What a table finds in a tune.
pub fn hits(case: &Case, table: &Table) -> Hits {
    let found = breaths::of_line(&case.line, table).into_iter().map(|b| b.note).collect();
    Hits::of(&found, &case.begins)
}

/// Tunes with what their cues count; `weight` is what one of them counts in the fitting.
pub struct Set {
    pub cases: Vec<Case>,
    pub counted: Vec<Counted>,
    pub weight: f64,
}

impl Set {
    pub fn of(cases: Vec<Case>, weight: f64) -> Set {
        Set { counted: cases.iter().map(Counted::of).collect(), cases, weight }
    }

    /// The tunes of a choice, with their weights.
    pub fn chosen<'a>(&'a self, choose: impl Fn(&Case) -> bool + 'a) -> impl Iterator<Item = (&'a Counted, f64)> {
        self.cases.iter().zip(&self.counted).filter(move |(case, _)| choose(case)).map(|(_, counted)| (counted, self.weight))
    }

    fn f1(&self, choose: impl Fn(&Case) -> bool, of: impl Fn(&Case) -> Hits) -> f64 {
        Hits::sum(self.cases.iter().filter(|c| choose(c)).map(of)).f1()
    }
}

pub const FOLDS: usize = 5;

/// Folds and halves are by melody.
fn fold(case: &Case) -> usize {
    ((case.melody as u64).wrapping_mul(2_654_435_761) >> 7) as usize % FOLDS
}

fn half(case: &Case) -> usize {
    (case.melody / FOLDS) % 2
}

/// What may be added for every phrase.
const MORE: [f64; 7] = [-0.4, -0.2, 0.0, 0.2, 0.4, 0.6, 0.8];

/// Each tune cut with worths of the other folds: for each set, melody and hits of every tune. With [`Nested::Yes`] what is added for every phrase is chosen
/// inside the other folds, half against half.
pub fn across_folds(sets: &[Set], nested: Nested) -> Vec<Vec<(usize, Hits)>> {
    let mut found: Vec<Vec<(usize, Hits)>> = vec![Vec::new(); sets.len()];
    let fitted = |choose: &dyn Fn(&Case) -> bool| fit(&sets.iter().flat_map(|s| s.chosen(choose)).collect::<Vec<_>>());
    for out in 0..FOLDS {
        let more = match nested {
            Nested::No => 0.0,
            Nested::Yes => {
                let worths = [0, 1].map(|h| fitted(&|c| fold(c) != out && half(c) != h));
                let mean = |more: f64| {
                    let tables = [0, 1].map(|h| table(&worths[h], more));
                    sets.iter().map(|s| s.f1(|c| fold(c) != out, |c| hits(c, &tables[half(c)]))).sum::<f64>()
                };
                MORE.map(|more| (mean(more), more)).into_iter().fold((0.0, 0.0), |a, b| if b.0 > a.0 { b } else { a }).1
            }
        };
        let table = table(&fitted(&|c| fold(c) != out), more);
        for (set, found) in sets.iter().zip(&mut found) {
            found.extend(set.cases.iter().filter(|c| fold(c) == out).map(|c| (c.melody, hits(c, &table))));
        }
    }
    found
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Nested {
    Yes,
    No,
}

/// The middle 95 of a hundred F1 when melodies are drawn again a thousand times, with all their tunes.
pub fn interval(all: &[(usize, Hits)]) -> (f64, f64) {
    let mut melodies: BTreeMap<usize, Vec<Hits>> = BTreeMap::new();
    all.iter().for_each(|(melody, hits)| melodies.entry(*melody).or_default().push(*hits));
    let melodies: Vec<Hits> = melodies.into_values().map(Hits::sum).collect();
    let mut state = 1_u64;
    let mut draw = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        melodies[(state >> 33) as usize % melodies.len()]
    };
    let mut figures: Vec<f64> = (0..1000).map(|_| Hits::sum((0..melodies.len()).map(|_| draw())).f1()).collect();
    figures.sort_by(f64::total_cmp);
    (figures[25], figures[974])
}

/// "0.88 (0.86 to 0.90), precision 0.89, recall 0.87".
pub fn in_words(all: &[(usize, Hits)]) -> String {
    let (sum, (low, high)) = (Hits::sum(all.iter().map(|h| h.1)), interval(all));
    format!("F1 {:.3} ({low:.3} to {high:.3}), precision {:.3}, recall {:.3}, {} tunes", sum.f1(), sum.precision(), sum.recall(), all.len())
}
