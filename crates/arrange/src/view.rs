//! What the principles see of a slot: the place, and the melody over it, looked at once for all candidates.

use crate::chord_facts::ChordFacts;
use crate::figures::Job;
use crate::hand_time::{Pluck, distance};
use crate::register::Register;
use crate::slots::Slot;
use crate::tune::{Sung, Tune, long_note};
use harp::Player;
use music::{Beats, Chord, LocalClock, Seconds};

/// One slot and the melody around it. Times named `from`, `to`, `at`, `on`, `off` count from the start of the slot.
pub struct View<'a> {
    pub slot: &'a Slot,
    /// Counts from the start of the slot; it knows the tempo from a beat before it to a beat after it.
    pub clock: LocalClock,
    pub player: &'a Player,
    pub manner: Manner,
    pub register: Register,
    pub beat: Beats,
    pub measure_length: Beats,
    pub beats: Vec<BeatView>,
    /// Long notes and rests of the melody that begin in the slot, with the stretch in which a fill is missed.
    pub holds: Vec<(Beats, Beats)>,
    /// Melody notes from a beat before the slot to a beat after it, times from the start of the slot.
    pub melody: Vec<Sung>,
    /// Pitch classes of the melody during the slot.
    pub classes: u16,
    /// The same, of the notes that are plainly heard: those that begin on a strong beat or last a beat.
    pub plain: u16,
    /// For each letter, the pitch classes that single notes of the melody give it during the slot, a bit each.
    pub letters: [u16; 7],
    pub chord: Option<ChordFacts>,
    /// The chord's third and seventh.
    pub third: Option<Telling>,
    pub seventh: Option<Telling>,
    /// The last melody note before the measure ends is held two beats or more.
    pub ends_held: bool,
}

/// A tone that tells a chord from others, and what the tune has against it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Telling {
    pub class: i32,
    /// The key has another tone on this letter.
    pub foreign: bool,
    /// The tune has another tone on this letter.
    pub contradicted: bool,
    /// All that the melody has here is one long note a semitone above it: a fourth that holds the third away.
    pub suspended: bool,
}

/// The lowest string of chords above a melody, E4: lower ones are thick. Ours.
const LOWEST_ABOVE: i32 = 30;

/// How dances and slow tunes differ for the principles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    Song,
    Dance,
}

/// One beat of the slot.
#[derive(Clone, Debug)]
pub struct BeatView {
    pub from: Beats,
    pub to: Beats,
    /// Melody plucks that begin in it.
    pub plucks: usize,
    /// Triplets or dotted pairs: the left hand plucks on the quarters (or dotted quarters) only.
    pub uneven: Option<Beats>,
}

