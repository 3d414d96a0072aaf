//! Cue sheets, ladders and drills in words: what the commands print.

use super::lesson;
use crate::job::{Job, Setup};
use practice::cues::{CueMeasure, PhraseCue};
use practice::ladder::StepPage;
use practice::{CueSheet, Drill, Ladder, Step};

/// A cue sheet, a line a phrase.
pub fn cues(setup: &Setup, job: &Job) -> String {
    let sheet = CueSheet::of(&lesson(setup, job));
    let mut text = format!("{}: {:#}, {}\n", job.title(), sheet.key, sheet.meter);
    sheet.phrases.iter().for_each(|phrase| text += &phrase_line(phrase));
    text
}

fn phrase_line(phrase: &PhraseCue) -> String {
    let chords = |m: &CueMeasure| m.chords.iter().map(|c| c.text.as_str()).collect::<Vec<_>>().join(" ");
    let whole: Vec<String> = phrase.measures.iter().filter(|m| !m.pickup).map(chords).collect();
    let figures: Vec<String> = phrase.verses.iter().map(|v| format!("{}, fullness {}", v.figure, v.fullness)).collect();
    let first = phrase.measures.iter().find(|m| !m.pickup).map_or_else(String::new, |m| m.number.to_string());
    let heading = phrase.heading.as_ref().map_or_else(String::new, |h| format!(" ({h})"));
    let out = phrase.out.as_ref().map_or_else(String::new, |out| format!("; out: {out}"));
    format!("  {:<3}{first:>3}  | {} |{heading}\n          {}{out}\n", phrase.letter, whole.join(" | "), figures.join("; verse 2 on: "))
}

/// A ladder, a paragraph a step.
pub fn ladder(title: &str, ladder: &Ladder) -> String {
    let mut text = format!("{title}: {} steps\n", ladder.steps.len());
    if let Some(note) = &ladder.note {
        text += &format!("\n{note}\n");
    }
    for (number, step) in (1..).zip(&ladder.steps) {
        text += &self::step(number, step);
    }
    if !ladder.left_out.is_empty() {
        text += "\nLeft out:\n";
    }
    for out in &ladder.left_out {
        text += &format!("  {}: {}\n", out.title, out.why);
    }
    text
}

fn step(number: usize, step: &Step) -> String {
    let listen = if step.listen.is_empty() { String::new() } else { format!("     Listen: {}\n", step.listen) };
    format!("\n{number:>3}. {}\n     {}\n{listen}     Passed: {}\n", step.title, step.new, step.pass)
}

/// What lies on the stand for a step, for a file's name.
pub fn page_name(number: usize, step: &Step) -> String {
    format!("{number:02} {}", step.title)
}

/// Whether a left hand is written for a step.
pub fn is_written(step: &Step) -> bool {
    matches!(step.page, StepPage::BothHands(_))
}

/// Drills, a paragraph each.
pub fn drills(title: &str, drills: &[Drill], note: Option<&str>) -> String {
    let mut text = format!("{title}: {} {}\n", drills.len(), if drills.len() == 1 { "drill" } else { "drills" });
    if let Some(note) = note {
        text += &format!("{note}\n");
    }
    for drill in drills {
        text += &format!("\n{}: {}\n", drill.kind.title(), drill.title);
        for (number, step) in (1..).zip(&drill.steps) {
            text += &format!("  {number}. {step}\n");
        }
    }
    text
}
