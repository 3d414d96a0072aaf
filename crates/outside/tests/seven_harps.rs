//! The check of our own pages on seven harps: of every note it says what the arranger said first, in the same words, and nothing more.

use arrange::{Arrangement, Figures, Wishes, arrange};
use check::rules::{self, Scene};
use check::{Finding, Gravity, Rule};
use formats::{ReadOptions, read};
use harp::{Instrument, Player};
use music::{Beats, LeadSheet, Place};
use outside::facts::{self, Facts};
use std::collections::BTreeSet;
use std::path::Path;

const HARPS: [&str; 7] = ["lever-22", "lever-26", "lever-34", "lever-38", "pedal-40", "pedal-46", "pedal-47"];

/// One tune of the corpus in so many is enough to meet every kind of note that cannot be played.
const EVERY: usize = 2;

fn harps() -> Vec<Instrument> {
    HARPS.iter().map(|name| desk::harps::harp(name).unwrap_or_else(|e| panic!("{name}: {e:?}"))).collect()
}

/// What is said of a note: where, and in which words.
type Said = (Place, String);

fn announced(made: &Arrangement) -> BTreeSet<Said> {
    made.plan.settled.page.missing.iter().map(|m| (Place { measure: m.measure, at: m.at }, m.to_string())).collect()
}

/// Whether a finding is about what the harp has and about its levers or pedals.
fn of_the_harp(finding: &Finding) -> bool {
    let rules = [Rule::NoString, Rule::NoPitch, Rule::Together, Rule::MoveWithoutTime, Rule::MoveWhileSounding, Rule::PrintedMarks];
    rules.contains(&finding.rule)
}

/// How many notes of a tune cannot be played on a harp; the page as written and read back is checked.
fn checked(name: &str, sheet: &LeadSheet, harp: &Instrument) -> usize {
    let player = Player::default();
    let made = arrange(sheet, &Figures::own(), harp, &player, &Wishes::default()).unwrap_or_else(|e| panic!("{name}: {e}"));
    let text = formats::musicxml::write::write(&made.score);
    let page = formats::musicxml::read_score(text.as_bytes(), &Default::default()).unwrap_or_else(|e| panic!("{name}: {e}")).score;
    let found = rules::all(&Scene::new(&page, harp, &player));
    let said: BTreeSet<Said> = found.iter().filter(|f| of_the_harp(f)).map(|f| (f.place, f.text.clone())).collect();
    assert_eq!(said, announced(&made), "{name} on {}: the check on the left, the arranger on the right", harp.name);
    let more: Vec<&Finding> = found.iter().filter(|f| f.gravity == Gravity::Cannot && !of_the_harp(f)).collect();
    assert!(more.is_empty(), "{name} on {}: {more:?}", harp.name);
    said.len()
}

#[test]
fn demo_tunes_on_seven_harps() {
    let mut files: Vec<_> =
        std::fs::read_dir(Path::new("../../data/tunes")).expect("the demo tunes").map(|f| f.expect("a file").path()).collect();
    files.sort();
    for file in files.iter().filter(|f| f.extension().is_some_and(|e| e == "abc")) {
        let bytes = std::fs::read(file).expect("a demo tune");
        let sheet = read(&bytes, &ReadOptions::default()).unwrap_or_else(|e| panic!("{}: {e}", file.display())).sheet;
        for harp in harps() {
            checked(&sheet.words.title, &sheet, &harp);
        }
    }
}

/// Accidentals at paces at which some harp cannot follow. Our own.
const SHARPS: [&str; 4] = [
    "X:1\nM:3/4\nL:1/4\nQ:1/4=160\nK:C\n\"C\"c e g|\"C#dim\"^c e g|\"Dm\"d f a|\"D#dim\"^d ^f a|\"E\"e ^g b|\"F\"f a c'|\"F#\"^f ^a ^c'|\"G7\"g3|\"C\"c3|]\n",
    "X:1\nM:4/4\nL:1/8\nQ:1/4=120\nK:G\n|:\"G\"g^gab \"C\"c'=c'b^a|\"D7\"d'^c'=c'b a^ga=g|\"G\"g4 {^g}a2 g2:|\n",
    "X:1\nM:4/4\nL:1/4\nQ:1/4=60\nK:Ab\n|:\"Ab\"A _c' =d' e|\"Db\"_d f =e _g|\"Eb7\"e ^f g _f|\"Ab\"A4:|\n",
    "X:1\nM:4/4\nL:1/4\nQ:1/4=100\nK:D\n\"D\"D, A, d ^d|\"A\"e ^e ^f a|\"G\"[gb] ^g [^gb] =g|\"D\"d4|]\n",
];

#[test]
fn made_tunes_on_seven_harps() {
    let mut notes = 0;
    for (index, tune) in SHARPS.iter().enumerate() {
        let sheet = read(tune.as_bytes(), &ReadOptions::default()).expect("a made tune").sheet;
        notes += harps().iter().map(|harp| checked(&format!("made tune {index}"), &sheet, harp)).sum::<usize>();
    }
    assert!(notes > 20, "only {notes} notes that cannot be played");
}

#[test]
fn tunes_of_the_corpus_on_seven_harps() {
    let (mut tunes, mut notes) = (0, 0);
    for format in ["abc", "musicxml"] {
        let facts: Facts = facts::load(format);
        for tune in facts.enough().filter(|t| t.error.is_none()).step_by(EVERY) {
            let path = facts.root.join(&tune.file);
            let bytes = std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            let Ok(imported) = read(&bytes, &ReadOptions { tune: tune.tune, part: None }) else { continue };
            // A file without bar lines is one measure, longer than the reader of pages takes.
            let long = imported.sheet.measures.iter().any(|m| m.frame.length > Beats::WHOLE * 64);
            if imported.sheet.has_chords() && !long {
                tunes += 1;
                let name = format!("{} {}", tune.file, tune.tune.unwrap_or(1));
                notes += harps().iter().map(|harp| checked(&name, &imported.sheet, harp)).sum::<usize>();
            }
        }
    }
    assert!(tunes > 10 && notes > 0, "{notes} notes in {tunes} tunes: too few to show anything");
}
