//! What each version of a tune asks of the left hand, and whether they sound together: for the page and for the command line.

use crate::job::{Job, Setup};
use crate::worktable::Worktable;
use arrange::{Arrangement, Wishes, arrange};
use check::together::{Clash, Part, clashes};
use practice::level::{Demands, meaning, moves};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// The most clashes that are told.
const TOLD: usize = 12;

/// Versions as they sound together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Together {
    pub versions: Vec<Levelled>,
    /// How many clashes were found between any two.
    pub clashes: usize,
    /// The first of them, each with its measure.
    pub told: Vec<String>,
    /// All of it in a sentence.
    pub words: String,
}

/// A version with its level.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Levelled {
    pub name: String,
    pub level: u8,
    /// What the level means.
    pub meaning: &'static str,
    /// What this version asks.
    pub asks: String,
}

/// What a version's page asks of the left hand.
pub fn demands(setup: &Setup, job: &Job) -> Demands {
    let alone = tune_alone(setup, job).map_or(0, |alone| moves(&alone.score));
    Demands::of(&job.arrangement.score, &setup.player, alone)
}

/// The same tune in the same form without a left hand: the moves it asks for are not the left hand's.
fn tune_alone(setup: &Setup, job: &Job) -> Option<Arrangement> {
    let wishes = Wishes {
        fullness: vec![0; job.arrangement.fullness.len().max(1)],
        holds: BTreeMap::new(),
        ways: BTreeMap::new(),
        high: BTreeSet::new(),
        melody_below: BTreeSet::new(),
        ..job.wishes.clone()
    };
    arrange(&job.imported.sheet, &setup.figures, &setup.harp, &setup.player, &wishes).ok()
}

/// One version with its level.
pub fn levelled(name: &str, demands: &Demands) -> Levelled {
    let level = demands.level();
    Levelled { name: name.to_owned(), level, meaning: meaning(level), asks: demands.to_string() }
}

/// Versions with their names.
pub fn together(versions: &[(String, &Worktable)]) -> Together {
    let parts: Vec<Part> = versions.iter().map(|(name, made)| Part { name, score: &made.job.arrangement.score }).collect();
    let found = clashes(&parts);
    let levels = versions.iter().map(|(name, made)| levelled(name, &demands(&made.setup, &made.job))).collect();
    Together { versions: levels, clashes: found.len(), told: told(&found), words: words(versions.len(), &found) }
}

/// The first clashes as sentences.
pub fn told(found: &[Clash]) -> Vec<String> {
    let sentence = |clash: &Clash| {
        let text = clash.to_string();
        let mut letters = text.chars();
        letters.next().map(|first| format!("{}{}.", first.to_uppercase(), letters.as_str())).unwrap_or_default()
    };
    found.iter().take(TOLD).map(sentence).collect()
}

fn words(versions: usize, found: &[Clash]) -> String {
    match (versions, found.len()) {
        (0 | 1, _) => "There is one version only: make a copy, or levels, to have others that sound with it.".into(),
        (_, 0) => "They sound together: the same measures, time, chords and tune, and no two left hands rub anywhere.".into(),
        (_, 1) => "They do not sound together in one place.".into(),
        (_, many) => format!("They do not sound together in {many} places."),
    }
}
