//! `undersong arrange`: tunes become pages and files. A tune that fails does not stop the others; the exit code says so.

use crate::arguments::ArrangeArguments;
use crate::failure::Failure;
use crate::job::Job;
use crate::opener::Opener;
use crate::read;
use crate::report::{self, Report, decisions, text};
use crate::screen;
use crate::write::Writer;
use crate::write::kinds::Kinds;
use crate::write::sound::Sounding;
use crate::write::written::Others;
use std::path::Path;

pub fn run(arguments: &ArrangeArguments) -> Result<(), Failure> {
    if let Some(file) = &arguments.book {
        return super::book::run(arguments, file);
    }
    let kinds = Kinds::read(&arguments.write)?;
    let opener = Opener::new(&arguments.choices)?;
    let sounding = Sounding::read(arguments.soundfont.as_deref(), arguments.concert.as_deref())?;
    let others = Others::of(arguments.to.force);
    let mut writer = Writer::new(&arguments.to.folder, kinds, sounding, &arguments.tunes, others)?.wished(&arguments.written)?;
    if let [tune] = arguments.tunes.as_slice() {
        let (job, report) = one(tune, &opener, &mut writer)?;
        return screen::print(&if arguments.json { decisions::json(&report) } else { text::full(&report, &job) });
    }
    several(arguments, &opener, &mut writer)
}

fn one(tune: &Path, opener: &Opener, writer: &mut Writer) -> Result<(Job, Report), Failure> {
    let (setup, job) = opener.open(tune)?;
    for line in read::problems(tune, &job.imported.diagnostics) {
        screen::aside(&line);
    }
    let mut report = report::report(&job, &setup);
    writer.write(&job, &setup, &mut report)?;
    Ok((job, report))
}

/// Each tune in turn; the exit code is that of the worst failure.
fn several(arguments: &ArrangeArguments, opener: &Opener, writer: &mut Writer) -> Result<(), Failure> {
    let (mut reports, mut failed, mut exit_code) = (Vec::new(), 0, 0);
    for tune in &arguments.tunes {
        match one(tune, opener, writer) {
            Ok((_, report)) if arguments.json => reports.push(report),
            Ok((_, report)) => screen::print(&text::short(&report))?,
            Err(failure) => {
                screen::say(&failure);
                failed += 1;
                exit_code = exit_code.max(failure.exit_code());
            }
        }
    }
    if arguments.json {
        screen::print(&decisions::json(&reports))?;
    } else if failed > 0 {
        screen::aside(&format!("{failed} of {} tunes could not be arranged", arguments.tunes.len()));
    }
    if failed == 0 { Ok(()) } else { Err(Failure::Said { exit_code }) }
}
