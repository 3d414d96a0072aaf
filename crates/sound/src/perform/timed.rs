//! The passes of a page at the player's share of its tempo: [`music::Clock`] says when each place comes, her choices stretch it.

use crate::performance::Pass;
use crate::performing::{Performing, TempoShare};
use music::{Beats, Clock, Frame, Score, Seconds};

/// No measure begins later: a day. Repeats of repeats of a damaged file would never end.
const LONGEST: Seconds = Seconds::from_millis(24 * 3_600_000);

/// The clock of a page for one performance: her fermatas, her share of the tempo.
pub struct Played {
    clock: Clock,
    share: TempoShare,
}

/// A measure being played.
pub struct Timed<'a> {
    pub pass: Pass,
    index: usize,
    played: &'a Played,
}

impl Timed<'_> {
    /// When a place of the measure comes; what lies at the end of a hold comes after it.
    pub fn at(&self, place: Beats) -> Seconds {
        self.played.at(self.index, place)
    }
}

impl Played {
    pub fn new(score: &Score, performing: &Performing) -> Played {
        Played { clock: Clock::holding(score, performing.holds.longer.hundredths()), share: performing.tempo }
    }

    /// The measures in playing order, in time.
    pub fn passes(&self, score: &Score) -> Vec<Timed<'_>> {
        let all = self.clock.played().iter().enumerate();
        let timed = all.map(|(index, pass)| {
            let frame = &score.measures[pass.measure].frame;
            let beats = beats(frame).into_iter().map(|b| (b, self.at(index, b))).collect();
            let (start, end) = (self.share.stretch(pass.start), self.share.stretch(pass.end));
            Timed { pass: Pass { measure: pass.measure, start, end, beats }, index, played: self }
        });
        timed.take_while(|t| t.pass.start < LONGEST).collect()
    }

    fn at(&self, pass: usize, place: Beats) -> Seconds {
        self.share.stretch(self.clock.played_at(pass, place))
    }
}

/// The places of the beats. A pickup ends on a full beat, so its first may come after some rest of one.
fn beats(frame: &Frame) -> Vec<Beats> {
    let missing = if frame.number.count == 0 { (frame.meter.length() - frame.length).max(Beats::ZERO) } else { Beats::ZERO };
    let all = frame.meter.beats().into_iter().filter(|b| *b >= missing).map(|b| b - missing);
    all.filter(|b| *b < frame.length).collect()
}
