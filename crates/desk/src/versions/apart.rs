//! Two versions of a tune side by side: what was chosen otherwise, and what differs on the page, measure by measure, in words.

use crate::choices::Choices;
use crate::difference::difference;
use crate::excerpt::plucked;
use crate::harps::called;
use crate::number::Named;
use crate::report::phrases::spaced;
use crate::worktable::Worktable;
use music::{MeasureNumber, Pitch};
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeSet;

/// What differs between two versions, the first one told first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Apart {
    /// All of it in a sentence or two.
    pub words: String,
    pub measures: Vec<MeasureApart>,
    pub chosen: Vec<ChosenApart>,
}

/// A measure that is not the same in both.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasureApart {
    /// Among all measures, from 0.
    pub index: usize,
    #[serde(serialize_with = "as_named")]
    pub number: MeasureNumber,
    /// What the left hand plays in each: "open fifth (C3+G3)".
    pub left: [String; 2],
}

/// A choice that is not the same in both: what it is about, and what each has.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ChosenApart {
    pub about: &'static str,
    pub each: [String; 2],
}

fn as_named<S: serde::Serializer>(number: &MeasureNumber, serializer: S) -> Result<S::Ok, S::Error> {
    Named(*number).serialize(serializer)
}

/// The names of choices as they are read, in the order in which they are told.
const ABOUT: [(&str, &str); 24] = [
    ("harp", "harp"),
    ("key", "key"),
    ("octave", "octave"),
    ("fullness", "fullness"),
    ("use", "figures used"),
    ("without", "figures left out"),
    ("variant", "another way of the whole"),
    ("player", "hands"),
    ("tempo", "tempo"),
    ("kind", "kind of tune"),
    ("form", "form"),
    ("part", "part"),
    ("voice", "singer's range"),
    ("chords_from", "where the chords come from"),
    ("chords_a_measure", "most chords in a measure"),
    ("keep", "chords kept"),
    ("chords", "own chords"),
    ("bass", "written basses"),
    ("phrases", "phrases"),
    ("holds", "figures held"),
    ("ways", "ways taken"),
    ("changes", "changes by hand"),
    ("fingers", "finger numbers"),
    ("sound", "sound"),
];

/// Compares two versions of one tune.
pub fn apart(one: &Worktable, two: &Worktable, names: [&str; 2]) -> Apart {
    let chosen = chosen(&one.choices, &two.choices);
    let (a, b) = (&one.job.arrangement.score, &two.job.arrangement.score);
    if a.measures.len() != b.measures.len() {
        let words = format!("One has {} measures and the other {}: they are not played together.", a.measures.len(), b.measures.len());
        return Apart { words, measures: Vec::new(), chosen };
    }
    let (words, differ) = match difference(one, two) {
        Some(difference) => (of_the_second(&difference.words, names[1]), difference.measures.into_iter().collect()),
        None => {
            let (key, other) = (one.report.key.as_str(), two.report.key.as_str());
            let words = format!("One is in {}, the other in {}.", music::as_read(key), music::as_read(other));
            (words, (0..a.measures.len()).collect::<BTreeSet<usize>>())
        }
    };
    let measure = |index: usize| {
        let left = [one, two].map(|made| left(made, index));
        MeasureApart { index, number: b.measures[index].frame.number, left }
    };
    Apart { words, measures: differ.into_iter().map(measure).collect(), chosen }
}

/// A difference in words, with the name of the version in which it is so.
fn of_the_second(words: &str, name: &str) -> String {
    match words.split_once("; ") {
        Some((count, how)) if !how.starts_with("lever") => format!("{count}; in \"{name}\" {how}"),
        _ => words.to_owned(),
    }
}

/// What the left hand plays in a measure: the figures, and the strings as the page has them.
fn left(made: &Worktable, index: usize) -> String {
    let plucks = plucked(&made.job.arrangement.score.measures[index].left);
    if plucks.is_empty() {
        return "rests".into();
    }
    let strings = |pitches: &[Pitch]| pitches.iter().map(|p| format!("{p:#}")).collect::<Vec<_>>().join("+");
    let all: Vec<String> =
        plucks.iter().map(|(_, pitches, rolled)| format!("{}{}", if *rolled { "rolled " } else { "" }, strings(pitches))).collect();
    let mut figures: Vec<String> =
        made.decisions().iter().filter(|d| d.measure == index && d.notes != "rest").map(|d| spaced(&d.figure)).collect();
    figures.dedup();
    format!("{} ({})", figures.join(", then "), all.join(" "))
}

fn chosen(one: &Choices, two: &Choices) -> Vec<ChosenApart> {
    let (a, b) = (one.json(), two.json());
    let differs = |(name, about): &(&str, &'static str)| {
        let (one, two) = (&a[*name], &b[*name]);
        (one != two).then(|| ChosenApart { about, each: [said(name, one, two), said(name, two, one)] })
    };
    ABOUT.iter().filter_map(differs).collect()
}

/// A choice in words, beside the other version's: of a table only what is not the same, of a list of places how many there are.
fn said(name: &str, value: &Value, other: &Value) -> String {
    let count = |many: usize| if many == 0 { "none".into() } else { many.to_string() };
    match (name, value) {
        ("harp", Value::String(harp)) => called(harp),
        ("player" | "form", Value::Object(all)) => {
            let own: Vec<String> = all
                .iter()
                .filter(|(field, value)| other[*field] != **value)
                .map(|(field, value)| format!("{} {}", field.replace('_', " "), plain(value)))
                .collect();
            if own.is_empty() { "nothing of it".into() } else { own.join(", ") }
        }
        (_, Value::Object(all)) => count(all.len()),
        ("changes" | "keep", Value::Array(all)) => count(all.len()),
        (_, value) => plain(value),
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::Null => "not chosen".into(),
        Value::String(text) => music::as_read(&spaced(text)),
        Value::Array(all) if all.is_empty() => "not chosen".into(),
        Value::Array(all) => all.iter().map(plain).collect::<Vec<_>>().join(", "),
        other => other.to_string(),
    }
}

impl Apart {
    /// As lines for the command line.
    pub fn in_words(&self, names: [&str; 2]) -> String {
        let mut text = format!("{}\n", self.words);
        for ChosenApart { about, each } in &self.chosen {
            text += &format!("  {about}: {} in \"{}\", {} in \"{}\"\n", each[0], names[0], each[1], names[1]);
        }
        for MeasureApart { number, left, .. } in &self.measures {
            text += &format!("  {}\n    {}: {}\n    {}: {}\n", number.in_words(), names[0], left[0], names[1], left[1]);
        }
        text
    }
}
