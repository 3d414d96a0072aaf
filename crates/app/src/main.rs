//! The program: arranges a tune with chord symbols for two hands on a harp, and says why.
//!
//! One file a command in [`commands`]. The rest in the order of the work: [`arguments`] what was typed, [`read`] the tune, [`wishes`] what the player
//! asks for, [`harps`] and [`player`] her instrument and her hands, [`report`] what is said, [`write`] what is written; [`screen`] prints. This crate knows all the others and
//! decides nothing musical itself.

mod arguments;
mod commands;
mod read;
mod wishes;
mod harps;
mod player;
mod toml_file;
mod job;
mod report;
mod write;
mod screen;
mod failure;

use arguments::{Arguments, Command};
use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    let outcome = match Arguments::parse().command {
        Command::Arrange(arguments) => commands::arrange::run(&arguments),
        Command::Explain(arguments) => commands::explain::run(&arguments),
        Command::Figures(arguments) => commands::figures::run(&arguments),
        Command::Keys(arguments) => commands::keys::run(&arguments),
        Command::Check(arguments) => commands::check::run(&arguments),
        Command::Harps(arguments) => commands::harps::run(&arguments),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            failure.say();
            ExitCode::from(failure.exit_code())
        }
    }
}
