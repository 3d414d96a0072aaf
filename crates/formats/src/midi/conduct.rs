//! The measures in the order they are played, and what the first track says about them: tempo, meter, key, markers.

use super::Placed;
use super::ticks::Ticks;
use midly::num::u24;
use midly::{MetaMessage, TrackEventKind};
use music::order::playing_order;
use music::{Frame, Key, Meter, MeterSign, Score, Tempo};

/// One measure being played.
pub struct Pass {
    /// Index into the score's measures.
    pub measure: usize,
    /// In ticks, as is `length`.
    pub start: i64,
    pub length: i64,
    /// The tempo in which it begins.
    pub tempo: Tempo,
}

/// The playing order with every measure's place in time. After a jump the tempo is the one that stands there on the page.
pub fn passes(score: &Score, ticks: &Ticks) -> Vec<Pass> {
    let frames: Vec<&Frame> = score.measures.iter().map(|m| &m.frame).collect();
    let tempos = written_tempos(score);
    let mut start = 0;
    let place = |measure: usize| {
        let length = ticks.count(frames[measure].length);
        start += length;
        Pass { measure, start: start - length, length, tempo: tempos[measure] }
    };
    playing_order(&frames).measures.into_iter().map(place).collect()
}

/// The tempo in force at the start of each written measure.
fn written_tempos(score: &Score) -> Vec<Tempo> {
    let mut now = score.tempo;
    let mut at_starts = Vec::new();
    for measure in &score.measures {
        let tempos = &measure.frame.tempos;
        now = tempos.iter().rfind(|t| t.0.is_zero()).map_or(now, |t| t.1);
        at_starts.push(now);
        now = tempos.last().map_or(now, |t| t.1);
    }
    at_starts
}

/// The events of the first track, in order; each said only where it changes.
pub fn events<'a>(score: &'a Score, passes: &[Pass], ticks: &Ticks) -> Vec<Placed<'a>> {
    let mut conductor = Conductor { events: Vec::new(), tempo: None, meter: None, key: None };
    conductor.say(0, MetaMessage::TrackName(score.words.title.as_bytes()));
    for pass in passes {
        let measure = &score.measures[pass.measure];
        conductor.meter(pass.start, &measure.frame.meter);
        conductor.key(pass.start, &measure.frame.key);
        for text in measure.heading.iter().chain(&measure.frame.section) {
            conductor.say(pass.start, MetaMessage::Marker(text.as_bytes()));
        }
        conductor.tempo(pass.start, pass.tempo);
        for (at, tempo) in measure.frame.tempos.iter().filter(|t| !t.0.is_zero()) {
            conductor.tempo(pass.start + ticks.count(*at), *tempo);
        }
    }
    conductor.events.sort_by_key(|e| e.at);
    conductor.events
}

struct Conductor<'a> {
    events: Vec<Placed<'a>>,
    tempo: Option<Tempo>,
    meter: Option<&'a Meter>,
    key: Option<&'a Key>,
}

impl<'a> Conductor<'a> {
    fn say(&mut self, at: i64, message: MetaMessage<'a>) {
        self.events.push(Placed { at, kind: TrackEventKind::Meta(message) });
    }

    fn tempo(&mut self, at: i64, tempo: Tempo) {
        if self.tempo.replace(tempo) != Some(tempo) {
            self.say(at, MetaMessage::Tempo(u24::new(micros_per_quarter(tempo))));
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

/// Whole microseconds a quarter note, at most what three bytes hold.
fn micros_per_quarter(tempo: Tempo) -> u32 {
    let micros = tempo.seconds(music::Beats::QUARTER).micros();
    u32::try_from(micros).unwrap_or(u32::MAX).min(u24::max_value().as_int())
}
