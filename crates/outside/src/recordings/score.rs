//! What was found beside what was played: every beat's error, the order of measures, the key; and how often it was said where it was wrong.

use super::chance::Chance;
use super::played::{Played, Wanted};
use recording::{Followed, Sure};

/// A beat is missed where it lies further off than this, in seconds.
pub const NEAR: f64 = 0.2;

/// One recording compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    pub instrument: usize,
    /// Each beat's error in seconds, and whether its measure was said to be unsure.
    pub beats: Vec<(f64, bool)>,
    pub order: bool,
    pub key: bool,
    pub seconds: f64,
}

impl Compared {
    pub fn of(played: &Played, wanted: &Wanted, found: Option<&Followed>, seconds: f64) -> Compared {
        let none = Followed { shift: 99, cents: 0, passes: Vec::new(), broken_off: true, agrees: 0.0, key_before_next: 0.0, length: 0.0 };
        let found = found.unwrap_or(&none);
        let order = found.passes.iter().map(|p| p.measure).eq(played.truth.iter().map(|t| t.0));
        let mut beats = Vec::new();
        for (measure, places) in &played.truth {
            for (at, time) in places {
                let here = found.passes.iter().filter(|p| p.measure == *measure);
                let errors = here.filter_map(|p| Some((p.beats.iter().find(|b| b.0 == *at)?.1.as_f64() - time, p.sure == Sure::Not)));
                // A beat that was not found at all is nowhere said to be sure.
                beats.push(errors.min_by(|a, b| a.0.abs().total_cmp(&b.0.abs())).unwrap_or((99.0, false)));
            }
        }
        Compared { instrument: wanted.instrument, beats, order, key: found.shift == wanted.shift, seconds }
    }

    pub fn near(&self) -> f64 {
        self.beats.iter().filter(|b| b.0.abs() <= NEAR).count() as f64 / self.beats.len().max(1) as f64
    }
}

/// Figures over many recordings, each with its 95 percent interval from 1,000 drawings of whole recordings.
pub struct Figures<'a>(pub Vec<&'a Compared>);

type Figure = fn(&[&Compared]) -> f64;

impl Figures<'_> {
    pub fn in_words(&self) -> String {
        let rows: [(&str, Figure); 8] = [
            ("median beat error, ms", |c| 1000.0 * quantile(c, 0.5)),
            ("95th percentile, ms", |c| 1000.0 * quantile(c, 0.95)),
            ("mean error (late +), ms", bias),
            ("beats within 200 ms, %", |c| 100.0 * share(c, |b| b.0.abs() <= NEAR, |_| true)),
            ("order found, % of recordings", |c| 100.0 * c.iter().filter(|c| c.order).count() as f64 / c.len().max(1) as f64),
            ("key found, % of recordings", |c| 100.0 * c.iter().filter(|c| c.key).count() as f64 / c.len().max(1) as f64),
            ("of wrong beats said unsure, %", |c| 100.0 * share(c, |b| b.1, |b| b.0.abs() > NEAR)),
            ("of right beats said unsure, %", |c| 100.0 * share(c, |b| b.1, |b| b.0.abs() <= NEAR)),
        ];
        let line = |(name, figure): &(&str, Figure)| {
            let [low, high] = self.interval(*figure);
            format!("  {name:<32} {:>7.1}  ({low:.1} to {high:.1})\n", figure(&self.0))
        };
        rows.iter().map(line).collect()
    }

    fn interval(&self, figure: Figure) -> [f64; 2] {
        let mut chance = Chance::new(1);
        let mut draw = || {
            let drawn: Vec<&Compared> = self.0.iter().map(|_| *chance.one(&self.0)).collect();
            figure(&drawn)
        };
        let mut all: Vec<f64> = (0..1000).map(|_| draw()).collect();
        all.sort_by(f64::total_cmp);
        [all[25], all[974]]
    }
}

fn quantile(c: &[&Compared], share: f64) -> f64 {
    let mut all: Vec<f64> = c.iter().flat_map(|c| &c.beats).map(|b| b.0.abs()).collect();
    if all.is_empty() {
        return 0.0;
    }
    let place = ((all.len() - 1) as f64 * share) as usize;
    *all.select_nth_unstable_by(place, f64::total_cmp).1
}

fn bias(c: &[&Compared]) -> f64 {
    let near = || c.iter().flat_map(|c| &c.beats).filter(|b| b.0.abs() <= NEAR);
    1000.0 * near().map(|b| b.0).sum::<f64>() / near().count().max(1) as f64
}

fn share(c: &[&Compared], is: impl Fn(&(f64, bool)) -> bool, of: impl Fn(&(f64, bool)) -> bool) -> f64 {
    let all = || c.iter().flat_map(|c| &c.beats).filter(|b| of(b));
    all().filter(|b| is(b)).count() as f64 / all().count().max(1) as f64
}
