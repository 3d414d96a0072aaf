//! The decisions as JSON: what each measure costs and why, and what the others would have cost.

use crate::report::Report;
use crate::wishes::tempo;
use arrange::{Decision, Principle};
use music::MeasureNumber;
use serde::Serialize;
use std::collections::BTreeMap;

/// The whole `.json` file: the report, then every decision, then the principles that the prices are named after.
#[derive(Serialize)]
pub struct DecisionFile<'a> {
    #[serde(flatten)]
    pub report: &'a Report,
    pub decisions: Vec<DecisionFacts>,
    pub principles: Vec<PrincipleFacts>,
}

/// One decision: one chord within one measure.
#[derive(Serialize)]
pub struct DecisionFacts {
    /// The printed number, and the place among all measures of the page, from 0.
    #[serde(serialize_with = "crate::number::one")]
    pub measure: MeasureNumber,
    pub index: usize,
    /// Place in the measure, as a fraction of a whole note.
    pub at: String,
    pub chord: String,
    pub figure: String,
    /// Strings in the order they are plucked; together `C3+G3`, rolled `~C3+G3+C4`.
    pub notes: String,
    pub held: bool,
    pub why: String,
    /// What came second and how good it would be.
    pub second: Option<String>,
    pub price: i64,
    /// What the price is made of; the parts add up to it.
    pub price_parts: BTreeMap<&'static str, i64>,
    pub alternatives: Vec<AlternativeFacts>,
    /// Figures that cannot be played here.
    pub left_out: Vec<LeftOutFigure>,
}

#[derive(Serialize)]
pub struct AlternativeFacts {
    pub figure: String,
    pub notes: String,
    /// What the whole plan would cost more.
    pub extra: i64,
    /// The same in words.
    pub worth: String,
    pub why_not: String,
}

#[derive(Serialize)]
pub struct LeftOutFigure {
    pub figure: String,
    pub why: String,
}

#[derive(Serialize)]
pub struct PrincipleFacts {
    pub name: &'static str,
    pub sentence: &'static str,
    pub source: &'static str,
}

pub fn file<'a>(report: &'a Report, decisions: &[Decision]) -> DecisionFile<'a> {
    let principle = |p: Principle| PrincipleFacts { name: p.name(), sentence: p.sentence(), source: p.source() };
    DecisionFile { report, decisions: decisions.iter().map(facts).collect(), principles: Principle::ALL.map(principle).into() }
}

fn facts(decision: &Decision) -> DecisionFacts {
    DecisionFacts {
        measure: decision.number,
        index: decision.measure,
        at: if decision.at.is_zero() { "0".into() } else { tempo::value(decision.at) },
        chord: decision.chord.clone(),
        figure: decision.figure.clone(),
        notes: decision.notes.clone(),
        held: decision.held,
        why: decision.why.clone(),
        second: decision.second.clone(),
        price: decision.price.total(),
        price_parts: decision.price.parts().map(|(principle, amount)| (principle.name(), amount)).collect(),
        alternatives: decision
            .alternatives
            .iter()
            .map(|a| AlternativeFacts {
                figure: a.figure.clone(),
                notes: a.notes.clone(),
                extra: a.extra,
                worth: a.worth.to_string(),
                why_not: a.why_not.clone(),
            })
            .collect(),
        left_out: decision.left_out.iter().map(|(figure, why)| LeftOutFigure { figure: figure.clone(), why: why.clone() }).collect(),
    }
}

/// A JSON text with a line end, for a file or the screen.
pub fn json<T: Serialize>(value: &T) -> String {
    let mut text = serde_json::to_string_pretty(value).expect("the report holds only texts, numbers and lists");
    text.push('\n');
    text
}
