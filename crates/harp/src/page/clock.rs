//! Places of a page as seconds on the printed page, each measure once, and the order in which the measures are played.

use music::order::playing_order;
use music::{Beats, Frame, Score, Seconds, Tempo};

#[derive(Clone, Debug)]
pub struct Clock {
    starts: Vec<Beats>,
    end: Beats,
    tempo: Tempo,
    order: Vec<usize>,
}

impl Clock {
    pub fn new(score: &Score) -> Clock {
        let frames: Vec<&Frame> = score.measures.iter().map(|m| &m.frame).collect();
        let mut end = Beats::ZERO;
        let mut starts = Vec::with_capacity(frames.len());
        for frame in &frames {
            starts.push(end);
            end += frame.length;
        }
        Clock { starts, end, tempo: score.tempo, order: playing_order(&frames).measures }
    }

    /// Beats from the beginning of the page.
    pub fn beats(&self, measure: usize, at: Beats) -> Beats {
        self.starts.get(measure).map_or(self.end, |start| *start + at)
    }

    /// Seconds from the beginning of the page.
    pub fn at(&self, measure: usize, at: Beats) -> Seconds {
        self.tempo.seconds(self.beats(measure, at))
    }

    pub fn end(&self) -> Seconds {
        self.tempo.seconds(self.end)
    }

    /// The measure in which a place counted in beats from the beginning of the page lies, and the place in it.
    pub fn place(&self, beats: Beats) -> (usize, Beats) {
        let measure = self.starts.partition_point(|s| *s <= beats).saturating_sub(1);
        (measure, beats - self.starts.get(measure).copied().unwrap_or(Beats::ZERO))
    }

    /// Indices of the measures as they are played, repeats, endings and jumps taken.
    pub fn order(&self) -> &[usize] {
        &self.order
    }
}
