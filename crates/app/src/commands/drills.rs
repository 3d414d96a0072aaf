//! `undersong drills`: short tasks from the places of a tune that are dearest for her hand.

use crate::arguments::practice::DrillsArguments;
use crate::failure::Failure;
use crate::opener::Opener;
use crate::{read, screen};
use desk::practice::{lesson, words};
use practice::drills::{drills, note};

pub fn run(arguments: &DrillsArguments) -> Result<(), Failure> {
    let (setup, job) = Opener::new(&arguments.choices)?.open(&arguments.tune)?;
    for line in read::problems(&arguments.tune, &job.imported.diagnostics) {
        screen::aside(&line);
    }
    let lesson = lesson(&setup, &job);
    let drills = drills(&lesson);
    screen::print(&words::drills(&job.title(), &drills, note(&lesson, &drills)))
}
