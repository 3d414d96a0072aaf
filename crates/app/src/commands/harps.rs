//! `undersong harps`: the harps that come with the program; `harps show` prints one as a file to copy and change.

use crate::arguments::{HarpsArguments, HarpsCommand};
use crate::failure::Failure;
use crate::harps::{self, PRESETS};
use crate::report::harp_facts;
use crate::report::text::open_strings;
use crate::screen;

pub fn run(arguments: &HarpsArguments) -> Result<(), Failure> {
    if let Some(HarpsCommand::Show { name }) = &arguments.command {
        let file = harps::file(name)?;
        harps::read(&file)?;
        return screen::print(&file.text);
    }
    let mut text = String::new();
    for preset in PRESETS {
        let harp = harp_facts(&harps::harp(preset.name)?);
        text += &format!(
            "{:<13} {} strings, {} to {}, {}, {}\n",
            harp.name,
            harp.strings,
            harp.lowest,
            harp.highest,
            harp.changed_by,
            open_strings(&harp)
        );
    }
    text += "\nMakers differ: \"undersong harps show lever-34\" prints a file to change and to give with --harp.\nStrings are under tension: never tune one above the pitch it was made for. When in doubt, ask the maker of your harp.\n";
    screen::print(&text)
}
