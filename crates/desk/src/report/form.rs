//! What was added to the tune, as it is told in the report.

use crate::number;
use arrange::Arrangement;
use music::MeasureNumber;
use serde::Serialize;

/// A part that was added.
#[derive(Clone, Debug, Serialize)]
pub struct PartFacts {
    /// "introduction", "vamp", "interlude", "ending".
    pub part: &'static str,
    /// Its measures, in order; of interludes those of the first.
    #[serde(serialize_with = "number::list")]
    pub measures: Vec<MeasureNumber>,
    /// Why it is as it is, a clause each.
    pub why: Vec<String>,
}

/// How to close early from the end of a measure.
#[derive(Clone, Debug, Serialize)]
pub struct WayOutFacts {
    #[serde(serialize_with = "number::one")]
    pub measure: MeasureNumber,
    /// "stop", "on to the end of 8", "go to 15-16", "go to the ending", "D7, then G".
    pub way: String,
    /// How many measures are still played.
    pub measures: usize,
    pub at_a_phrase_end: bool,
}

/// A way out for every measure of the verses, in the order of the page.
pub fn ways_out(arrangement: &Arrangement) -> Vec<WayOutFacts> {
    let fact = |out: arrange::ways_out::WayOut| WayOutFacts {
        measure: arrangement.tune.sheet.measures[out.measure].frame.number,
        way: out.way.to_string(),
        measures: out.measures,
        at_a_phrase_end: out.at_a_phrase_end,
    };
    arrangement.ways_out().into_iter().map(fact).collect()
}

/// All parts in the order in which they are first played.
pub fn facts(arrangement: &Arrangement) -> Vec<PartFacts> {
    let fact = |made: &arrange::form::Made| PartFacts {
        part: made.part.name(),
        measures: made.measures.iter().map(|m| m.frame.number).filter(|n| n.count > 0).collect(),
        why: made.why.iter().map(ToString::to_string).collect(),
    };
    arrangement.added.all().map(fact).collect()
}

/// "Introduction, 4 measures: the last four measures of the tune; …"
pub fn line(part: &PartFacts) -> String {
    let measures = if part.measures.len() == 1 { "one measure".to_owned() } else { format!("{} measures", part.measures.len()) };
    format!("{}, {measures}: {}", part.part, part.why.join("; "))
}
