//! Chords for a bare melody beside the chords that tunes are known with, and the fitting of the program's tables.
//!
//!     bare FOLDER … [--tell] [--write FOLDER]
//!
//! Each FOLDER holds ABC or MusicXML files with chord symbols, which are hidden from the search. Five folds by melody: a tune is never compared under tables that it
//! was counted or fitted in.

use harmony::bare::palette::Numeral;
use harmony::bare::table::{Counts, Habits, Worths};
use harmony::bare::{Plan, Version};
use music::Chord;
use outside::bare::baselines::Baselines;
use outside::bare::score::{Agreement, agreement, in_words};
use outside::bare::{Case, corpus, counts, fit};
use std::path::PathBuf;

const FOLDS: usize = 5;

fn fold(case: &Case) -> usize {
    ((case.melody as u64).wrapping_mul(2_654_435_761) >> 7) as usize % FOLDS
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let told = arguments.iter().any(|a| a == "--tell");
    let arguments: Vec<String> = arguments.into_iter().filter(|a| a != "--tell").collect();
    let write = arguments.iter().position(|a| a == "--write");
    let folders: Vec<PathBuf> = arguments[..write.unwrap_or(arguments.len())].iter().map(PathBuf::from).collect();
    let mut cases: Vec<Case> = Vec::new();
    let mut of = Vec::new();
    for (i, folder) in folders.iter().enumerate() {
        let found = corpus::folder(folder);
        of.extend(std::iter::repeat_n(i, found.len()));
        cases.extend(found);
    }
    corpus::number(&mut cases);
    if let Some(target) = write.and_then(|i| arguments.get(i + 1)) {
        return self::write(&PathBuf::from(target), &cases);
    }
    let names = ["tonic throughout", "unigram", "bigram", "three chords", "fuller"];
    let mut found: Vec<Vec<(usize, usize, Agreement)>> = vec![Vec::new(); names.len()];
    for out in 0..FOLDS {
        let (worths, habits) = tables(&cases.iter().filter(|c| fold(c) != out).collect::<Vec<_>>());
        let base = Baselines::of(cases.iter().filter(|c| fold(c) != out));
        for (case, of) in cases.iter().zip(&of).filter(|(c, _)| fold(c) == out) {
            let [three, fuller] = {
                let plan = Plan::of(&case.sheet, &worths, &habits);
                [Version::ThreeChord, Version::Fuller].map(|v| plan.chords(v))
            };
            let spelled = |row: Vec<Numeral>| -> Vec<Chord> {
                case.ground.spots.iter().zip(row).map(|(s, n)| n.chord(case.ground.tonic(s))).collect()
            };
            let rows = [spelled(Baselines::tonic(case)), spelled(base.unigram(case)), spelled(base.bigram(case)), three, fuller];
            if told {
                tell(case, &rows);
            }
            for (row, found) in rows.iter().zip(&mut found) {
                found.push((*of, case.melody, agreement(case, row)));
            }
        }
    }
    for (i, folder) in folders.iter().enumerate() {
        println!("{} ({} tunes)", folder.display(), of.iter().filter(|o| **o == i).count());
        for (name, found) in names.iter().zip(&found) {
            let here: Vec<(usize, Agreement)> = found.iter().filter(|f| f.0 == i).map(|f| (f.1, f.2)).collect();
            println!("  {name:<18} {}", in_words(&here));
        }
    }
}

/// What is added by ear to the fitted worths: what a player would not do although lead sheets of songs have it (dominants that the tune does not ask for, rests far from home).
const BY_EAR: [(&str, i64); 5] = [("foreign", -70), ("rests-far", -80), ("full-close", 60), ("full-rest", 50), ("back-at-close", -150)];

fn by_ear(mut worths: Worths) -> Worths {
    for (name, more) in BY_EAR {
        let place = harmony::bare::cues::names().iter().position(|n| n == name).expect("a cue of this name");
        worths.0[place] += more;
    }
    worths
}

fn tables(cases: &[&Case]) -> (Worths, Habits) {
    let (worths, counts) = fitted(cases);
    (worths, Habits::of(&counts))
}

fn fitted(cases: &[&Case]) -> (Worths, Counts) {
    let counts = counts::count(cases.iter().copied());
    let habits = Habits::of(&counts);
    let counted: Vec<fit::Counted> = cases.iter().map(|c| fit::Counted::of(c, &habits)).collect();
    (by_ear(fit::table(&fit::fit(&counted.iter().collect::<Vec<_>>()))), counts)
}

fn write(target: &std::path::Path, cases: &[Case]) {
    let (worths, counts) = fitted(&cases.iter().collect::<Vec<_>>());
    let mut text = String::from(WORTHS);
    for (name, worth) in harmony::bare::cues::names().iter().zip(&worths.0) {
        text.push_str(&format!("{name:<20} {worth:>5}\n"));
    }
    std::fs::write(target.join("worths.txt"), text).expect("the table can be written");
    std::fs::write(target.join("habits.txt"), String::from(HABITS) + &counts.write()).expect("the table can be written");
}

/// A line a measure: its notes, the known chords, the three chords, the fuller ones.
fn tell(case: &Case, rows: &[Vec<Chord>]) {
    let tonics: Vec<String> = case.ground.tonics.iter().map(|t| t.key().to_string()).collect();
    let share = |row: &Vec<Chord>| agreement(case, row).shares()[0];
    println!(
        "{}: written {}, found {}, agreement {:.2} {:.2}",
        case.name,
        case.sheet.measures[0].frame.key,
        tonics.join(" | "),
        share(&rows[3]),
        share(&rows[4])
    );
    for (m, measure) in case.sheet.measures.iter().enumerate() {
        let known: Vec<String> = case.truth.iter().filter(|t| t.0 == m).map(|t| t.3.to_string()).collect();
        let row = |row: &Vec<Chord>| {
            let here = case.ground.spots.iter().zip(row).filter(|(s, _)| s.measure == m);
            here.map(|(_, c)| c.to_string()).collect::<Vec<_>>().join(" ")
        };
        let part = case.ground.spots.iter().find(|s| s.measure == m).map_or("-", |s| s.part.name());
        println!(
            "  {:>3} {part:<11} {:<24} {:<16} {:<16} {}",
            measure.frame.number,
            known.join(" "),
            row(&rows[3]),
            row(&rows[4]),
            music::text::show(&measure.notes)
        );
    }
}

const WORTHS: &str = "\
# What each cue is worth for a chord under a bare melody: hundredths of log odds, the sum counts.
#
# Fitted once, never while the program runs (`cargo run --release -p outside --example bare`), as the likeliest chords among all: on the chords of 20 lead sheets in the public
# domain (OpenEWLD, songs first performed by 1928) and of 60 dance tunes of the Nottingham Music Database. Only these sums are here, no tune.
# has-TONE-PLACE: a note that is the chord's root, third, fifth or seventh; FIGURE-PLACE: a note that is not of the chord, by what it is to its neighbours; above-N: how far
# it lies above the root; strange-: a note foreign to the key, in the chord or outside it; usual- and follows: how usual the chord is there (habits.txt).
# By ear was added: foreign -70, rests-far -80, full-close 60, full-rest 50, back-at-close -150.
";

const HABITS: &str = "\
# How often chords were counted under melodies, as degrees above the tonic of their section.
#
# A line is a family (by the third above the tonic) and a part of a phrase, or `after` with the chord before a change; then chords and counts, one count a place where a chord
# may begin. From 20 lead sheets in the public domain (OpenEWLD, songs first performed by 1928) and 60 dance tunes of the Nottingham Music Database. These are sums; no tune is here.
";
