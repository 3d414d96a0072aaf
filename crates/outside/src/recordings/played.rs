//! How a tune is played: which repeats, in which tempo that wanders, with which wrong notes, and what comes before and after.

use super::chance::Chance;
use music::{Beats, Chord, Clock, Harmony, LeadSheet, Place, Tempo, order::playing_order};
use std::f64::consts::TAU;

/// Who plays the tune: a program of General MIDI and its name.
pub const TUNE: [(u8, &str); 4] = [(40, "violin"), (73, "flute"), (0, "piano"), (52, "voice")];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Before {
    Nothing,
    Silence,
    /// The first chords, in time.
    Vamp,
    /// The tune's last four measures.
    LastLine,
    Applause,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Repeats {
    AsWritten,
    None,
    Some,
    /// All of it twice.
    Twice,
}

/// What kind of recording is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    pub instrument: usize,
    /// The program that accompanies.
    pub accompanied: Option<u8>,
    pub repeats: Repeats,
    pub before: Before,
    pub applause_after: bool,
    pub shift: i32,
    pub cents: i32,
    /// How much slower than the sheet.
    pub longer: f64,
    pub wander: f64,
    pub wrong: u32,
}

impl Wanted {
    pub fn any(instrument: usize, chance: &mut Chance) -> Wanted {
        Wanted {
            instrument,
            accompanied: *chance.one(&[None, None, Some(0), Some(46), Some(24)]),
            repeats: *chance.one(&[Repeats::AsWritten, Repeats::AsWritten, Repeats::None, Repeats::Some, Repeats::Twice]),
            before: *chance.one(&[Before::Nothing, Before::Silence, Before::Vamp, Before::Vamp, Before::LastLine, Before::Applause]),
            applause_after: chance.in_hundred(30),
            shift: (chance.word() % 7) as i32 - 3,
            cents: chance.between(-30.0, 30.0).round() as i32,
            longer: chance.between(0.8, 1.3),
            wander: 0.15,
            wrong: 4,
        }
    }
}

/// A sounding note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sounded {
    pub from: f64,
    pub to: f64,
    pub midi: i32,
    pub strength: u8,
    /// The accompaniment.
    pub below: bool,
}

/// A performance and what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Played {
    pub notes: Vec<Sounded>,
    /// For each measure played: its index on the page, and each beat's place and time.
    pub truth: Vec<(usize, Vec<(Beats, f64)>)>,
    pub begins: f64,
    pub ends: f64,
    /// What is heard before and after, in seconds.
    pub applause: Vec<(f64, f64)>,
}

impl Played {
    pub fn of(sheet: &LeadSheet, tempo: Tempo, wanted: &Wanted, chance: &mut Chance) -> Played {
        let order = order(sheet, wanted.repeats, chance);
        let timing = Timing::of(sheet, tempo, &order, wanted, chance);
        let mut played = Played { notes: Vec::new(), truth: Vec::new(), begins: 0.0, ends: 0.0, applause: Vec::new() };
        let begins = played.before(sheet, &timing, wanted, chance);
        played.begins = begins;
        for (pass, measure) in order.iter().enumerate() {
            let frame = &sheet.measures[*measure].frame;
            let places = frame.meter.beats().into_iter().filter(|b| *b < frame.length);
            played.truth.push((*measure, places.map(|b| (b, begins + timing.at(pass, b))).collect()));
            played.melody(sheet, &timing, pass, *measure, begins, chance);
            if wanted.accompanied.is_some() {
                played.accompany(sheet, &timing, pass, *measure, begins, chance);
            }
        }
        played.ends = begins + timing.end();
        if wanted.applause_after {
            played.applause.push((played.ends + 0.5, played.ends + chance.between(2.0, 8.0)));
        }
        played
    }

    fn melody(&mut self, sheet: &LeadSheet, timing: &Timing, pass: usize, measure: usize, begins: f64, chance: &mut Chance) {
        let wanted = &timing.wanted;
        for note in sheet.measures[measure].notes.iter().filter(|n| !n.is_rest()) {
            let (from, to) = (begins + timing.at(pass, note.at), begins + timing.at(pass, note.end()));
            let Some(top) = note.top() else { continue };
            if note.tie.from_before {
                if let Some(last) = self.notes.iter_mut().rfind(|n| !n.below) {
                    last.to = to;
                }
                continue;
            }
            let wrong = chance.in_hundred(wanted.wrong);
            if chance.in_hundred(wanted.wrong / 2) {
                continue;
            }
            let off = if wrong { *chance.one(&[-2, -1, 1, 2]) } else { 0 };
            let high = if wanted.instrument == 3 && top.midi() > 81 { -12 } else { 0 };
            let from = from + 0.012 * chance.bell();
            let strength = (92.0 + 9.0 * chance.bell()).clamp(50.0, 120.0) as u8;
            let to = from + (to - from) * chance.between(0.85, 0.98);
            self.notes.push(Sounded { from, to, midi: top.midi() + off + high + wanted.shift, strength, below: false });
        }
    }

