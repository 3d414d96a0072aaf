//! What is said about levers and pedals: how they stand at the start, what is moved where, and what cannot be played.

use super::remarks::in_measures;
use crate::job::{Job, Setup};
use arrange::moves::name;
use harp::settings::Proof;
use music::{Beats, MeasureNumber, PlacedMark};
use serde::Serialize;

/// The settings of a page as the JSON has them.
#[derive(Clone, Debug, Serialize)]
pub struct SettingFacts {
    /// "Levers up: F♯ C♯", as it stands at the top left of the page.
    pub opening: String,
    /// The moves as printed, in order of the page.
    pub moves: Vec<MoveFacts>,
    /// Moves made from beginning to end, every repeat counted.
    pub moves_played: usize,
    /// Left-hand notes left out because their lever or pedal has no time.
    pub left_out: Vec<String>,
    /// Notes that cannot be played on this harp.
    pub missing: Vec<MissingFacts>,
    /// No plan with its settings can be cheaper, in the planner's own prices.
    pub proved_best: bool,
    /// How far above the cheapest that could be, where that is not proved.
    pub beyond: i64,
    /// Low strings that the left hand places again while they ring.
    pub low_strings_placed_again: usize,
}

#[derive(Clone, Debug, Serialize)]
pub struct MoveFacts {
    #[serde(serialize_with = "crate::number::one")]
    pub measure: MeasureNumber,
    /// Counted from 1, in the meter's beats.
    pub beat: String,
    /// "C♯5" for a lever, "C♯" for a pedal; "C♯5 (2nd time)" where the first time does not need it.
    pub to: String,
}

/// A note that cannot be played, and why, in the words that the check has for it too.
#[derive(Clone, Debug, Serialize)]
pub struct MissingFacts {
    #[serde(serialize_with = "crate::number::one")]
    pub measure: MeasureNumber,
    /// Counted from 1, in the meter's beats.
    pub beat: String,
    pub note: String,
    pub why: String,
}

pub fn facts(job: &Job, setup: &Setup) -> SettingFacts {
    let arrangement = &job.arrangement;
    let settled = &arrangement.plan.settled;
    let page = &settled.page;
    let number = |measure: usize| arrangement.tune.sheet.measures[measure].frame.number;
    let moves = page.marks.iter().filter_map(|m| {
        let (part, to) = harp::page::replay::moved(&setup.harp, &m.mark).into_iter().next()?;
        let time = PlacedMark::time(m.first_pass).map_or(String::new(), |time| format!(" ({time})"));
        Some(MoveFacts { measure: number(m.measure), beat: beat(job, m.measure, m.at), to: name(part, to) + &time })
    });
    let missing = page.missing.iter().map(|m| MissingFacts {
        measure: number(m.measure),
        beat: beat(job, m.measure, m.at),
        note: format!("{:#}", m.pitch),
        why: m.to_string(),
    });
    SettingFacts {
        opening: page.opening.setting(&setup.harp).line(),
        moves: moves.collect(),
        moves_played: page.moves.len(),
        left_out: page.left_out().map(|u| format!("{:#} in {}", u.written, number(u.measure).in_words())).collect(),
        missing: missing.collect(),
        proved_best: settled.beyond == 0 && page.proof == Proof::Best,
        beyond: settled.beyond,
        low_strings_placed_again: harp::page::muffles::low_replacings(&arrangement.score, &Default::default(), &setup.player),
    }
}

/// "2", or "2½" between beats.
fn beat(job: &Job, measure: usize, at: Beats) -> String {
    let beat = job.arrangement.tune.sheet.measures[measure].frame.meter.beat();
    let whole = at.div_floor(beat);
    let half = if (at % beat).is_zero() { "" } else { "½" };
    format!("{}{half}", whole + 1)
}

/// The line of the text report: "Levers up: F♯ C♯; 2 moves: C♮5 in measure 7, C♯5 in measure 9".
pub fn line(facts: &SettingFacts) -> String {
    let moves: Vec<String> = facts.moves.iter().map(|m| format!("{} in {}", m.to, m.measure.in_words())).collect();
    let mut text = match moves.len() {
        0 => format!("{}; nothing to move while playing", facts.opening),
        1 => format!("{}; one move: {}", facts.opening, moves[0]),
        n if n <= 6 => format!("{}; {n} moves: {}", facts.opening, moves.join(", ")),
        n => {
            let mut measures: Vec<MeasureNumber> = facts.moves.iter().map(|m| m.measure).collect();
            measures.dedup();
            format!("{}; {n} moves, in {}", facts.opening, in_measures(&measures))
        }
    };
    if !facts.left_out.is_empty() {
        text += &format!("; left out because there is no time to move: {}", facts.left_out.join(", "));
    }
    text
}
