//! The measures in the order they are played, and what the first track says about them: tempo, meter, key, markers.

use super::Placed;
use super::speeds::speeds;
use super::ticks::Ticks;
use midly::num::u24;
use midly::{MetaMessage, TrackEventKind};
use music::{Clock, Key, Meter, MeterSign, Score};

/// One measure being played.
pub struct Pass {
    /// Index into the score's measures.
    pub measure: usize,
    /// In ticks, as is `length`.
    pub start: i64,
    pub length: i64,
}

/// The playing order with every measure's place in ticks.
pub fn passes(score: &Score, clock: &Clock, ticks: &Ticks) -> Vec<Pass> {
    let mut start = 0;
    let place = |measure: usize| {
        let length = ticks.count(score.measures[measure].frame.length);
        start += length;
        Pass { measure, start: start - length, length }
    };
    clock.order().iter().copied().map(place).collect()
}

/// The events of the first track, in order; each said only where it changes.
pub fn events<'a>(score: &'a Score, clock: &Clock, passes: &[Pass], ticks: &Ticks) -> Vec<Placed<'a>> {
    let mut conductor = Conductor { events: Vec::new(), tempo: None, meter: None, key: None };
    conductor.say(0, MetaMessage::TrackName(score.words.title.as_bytes()));
    for pass in passes {
        let measure = &score.measures[pass.measure];
        conductor.meter(pass.start, &measure.frame.meter);
        conductor.key(pass.start, &measure.frame.key);
        for text in measure.heading.iter().chain(&measure.frame.section) {
            conductor.say(pass.start, MetaMessage::Marker(text.as_bytes()));
        }
        for (at, micros) in speeds(clock, pass.measure, measure) {
            conductor.tempo(pass.start + ticks.count(at), micros);
        }
    }
    conductor.events.sort_by_key(|e| e.at);
    conductor.events
}

struct Conductor<'a> {
    events: Vec<Placed<'a>>,
    /// Microseconds a quarter note.
    tempo: Option<u32>,
    meter: Option<&'a Meter>,
    key: Option<&'a Key>,
}

impl<'a> Conductor<'a> {
    fn say(&mut self, at: i64, message: MetaMessage<'a>) {
        self.events.push(Placed { at, kind: TrackEventKind::Meta(message) });
    }

    fn tempo(&mut self, at: i64, micros: u32) {
        if self.tempo.replace(micros) != Some(micros) {
            self.say(at, MetaMessage::Tempo(u24::new(micros)));
        }
    }

    /// Free meter has no signature to give.
    fn meter(&mut self, at: i64, meter: &'a Meter) {
        if meter.sign != MeterSign::Free && self.meter.replace(meter) != Some(meter) {
            // The click is counted in 24ths of a quarter, the fourth byte in 32nds.
            let click = u8::try_from(ticks_of_click(meter)).unwrap_or(u8::MAX);
            let message = MetaMessage::TimeSignature(meter.numerator() as u8, meter.unit.trailing_zeros() as u8, click, 8);
            self.say(at, message);
        }
    }

    fn key(&mut self, at: i64, key: &'a Key) {
        if self.key.replace(key) != Some(key) {
            self.say(at, MetaMessage::KeySignature(key.fifths.clamp(-7, 7) as i8, key.mode.is_minor()));
        }
    }
}

fn ticks_of_click(meter: &Meter) -> i64 {
    let (numerator, denominator) = meter.beat().fraction();
    (24 * numerator / denominator).max(1)
}
