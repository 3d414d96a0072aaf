//! Addresses about what could be better: every key for the tune, and what the check says with repairs to take.

use super::desk::Desk;
use super::refusal::Refusal;
use super::work;
use crate::bench::Bench;
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
        let findings: Vec<Value> = report.findings.iter().map(|f| finding(&desk, &bench, f, &mut tries)).collect();
        Ok(Json(json!({"revision": look.revision, "findings": findings})))
    })
    .await
}

/// The most arrangements that are tried for repairs of one page: each takes a few hundredths of a second.
const TRIED: usize = 12;
/// Other figures that are tried for one finding.
const FIGURES: usize = 2;

fn finding(desk: &Desk, bench: &Bench, finding: &Finding, tries: &mut usize) -> Value {
    let score = &bench.job.arrangement.score;
    let mut repairs: Vec<Value> = Vec::new();
    if finding.gravity != Gravity::Look {
        repairs.extend(other_figures(desk, bench, finding, tries));
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
        let Ok(look) = desk.look(&bench.job.path.display().to_string()) else { continue };
        let Ok(other) = Bench::new(desk.shelf.folder(), &look.id, &look.bytes, &choices) else { continue };
        let same = |f: &&Finding| f.place.measure == finding.place.measure && f.gravity <= finding.gravity;
        let report = check::check_on(&other.job.arrangement.score, &other.setup.harp, check::Because::Asked, &other.setup.player);
        if report.findings.iter().filter(same).count() < bench.check().findings.iter().filter(same).count() {
            let cost = "the figure is pinned here";
            repairs.push(
                json!({"text": format!("play {} here", spaced(figure)), "cost": cost, "take": {"pins": {number.to_string(): figure}}}),
            );
        }
    }
    repairs
}
