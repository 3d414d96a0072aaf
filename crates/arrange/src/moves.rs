//! What moves of levers and pedals cost the planner, and what the tune alone asks of them.
//!
//! What a left hand is charged for them slot by slot is the business of [`crate::charges`].

use crate::tune::Tune;
use harp::page::settings::Duty;
use harp::page::{PageSettings, SettingsWish, settings};
use harp::settings::{Part, Prices};
use harp::{Instrument, Mechanism, Player};
use music::{Beats, Hand, Note, Pitch, Preparation, Score, ScoreMeasure, Words};

/// What a lever move costs beside the other principles: a page with a move in a busy measure is put away (habits, "The first ten seconds at the stand"; OURS).
const LEVER_MOVE: u64 = 1_500;
/// A pedal move: the feet are free, but each one is to be read and remembered. OURS.
const PEDAL_MOVE: u64 = 300;
/// A left-hand note for whose lever there is no time.
pub(crate) const LEFT_OUT: i64 = 2_500;
/// A left-hand note that the harp gives only on a string further off than the hand reaches.
pub(crate) const OVERSTRETCHED: i64 = 60_000;

/// What the settings of a page cost in the planner's prices.
pub fn wish(harp: &Instrument, player: &Player) -> SettingsWish {
    let a_move = if matches!(harp.mechanism, Mechanism::Levers(_)) { LEVER_MOVE } else { PEDAL_MOVE };
    let prices = Prices { a_move, two_notches: a_move / 2, sign: 1, idle: a_move * 2 / 5, missing: Prices::default().missing };
    SettingsWish { prices, respelled: Some(150), left_out: Some(LEFT_OUT as u64), mover: player.lever_hand, ..SettingsWish::default() }
}

/// The settings of the tune alone, the left hand resting.
pub fn of_the_tune(tune: &Tune, harp: &Instrument, player: &Player) -> PageSettings {
    settings(&tune_alone(tune), harp, player, &wish_alone(harp, player))
}

/// The same wish for the tune alone, of which nothing may be left out.
pub(crate) fn wish_alone(harp: &Instrument, player: &Player) -> SettingsWish {
    SettingsWish { left_out: None, ..wish(harp, player) }
}

pub(crate) fn tune_alone(tune: &Tune) -> Score {
    let measure = |(m, melody): (&music::SheetMeasure, &Hand)| {
        let (mut right, mut left) = (m.notes.clone(), vec![Note::rest(Beats::ZERO, m.frame.length)]);
        if *melody == Hand::Left {
            std::mem::swap(&mut right, &mut left);
        }
        ScoreMeasure { frame: m.frame.clone(), right, left, heading: None, marks: Vec::new(), source: None, melody: *melody }
    };
    let measures = tune.sheet.measures.iter().zip(&tune.melody_in).map(measure).collect();
    Score { words: Words::default(), tempo: tune.clock.opening(), preparation: Preparation::default(), measures }
}

/// Left-hand notes that were put on another string and make their chord wider than the hand.
pub(crate) fn overstretched(page: &PageSettings, player: &Player) -> Vec<usize> {
    let string = |used: usize| page.plucked(used).unwrap_or(page.uses[used].written).position();
    let ours = |u: usize| page.uses[u].duty == Duty::Accompanies;
    let moved = |used: &usize| ours(*used) && string(*used) != page.uses[*used].written.position();
    let wide = |used: &usize| {
        let here = &page.uses[*used];
        let together = (0..page.uses.len()).filter(|o| {
            let other = &page.uses[*o];
            ours(*o) && (other.measure, other.at) == (here.measure, here.at)
        });
        together.map(|o| (string(o) - string(*used)).abs() + 1).max().is_some_and(|w| w as u32 > player.reach(here.hand).block)
    };
    (0..page.uses.len()).filter(moved).filter(wide).collect()
}

/// Whether a pitch stands at its place through the whole tune, so that it may be added without a thought.
pub fn steady(harp: &Instrument, alone: &PageSettings, pitch: Pitch) -> bool {
    let part = Part::of(harp, pitch);
    let opening = alone.opening.alter(harp, pitch.position());
    opening == Some(pitch.alter) && !alone.moves.iter().any(|m| Some(m.part) == part)
}

/// "C♯5" for a lever, "C♯" for a pedal: the name of a move.
pub fn name(part: Part, to: i32) -> String {
    let sign = ["♭", "♮", "♯"][(to + 1).clamp(0, 2) as usize];
    match part {
        Part::Lever(position) => {
            let pitch = Pitch::at_position(position, to);
            format!("{}{sign}{}", pitch.step.letter(), pitch.octave)
        }
        Part::Pedal(step) => format!("{}{sign}", step.letter()),
    }
}
