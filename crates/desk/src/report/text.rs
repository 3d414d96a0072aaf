//! The report as text: short, in the order a harpist asks.

use super::{HarpFacts, Report, form, phrases, settings};
use super::{chords, remarks};
use crate::harps;
use crate::job::Job;
use crate::reader::Reader;
use crate::report::phrases::PhraseFigures;
use music::{Hand, MeasureNumber, as_read};

/// The most lines of phrases and of chords left out.
const MOST_LINES: usize = 24;
/// The most lines of chords taken away: that they were is a habit of hymns, which ones is asked for.
const MOST_THINNED: usize = 6;

/// The report on one tune.
pub fn full(report: &Report, job: &Job) -> String {
    let mut lines = Lines(format!("{}\n", heading(report)));
    for remark in &report.remarks {
        lines.add("To know", remark);
    }
    lines.add("Read", &what_was_read(report));
    if !report.tune.others.is_empty() {
        lines.add("", &others(report, job));
    }
    let chords = report.chords.as_ref();
    if let Some(line) = chords.and_then(|facts| chords::line(facts, Reader::CommandLine)) {
        lines.add("Chords", &line);
    }
    lines.list("Outside", &chords.map(|c| c.outside.clone()).unwrap_or_default(), MOST_THINNED);
    if report.key != report.tune.key {
        lines.add("Key", &as_read(&report.key));
    }
    lines.add("Kind", &format!("{} ({})", report.kind.name, report.kind.because));
    lines.add("Tempo", &remarks::tempo_line(job));
    lines.add("Harp", &harp_line(&report.harp));
    lines.add("Settings", &settings::line(&report.settings));
    lines.add("Fullness", &fullness(report));
    lines.list("Melody", &report.melody_below, MOST_LINES);
    lines.list("Added", &report.form.iter().map(form::line).collect::<Vec<_>>(), MOST_LINES);
    let verses = report.phrases.iter().map(|p| p.verse).max().unwrap_or(1);
    for (hand, label) in [(Hand::Left, "Left hand"), (Hand::Right, "Right hand")] {
        let of_hand: Vec<&PhraseFigures> = report.phrases.iter().filter(|p| p.hand == hand).collect();
        lines.list(label, &phrase_lines(&of_hand, verses), MOST_LINES);
    }
    lines.list("Thinned", &chords.map(chords::dropped_lines).unwrap_or_default(), MOST_THINNED);
    lines.list("Left out", &report.left_out, MOST_LINES);
    lines.list("Written", &report.files, usize::MAX);
    lines.0
}

/// Labelled lines, the labels in a column of their own.
struct Lines(String);

impl Lines {
    fn add(&mut self, label: &str, what: &str) {
        self.0 += &format!("  {label:<11}{what}\n");
    }

    /// A line each, the label before the first; beyond `most` they are counted.
    fn list(&mut self, label: &str, all: &[String], most: usize) {
        for (number, what) in all.iter().enumerate().take(most) {
            self.add(if number == 0 { label } else { "" }, what);
        }
        if all.len() > most {
            self.add("", &format!("and {} more (all of them with --json)", all.len() - most));
        }
    }
}

/// One tune of several: a line, and one for each remark.
pub fn short(report: &Report) -> String {
    let files = match report.files.as_slice() {
        [] => "nothing written".to_owned(),
        [one] => one.clone(),
        [first, others @ ..] => format!("{first} and {} more", others.len()),
    };
    let mut text = format!("{}: {}, {}, {}; {files}\n", heading(report), what_was_read(report), report.kind.name, report.tempo.words);
    for remark in &report.remarks {
        text += &format!("  {remark}\n");
    }
    text
}

fn heading(report: &Report) -> String {
    match &report.tune.composer {
        Some(composer) if !composer.trim().is_empty() => format!("{} ({})", report.tune.title, composer.trim()),
        _ => report.tune.title.clone(),
    }
}

/// "16 measures of 6/8 in G major, 24 chord symbols, 2 verses of words".
fn what_was_read(report: &Report) -> String {
    let tune = &report.tune;
    let mut text = format!("{} of {} in {}", counted(tune.measures, "measure"), tune.meters.join(" and "), as_read(&tune.key));
    text += &format!(", {}", counted(tune.chord_symbols, "chord symbol"));
    if tune.verses_of_words > 0 {
        text += &format!(", {} of words", counted(tune.verses_of_words as usize, "verse"));
    }
    text
}

fn counted(number: usize, thing: &str) -> String {
    match number {
        0 => format!("no {thing}s"),
        1 => format!("1 {thing}"),
        n => format!("{n} {thing}s"),
    }
}

fn others(report: &Report, job: &Job) -> String {
    let tunes = &report.tune.others;
    let which = if job.chosen.is_some() { "this is the one you asked for" } else { "this is the first" };
    let mut named: Vec<String> = tunes.iter().take(8).map(|title| format!("\"{title}\"")).collect();
    if tunes.len() > named.len() {
        named.push("…".into());
    }
    format!("the file has {} tunes and {which}; --tune takes the number in another's X: line ({})", tunes.len(), named.join(", "))
}

fn harp_line(harp: &HarpFacts) -> String {
    let name = match harps::called(&harp.name) {
        preset if harps::is_preset(&harp.name) => preset,
        own => format!("{own}, {} strings", harp.strings),
    };
    format!("{name}; {} to {}, {}", harp.lowest, harp.highest, open_strings(harp))
}

/// How the open strings are tuned.
pub fn open_strings(harp: &HarpFacts) -> String {
    if harp.tuning.is_empty() { "open strings natural".into() } else { as_read(&format!("open strings {}", harp.tuning.join(" "))) }
}

fn fullness(report: &Report) -> String {
    let numbers: Vec<String> = report.wishes.fullness.iter().map(u8::to_string).collect();
    match numbers.as_slice() {
        [one] => format!("{one} of 6"),
        many => format!("{} of 6, a number for each verse", many.join(", ")),
    }
}

/// Phrases with the same figures share a line, verse by verse: "measures 1-4 and 9-12: open arpeggio".
fn phrase_lines(all: &[&PhraseFigures], verses: usize) -> Vec<String> {
    let mut lines: Vec<(usize, Vec<MeasureNumber>, String)> = Vec::new();
    for phrase in all {
        let words = phrases::in_words(phrase);
        match lines.iter_mut().find(|(verse, _, figures)| *verse == phrase.verse && *figures == words) {
            Some((_, measures, _)) => measures.extend(&phrase.measures),
            None => lines.push((phrase.verse, phrase.measures.clone(), words)),
        }
    }
    let line = |(verse, measures, figures): &(usize, Vec<MeasureNumber>, String)| {
        let own = measures.first().is_none_or(|m| m.part == music::Part::Tune);
        let verse = if verses > 1 && own { format!("verse {verse}, ") } else { String::new() };
        format!("{verse}{}: {figures}", remarks::in_measures(measures))
    };
    lines.iter().map(line).collect()
}
