//! `undersong cues`: one page to improvise from for each tune.

use crate::arguments::practice::CuesArguments;
use crate::failure::Failure;
use crate::opener::Opener;
use crate::write::kinds::Kinds;
use crate::write::leaves::Leaves;
use crate::write::written::Others;
use crate::{read, screen};
use desk::practice::{cue_page, words};
use std::path::Path;

pub fn run(arguments: &CuesArguments) -> Result<(), Failure> {
    let kinds = Kinds::of(&arguments.write, &["pdf", "svg", "png"])?;
    let opener = Opener::new(&arguments.choices)?;
    let mut leaves = Leaves::new(&arguments.to.folder, kinds, &arguments.tunes, Others::of(arguments.to.force));
    let (mut failed, mut exit_code) = (0, 0);
    for tune in &arguments.tunes {
        match one(tune, &opener, &mut leaves) {
            Ok(text) => screen::print(&text)?,
            Err(failure) if arguments.tunes.len() == 1 => return Err(failure),
            Err(failure) => {
                screen::say(&failure);
                failed += 1;
                exit_code = exit_code.max(failure.exit_code());
            }
        }
    }
    screen::print(&leaves.in_words())?;
    if failed > 0 {
        screen::aside(&format!("{failed} of {} tunes have no cue sheet", arguments.tunes.len()));
        return Err(Failure::Said { exit_code });
    }
    Ok(())
}

fn one(tune: &Path, opener: &Opener, leaves: &mut Leaves) -> Result<String, Failure> {
    let (setup, job) = opener.open(tune)?;
    for line in read::problems(tune, &job.imported.diagnostics) {
        screen::aside(&line);
    }
    let name = leaves.name(&format!("{} - cue sheet", job.title()));
    leaves.sheet(&name, &cue_page::page(&setup, &job), tune)?;
    Ok(words::cues(&setup, &job))
}
