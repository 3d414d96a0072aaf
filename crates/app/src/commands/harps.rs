//! `undersong harps`: the harps that come with the program; `harps show` prints one as a file to copy and change.

use crate::arguments::{HarpsArguments, HarpsCommand};
use crate::failure::Failure;
use crate::harps::{self, PRESETS};
use crate::report::harp_facts;

pub fn run(arguments: &HarpsArguments) -> Result<(), Failure> {
    if let Some(HarpsCommand::Show { name }) = &arguments.command {
        let file = harps::file(name)?;
        harps::read(&file)?;
        print!("{}", file.text);
        return Ok(());
    }
    for preset in PRESETS {
        let harp = harp_facts(&harps::harp(preset.name)?);
        let tuning = if harp.tuning.is_empty() { "all naturals".into() } else { harp.tuning.join(" ") };
        println!("{:<10} {} strings, {} to {}, {}, open strings {tuning}", harp.name, harp.strings, harp.lowest, harp.highest, harp.changed_by);
    }
    println!("\nMakers differ: \"undersong harps show lever-34\" prints a file to change and give back with --harp.");
    Ok(())
}
