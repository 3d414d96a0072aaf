//! Runs the ladder, the cue sheet and the drills over a folder of tunes: `cargo run --release -p practice --example folder -- FOLDER [words]`.
//!
//! It says of each tune the price of every step, what is left out, and whether anything breaks what must hold; with "words" also the cue sheet and the drills in words.

use arrange::{Figures, Wishes, arrange};
use harp::{Instrument, Player};
use practice::ladder::StepPage;
use practice::{CueSheet, Ladder, Lesson, drills::drills};
use std::path::PathBuf;

fn main() {
    let mut given = std::env::args().skip(1);
    let folder = given.next().expect("a folder of tunes");
    let words = given.next().is_some_and(|w| w == "words");
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).expect("a folder").map(|f| f.expect("a file").path()).collect();
    files.sort();
    let (figures, harp, player) = (Figures::own(), Instrument::lever_34(), Player::default());
    let (mut tunes, mut bad) = (0, 0);
    for path in files.iter().filter(|p| p.extension().is_some_and(|e| e == "abc")) {
        let bytes = std::fs::read(path).expect("a tune");
        let Ok(imported) = formats::read(&bytes, &formats::ReadOptions::default()) else { continue };
        let wishes = Wishes::default();
        let Ok(made) = arrange(&imported.sheet, &figures, &harp, &player, &wishes) else { continue };
        let lesson = Lesson { sheet: &imported.sheet, figures: &figures, harp: &harp, player: &player, wishes: &wishes, made: &made };
        tunes += 1;
        println!("{}", path.file_stem().unwrap_or_default().to_string_lossy());
        bad += look(&lesson, words);
    }
    println!("{tunes} tunes, {bad} faults");
}

/// Prints what there is of a tune; gives back how many things are not as they must be.
fn look(lesson: &Lesson, words: bool) -> usize {
    let mut bad = 0;
    let ladder = Ladder::of(lesson);
    let steps: Vec<String> = ladder.steps.iter().map(|s| s.price.map_or(s.name.clone(), |price| format!("{} {price}", s.name))).collect();
    println!("    {}", steps.join(", "));
    ladder.left_out.iter().for_each(|out| println!("    without {}: {}", out.name, out.why));
    let prices: Vec<i64> = ladder.steps.iter().filter_map(|s| s.price).collect();
    bad += usize::from(!prices.windows(2).all(|pair| pair[0] < pair[1]));
    for step in &ladder.steps {
        if let StepPage::BothHands(page) = &step.page {
            bad += usize::from(practice::ladder::made::cannot(lesson, page));
        }
    }
    let sheet = CueSheet::of(lesson);
    let drills = drills(lesson);
    let measures = lesson.made.score.measures.len();
    bad += drills.iter().filter(|d| d.stretch.last >= measures || d.calls.iter().any(|c| c.holds >= measures)).count();
    println!("    {} phrases, {} drills", sheet.phrases.len(), drills.len());
    if words {
        for phrase in &sheet.phrases {
            let line = |m: &practice::cues::CueMeasure| m.chords.iter().map(|c| c.text.clone()).collect::<Vec<_>>().join(" ");
            let chords: Vec<String> = phrase.measures.iter().map(line).collect();
            let verse = &phrase.verses[0];
            let shape = verse.picture.as_ref().map(|p| {
                p.plucks
                    .iter()
                    .map(|k| {
                        k.touches.iter().map(|t| format!("{}({})", t.pitch, t.finger.unwrap_or_default())).collect::<Vec<_>>().join("+")
                    })
                    .collect::<Vec<_>>()
                    .join(" ")
            });
            println!(
                "    {} {} | {} | {} {} {}",
                phrase.letter,
                phrase.heading.clone().unwrap_or_default(),
                chords.join(" | "),
                verse.figure,
                verse.fullness,
                shape.unwrap_or_default()
            );
        }
        for drill in &drills {
            println!("    {}: {}", drill.kind.title(), drill.title);
            drill.steps.iter().for_each(|s| println!("        {s}"));
        }
    }
    bad
}
