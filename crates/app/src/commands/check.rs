//! `undersong check`: what a harpist would say about a written page of two hands, with repairs that were tried.

use crate::arguments::CheckArguments;
use crate::failure::Failure;
use crate::report::decisions;
use crate::{harps, player, read, screen};
use check::{Because, Finding, Gravity, Report};
use formats::musicxml::{ImportedScore, ScoreOptions};
use music::Score;
use serde::Serialize;
use std::path::Path;

/// The harps that are tried where none is asked for.
const USUAL: &str = "lever-34";
const LARGE: &str = "pedal-47";

pub fn run(arguments: &CheckArguments) -> Result<(), Failure> {
    let staves = arguments.staves.as_deref().map(staves).transpose()?;
    let asked = arguments.harp.as_deref().map(harps::harp).transpose()?;
    let (usual, large) = (harps::harp(USUAL)?, harps::harp(LARGE)?);
    let player = player::player(arguments.player.as_deref())?;
    let read = read::score(&arguments.score, &ScoreOptions { staves, part: arguments.part.clone() })?;
    for line in read::problems(&arguments.score, &read.diagnostics) {
        screen::aside(&line);
    }
    let report = check::check(&read.score, asked.as_ref(), &usual, &large, &player);
    screen::print(&if arguments.json { json(&read.score, &report) } else { text(&arguments.score, &read, &report) })
}

/// "2,3": the staves of the right and the left hand, counted from the top.
fn staves(text: &str) -> Result<(u32, u32), Failure> {
    let numbers: Vec<Option<u32>> = text.split(',').map(|n| n.trim().parse().ok().filter(|n| *n > 0)).collect();
    match numbers.as_slice() {
        [Some(upper), Some(lower)] if upper != lower => Ok((*upper, *lower)),
        _ => Err(Failure::wrong(format!("staves \"{text}\": expected two different numbers from 1 at the top, as 2,3"))),
    }
}

fn because(report: &Report) -> String {
    match &report.because {
        Because::Asked => "as asked".into(),
        Because::Usual => "assumed (--harp takes yours)".into(),
        Because::UsualLacks(what) => format!("taken because {} cannot play this page ({what}); --harp takes yours", harps::on(USUAL)),
    }
}

fn text(path: &Path, read: &ImportedScore, report: &Report) -> String {
    let (score, count) = (&read.score, |gravity| report.findings.iter().filter(|f| f.gravity == gravity).count());
    let title = score.words.title.trim();
    let name = if title.is_empty() { path.display().to_string() } else { title.to_owned() };
    let mut text = format!("{name}\n  Read       {} measures, {} plucks of both hands\n", score.measures.len(), report.attacks);
    text += &format!("  Harp       {}, {}\n", harps::called(&report.harp.name), because(report));
    text += &format!("  Moves      {} of levers or pedals in play\n", report.moves);
    let counts = [count(Gravity::Cannot), count(Gravity::Hard), count(Gravity::Look)];
    text += &format!("  Findings   {} cannot be played, {} hard, {} worth a look\n", counts[0], counts[1], counts[2]);
    for finding in &report.findings {
        text += &finding_text(score, finding);
    }
    if !report.counts.is_empty() {
        text += "\nHow often each is found\n";
    }
    for ((gravity, rule), places) in &report.counts {
        text += &format!("  {:<7} {places:>5}  {}\n", gravity.name(), rule.name());
    }
    text
}

fn grave(gravity: Gravity) -> &'static str {
    match gravity {
        Gravity::Cannot => "cannot be played",
        Gravity::Hard => "hard",
        Gravity::Look => "worth a look",
    }
}

fn finding_text(score: &Score, finding: &Finding) -> String {
    let (measure, beat) = (finding.measure(score), finding.beat(score));
    let mut text = format!("\nMeasure {measure}, beat {beat}, {}: {}\n", grave(finding.gravity), finding.sentence(score));
    text += &format!("  Rule       {} ({})\n", finding.rule.name(), finding.rule.source());
    for repair in &finding.repairs {
        text += &format!("  Repair     {} ({})\n", repair.text, repair.effect);
    }
    text
}

#[derive(Serialize)]
struct Told<'a> {
    findings: Vec<ToldFinding<'a>>,
    counts: Vec<Count>,
    harp: &'a str,
    harp_because: String,
    plucks: usize,
    moves: usize,
}

#[derive(Serialize)]
struct ToldFinding<'a> {
    #[serde(serialize_with = "desk::number::one")]
    measure: music::MeasureNumber,
    beat: f64,
    gravity: &'static str,
    rule: String,
    text: String,
    repairs: Vec<ToldRepair<'a>>,
}

#[derive(Serialize)]
struct ToldRepair<'a> {
    text: &'a str,
    effect: &'a str,
}

#[derive(Serialize)]
struct Count {
    gravity: &'static str,
    rule: String,
    places: usize,
}

fn json(score: &Score, report: &Report) -> String {
    let named = |rule: check::Rule| format!("{} ({})", rule.name(), rule.source());
    let finding = |f: &'_ Finding| (f.measure(score), f.beat(score), f.sentence(score));
    let findings = report.findings.iter().map(|f| {
        let (measure, beat, text) = finding(f);
        let repairs = f.repairs.iter().map(|r| ToldRepair { text: &r.text, effect: &r.effect }).collect();
        ToldFinding { measure, beat, gravity: f.gravity.name(), rule: named(f.rule), text, repairs }
    });
    let told = Told {
        findings: findings.collect(),
        counts: report.counts.iter().map(|((g, rule), n)| Count { gravity: g.name(), rule: named(*rule), places: *n }).collect(),
        harp: &report.harp.name,
        harp_because: because(report),
        plucks: report.attacks,
        moves: report.moves,
    };
    decisions::json(&told)
}
