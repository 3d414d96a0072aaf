//! What can be typed of the commands about a folder of tunes: opening it, looking whether all is well, taking it along and back, sets, versions and levels.

use super::choices::To;
use clap::{Args, Subcommand};
use std::path::PathBuf;

#[derive(Debug, Default, Args)]
pub struct OpenArguments {
    /// Your folder of tunes; it is made if it is not there. Or a tune, which opens at its page: one that lies elsewhere is copied into your folder [default: Undersong in your home]
    #[arg(value_name = "FOLDER or TUNE")]
    pub place: Option<PathBuf>,
    /// Print the address and open no browser
    #[arg(long)]
    pub no_browser: bool,
    /// The port on this computer; 0 takes any that is free [default: the same for a folder at every start, where it is free]
    #[arg(long, value_name = "N")]
    pub port: Option<u16>,
    /// A SoundFont of your own (.sf2) to hear tunes with, where you have not chosen another sound
    #[arg(long, value_name = "FILE")]
    pub soundfont: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct DoctorArguments {
    /// Your folder of tunes [default: Undersong in your home]
    #[arg(value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct ExportArguments {
    /// Your folder of tunes [default: Undersong in your home]
    #[arg(value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    /// Where to: a file that ends in .zip, or a new folder
    #[arg(long, value_name = "PLACE", default_value = "Undersong.zip")]
    pub out: PathBuf,
    /// Write over a .zip that is there
    #[arg(long)]
    pub force: bool,
}

#[derive(Debug, Args)]
pub struct ImportArguments {
    /// What was taken along: a .zip or a folder
    #[arg(value_name = "PLACE")]
    pub place: PathBuf,
    /// Your folder of tunes; it is made if it is not there [default: Undersong in your home]
    #[arg(value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    /// Only say what would come in
    #[arg(long, conflicts_with = "replace")]
    pub look: bool,
    /// Write over what is there with other contents
    #[arg(long)]
    pub replace: bool,
}

#[derive(Debug, Args)]
pub struct SetArguments {
    /// The tunes, files of one folder; or a folder, for all of its tunes; or a set that was kept (.undersong-set.toml). What you chose for a tune on the page holds here too
    #[arg(value_name = "TUNE", required = true)]
    pub tunes: Vec<PathBuf>,
    /// The set's title
    #[arg(long, value_name = "TITLE")]
    pub title: Option<String>,
    /// Choose of the tunes as many as come nearest to so many minutes
    #[arg(long, value_name = "N")]
    pub minutes: Option<u32>,
    /// With --minutes, music that is: any, quiet (airs, songs, hymns, waltzes and their like) or lively (dances)
    #[arg(long, value_name = "HOW", default_value = "any")]
    pub mood: String,
    /// The order: best, in which keys vary and least is moved between tunes, or given [default: best; a set that was kept stays as it is]
    #[arg(long, value_name = "WHICH")]
    pub order: Option<String>,
    /// The first tune stays the first
    #[arg(long)]
    pub hold_first: bool,
    /// The last tune stays the last
    #[arg(long)]
    pub hold_last: bool,
    /// Lead from each tune to the next in 1 to 4 measures, in which the levers or pedals are moved
    #[arg(long, value_name = "MEASURES", value_parser = clap::value_parser!(u8).range(1..=4))]
    pub links: Option<u8>,
    /// Keep the set as a file beside its tunes, where the page finds it
    #[arg(long)]
    pub keep: bool,
    #[command(flatten)]
    pub to: To,
    /// Which files to write, with commas between: pdf, svg, png
    #[arg(long, value_name = "KINDS", value_delimiter = ',', default_value = "pdf")]
    pub write: Vec<String>,
}

#[derive(Debug, Args)]
pub struct VersionsArguments {
    #[command(subcommand)]
    pub command: VersionsCommand,
}

#[derive(Debug, Subcommand)]
pub enum VersionsCommand {
    /// List the versions of a tune, with what was chosen for each
    List {
        /// The tune: an ABC or MusicXML file
        #[arg(value_name = "TUNE")]
        tune: PathBuf,
    },
    /// Begin a version as a copy of another
    Copy {
        /// The tune: an ABC or MusicXML file
        #[arg(value_name = "TUNE")]
        tune: PathBuf,
        /// The new version's name, as "for the pupil"
        #[arg(value_name = "NAME")]
        name: String,
        /// The version that is copied [default: the first]
        #[arg(long, value_name = "NAME")]
        of: Option<String>,
    },
    /// Give a version another name
    Name {
        /// The tune: an ABC or MusicXML file
        #[arg(value_name = "TUNE")]
        tune: PathBuf,
        /// The version
        #[arg(value_name = "NAME")]
        name: String,
        /// Its new name
        #[arg(value_name = "NEW NAME")]
        new: String,
    },
    /// Take a version away; undo on the worktable of the first version brings it back
    Remove {
        /// The tune: an ABC or MusicXML file
        #[arg(value_name = "TUNE")]
        tune: PathBuf,
        /// The version
        #[arg(value_name = "NAME")]
        name: String,
    },
    /// Tell what differs between two versions, measure by measure
    Compare {
        /// The tune: an ABC or MusicXML file
        #[arg(value_name = "TUNE")]
        tune: PathBuf,
        /// A version
        #[arg(value_name = "NAME")]
        one: String,
        /// The other
        #[arg(value_name = "NAME")]
        other: String,
    },
    /// Tell which level each version is, and whether all of them sound together
    Together {
        /// The tune: an ABC or MusicXML file
        #[arg(value_name = "TUNE")]
        tune: PathBuf,
    },
    /// Write the tune with one version alone into a file that opens elsewhere
    Take {
        /// The tune: an ABC or MusicXML file
        #[arg(value_name = "TUNE")]
        tune: PathBuf,
        /// The version
        #[arg(value_name = "NAME")]
        name: String,
        #[command(flatten)]
        to: To,
    },
}

#[derive(Debug, Args)]
pub struct LevelsArguments {
    /// The tune: an ABC or MusicXML file
    #[arg(value_name = "TUNE")]
    pub tune: PathBuf,
    /// The version that the levels are made from: yours, as the teacher [default: the first]
    #[arg(long, value_name = "NAME")]
    pub of: Option<String>,
    /// Only tell what they would be; nothing is kept
    #[arg(long)]
    pub only_tell: bool,
}
