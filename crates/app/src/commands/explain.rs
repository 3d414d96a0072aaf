//! `undersong explain`: what was chosen for each measure, why, what came second and why not. Nothing is written.

use crate::arguments::ExplainArguments;
use crate::failure::Failure;
use crate::job::Setup;
use crate::read;
use crate::report::phrases::spaced;
use crate::report::{self, decisions};
use crate::wishes::tempo;
use arrange::Decision;

pub fn run(arguments: &ExplainArguments) -> Result<(), Failure> {
    let setup = Setup::new(&arguments.choices)?;
    let job = setup.arrange(&arguments.tune)?;
    for line in read::remarks(&arguments.tune, &job.imported.diagnostics) {
        eprintln!("{line}");
    }
    let mut decisions = setup.decisions(&job);
    if let Some(wanted) = arguments.measure {
        let last = decisions.iter().map(|d| d.number).max().unwrap_or(0);
        decisions.retain(|d| d.number == wanted);
        if decisions.is_empty() {
            return Err(Failure::wrong(format!("there is no measure {wanted}: the last is {last}")));
        }
    }
    let report = report::report(&job, &setup);
    if arguments.json {
        print!("{}", decisions::json(&decisions::file(&report, &decisions)));
        return Ok(());
    }
    println!("{}: {} in {}, {}", report.tune.title, report.kind.name, report.key, report.tempo.words);
    for remark in &report.remarks {
        println!("{remark}");
    }
    for (index, decision) in decisions.iter().enumerate() {
        let again = index > 0 && decisions[index - 1].measure == decision.measure;
        print!("\n{}", in_words(decision, again));
    }
    Ok(())
}

/// One decision as a paragraph. The place in the measure is said where the measure has more than one.
fn in_words(decision: &Decision, again: bool) -> String {
    let place = match (decision.at.is_zero(), again) {
        (true, _) => format!("Measure {}", decision.number),
        (false, _) => format!("Measure {}, after {}", decision.number, tempo::value(decision.at)),
    };
    let chord = if decision.chord.is_empty() { String::new() } else { format!(", {}", decision.chord) };
    let mut text = format!("{place}{chord}: {} ({})\n  {}\n", spaced(&decision.figure), decision.notes, sentence(&decision.why));
    for other in decision.alternatives.iter().skip(1) {
        text += &format!("  not {} ({}): {}\n", spaced(&other.figure), other.notes, other.why_not);
    }
    text
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}", letters.as_str())
}
