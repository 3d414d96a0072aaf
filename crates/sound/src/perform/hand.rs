//! One hand's notes as plucks: ties not plucked again, rolls spread, grace notes before the beat.
//!
//! What comes before the beat takes at most half the time since the hand's note before, so that the order of the notes stays as written.

use super::strength::{Part, Strengths};
use super::timed::Timed;
use crate::performance::Pluck;
use crate::performing::{Hands, Landing, Performing};
use music::{Beats, Decoration, Hand, Note, Pitch, Place, Score, Seconds};
use std::collections::BTreeMap;

/// All plucks of one hand in the order they are written and played. They may begin before zero.
pub fn plucks(score: &Score, passes: &[Timed], performing: &Performing, strengths: &Strengths, hand: Hand) -> Vec<Pluck> {
    let mut playing = Playing {
        performing,
        strengths,
        hand,
        has_the_melody: true,
        plucks: Vec::new(),
        held: Vec::new(),
        lately: BTreeMap::new(),
        before: None,
    };
    for (pass, timed) in passes.iter().enumerate() {
        let measure = &score.measures[timed.pass.measure];
        playing.has_the_melody = measure.melody == hand;
        if performing.hands == Hands::Melody && !playing.has_the_melody {
            continue;
        }
        for note in measure.hand(hand).iter().filter(|n| n.length > Beats::ZERO) {
            playing.play(note, pass, timed);
        }
    }
    playing.plucks
}

struct Playing<'a> {
    performing: &'a Performing,
    strengths: &'a Strengths,
    hand: Hand,
    has_the_melody: bool,
    plucks: Vec<Pluck>,
    /// The pitches of the note before, which a tie may hold.
    held: Vec<Pitch>,
    /// The pass in which each pitch was heard last.
    lately: BTreeMap<Pitch, usize>,
    /// When the note before came.
    before: Option<Seconds>,
}

/// Where the strings of a note fall in time.
struct Spread {
    first_grace: Seconds,
    grace: Seconds,
    bottom: Seconds,
    step: Seconds,
}

impl Playing<'_> {
    fn play(&mut self, note: &Note, pass: usize, timed: &Timed) {
        let heard = self.heard(&note.pitches);
        let new = self.untied(note, &heard, pass);
        let at = timed.at(note.at);
        if !new.is_empty() || !note.grace.is_empty() {
            let spread = self.spread(note, at, timed.at(note.end()) - at, new.len() as i64);
            self.pluck(note, &new, &spread, pass, timed.pass.measure);
            self.before = Some(at);
        }
        self.lately.extend(heard.iter().map(|p| (*p, pass)));
        self.held = heard;
    }

    /// The pitches that no tie holds: of a tied note those that it does not share with the note before. Where it shares none, another voice moved between, and
    /// what was heard since the measure before is held.
    fn untied(&self, note: &Note, heard: &[Pitch], pass: usize) -> Vec<Pitch> {
        let shares = heard.iter().any(|p| self.held.contains(p));
        let lately = |p: &Pitch| self.lately.get(p).is_some_and(|last| last + 1 >= pass);
        let held = |p: &Pitch| note.tie.from_before && if shares { self.held.contains(p) } else { lately(p) };
        heard.iter().copied().filter(|p| !held(p)).collect()
    }

    /// Lowest first, each once; of the melody the top alone.
    fn heard(&self, pitches: &[Pitch]) -> Vec<Pitch> {
        let mut heard = pitches.to_vec();
        heard.sort_by_key(|p| (p.midi(), p.position()));
        heard.dedup();
        match self.performing.hands {
            Hands::Melody => heard.split_off(heard.len().saturating_sub(1)),
            _ => heard,
        }
    }

    fn spread(&self, note: &Note, at: Seconds, length: Seconds, strings: i64) -> Spread {
        let Performing { rolls, graces, .. } = self.performing;
        let rolled = note.rolled || note.decorations.contains(&Decoration::Arpeggio);
        let gaps = if rolled { (strings - 1).max(0) } else { 0 };
        let step = rolls.step.micros().min(rolls.most.of(length).micros() / gaps.max(1));
        let (before, after) = match rolls.landing {
            Landing::Last => (gaps, 0),
            Landing::First => (0, gaps),
        };
        let wanted = before * step + note.grace.len() as i64 * graces.each.micros();
        let room = self.before.map_or(wanted, |before| (at - before).micros() / 2).max(0);
        let fitted = |micros: i64| if wanted > room { micros * room / wanted } else { micros };
        let step = if after > 0 { step } else { fitted(step) };
        let grace = fitted(graces.each.micros());
        let bottom = at - Seconds::from_micros(before * step);
        let first_grace = bottom - Seconds::from_micros(note.grace.len() as i64 * grace);
        Spread { first_grace, grace: Seconds::from_micros(grace), bottom, step: Seconds::from_micros(if gaps > 0 { step } else { 0 }) }
    }

    fn pluck(&mut self, note: &Note, pitches: &[Pitch], spread: &Spread, pass: usize, measure: usize) {
        let place = Place { measure, at: note.at };
        let mut time = spread.first_grace;
        for grace in &note.grace {
            for pitch in self.heard(&grace.pitches) {
                let strength = self.strengths.of(pass, note, Part::Grace);
                self.plucks.push(Pluck { pitch, at: time, stopped: None, hand: self.hand, strength, place, pass });
            }
            time = time + spread.grace;
        }
        let top = note.top();
        let mut time = spread.bottom;
        for pitch in pitches {
            let part = match self.has_the_melody {
                true if Some(*pitch) == top => Part::Top,
                true => Part::Below,
                false => Part::Accompaniment,
            };
            let strength = self.strengths.of(pass, note, part);
            self.plucks.push(Pluck { pitch: *pitch, at: time, stopped: None, hand: self.hand, strength, place, pass });
            time = time + spread.step;
        }
    }
}
