//! `undersong write-papers FOLDER`: the pages of the manual and the completions for terminals, made of what can be typed, for whoever packs the program.

use crate::arguments::{Arguments, PapersArguments};
use crate::failure::Failure;
use clap::CommandFactory;
use clap_complete::Shell;
use clap_mangen::Man;
use std::path::Path;

const NAME: &str = "undersong";
const SHELLS: [Shell; 3] = [Shell::Bash, Shell::Zsh, Shell::Fish];

/// What stands at the end of the manual's first page, in its own markup.
const END: &str = include_str!("papers/end.1");

/// Errors: the folder cannot be written.
pub fn run(arguments: &PapersArguments) -> Result<(), Failure> {
    let [manual, completions] = ["man", "completions"].map(|name| arguments.folder.join(name));
    for folder in [&manual, &completions] {
        std::fs::create_dir_all(folder).map_err(|error| Failure::world("cannot make the folder", folder, &error))?;
    }
    let mut command = Arguments::command().disable_help_subcommand(true);
    command.build();
    pages(&command, &manual)?;
    for shell in SHELLS {
        let written = clap_complete::generate_to(shell, &mut Arguments::command(), NAME, &completions);
        written.map_err(|error| Failure::world("cannot save", &completions, &error))?;
    }
    Ok(())
}

/// A page for the command and one for each below it that is not hidden.
fn pages(command: &clap::Command, folder: &Path) -> Result<(), Failure> {
    let name = command.get_display_name().unwrap_or(command.get_name()).to_owned();
    let path = folder.join(format!("{name}.1"));
    let mut text = Vec::new();
    let cannot = |error| Failure::world("cannot save", &path, &error);
    Man::new(command.clone()).manual("Undersong").render(&mut text).map_err(cannot)?;
    if name == NAME {
        text.extend_from_slice(END.as_bytes());
    }
    std::fs::write(&path, text).map_err(cannot)?;
    command.get_subcommands().filter(|below| !below.is_hide_set()).try_for_each(|below| pages(below, folder))
}
