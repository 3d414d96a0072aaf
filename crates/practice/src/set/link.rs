//! A link: one to four measures from the end of a tune into the next, in its meter, pace and chords, with the levers or pedals that are moved on the way.
//!
//! One hand breaks a chord a measure upwards and ends beside the first note of the next tune; the hand that moves levers plucks a root and is free. Chords lead home as those of an
//! introduction do ([`arrange::form::home`]). Where the strings have to be set before a note, and where a string has to have sounded before it is set, is heeded; of several ways to write it the first one
//! is taken that the printed marks make sound as written and of which the check says neither "cannot" nor "hard". Common practice; the shapes are ours.

use super::standing::Change;
use crate::set::link::hands::{Shape, lines};
use arrange::Arrangement;
use arrange::form::home::{Home, placed};
use arrange::form::played::Played;
use check::{Because, Gravity};
use harp::page::{Opening, replay};
use harp::{Instrument, Player};
use music::{Barline, Beats, Chord, Frame, Hand, Pitch, Preparation, Score, ScoreMeasure, Words};

mod hands;
mod moves;

/// The longest link, in measures.
pub const LONGEST: usize = 4;

/// What a link is made from.
#[derive(Clone, Copy)]
pub struct Between<'a> {
    /// How everything stands when the tune before is over.
    pub stands: &'a Opening,
    /// What the next tune wants otherwise.
    pub changes: &'a [Change],
    pub next: &'a Arrangement,
    pub harp: &'a Instrument,
    pub player: &'a Player,
}

/// The measures between two tunes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    pub score: Score,
    pub chords: Vec<Chord>,
    /// The last note of the hand that plays the chords, and the first of the next tune.
    pub leads: Option<(Pitch, Pitch)>,
}

/// Why there is none of this length; of several reasons the last one says most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NoLink {
    /// The next tune has no measures.
    NoTune,
    /// No chords were found that can be played as the strings stand.
    NoHands,
    /// There is no time for what has to be moved.
    NoTime,
}

/// A link of so many measures, 1 to [`LONGEST`].
pub fn link(between: Between, measures: usize) -> Result<Link, NoLink> {
    let sheet = &between.next.tune.sheet;
    let (played, home) = Played::of(sheet).zip(Home::of(sheet)).ok_or(NoLink::NoTune)?;
    let ways = progressions(&home, measures.clamp(1, LONGEST));
    let mut why = NoLink::NoHands;
    let mut written = |shape: Shape| {
        let plans = ways.iter().map(|chords| Plan { between, played: &played, chords });
        let mut tried =
            plans.map(|plan| plan.written(shape)).inspect(|tried| why = (*tried).as_ref().err().copied().unwrap_or(why).max(why));
        tried.find_map(Result::ok)
    };
    let found = Shape::all().find_map(&mut written);
    let (score, leads) = found.ok_or(why)?;
    let chords = score.measures.iter().flat_map(|m| &m.frame.chords).filter_map(|c| c.symbol.chord().cloned()).collect();
    Ok(Link { leads: leads.zip(played.first_note), chords, score })
}

/// The shortest link in which everything can be moved, if there is one.
pub fn shortest(between: Between) -> Option<usize> {
    (1..=LONGEST).find(|measures| link(between, *measures).is_ok())
}

/// Home by way of what the tune uses, or straight from its tonic: the last chord leads to its first.
fn progressions(home: &Home, measures: usize) -> Vec<Vec<Chord>> {
    let Home { tonic, leading, before, sixth, .. } = home;
    let (near, far) = (before.as_ref().unwrap_or(tonic), sixth.as_ref().unwrap_or(tonic));
    let all = if home.begins_at_home() {
        [[tonic, far, near, leading], [tonic, far, tonic, leading]]
    } else {
        [[tonic, near, leading, tonic], [tonic, tonic, leading, tonic]]
    };
    let mut ways: Vec<Vec<Chord>> = all.iter().map(|chords| chords[LONGEST - measures..].iter().map(|c| (*c).clone()).collect()).collect();
    ways.dedup();
    ways
}

struct Plan<'a> {
    between: Between<'a>,
    played: &'a Played,
    chords: &'a [Chord],
}

impl Plan<'_> {
    /// The link with hands of this shape, and the last note of its line. Errors: it cannot be played so.
    fn written(&self, shape: Shape) -> Result<(Score, Option<Pitch>), NoLink> {
        let Between { stands, harp, player, next, .. } = self.between;
        let mut frames = self.frames();
        let lines = lines(self, &frames, shape).ok_or(NoLink::NoHands)?;
        let leads = lines.leads;
        for ((frame, chord), bass) in frames.iter_mut().zip(self.chords).zip(&lines.basses) {
            let bass = bass.filter(|b| *b != chord.root);
            frame.chords.push(placed(&Chord { bass, ..chord.clone() }));
        }
        let tempo = next.score.tempo;
        let marks = moves::marks(self, &frames, &lines, tempo).ok_or(NoLink::NoTime)?;
        let mover = player.lever_hand;
        let preparation = Preparation { lines: Vec::new(), setting: Some(stands.setting(harp)) };
        let measures = frames.into_iter().zip(lines.measures).zip(marks).map(|((frame, (busy, free)), marks)| {
            let (right, left) = if mover == Hand::Left { (busy, free) } else { (free, busy) };
            ScoreMeasure { frame, right, left, heading: None, marks, source: None, melody: mover.other() }
        });
        let score = Score { words: Words::default(), tempo, preparation, measures: measures.collect() };
        let sounds = replay(&score, stands, harp).is_empty();
        let hard = || check::check_on(&score, harp, Because::Asked, player).findings.iter().any(|f| f.gravity != Gravity::Look);
        if sounds && !hard() { Ok((score, leads)) } else { Err(NoLink::NoHands) }
    }

    /// The measures, the last one leaving room for the pickup.
    fn frames(&self) -> Vec<Frame> {
        let (meter, key) = (self.played.meter(), self.played.key());
        let last = self.chords.len() - 1;
        let frame = |index: usize| {
            let mut frame = Frame::plain(index as u32 + 1, meter.clone(), key.clone());
            if index == last {
                let short = frame.length - self.played.pickup;
                frame.length = if short > Beats::ZERO { short } else { frame.length };
                frame.right = Barline::Double;
            }
            frame
        };
        (0..self.chords.len()).map(frame).collect()
    }
}

#[cfg(test)]
mod tests;
