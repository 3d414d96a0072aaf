//! Addresses about what could be better: every key for the tune, and what the check says with repairs to take.

use super::desk::Desk;
use super::refusal::Refusal;
use super::work;
use crate::by_hand;
use crate::choices::Choices;
use crate::number::Named;
use crate::report::phrases::spaced;
use crate::worktable::Worktable;
use axum::Json;
use axum::extract::{Path, State};
use check::{Change, Finding, Gravity};
use music::Tempo;
use serde_json::{Value, json};
use std::sync::Arc;

pub async fn keys(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Json<Value>, Refusal> {
    work(move || {
        let look = desk.look(&id)?;
        let worktable = desk.worktable(&look)?;
        let harp = &worktable.setup.harp;
        let key = |k: &arrange::keys::KeyChoice| {
            let tonic = k.key.tonic().to_string();
            let minor = if k.key.mode.is_minor() { "m" } else { "" };
            json!({"key": k.key.to_string(), "wish": format!("{tonic}{minor}"), "sentence": k.sentence(harp), "works": k.works(),
                "semitones": k.by.semitones})
        };
        let keys: Vec<Value> = worktable.keys()?.iter().map(key).collect();
        Ok(Json(json!({"state": "ready", "keys": keys})))
    })
    .await
}

pub async fn check(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Json<Value>, Refusal> {
    work(move || {
        let look = desk.look(&id)?;
        let worktable = desk.worktable(&look)?;
        let report = worktable.check();
        let mut trial = Trial { desk: &desk, worktable: &worktable, before: worktable.said().to_vec(), slower: Vec::new(), left: TRIED };
        if report.findings.iter().any(|f| f.gravity != Gravity::Look) {
            trial.slower = trial.slower_tempos();
        }
        let findings: Vec<Value> = report.findings.iter().map(|f| trial.finding(f)).collect();
        Ok(Json(json!({"revision": look.revision, "findings": findings})))
    })
    .await
}

/// The most arrangements that are tried for repairs of one page: each takes a few hundredths of a second.
const TRIED: usize = 40;
/// Other figures that are tried for one finding.
const FIGURES: usize = 2;
/// Shares of the tempo that are tried, in percent.
const SLOWER: [i64; 3] = [90, 75, 60];

/// Repairs of one page, each tried by arranging the tune with it.
struct Trial<'a> {
    desk: &'a Desk,
    worktable: &'a Worktable,
    before: Vec<Finding>,
    slower: Vec<Slower>,
    /// Arrangements that may still be made.
    left: usize,
}

/// The tune at a slower tempo, and what is said then.
struct Slower {
    /// As it is chosen, and as it is said.
    tempo: String,
    words: String,
    said: Vec<Finding>,
}

impl Trial<'_> {
    /// The same tune with other choices; `None` where it cannot be arranged, or enough was tried.
    fn with(&mut self, choices: Choices) -> Option<Vec<Finding>> {
        self.left = self.left.checked_sub(1)?;
        let id = self.worktable.job.path.display().to_string();
        let bytes = self.desk.shelf.bytes(&id).ok()?;
        Worktable::new(self.desk.shelf.folder(), &id, &bytes, &choices).ok().map(|worktable| worktable.said().to_vec())
    }

    fn slower_tempos(&mut self) -> Vec<Slower> {
        let tempo = self.worktable.job.arrangement.score.tempo;
        let at = |percent: i64| {
            let per_minute = tempo.milli_per_minute() * percent / 100_000;
            let words = crate::wishes::tempo::in_words(Tempo::of(tempo.unit(), per_minute)?);
            let tempo = format!("{}={per_minute}", crate::wishes::tempo::value(tempo.unit()));
            let said = self.with(Choices { tempo: Some(tempo.clone()), ..self.worktable.choices.clone() })?;
            Some(Slower { tempo, words, said })
        };
        SLOWER.into_iter().filter_map(at).collect()
    }

    fn finding(&mut self, finding: &Finding) -> Value {
        let score = &self.worktable.job.arrangement.score;
        let mut repairs: Vec<Value> = Vec::new();
        if finding.gravity != Gravity::Look {
            repairs.extend(self.other_figures(finding));
            repairs.extend(self.slow_enough(finding));
        }
        // A slower tempo was tried above, with the left hand planned for it.
        let other = finding.repairs.iter().filter(|r| !matches!(r.change, Change::Slower { .. }));
        repairs.extend(other.map(|r| json!({"text": r.text, "effect": r.effect, "take": self.taken(finding, &r.change)})));
        json!({
            "index": finding.place.measure,
            "measure": Named(finding.measure(score)),
            "beat": finding.beat(score),
            "gravity": finding.gravity.name(),
            "rule": format!("{} ({})", finding.rule.name(), finding.rule.source()),
            "text": finding.sentence(score),
            "repairs": repairs,
        })
    }

    /// The quickest of the slower tempos at which this is said no more, and its like at half as many places at most.
    fn slow_enough(&self, finding: &Finding) -> Option<Value> {
        let still = |f: &Finding| f.rule == finding.rule && f.gravity <= finding.gravity && touches(finding, f.place.measure);
        // What only moves to another measure is not mended.
        let places = |all: &[Finding]| all.iter().filter(|f| (f.gravity, f.rule) == (finding.gravity, finding.rule)).count();
        let mut slower = self.slower.iter();
        let found = slower.find(|s| places(&s.said) * 2 <= places(&self.before) && !s.said.iter().any(still))?;
        Some(
            json!({"text": format!("play the whole tune slower, at {}", found.words), "effect": "the left hand is planned for that tempo", "take": {"tempo": found.tempo}}),
        )
    }

    /// The next best figures of the measure that help there.
    fn other_figures(&mut self, finding: &Finding) -> Vec<Value> {
        let number = finding.measure(&self.worktable.job.arrangement.score).to_string();
        let worktable = self.worktable;
        let here = worktable.decisions().iter().filter(|d| d.measure == finding.place.measure && !d.held);
        let mut names: Vec<&str> = Vec::new();
        for name in here.flat_map(|d| &d.alternatives).map(|a| a.figure.as_str()) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let mut repairs = Vec::new();
        for figure in names.into_iter().take(FIGURES) {
            let mut choices = worktable.choices.clone();
            choices.holds.insert(number.clone(), figure.to_owned());
            let Some(after) = self.with(choices) else { break };
            let same = |f: &&Finding| f.place.measure == finding.place.measure && f.gravity <= finding.gravity;
            if after.iter().filter(same).count() < self.before.iter().filter(same).count() {
                let take = json!({"holds": {number.clone(): figure}});
                repairs.push(json!({"text": format!("play {} here", spaced(figure)), "effect": "it is then held by you", "take": take}));
            }
        }
        repairs
    }

    /// The choices that do what a change of the page does, where there are such and they were seen to help.
    fn taken(&mut self, finding: &Finding, change: &Change) -> Option<Value> {
        let (take, choices) = chosen(self.worktable, change)?;
        let after = self.with(choices)?;
        self.mends(&after, finding).then_some(take)
    }

    /// Whether nothing of this kind is said at its place any more, and no more than before cannot be played or is hard.
    fn mends(&self, after: &[Finding], finding: &Finding) -> bool {
        let still = |f: &Finding| f.rule == finding.rule && f.place == finding.place;
        let grave = |all: &[Finding], gravity: Gravity| all.iter().filter(|f| f.gravity <= gravity).count();
        let no_worse = [Gravity::Cannot, Gravity::Hard].into_iter().all(|g| grave(after, g) <= grave(&self.before, g));
        !after.iter().any(still) && no_worse
    }
}

