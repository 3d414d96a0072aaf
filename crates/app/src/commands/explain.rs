//! `undersong explain`: what was chosen for each measure, why, what came second and why not. Nothing is written.
//!
//! For one measure (`--measure`) it tells all: every alternative, what cannot be played there and, with `--prices`, the price and its parts.

use crate::arguments::ExplainArguments;
use crate::failure::Failure;
use crate::opener::Opener;
use crate::read;
use crate::report::chords::made;
use crate::report::phrases::spaced;
use crate::report::{self, decisions, form};
use crate::screen;
use crate::wishes::tempo;
use arrange::Decision;
use music::Hand;
use std::collections::BTreeMap;

pub fn run(arguments: &ExplainArguments) -> Result<(), Failure> {
    let (setup, job) = Opener::new(&arguments.choices)?.open(&arguments.tune)?;
    for line in read::problems(&arguments.tune, &job.imported.diagnostics) {
        screen::aside(&line);
    }
    let mut decisions = setup.decisions(&job);
    if let Some(wanted) = arguments.measure {
        let last = decisions.iter().filter_map(|d| d.number.in_the_tune()).max().unwrap_or(0);
        decisions.retain(|d| d.number == wanted);
        if decisions.is_empty() {
            return Err(Failure::wrong(format!("there is no measure {wanted}: the last is {last}")));
        }
    }
    let report = report::report(&job, &setup);
    if arguments.json {
        return screen::print(&decisions::json(&decisions::file(&report, &decisions)));
    }
    let mut text = format!("{}: {} in {}, {}\n", report.tune.title, report.kind.name, music::as_read(&report.key), report.tempo.words);
    for remark in &report.remarks {
        text += &format!("{remark}\n");
    }
    let mut second = None;
    for part in &report.form {
        text += &format!("{}.\n", sentence(&form::line(part)));
    }
    for decision in &decisions {
        text += &format!("\n{}", in_words(decision));
        let source = job.arrangement.score.measures.get(decision.measure).and_then(|m| m.source);
        if let Some(made) = source.and_then(|source| made::here(&job, source, decision.at, &decision.chord)) {
            text += &format!("  {} was made for the melody: {}.\n", music::as_read(&made.chord), made.why);
        }
        // One figure comes second in most measures of a phrase: it is told where it is another.
        let other = decision.alternatives.first().map(|a| (a.figure.as_str(), a.worth));
        let told = decision.second.as_ref().filter(|_| arguments.measure.is_some() || other != second);
        text += &told.map(|said| format!("  {said}\n")).unwrap_or_default();
        second = other.or(second);
        if arguments.measure.is_some() {
            let out = report.ways_out.iter().find(|o| o.measure == decision.number);
            text += &out.map(|o| format!("  To close early after it: {}\n", o.way)).unwrap_or_default();
            text += &at_length(decision, if arguments.prices { Told::WithPrices } else { Told::InWords });
        }
    }
    screen::print(&text)
}

/// Whether prices are told.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Told {
    InWords,
    WithPrices,
}

/// One decision as a paragraph. The place in the measure is said where it is not the start.
fn in_words(decision: &Decision) -> String {
    let after = if decision.at.is_zero() { String::new() } else { format!(", after {}", tempo::value(decision.at)) };
    let chord = if decision.chord.is_empty() { String::new() } else { format!(", {}", music::as_read(&decision.chord)) };
    format!(
        "{}{after}{chord}: {}\n  {}\n",
        sentence(&decision.number.in_words()),
        played(decision.hand, &decision.figure, &decision.notes),
        sentence(&decision.why)
    )
}

fn played(hand: Hand, figure: &str, notes: &str) -> String {
    match (notes, hand) {
        ("rest", Hand::Left) => "the left hand rests".into(),
        ("rest", Hand::Right) => "the right hand rests".into(),
        (notes, _) => format!("{} ({})", spaced(figure), music::as_read(notes)),
    }
}

/// Every alternative, and the figures that cannot be played here by reason; on wish the price with its parts.
fn at_length(decision: &Decision, told: Told) -> String {
    let parts: Vec<String> = decision.price.parts().map(|(principle, amount)| format!("{} {amount}", principle.name())).collect();
    let mut text = match told {
        Told::InWords => String::new(),
        Told::WithPrices => {
            format!("  Price {}: {}\n", decision.price.total(), if parts.is_empty() { "nothing".into() } else { parts.join(", ") })
        }
    };
    for other in &decision.alternatives {
        let price = if told == Told::WithPrices { format!(" (dearer by {})", other.extra) } else { String::new() };
        text += &format!("  Instead {}, {}{price}: {}\n", played(decision.hand, &other.figure, &other.notes), other.worth, other.why_not);
    }
    let mut by_reason: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (figure, reason) in &decision.left_out {
        by_reason.entry(reason).or_default().push(spaced(figure));
    }
    for (reason, figures) in by_reason {
        text += &format!("  Not {}: {reason}\n", figures.join(", "));
    }
    text
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}", letters.as_str())
}
