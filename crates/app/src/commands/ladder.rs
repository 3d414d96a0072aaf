//! `undersong ladder`: a tune in practice steps, in words and, on wish, with the page of each.

use crate::arguments::practice::LadderArguments;
use crate::failure::Failure;
use crate::opener::Opener;
use crate::write::kinds::Kinds;
use crate::write::leaves::Leaves;
use crate::write::written::Others;
use crate::{read, screen};
use desk::one_staff::{self, Tempo};
use desk::practice::{cue_page, lesson, words};
use formats::{midi, musicxml};
use practice::Ladder;
use practice::ladder::StepPage;

pub fn run(arguments: &LadderArguments) -> Result<(), Failure> {
    let kinds = Kinds::of(&arguments.write, &["pdf", "svg", "png", "musicxml", "midi"])?;
    let tune = &arguments.tune;
    let (setup, job) = Opener::new(&arguments.choices)?.open(tune)?;
    for line in read::problems(tune, &job.imported.diagnostics) {
        screen::aside(&line);
    }
    let ladder = Ladder::of(&lesson(&setup, &job));
    let mut leaves = Leaves::new(&arguments.to.folder, kinds, std::slice::from_ref(tune), Others::of(arguments.to.force));
    let title = job.title();
    for (number, step) in (1..).zip(&ladder.steps) {
        let name = leaves.name(&format!("{title} - {}", words::page_name(number, step)));
        match &step.page {
            StepPage::CueSheet => leaves.sheet(&name, &cue_page::page(&setup, &job), tune)?,
            StepPage::LeadSheet => {
                let whole = musicxml::write::write(ladder.lead(&job.arrangement));
                leaves.score(&name, &one_staff::upper(&whole, Tempo::Written), tune)?;
            }
            StepPage::BothHands(made) => {
                leaves.score(&name, &musicxml::write::write(&made.score), tune)?;
                if kinds.midi {
                    leaves.save(&format!("{name}.mid"), &midi::write(&made.score), tune)?;
                }
            }
        }
    }
    screen::print(&(words::ladder(&title, &ladder) + &leaves.in_words()))
}
