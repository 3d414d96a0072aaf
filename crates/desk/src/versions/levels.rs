//! Two or three versions of one tune that sound together, for a teacher and her pupils: the same key, chords, form, playing order and tempo, and left hands of different levels.
//!
//! Each level is planned with figures that suit it. What still asks too much, or clashes with the others, is planned anew with plainer figures held in those measures, a few times at most; what comes out is
//! measured by what it asks ([`practice::level`]) and checked against all the others ([`check::together`]). Nothing is saved here.

use super::Version;
use super::together::{Levelled, demands, levelled, told};
use crate::choices::Choices;
use crate::failure::Failure;
use crate::wishes::key::BEST;
use crate::worktable::Worktable;
use check::together::{Clash, Part, clashes};
use music::{Mark, Score, ScoreMeasure};
use practice::level::{Demands, beyond};
use std::collections::BTreeSet;
use std::path::Path;

/// How a level is planned: how full, and with which figures; none: all of them.
struct Recipe {
    fullness: u8,
    only: &'static [&'static str],
}

const MIDDLE: &[&str] = &["bass-and-tone", "tenths-and-sixths", "bass-and-dyad", "open-broken-chord", "open-fifth"];

/// The recipes of levels 1, 2 and 3, the first that does is taken.
const RECIPES: [&[Recipe]; 3] = [
    &[
        Recipe { fullness: 2, only: &["open-fifth", "bass-note"] },
        Recipe { fullness: 1, only: &["bass-note", "open-fifth"] },
        Recipe { fullness: 1, only: &["bass-note"] },
    ],
    &[
        Recipe { fullness: 3, only: MIDDLE },
        Recipe { fullness: 2, only: MIDDLE },
        Recipe { fullness: 2, only: &["bass-and-tone", "open-fifth"] },
    ],
    &[Recipe { fullness: 4, only: &[] }, Recipe { fullness: 5, only: &[] }, Recipe { fullness: 6, only: &[] }],
];
/// What is held where a measure asks too much or clashes, in turn.
const PLAINER: [&str; 3] = ["open-fifth", "bass-note", "rest"];

/// A level may rest in one of so many measures where nothing plainer helps: more of it is no left hand. Ours.
const RESTS: usize = 6;

/// A new version, not saved yet.
pub struct Made {
    pub choices: Choices,
    pub level: Levelled,
    pub worktable: Worktable,
}

/// What came of it.
pub struct Levels {
    /// The version that they were made from.
    pub base: Levelled,
    pub made: Vec<Made>,
    /// Between any two, the base among them.
    pub clashes: Vec<String>,
    /// Levels that could not be made, in a sentence.
    pub without: Option<String>,
}

/// A tune as its levels are planned.
struct Task<'a> {
    folder: &'a Path,
    id: &'a str,
    bytes: &'a [u8],
    base: &'a Version,
    /// How many verses are written out.
    verses: usize,
    key: Option<String>,
}

struct Try {
    choices: Choices,
    worktable: Worktable,
    demands: Demands,
    clashes: Vec<Clash>,
}

/// Makes the levels that a version is not. Errors: the tune cannot be arranged.
pub fn levels(folder: &Path, id: &str, bytes: &[u8], base: &Version) -> Result<Levels, Failure> {
    let own = Worktable::new(folder, id, bytes, &base.choices)?;
    let level = levelled(&base.name, &demands(&own.setup, &own.job));
    let score = &own.job.arrangement.score;
    let task = Task {
        folder,
        id,
        bytes,
        base,
        verses: own.job.arrangement.fullness.len().max(1),
        // "Best" would be looked for anew, and might be another.
        key: base.choices.key.clone().map(|key| if key == BEST { found_key(score).unwrap_or(key) } else { key }),
    };
    let mut made: Vec<Made> = Vec::new();
    let mut without = Vec::new();
    for wanted in (1..=3).filter(|wanted| *wanted != level.level) {
        let mut parts = vec![Part { name: &base.name, score }];
        parts.extend(made.iter().map(|m| Part { name: &m.level.name, score: &m.worktable.job.arrangement.score }));
        match task.made(wanted, &parts)? {
            Some(found) => made.push(found),
            None => without.push(format!("level {wanted}")),
        }
    }
    let mut parts = vec![Part { name: &base.name, score }];
    parts.extend(made.iter().map(|m| Part { name: &m.level.name, score: &m.worktable.job.arrangement.score }));
    let found = told(&clashes(&parts));
    let without = (!without.is_empty()).then(|| format!("No {} was found for this tune on this harp.", without.join(" and no ")));
    Ok(Levels { base: level, made, clashes: found, without })
}

fn found_key(score: &Score) -> Option<String> {
    let key = &score.measures.first()?.frame.key;
    Some(format!("{}{}", key.tonic(), if key.mode.is_minor() { "m" } else { "" }))
}

