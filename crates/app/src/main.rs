//! The program: arranges a tune with chord symbols for two hands on a harp, and says why.
//!
//! One file a command in [`commands`]; [`arguments`] is what was typed, [`opener`] arranges a tune by it, [`browser`] shows the page, [`write`](mod@write) what is written, [`screen`] prints, [`drawing`] lends the engraver to the page in the
//! browser. A tune's way from its file to a report is in the crate `desk`. This crate knows all the others and decides nothing musical itself.

mod arguments;
mod opener;
mod browser;
mod commands;
mod write;
mod screen;
mod drawing;

use arguments::folder::OpenArguments;
use arguments::{Arguments, Command};
use desk::{failure, harps, job, player, read, report, wishes};
use std::process::ExitCode;

fn main() -> ExitCode {
    let outcome = match Arguments::typed().command.unwrap_or_else(|| Command::Open(OpenArguments::default())) {
        Command::Open(arguments) => commands::open::run(&arguments),
        Command::Arrange(arguments) => commands::arrange::run(&arguments),
        Command::Explain(arguments) => commands::explain::run(&arguments),
        Command::Figures(arguments) => commands::figures::run(&arguments),
        Command::Keys(arguments) => commands::keys::run(&arguments),
        Command::Check(arguments) => commands::check::run(&arguments),
        Command::Chords(arguments) => commands::chords::run(&arguments),
        Command::Places(arguments) => commands::places::run(&arguments),
        Command::Cues(arguments) => commands::cues::run(&arguments),
        Command::Ladder(arguments) => commands::ladder::run(&arguments),
        Command::Drills(arguments) => commands::drills::run(&arguments),
        Command::Sight(arguments) => commands::sight::run(&arguments),
        Command::Export(arguments) => commands::export::export(&arguments),
        Command::Import(arguments) => commands::export::import(&arguments),
        Command::Set(arguments) => commands::set::run(&arguments),
        Command::Versions(arguments) => commands::versions::run(&arguments),
        Command::Levels(arguments) => commands::levels::run(&arguments),
        Command::Harps(arguments) => commands::harps::run(&arguments),
        Command::Doctor(arguments) => commands::doctor::run(&arguments),
        Command::WritePapers(arguments) => commands::papers::run(&arguments),
        Command::DrawPages => drawing::child::run(),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            screen::say(&failure);
            ExitCode::from(failure.exit_code())
        }
    }
}