    /// A bass on the first beat of each chord or measure, chords on the others.
    fn accompany(&mut self, sheet: &LeadSheet, timing: &Timing, pass: usize, measure: usize, begins: f64, chance: &mut Chance) {
        let frame = &sheet.measures[measure].frame;
        let beats: Vec<Beats> = frame.meter.beats().into_iter().filter(|b| *b < frame.length).collect();
        for (i, at) in beats.iter().enumerate() {
            let Some(chord) = chord_at(sheet, measure, *at) else { continue };
            let until = beats.get(i + 1).copied().unwrap_or(frame.length);
            let (from, to) = (begins + timing.at(pass, *at) + 0.008 * chance.bell(), begins + timing.at(pass, until));
            let fresh = i == 0 || frame.chords.iter().any(|c| c.at == *at);
            self.chord(&chord, fresh, from, to, timing.wanted.shift);
        }
    }

    fn chord(&mut self, chord: &Chord, bass: bool, from: f64, to: f64, shift: i32) {
        let mut note = |midi: i32, strength| self.notes.push(Sounded { from, to, midi: midi + shift, strength, below: true });
        if bass {
            note(36 + (chord.bass_name().pitch_class() + 4) % 12, 70);
        } else {
            chord.pitch_classes().iter().for_each(|c| note(52 + (c + 8) % 12, 56));
        }
    }

    /// What comes before the tune; says when the tune begins.
    fn before(&mut self, sheet: &LeadSheet, timing: &Timing, wanted: &Wanted, chance: &mut Chance) -> f64 {
        let last = timing.starts.len().saturating_sub(2);
        match wanted.before {
            Before::Nothing => 0.3,
            Before::Silence => chance.between(1.0, 10.0),
            Before::Applause => {
                let long = chance.between(3.0, 12.0);
                self.applause.push((0.0, long));
                long + chance.between(0.3, 1.5)
            }
            Before::Vamp => {
                let beat = timing.beat;
                let count = *chance.one(&[8_usize, 12, 16]);
                let Some(first) = sheet.measures.iter().flat_map(|m| &m.frame.chords).find_map(|c| c.symbol.chord()).cloned() else {
                    return 2.0;
                };
                for i in 0..count {
                    let from = 0.5 + i as f64 * beat;
                    self.chord(&first, i % 4 == 0, from, from + beat * 0.9, timing.wanted.shift);
                }
                0.5 + count as f64 * beat
            }
            Before::LastLine => {
                let from = last.saturating_sub(3);
                let zero = timing.at(from, Beats::ZERO);
                for (pass, measure) in timing.order.iter().enumerate().skip(from) {
                    self.melody(sheet, timing, pass, *measure, 0.5 - zero, chance);
                    if wanted.accompanied.is_some() {
                        self.accompany(sheet, timing, pass, *measure, 0.5 - zero, chance);
                    }
                }
                0.5 + timing.end() - zero
            }
        }
    }
}

fn chord_at(sheet: &LeadSheet, measure: usize, at: Beats) -> Option<Chord> {
    let here = sheet.measures[measure].frame.chords.iter().rfind(|c| c.at <= at);
    let found = here.or_else(|| sheet.measures[..measure].iter().rev().find_map(|m| m.frame.chords.last()))?;
    if let Harmony::Chord(chord) = &found.symbol.harmony { Some(chord.clone()) } else { None }
}

