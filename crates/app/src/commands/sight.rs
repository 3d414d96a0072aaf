//! `undersong sight`: new melodies with chords to read at sight, by level and number.

use crate::arguments::practice::SightArguments;
use crate::failure::Failure;
use crate::screen;
use crate::write::kinds::Kinds;
use crate::write::leaves::Leaves;
use crate::write::written::Others;
use desk::choices::Choices;
use desk::practice::sheets;
use formats::midi;
use practice::sight::LEVELS;
use std::path::Path;

/// The most sheets of one run.
const MOST: u32 = 100;

pub fn run(arguments: &SightArguments) -> Result<(), Failure> {
    let Some(level) = arguments.level else {
        return screen::print(&LEVELS.iter().map(|l| format!("{}  {}\n", l.number, l.words)).collect::<String>());
    };
    let first = arguments.number;
    if arguments.count > MOST {
        return Err(Failure::wrong(format!("{} sheets at once: expected 1 to {MOST}", arguments.count)));
    }
    let (abc, drawn): (Vec<String>, Vec<String>) = arguments.write.iter().cloned().partition(|w| w.trim().eq_ignore_ascii_case("abc"));
    let kinds = Kinds::of(&drawn, &["pdf", "svg", "png", "musicxml", "midi", "abc"])?;
    let mut leaves = Leaves::new(&arguments.to.folder, kinds, &[], Others::of(arguments.to.force));
    let choices = Choices { harp: arguments.harp.clone(), fullness: vec![0], ..Choices::default() };
    let mut text = String::new();
    for number in first..first.saturating_add(arguments.count) {
        let sheet = sheets::sheet(level, number)?;
        let (name, from) = (leaves.name(&sheet.title), Path::new("a sheet to read at sight"));
        if kinds != Kinds::default() {
            let worktable = sheets::worktable(Path::new("."), &sheet, &choices)?;
            leaves.score(&name, &sheets::lead_sheet(&worktable), from)?;
            if kinds.midi {
                leaves.save(&format!("{name}.mid"), &midi::write(&worktable.job.arrangement.score), from)?;
            }
        }
        if !abc.is_empty() {
            leaves.save(&format!("{name}.abc"), sheet.abc().as_bytes(), from)?;
        }
        text += &format!("{}\n", sheet.abc());
    }
    screen::print(&(text.trim_end().to_owned() + "\n" + &leaves.in_words()))
}
