//! What can be typed of the commands for practising: cue sheets, the ladder, drills, melodies at sight.

use super::choices::{ChoiceArguments, To};
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Args)]
pub struct CuesArguments {
    /// The tunes: ABC or MusicXML files (.abc, .musicxml, .xml, .mxl)
    #[arg(value_name = "TUNE", required = true)]
    pub tunes: Vec<PathBuf>,
    #[command(flatten)]
    pub choices: ChoiceArguments,
    #[command(flatten)]
    pub to: To,
    /// Which files to write, with commas between: pdf, svg, png
    #[arg(long, value_name = "KINDS", value_delimiter = ',', default_value = "pdf")]
    pub write: Vec<String>,
}

#[derive(Debug, Args)]
pub struct LadderArguments {
    /// The tune: an ABC or MusicXML file
    #[arg(value_name = "TUNE")]
    pub tune: PathBuf,
    #[command(flatten)]
    pub choices: ChoiceArguments,
    #[command(flatten)]
    pub to: To,
    /// Write the page of each step, with commas between: pdf, svg, png, musicxml, midi [default: the steps in words only]
    #[arg(long, value_name = "KINDS", value_delimiter = ',')]
    pub write: Vec<String>,
}

#[derive(Debug, Args)]
pub struct DrillsArguments {
    /// The tune: an ABC or MusicXML file
    #[arg(value_name = "TUNE")]
    pub tune: PathBuf,
    #[command(flatten)]
    pub choices: ChoiceArguments,
}

#[derive(Debug, Args)]
pub struct SightArguments {
    /// The level, from 1; without one the levels are listed
    #[arg(value_name = "LEVEL")]
    pub level: Option<u8>,
    /// The number of the sheet: the same number is the same sheet
    #[arg(value_name = "NUMBER", default_value_t = 1)]
    pub number: u32,
    /// How many sheets, from that number on
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub count: u32,
    /// Your harp, for the line about its levers or pedals: a name from "undersong harps" or a file of your own
    #[arg(long, value_name = "NAME or FILE", default_value = "lever-34")]
    pub harp: String,
    #[command(flatten)]
    pub to: To,
    /// Which files to write, with commas between: pdf, svg, png, musicxml, midi, abc [default: the sheet is only printed]
    #[arg(long, value_name = "KINDS", value_delimiter = ',')]
    pub write: Vec<String>,
}