/// The measures in the order in which they are played.
fn order(sheet: &LeadSheet, repeats: Repeats, chance: &mut Chance) -> Vec<usize> {
    let mut frames: Vec<music::Frame> = sheet.measures.iter().map(|m| m.frame.clone()).collect();
    let mut left_out = vec![false; frames.len()];
    let ends: Vec<usize> = (0..frames.len()).filter(|i| frames[*i].repeat_end.is_some()).collect();
    for end in ends {
        let out = match repeats {
            Repeats::AsWritten | Repeats::Twice => false,
            Repeats::None => true,
            Repeats::Some => chance.in_hundred(50),
        };
        let second = frames[end].ending.as_ref().is_some_and(|e| !e.passes.contains(&1));
        if !out || second {
            continue;
        }
        frames[end].repeat_end = None;
        // The first ending reaches from its bracket to the repeat sign, whatever the bracket covers.
        let first = (0..=end).rev().take(8).find(|i| frames[*i].ending.as_ref().is_some_and(|e| e.passes.contains(&1)));
        let group = first.filter(|_| frames.get(end + 1).is_some_and(|f| f.ending.is_some()));
        if let Some(first) = group {
            let first =
                (0..=first).rev().take_while(|i| frames[*i].ending.as_ref().is_some_and(|e| e.passes.contains(&1))).last().unwrap_or(first);
            let after: Vec<usize> = (end + 1..frames.len()).take_while(|i| frames[*i].ending.is_some()).collect();
            for i in (first..=end).chain(after) {
                left_out[i] = i <= end;
                frames[i].ending = None;
                frames[i].repeat_end = None;
            }
        }
    }
    let mut order = playing_order(&frames.iter().collect::<Vec<_>>()).measures;
    order.retain(|m| !left_out[*m]);
    if repeats == Repeats::Twice {
        order.extend(order.clone());
    }
    order
}

/// When each place comes: the sheet's own time bent.
struct Timing {
    order: Vec<usize>,
    /// Where each pass begins, in the sheet's seconds.
    starts: Vec<f64>,
    clock: Clock,
    /// The bent time at every step of the sheet's.
    bent: Vec<f64>,
    /// About one beat, bent.
    beat: f64,
    wanted: Wanted,
}

const STEP: f64 = 0.02;

impl Timing {
    fn of(sheet: &LeadSheet, tempo: Tempo, order: &[usize], wanted: &Wanted, chance: &mut Chance) -> Timing {
        let clock = Clock::of_sheet(sheet, tempo);
        let mut starts = vec![0.0];
        for measure in order {
            let long = clock.at(Place { measure: measure + 1, at: Beats::ZERO }) - clock.at(Place { measure: *measure, at: Beats::ZERO });
            starts.push(starts[starts.len() - 1] + long.as_f64());
        }
        let whole = starts[order.len()];
        let waves: Vec<(f64, f64, f64)> =
            [(9.0, 25.0, 0.6), (4.0, 9.0, 0.4)].map(|(a, b, w)| (chance.between(a, b), chance.share(), w)).to_vec();
        let mut slow: Vec<(f64, f64, f64)> = vec![(whole - 3.0, whole, chance.between(0.25, 0.7))];
        for pass in 1..order.len() {
            if order[pass] != order[pass - 1] + 1 && chance.in_hundred(30) {
                slow.push((starts[pass] - 2.0, starts[pass], chance.between(0.15, 0.4)));
            }
        }
        let longer = |x: f64| {
            let wave: f64 = waves.iter().map(|(period, phase, weight)| weight * (TAU * (x / period + phase)).sin()).sum();
            let held = slow.iter().filter(|s| x >= s.0 && x < s.1).map(|s| s.2 * (x - s.0) / (s.1 - s.0)).sum::<f64>();
            wanted.longer * (1.0 + wanted.wander * wave) * (1.0 + held)
        };
        let mut bent = vec![0.0];
        for i in 0..(whole / STEP) as usize + 2 {
            bent.push(bent[bent.len() - 1] + STEP * longer(i as f64 * STEP));
        }
        let beat = tempo.seconds(sheet.measures[0].frame.meter.beat()).as_f64() * longer(0.0);
        Timing { order: order.to_vec(), starts, clock, bent, beat, wanted: wanted.clone() }
    }

    fn at(&self, pass: usize, at: Beats) -> f64 {
        let place = |at| Place { measure: self.order[pass], at };
        self.bent(self.starts[pass] + (self.clock.at(place(at)) - self.clock.at(place(Beats::ZERO))).as_f64())
    }

    fn end(&self) -> f64 {
        self.bent(self.starts[self.order.len()])
    }

    fn bent(&self, x: f64) -> f64 {
        let place = (x / STEP).max(0.0);
        let whole = (place as usize).min(self.bent.len() - 2);
        self.bent[whole] + (place - whole as f64) * (self.bent[whole + 1] - self.bent[whole])
    }
}
