//! When each string is plucked and until when it sounds: ties, rolls, grace notes, and the same string again.
//!
//! A roll starts on the beat with its lowest string and goes up, 60 ms a string, in at most 40 % of the note (on the beat, because at the start of a piece
//! nothing can come before it). Grace notes take 80 ms each before the beat, at most half the time since the note before; where there is no
//! time before, they take it from the note, at most a quarter. A string sounds for its written length, or until it is plucked again. All ours.

use super::conduct::Pass;
use super::ticks::Ticks;
use midly::num::u7;
use music::{Beats, Clock, Decoration, Hand, Note, Pitch, Place, Score, Tempo};
use std::collections::BTreeMap;

const ROLL_MILLIS: i64 = 60;
const GRACE_MILLIS: i64 = 80;

/// One sounding string; times in ticks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pluck {
    pub key: u7,
    pub from: i64,
    pub to: i64,
}

/// All plucks of one hand as they are played, in order.
pub fn plucks(score: &Score, clock: &Clock, passes: &[Pass], ticks: &Ticks, hand: Hand) -> Vec<Pluck> {
    let mut playing = Playing { ticks, plucks: Vec::new(), sounding: BTreeMap::new(), last_from: None };
    for pass in passes {
        let measure = &score.measures[pass.measure];
        for note in measure.hand(hand).iter().filter(|n| n.length > Beats::ZERO) {
            let place = Place { measure: pass.measure, at: note.at };
            playing.play(note, pass.start, clock.tempo(place));
        }
    }
    let mut plucks = playing.plucks;
    plucks.sort_by_key(|p| (p.from, p.key));
    end_at_next_pluck(&mut plucks);
    plucks
}

struct Playing<'a> {
    ticks: &'a Ticks,
    plucks: Vec<Pluck>,
    /// The pluck of each key that was played last, for ties.
    sounding: BTreeMap<u7, usize>,
    /// When the note before began.
    last_from: Option<i64>,
}

impl Playing<'_> {
    fn play(&mut self, note: &Note, start: i64, tempo: Tempo) {
        let (from, to) = (start + self.ticks.count(note.at), start + self.ticks.count(note.end()));
        let keys = keys(&note.pitches);
        let held: Vec<Option<usize>> = keys.iter().map(|key| self.held(note, *key, from)).collect();
        let from_graces = self.play_graces(note, from, to, tempo);
        let step = self.roll_step(note, to - from_graces, tempo);
        for (i, (key, held)) in keys.into_iter().zip(held).enumerate() {
            match held {
                Some(held) => self.plucks[held].to = to,
                None => self.pluck(Pluck { key, from: from_graces + step * i as i64, to }),
            }
        }
        self.last_from = Some(from);
    }

    /// The pluck that a note tied from before goes on with: of the same key, sounding until now.
    fn held(&self, note: &Note, key: u7, now: i64) -> Option<usize> {
        self.sounding.get(&key).copied().filter(|p| note.tie.from_before && self.plucks[*p].to == now)
    }

    fn pluck(&mut self, pluck: Pluck) {
        self.sounding.insert(pluck.key, self.plucks.len());
        self.plucks.push(pluck);
    }

    /// Plays the grace notes and says when the note itself begins.
    fn play_graces(&mut self, note: &Note, from: i64, to: i64, tempo: Tempo) -> i64 {
        let count = note.grace.len() as i64;
        if count == 0 {
            return from;
        }
        let room_before = self.last_from.map_or(from, |last| (from - last) / 2);
        let wanted = in_ticks(self.ticks, GRACE_MILLIS, tempo);
        let (each, first) = match (wanted.min(room_before / count), (to - from) / 4 / count) {
            (0, room_inside) => (wanted.min(room_inside), from),
            (each, _) => (each, from - each * count),
        };
        for (i, grace) in note.grace.iter().enumerate() {
            let at = first + each * i as i64;
            keys(&grace.pitches).into_iter().for_each(|key| self.pluck(Pluck { key, from: at, to: at + each }));
        }
        first + each * count
    }

    /// Ticks from one string of a roll to the next; none for a block.
    fn roll_step(&self, note: &Note, length: i64, tempo: Tempo) -> i64 {
        let strings = note.pitches.len() as i64;
        let rolled = note.rolled || note.decorations.contains(&Decoration::Arpeggio);
        if !rolled || strings < 2 {
            return 0;
        }
        in_ticks(self.ticks, ROLL_MILLIS, tempo).min(length * 2 / 5 / (strings - 1))
    }
}

/// The keys of pitches, lowest first, each once; pitches no MIDI key has are left out.
fn keys(pitches: &[Pitch]) -> Vec<u7> {
    let mut keys: Vec<u7> = pitches.iter().filter_map(|p| u8::try_from(p.midi()).ok().and_then(u7::try_from)).collect();
    keys.sort();
    keys.dedup();
    keys
}

fn in_ticks(ticks: &Ticks, millis: i64, tempo: Tempo) -> i64 {
    let quarter = tempo.seconds(Beats::QUARTER).micros().max(1);
    ticks.count(Beats::QUARTER) * millis * 1000 / quarter
}

/// No string sounds on into its own next pluck; what leaves it no time at all is left out.
fn end_at_next_pluck(plucks: &mut Vec<Pluck>) {
    let mut next: BTreeMap<u7, i64> = BTreeMap::new();
    for pluck in plucks.iter_mut().rev() {
        pluck.to = next.get(&pluck.key).map_or(pluck.to, |next| pluck.to.min(*next));
        next.insert(pluck.key, pluck.from);
    }
    plucks.retain(|p| p.to > p.from);
}