impl Task<'_> {
    /// The recipe that gives the level, clashes least and needs plainer figures in the fewest places; the first of several.
    fn made(&self, wanted: u8, others: &[Part]) -> Result<Option<Made>, Failure> {
        let mut best: Option<Try> = None;
        for recipe in RECIPES[usize::from(wanted) - 1] {
            let found = self.planned(recipe, wanted, others)?;
            if found.demands.level() != wanted {
                continue;
            }
            let merit = |of: &Try| (of.clashes.len(), of.choices.holds.len());
            if best.as_ref().is_none_or(|best| merit(&found) < merit(best)) {
                best = Some(found);
            }
            if best.as_ref().is_some_and(|best| merit(best) == (0, 0)) {
                break;
            }
        }
        let name = format!("level {wanted}");
        Ok(best.map(|Try { choices, worktable, demands, .. }| Made { choices, worktable, level: levelled(&name, &demands) }))
    }

    /// Plans a recipe, and anew with plainer figures where it asks too much or clashes.
    fn planned(&self, recipe: &Recipe, wanted: u8, others: &[Part]) -> Result<Try, Failure> {
        let mut choices = self.choices(recipe);
        let mut found = self.tried(choices.clone(), wanted, others)?;
        for plainer in PLAINER {
            let measures = self.wrong(&found, wanted);
            if measures.is_empty() {
                break;
            }
            let score = &found.worktable.job.arrangement.score;
            if plainer == "rest" && measures.len() * RESTS > score.measures.len() {
                break;
            }
            choices.holds.extend(measures.iter().map(|m| (score.measures[*m].frame.number.to_string(), plainer.to_owned())));
            found = self.tried(choices.clone(), wanted, others)?;
        }
        Ok(found)
    }

    /// The measures of a try that ask too much, move levers or pedals, or clash.
    fn wrong(&self, found: &Try, wanted: u8) -> BTreeSet<usize> {
        let score = &found.worktable.job.arrangement.score;
        let mut measures = beyond(score, &found.worktable.setup.player, wanted);
        measures.extend(found.clashes.iter().map(|clash| clash.place.measure));
        if wanted < 3 && found.demands.moves > 0 {
            let moved =
                |m: &ScoreMeasure| m.marks.iter().any(|mark| matches!(mark.mark, Mark::Lever(_) | Mark::Pedal(_) | Mark::Pedals(_)));
            let places = score.measures.iter().enumerate().filter(|(_, m)| moved(m)).map(|(index, _)| index);
            measures.extend(places.flat_map(|index| [index, index + 1]).filter(|index| *index < score.measures.len()));
        }
        measures
    }

    /// What the base has, but for the left hand.
    fn choices(&self, recipe: &Recipe) -> Choices {
        let base = &self.base.choices;
        let mut choices = Choices {
            key: self.key.clone(),
            fullness: vec![recipe.fullness; self.verses],
            only: recipe.only.iter().map(|name| (*name).to_owned()).collect(),
            without: base.without.iter().filter(|name| !recipe.only.contains(&name.as_str())).cloned().collect(),
            variant: 1,
            changes: Vec::new(),
            ways: Default::default(),
            holds: Default::default(),
            ..base.clone()
        };
        choices.form.high = Vec::new();
        choices.form.melody_below = Vec::new();
        choices
    }

    fn tried(&self, choices: Choices, wanted: u8, others: &[Part]) -> Result<Try, Failure> {
        let worktable = Worktable::new(self.folder, self.id, self.bytes, &choices)?;
        let demands = demands(&worktable.setup, &worktable.job);
        let name = format!("level {wanted}");
        let mut parts = others.to_vec();
        parts.push(Part { name: &name, score: &worktable.job.arrangement.score });
        let own = parts.len() - 1;
        let clashes = clashes(&parts).into_iter().filter(|clash| clash.parts.1 == own).collect();
        Ok(Try { choices, worktable, demands, clashes })
    }
}

impl Levels {
    /// The new versions in words, a line each, and whether they sound together.
    pub fn words(&self, names: &[String]) -> String {
        let line = |name: &str, level: &Levelled| format!("{name}: level {}. It asks {}.\n", level.level, level.asks);
        let mut text = line(&self.base.name, &self.base);
        for (made, name) in self.made.iter().zip(names) {
            text += &line(name, &made.level);
        }
        if let Some(without) = &self.without {
            text += &format!("{without}\n");
        }
        if self.made.is_empty() {
            return text;
        }
        if self.clashes.is_empty() {
            return text + "They sound together: the same measures, time, chords and tune, and no two left hands rub anywhere.\n";
        }
        for clash in &self.clashes {
            text += &format!("{clash}\n");
        }
        text
    }
}
