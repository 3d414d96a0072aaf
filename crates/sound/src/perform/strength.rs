//! How hard each string is plucked: the tune a little above what accompanies it, and printed dynamics followed gently.
//!
//! All figures are ours. Dynamics are taken in the order in which the page is played, from the place at which they stand, for both hands.

use super::timed::Timed;
use crate::performance::Strength;
use music::{Decoration, Note, Score};

/// In thousandths of the strongest pluck, at mezzo-forte.
const TUNE: i64 = 760;
const BELOW_THE_TUNE: i64 = 620;
const ACCOMPANIMENT: i64 = 560;
const GRACE: i64 = 500;

/// In percent.
const ACCENT: i64 = 112;

/// Which note of its chord is plucked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    Top,
    Below,
    Grace,
    /// Of the hand that does not have the melody.
    Accompaniment,
}

/// The dynamics of the page as it is played.
pub struct Strengths {
    /// For each pass, where a dynamic begins, with its percentage; the first holds from the start of the measure.
    passes: Vec<Vec<(music::Beats, i64)>>,
}

impl Strengths {
    pub fn new(score: &Score, passes: &[Timed]) -> Strengths {
        let mut now = 100;
        let follow = |timed: &Timed| {
            let measure = &score.measures[timed.pass.measure];
            let mut here = vec![(music::Beats::ZERO, now)];
            let notes = measure.right.iter().chain(&measure.left);
            let marks = notes.flat_map(|n| n.decorations.iter().filter_map(|d| Some((n.at, percent(d)?))));
            here.extend(marks);
            here.sort_by_key(|d| d.0);
            now = here.last().map_or(now, |d| d.1);
            here
        };
        Strengths { passes: passes.iter().map(follow).collect() }
    }

    pub fn of(&self, pass: usize, note: &Note, part: Part) -> Strength {
        let dynamic = self.passes[pass].iter().rfind(|d| d.0 <= note.at).map_or(100, |d| d.1);
        let accented = note.decorations.iter().any(|d| matches!(d, Decoration::Accent | Decoration::Marcato));
        let accent = if accented { ACCENT } else { 100 };
        let plain = match part {
            Part::Grace => GRACE,
            Part::Accompaniment => ACCOMPANIMENT,
            Part::Top => TUNE,
            Part::Below => BELOW_THE_TUNE,
        };
        Strength::nearest(plain * dynamic * accent / 10_000)
    }
}

fn percent(decoration: &Decoration) -> Option<i64> {
    let Decoration::Dynamic(sign) = decoration else { return None };
    Some(match sign.as_str() {
        "pppp" | "ppp" => 50,
        "pp" => 62,
        "p" => 76,
        "mp" => 88,
        "mf" => 100,
        "f" => 112,
        "ff" | "fff" | "ffff" => 122,
        _ => return None,
    })
}
