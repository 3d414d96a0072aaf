//! Where a place of the printed page stands in time: each measure once, in printed order, tempo marks followed.

use music::{Beats, Score, Seconds, Tempo};

/// A place on the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place {
    /// Index into the measures of the score.
    pub measure: usize,
    /// From the start of the measure.
    pub at: Beats,
}

/// The times of a page.
#[derive(Clone, Debug)]
pub struct Clock {
    /// For each measure the stretches of one tempo: where each begins, when, and how fast it is.
    stretches: Vec<Vec<(Beats, Seconds, Tempo)>>,
    end: Seconds,
}

impl Clock {
    pub fn new(score: &Score) -> Clock {
        let (mut tempo, mut now) = (score.tempo, Seconds::ZERO);
        let mut stretches = Vec::with_capacity(score.measures.len());
        for measure in &score.measures {
            let mut here = vec![(Beats::ZERO, now, tempo)];
            let mut from = Beats::ZERO;
            let mut marks: Vec<(Beats, Tempo)> = measure.frame.tempos.clone();
            marks.sort_by_key(|m| m.0);
            for (at, next) in marks {
                let at = at.clamp(from, measure.frame.length.max(from));
                now = now + tempo.seconds(at - from);
                (from, tempo) = (at, next);
                here.push((at, now, tempo));
            }
            now = now + tempo.seconds((measure.frame.length - from).max(Beats::ZERO));
            stretches.push(here);
        }
        Clock { stretches, end: now }
    }

    /// When a place comes; places beyond the page come at its end.
    pub fn at(&self, place: Place) -> Seconds {
        let Some((from, time, tempo)) = self.stretch(place) else { return self.end };
        time + tempo.seconds(place.at - from)
    }

    /// The tempo that holds at a place.
    pub fn tempo(&self, place: Place) -> Option<Tempo> {
        self.stretch(place).map(|s| s.2)
    }

    pub fn end(&self) -> Seconds {
        self.end
    }

    fn stretch(&self, place: Place) -> Option<(Beats, Seconds, Tempo)> {
        self.stretches.get(place.measure)?.iter().rev().find(|s| s.0 <= place.at).copied()
    }
}
