//! Repairs are tried before they are offered: the page is changed, the neighbourhood of the place is checked again, and what brings anything new or
//! does not mend its own place is not offered.

use crate::change::Change;
use crate::finding::{self, Finding, Gravity, Repair, Rule};
use crate::rules::{self, Scene};
use crate::strings;
use harp::page::Opening;
use harp::page::replay::standing;
use harp::{Instrument, Player};
use music::clock::TempoWord;
use music::{Barline, Beats, Clock, Mark, Place, Preparation, Score};
use std::collections::BTreeSet;

/// Measures on each side of a place that are checked again; a page with chord symbols is checked whole, for its phrases are, or widely where it is long.
const AROUND: usize = 3;
const WIDELY: usize = 16;
/// Pages with chord symbols up to this many measures are checked whole.
const WHOLE: usize = 100;
/// The most measures that are checked again for one page, all repairs together: enough for the gravest findings of any page, and a bound on its time.
const BUDGET: usize = 20_000;
/// A note that cannot be played weighs as much as so many measures: where there are many, planning takes its time.
const A_NOTE: usize = 8;
/// Repairs that are offered for one finding.
const OFFERED: usize = 3;
/// Repairs that are tried for one finding.
const TRIED: usize = 14;
/// Pages up to this many measures are checked whole.
const SMALL: usize = 12;

/// Where a repair is tried: the page or a window of it, with what is said about it as it stands.
pub struct Trial<'a> {
    score: &'a Score,
    harp: &'a Instrument,
    player: &'a Player,
    around: usize,
    budget: usize,
    window: Option<(std::ops::Range<usize>, Score, BTreeSet<Said>)>,
}

/// What makes a finding new: its place, rule and gravity.
type Said = (Place, Rule, Gravity);

impl<'a> Trial<'a> {
    pub fn new(score: &'a Score, harp: &'a Instrument, player: &'a Player) -> Trial<'a> {
        let symbols = score.measures.iter().any(|m| !m.frame.chords.is_empty());
        let count = score.measures.len();
        let around = match symbols {
            true if count <= WHOLE => count,
            true => WIDELY,
            false if count <= SMALL => count,
            false => AROUND,
        };
        Trial { score, harp, player, around, budget: BUDGET, window: None }
    }

    /// Tries what a finding suggests and puts what helps into its repairs.
    pub fn offer(&mut self, finding: &mut Finding) {
        let range = self.range(finding.place.measure);
        if self.window.as_ref().is_none_or(|w| w.0 != range) {
            let part = cut(self.score, self.harp, range.clone());
            let (said, _) = said(&part, self.harp, self.player, range.start);
            self.window = Some((range.clone(), part, said));
        }
        let Some((_, part, before)) = &self.window else { return };
        let own = (finding.place, finding.rule, finding.gravity);
        let mut tries = finding.tries.clone();
        let mut seen: Vec<Change> = Vec::new();
        tries.retain(|t| {
            let new = !seen.contains(t);
            seen.extend(new.then(|| t.clone()));
            new
        });
        for change in tries.iter().take(TRIED) {
            if finding.repairs.len() == OFFERED || self.budget < range.len() {
                break;
            }
            let Some(changed) = change.from_measure(range.start).and_then(|c| c.apply(part)) else { continue };
            let (after, notes) = said(&changed, self.harp, self.player, range.start);
            self.budget = self.budget.saturating_sub(range.len() + A_NOTE * notes);
            let mended = !after.iter().any(|(place, rule, _)| (*place, *rule) == (own.0, own.1));
            if before.contains(&own) && mended && after.is_subset(before) {
                let elsewhere = change.place().filter(|p| *p != finding.place);
                let here = |p: Place| format!("{}: {}", where_in_words(self.score, finding.place, p), change.say());
                let (text, effect) = (elsewhere.map_or_else(|| change.say(), here), change.effect().to_owned());
                finding.repairs.push(Repair { change: change.clone(), text, effect });
            }
        }
    }

    fn range(&self, measure: usize) -> std::ops::Range<usize> {
        let count = self.score.measures.len();
        measure.saturating_sub(self.around)..(measure + self.around + 1).min(count)
    }
}

/// "at beat 3", or "at measure 12, beat 3" in another measure than the finding's.
fn where_in_words(score: &Score, from: Place, to: Place) -> String {
    let beat = finding::beat(score, to);
    if from.measure == to.measure {
        format!("at beat {beat}")
    } else {
        format!("at {}, beat {beat}", finding::number(score, to).in_words())
    }
}

/// What is said about a page, and how many of its notes cannot be played.
fn said(score: &Score, harp: &Instrument, player: &Player, first: usize) -> (BTreeSet<Said>, usize) {
    let scene = Scene::new(score, harp, player);
    let found = rules::all(&scene).into_iter();
    let said = found.map(|f| (Place { measure: f.place.measure + first, ..f.place }, f.rule, f.gravity)).collect();
    (said, scene.strings.missing.len())
}

/// Some measures of a page as a page of their own, at the tempos that hold there (whatever words stand outside) and with the harp as it stands there, without
/// repeats that lead outside.
fn cut(score: &Score, harp: &Instrument, range: std::ops::Range<usize>) -> Score {
    if range == (0..score.measures.len()) {
        return score.clone();
    }
    let clock = Clock::of_score(score);
    let tempo = clock.tempo(Place { measure: range.start, at: Beats::ZERO });
    let measures = score.measures[range.clone()].to_vec();
    let harp = strings::tuned(harp);
    let opening = score.preparation.setting.as_ref().and_then(|setting| Opening::read(setting, &harp));
    let stands = opening.and_then(|opening| standing(score, &opening, &harp, range.start));
    let preparation = Preparation { setting: stands.map(|stands| stands.setting(&harp)), ..Preparation::default() };
    let mut part = Score { words: score.words.clone(), tempo, preparation, measures };
    for (index, measure) in range.zip(&mut part.measures) {
        measure.frame.tempos = clock.tempos(index);
        measure.frame.words.retain(|(_, text)| TempoWord::read(text).is_none());
        measure.marks.retain(|m| !matches!(&m.mark, Mark::Words(text) if TempoWord::read(text).is_some()));
        measure.frame.repeat_start = false;
        measure.frame.repeat_end = None;
        measure.frame.ending = None;
        measure.frame.jumps.clear();
        measure.frame.right = Barline::Plain;
    }
    part
}