impl<'a> View<'a> {
    pub fn new(tune: &Tune, slot: &'a Slot, player: &'a Player, manner: Manner, register: Register) -> View<'a> {
        // In cut time the hand still counts quarters: what is busy and what has room is the same as in four-four.
        let beat = if slot.meter.is_compound() { slot.meter.beat() } else { slot.meter.beat().min(Beats::QUARTER) };
        let near = tune.around(slot.start - beat, slot.end() + beat);
        let melody: Vec<Sung> = near.iter().map(|n| Sung { on: n.on - slot.start, off: n.off - slot.start, ..n.clone() }).collect();
        let during = |n: &&Sung| n.on < slot.length && n.off > Beats::ZERO;
        let classes = melody.iter().filter(during).fold(0, |bits, n| bits | n.classes);
        let plainly = |n: &&Sung| n.off - n.on >= beat.min(Beats::QUARTER) || slot.strong_beats.contains(&n.on);
        let plain = melody.iter().filter(during).filter(plainly).fold(0, |bits, n| bits | n.classes);
        let single = melody.iter().filter(during).filter(|n| n.strings.len() == 1);
        let mut letters = [0; 7];
        for (letter, class) in single.map(|n| (n.low(), n.top_midi)).chain(slot.doubted) {
            letters[letter.rem_euclid(7) as usize] |= 1u16 << class.rem_euclid(12);
        }
        let held = |n: &Sung| n.on <= Beats::ZERO && n.off >= slot.length && n.off - n.on >= beat * 2;
        let held = melody.iter().any(held);
        let telling = |tone: fn(&Chord) -> Option<music::ChordTone>| {
            let name = slot.chord.as_ref().and_then(|c| Some(c.name_of(tone(c)?)))?;
            let class = name.pitch_class();
            Some(Telling {
                class,
                foreign: slot.key.alter(name.step) != name.alter,
                contradicted: letters[name.step as usize] & !(1 << class) != 0,
                suspended: held && classes == 1 << (class + 1).rem_euclid(12),
            })
        };
        let ends_held = melody.iter().filter(during).max_by_key(|n| n.on).is_some_and(|n| n.off - n.on >= beat * 2);
        View {
            beats: beats(slot, &melody, beat),
            holds: holds(slot, &melody),
            measure_length: slot.meter.length(),
            chord: slot.chord.as_ref().map(ChordFacts::of),
            third: telling(Chord::third),
            seventh: telling(Chord::seventh),
            clock: tune.clock.local(slot.start, slot.start - beat, slot.end() + beat),
            slot,
            player,
            manner,
            register,
            beat,
            melody,
            classes,
            plain,
            letters,
            ends_held,
        }
    }

    /// What passes between two places of the slot.
    pub fn between(&self, from: Beats, to: Beats) -> Seconds {
        self.clock.between(from, to)
    }

    /// The highest string of the left hand that stays clear of the tune all through the slot; where the tune dips for a moment, a pluck is judged by itself.
    pub fn ceiling(&self) -> i32 {
        let during = self.melody.iter().filter(|n| n.on < self.slot.length && n.off > Beats::ZERO);
        let highest = during.map(|n| n.low()).max().map_or(self.register.highest, |low| low - 2);
        highest.min(self.register.highest)
    }

    /// The lowest string of the right hand over a melody in the left: one string stays free above the highest that the melody has in the slot.
    pub fn floor(&self) -> i32 {
        let during = self.melody.iter().filter(|n| n.on < self.slot.length && n.off > Beats::ZERO);
        during.map(|n| n.high()).max().map_or(LOWEST_ABOVE, |high| high + 2).max(LOWEST_ABOVE)
    }

    /// Whether the hand has time between a pluck and a note of the melody that it plays itself: where one verse goes over to the next.
    pub fn comes_over(&self, pluck: &Pluck, note: &Sung) -> bool {
        let way = distance((pluck.low(), pluck.high()), (note.low(), note.high()));
        let time = if note.on > pluck.at { self.between(pluck.at, note.on) } else { self.between(note.on, pluck.at) };
        time >= self.player.fluency.shift(way)
    }

    /// The jobs there are for the accompanying hand here.
    pub fn jobs(&self) -> Vec<Job> {
        let slot = self.slot;
        let mut jobs = vec![Job::Plain];
        if slot.lasted % 2 == 1 {
            jobs.push(Job::GoesOn);
        }
        if !self.holds.is_empty() {
            jobs.push(Job::Held);
        }
        if self.runs() {
            jobs.push(Job::Running);
        }
        if slot.duty.phrase_end {
            jobs.push(if slot.duty.arrival { Job::FullClose } else { Job::HalfClose });
        }
        if slot.next_bass.is_some() {
            jobs.push(Job::Leading);
        }
        if self.melody_plucks_at(Beats::ZERO) && !slot.duty.last && !slot.duty.section_first {
            jobs.push(Job::Late);
        }
        jobs
    }

    /// The tune has more than three notes in two beats.
    fn runs(&self) -> bool {
        let plucks: usize = self.beats.iter().map(|b| b.plucks).sum();
        plucks * 2 >= self.beats.len() * 3
    }

    /// A melody note begins here.
    pub fn melody_plucks_at(&self, at: Beats) -> bool {
        self.melody.iter().any(|n| n.on == at)
    }
}

fn beats(slot: &Slot, melody: &[Sung], beat: Beats) -> Vec<BeatView> {
    let mut all = Vec::new();
    // Beats are counted from the measure, so that a slot that begins between beats still sees them whole.
    let mut from = Beats::ZERO - slot.at % beat;
    while from < slot.length {
        let to = from + beat;
        let inside: Vec<&Sung> = melody.iter().filter(|n| n.on >= from && n.on < to).collect();
        all.push(BeatView { from, to, plucks: inside.len(), uneven: uneven(slot, &inside, from, beat) });
        from = to;
    }
    all
}

/// Triplets or dotted pairs in a simple beat; the answer is the note value on whose multiples the left hand may pluck.
fn uneven(slot: &Slot, inside: &[&Sung], from: Beats, beat: Beats) -> Option<Beats> {
    if slot.meter.is_compound() {
        return None;
    }
    let pulse = beat.min(Beats::QUARTER);
    let places =
        |at: &Beats| -> Vec<Beats> { inside.iter().map(|n| n.on - from - *at).filter(|p| *p >= Beats::ZERO && *p < pulse).collect() };
    let (third, dot) = (pulse.scaled(1, 3)?, pulse.scaled(3, 4)?);
    let crooked = |at: Beats| {
        let places = places(&at);
        places.contains(&third) || places.contains(&(third * 2)) || places == [Beats::ZERO, dot]
    };
    let pulses = beat.div_floor(pulse).max(1);
    (0..pulses).any(|i| crooked(pulse * i)).then_some(pulse)
}

fn holds(slot: &Slot, melody: &[Sung]) -> Vec<(Beats, Beats)> {
    let least = long_note(&slot.meter);
    let mut all: Vec<(Beats, Beats)> = Vec::new();
    let mut add = |on: Beats, off: Beats| {
        let (on, off) = (on.max(Beats::ZERO), off.min(slot.length));
        if off - on >= least {
            all.push((on, off));
        }
    };
    for note in melody {
        add(note.on, note.off);
    }
    for pair in melody.windows(2).filter(|p| p[1].on > p[0].off) {
        add(pair[0].off, pair[1].on);
    }
    all.sort();
    all
}
