//! The check of a page: which harp, what is said, grouped so that it stays few, and counted.

use crate::finding::{Finding, Gravity, Rule};
use crate::repair::Trial;
use crate::rules::{self, Scene};
use harp::{Instrument, Player};
use music::{Mark, Pitch, Place, Score};
use std::collections::BTreeMap;

/// Why this harp.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Because {
    Asked,
    /// The usual one has everything the page needs.
    Usual,
    /// The usual one lacks something; the text says what.
    UsualLacks(String),
}

/// What the check found.
#[derive(Clone, Debug)]
pub struct Report {
    pub harp: Instrument,
    pub because: Because,
    /// By place, few enough to read: see [`Finding::also`].
    pub findings: Vec<Finding>,
    /// How many places each rule speaks of, before any are taken together.
    pub counts: BTreeMap<(Gravity, Rule), usize>,
    /// Instants at which something is plucked, each hand.
    pub attacks: usize,
    /// Moves of levers or pedals that the page needs in play.
    pub moves: usize,
}

/// Findings for which repairs are tried; beyond it a page needs another arrangement rather than repairs.
const MOST_REPAIRED: usize = 60;

/// Checks a page on a harp that was asked for, or on the first of two that fits.
pub fn check(score: &Score, asked: Option<&Instrument>, usual: &Instrument, large: &Instrument, player: &Player) -> Report {
    let (harp, because) = match asked {
        Some(harp) => (harp, Because::Asked),
        None => choose_harp(score, usual, large, player),
    };
    check_on(score, harp, because, player)
}

/// The usual harp where it has all the page needs; the large one where the page leaves the usual one's strings or needs what it cannot be set to in time,
/// and the large one can be.
pub fn choose_harp<'a>(score: &Score, usual: &'a Instrument, large: &'a Instrument, player: &Player) -> (&'a Instrument, Because) {
    let pedals = |m: &music::ScoreMeasure| m.marks.iter().any(|m| matches!(m.mark, Mark::Pedal(_) | Mark::Pedals(_)));
    let opens = matches!(score.preparation.setting, Some(music::Setting::Pedals(_)));
    if let Some(measure) = score.measures.iter().find(|m| opens || pedals(m)) {
        return (large, Because::UsualLacks(format!("{}: the page has pedal marks", measure.frame.number.in_words())));
    }
    let lacks = lacking(score, usual, player);
    let Some(first) = lacks.first() else { return (usual, Because::Usual) };
    let better = lacking(score, large, player);
    if better.len() < lacks.len() { (large, Because::UsualLacks(first.clone())) } else { (usual, Because::Usual) }
}

/// What a harp does not have for a page, the gravest first.
fn lacking(score: &Score, harp: &Instrument, player: &Player) -> Vec<String> {
    let scene = Scene::new(score, harp, player);
    let mut found = Vec::new();
    rules::instrument::look(&scene, &mut found);
    found.retain(|f| f.gravity != Gravity::Look);
    found.sort_by_key(|f| (f.gravity, f.place));
    found.iter().map(|f| format!("{}: {}", f.measure(score).in_words(), f.text)).collect()
}

/// Checks a page on one harp.
pub fn check_on(score: &Score, harp: &Instrument, because: Because, player: &Player) -> Report {
    let scene = Scene::new(score, harp, player);
    let all = rules::all(&scene);
    let mut counts: BTreeMap<(Gravity, Rule), usize> = BTreeMap::new();
    for finding in &all {
        *counts.entry((finding.gravity, finding.rule)).or_default() += 1;
    }
    let mut findings = grouped(all);
    let mut trial = Trial::new(score, harp, player);
    let mut order: Vec<usize> = (0..findings.len()).collect();
    order.sort_by_key(|i| (findings[*i].gravity, findings[*i].place));
    order.truncate(MOST_REPAIRED);
    for index in order {
        trial.offer(&mut findings[index]);
    }
    let attacks = scene.hands.left.len() + scene.hands.right.len();
    Report { harp: harp.clone(), because, findings, counts, attacks, moves: scene.strings.moves }
}

/// Measures that a passage may pause between two findings of one rule.
const PAUSE: usize = 2;

/// What cannot be played stands for its measure; what is hard is taken together while a passage goes on, or for one pitch that is not set in time; of what is worth a look the heaviest of
/// the page stands for all. The others are named as further places.
fn grouped(all: Vec<Finding>) -> Vec<Finding> {
    let mut groups: BTreeMap<(Gravity, Rule, Option<Pitch>), Vec<Vec<Finding>>> = BTreeMap::new();
    for finding in all {
        let about = finding.about.filter(|_| finding.gravity == Gravity::Hard);
        let groups = groups.entry((finding.gravity, finding.rule, about)).or_default();
        let near = |last: &Finding| match finding.gravity {
            Gravity::Cannot => last.place.measure == finding.place.measure,
            Gravity::Hard if about.is_some() => true,
            Gravity::Hard => finding.place.measure - last.place.measure <= PAUSE,
            Gravity::Look => true,
        };
        match groups.last_mut() {
            Some(group) if group.last().is_some_and(near) => group.push(finding),
            _ => groups.push(vec![finding]),
        }
    }
    let mut findings: Vec<Finding> = groups.into_values().flatten().filter_map(heaviest).collect();
    findings.sort_by_key(|f| (f.place, f.gravity, f.rule));
    findings
}

fn heaviest(group: Vec<Finding>) -> Option<Finding> {
    let best = (0..group.len()).max_by_key(|i| (group[*i].weight, std::cmp::Reverse(*i)))?;
    let also: Vec<Place> = group.iter().enumerate().filter(|(i, _)| *i != best).map(|(_, f)| f.place).collect();
    let mut finding = group.into_iter().nth(best)?;
    finding.also = also;
    Some(finding)
}
