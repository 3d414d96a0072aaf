//! The links of a set as music: one for the stand, all of them for paper.

use super::laid::Laid;
use music::{Barline, MeasureNumber, Preparation, Score, ScoreMeasure, Words};
use practice::set::Link;

/// One link to be shown: without a title and without how everything stands before it, which stand beside it.
pub fn one(link: &Link) -> Score {
    Score { preparation: Preparation::default(), ..link.score.clone() }
}

/// All links one after another, each under the names of its tunes; `None` where there are none.
pub fn all(laid: &Laid, title: &str) -> Option<Score> {
    let mut measures: Vec<ScoreMeasure> = Vec::new();
    let mut tempo = None;
    for (at, link) in laid.links() {
        let name = |place: usize| laid.rows[place].tune.as_ref().map_or("", |t| t.known.title.as_str()).to_owned();
        let opening = *tempo.get_or_insert(link.score.tempo);
        for (index, measure) in link.score.measures.iter().enumerate() {
            let mut measure = measure.clone();
            measure.frame.number = MeasureNumber::from(measures.len() as u32 + 1);
            if index == 0 {
                measure.heading = Some(format!("{at}, {} to {}, {}", name(at - 1), at + 1, name(at)));
                if opening != link.score.tempo || !measures.is_empty() {
                    measure.frame.tempos.push((music::Beats::ZERO, link.score.tempo));
                }
            }
            measures.push(measure);
        }
    }
    if let Some(last) = measures.last_mut() {
        last.frame.right = Barline::Final;
    }
    let words = Words { title: format!("{title}: links"), ..Words::default() };
    Some(Score { words, tempo: tempo?, preparation: Preparation::default(), measures })
}