fn touches(finding: &Finding, measure: usize) -> bool {
    finding.place.measure == measure || finding.also.iter().any(|p| p.measure == measure)
}

/// What a change of the page is among her choices: as the page sends it, and all of them with it.
fn chosen(worktable: &Worktable, change: &Change) -> Option<(Value, Choices)> {
    let now = worktable.choices.clone();
    Some(match change {
        Change::Slower { hundredths, .. } => {
            let opening = worktable.job.arrangement.score.tempo.times(*hundredths, 100);
            let tempo = format!("{}={}", crate::wishes::tempo::value(opening.unit()), opening.milli_per_minute() / 1000);
            (json!({"tempo": tempo}), Choices { tempo: Some(tempo), ..now })
        }
        Change::OtherKey { by } if by.semitones % 12 == 0 => {
            let octave = now.octave + by.semitones / 12;
            (json!({"octave": octave}), Choices { octave, ..now })
        }
        Change::OtherKey { by } => {
            let key = worktable.job.arrangement.score.measures.first()?.frame.key.up(*by);
            let wish = format!("{}{}", key.tonic(), if key.mode.is_minor() { "m" } else { "" });
            (json!({"key": wish}), Choices { key: Some(wish), ..now })
        }
        note => {
            let mut changes = now.changes.clone();
            changes.push(by_hand::kept(note, &worktable.job.arrangement.tune, worktable.back())?);
            (json!({"changes": changes}), Choices { changes, ..now })
        }
    })
}
