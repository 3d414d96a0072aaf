//! Addresses about what could be better: every key for the tune, and what the check says with repairs to take.

use super::desk::Desk;
use super::refusal::Refusal;
use super::work;
use crate::bench::Bench;
use crate::choices::Choices;
use crate::report::phrases::spaced;
use axum::Json;
use axum::extract::{Path, State};
use check::{Change, Finding, Gravity};
use serde_json::{Value, json};
use std::sync::Arc;

pub async fn keys(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Json<Value>, Refusal> {
    work(move || {
        let look = desk.look(&id)?;
        let bench = desk.bench(&look)?;
        let harp = &bench.setup.harp;
        let key = |k: &arrange::keys::KeyChoice| {
            let tonic = k.key.tonic().to_string();
            let minor = if k.key.mode.is_minor() { "m" } else { "" };
            json!({"key": k.key.to_string(), "wish": format!("{tonic}{minor}"), "sentence": k.sentence(harp), "works": k.works(),
                "semitones": k.by.semitones})
        };
        let keys: Vec<Value> = bench.keys()?.iter().map(key).collect();
        Ok(Json(json!({"state": "ready", "keys": keys})))
    })
    .await
}

pub async fn check(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Json<Value>, Refusal> {
    work(move || {
        let look = desk.look(&id)?;
        let bench = desk.bench(&look)?;
        let report = bench.check();
        let mut tries = TRIED;
        let grave = report.findings.iter().any(|f| f.gravity != Gravity::Look);
        let slower = if grave { slower(&desk, &bench) } else { Vec::new() };
        let findings: Vec<Value> = report.findings.iter().map(|f| finding(&desk, &bench, f, &mut tries, &slower)).collect();
        Ok(Json(json!({"revision": look.revision, "findings": findings})))
    })
    .await
}

/// The most arrangements that are tried for repairs of one page: each takes a few hundredths of a second.
const TRIED: usize = 12;
/// Other figures that are tried for one finding.
const FIGURES: usize = 2;

/// The tune at a slower tempo, and what the check says then.
struct Slower {
    tempo: String,
    report: check::Report,
}

/// Shares of the tempo that are tried, in percent.
const SLOWER: [i64; 3] = [90, 75, 60];

fn slower(desk: &Desk, bench: &Bench) -> Vec<Slower> {
    let tempo = bench.job.arrangement.score.tempo;
    let at = |percent: i64| {
        let per_minute = tempo.milli_per_minute() * percent / 100_000;
        let tempo = format!("{}={per_minute}", crate::wishes::tempo::value(tempo.unit()));
        let other = changed(desk, bench, Choices { tempo: Some(tempo.clone()), ..bench.choices.clone() })?;
        let report = checked(&other);
        Some(Slower { tempo, report })
    };
    SLOWER.into_iter().filter_map(at).collect()
}

/// The same tune with other choices.
fn changed(desk: &Desk, bench: &Bench, choices: Choices) -> Option<Bench> {
    let bytes = desk.shelf.bytes(&bench.job.path.display().to_string()).ok()?;
    Bench::new(desk.shelf.folder(), &bench.job.path.display().to_string(), &bytes, &choices).ok()
}

/// What is said about a page, without looking for repairs.
fn checked(bench: &Bench) -> check::Report {
    check::check_on(&bench.job.arrangement.score, &bench.setup.harp, check::Because::Asked, &bench.setup.player)
}

/// The quickest of the slower tempos at which this is said no more, and its like at half as many places at most.
fn slow_enough(finding: &Finding, now: &check::Report, slower: &[Slower]) -> Option<Value> {
    let still = |f: &Finding| f.rule == finding.rule && f.gravity <= finding.gravity && touches(f, finding.place.measure);
    // What only moves to another measure is not mended.
    let places = |report: &check::Report| report.counts.get(&(finding.gravity, finding.rule)).copied().unwrap_or(0);
    let found = slower.iter().find(|s| places(&s.report) * 2 <= places(now) && !s.report.findings.iter().any(still))?;
    Some(json!({"text": format!("play the whole tune slower, at {}", found.tempo), "cost": "the tempo", "take": {"tempo": found.tempo}}))
}

fn touches(finding: &Finding, measure: usize) -> bool {
    finding.place.measure == measure || finding.also.iter().any(|p| p.measure == measure)
}

fn finding(desk: &Desk, bench: &Bench, finding: &Finding, tries: &mut usize, slower: &[Slower]) -> Value {
    let score = &bench.job.arrangement.score;
    let mut repairs: Vec<Value> = Vec::new();
    if finding.gravity != Gravity::Look {
        repairs.extend(other_figures(desk, bench, finding, tries));
        repairs.extend(slow_enough(finding, bench.check(), slower));
    }
    let on_page = |r: &check::Repair| json!({"text": r.text, "cost": r.cost, "take": taken(&r.change)});
    repairs.extend(finding.repairs.iter().map(on_page));
    json!({
        "index": finding.place.measure,
        "measure": finding.measure(score),
        "beat": finding.beat(score),
        "gravity": finding.gravity.name(),
        "rule": format!("{} ({})", finding.rule.name(), finding.rule.source()),
        "text": finding.sentence(score),
        "repairs": repairs,
    })
}

/// The choices that do what a change of the page does, where there are such.
fn taken(change: &Change) -> Option<Value> {
    match change {
        Change::Slower { hundredths: _, then } => {
            Some(json!({"tempo": format!("{}={}", crate::wishes::tempo::value(then.unit()), then.milli_per_minute() / 1000)}))
        }
        _ => None,
    }
}

/// The next best figures of the measure, each tried: the arrangement with it says nothing of the kind there any more and nothing graver.
fn other_figures(desk: &Desk, bench: &Bench, finding: &Finding, tries: &mut usize) -> Vec<Value> {
    let number = finding.measure(&bench.job.arrangement.score);
    let here = bench.decisions().iter().filter(|d| d.measure == finding.place.measure && !d.pinned);
    let mut names: Vec<&str> = here.flat_map(|d| &d.alternatives).map(|a| a.figure.as_str()).collect();
    let mut seen = Vec::new();
    names.retain(|name| {
        !seen.contains(name) && {
            seen.push(*name);
            true
        }
    });
    let mut repairs = Vec::new();
    for figure in names.into_iter().take(FIGURES) {
        if *tries == 0 {
            break;
        }
        *tries -= 1;
        let mut choices = bench.choices.clone();
        choices.pins.insert(number.to_string(), figure.to_owned());
        let Some(other) = changed(desk, bench, choices) else { continue };
        let same = |f: &&Finding| f.place.measure == finding.place.measure && f.gravity <= finding.gravity;
        let report = checked(&other);
        if report.findings.iter().filter(same).count() < bench.check().findings.iter().filter(same).count() {
            let cost = "the figure is pinned here";
            repairs.push(
                json!({"text": format!("play {} here", spaced(figure)), "cost": cost, "take": {"pins": {number.to_string(): figure}}}),
            );
        }
    }
    repairs
}
