//! What can be typed. The help texts are written for a harpist; nothing is worked out here. What may be chosen for a tune: [`choices`]; the commands about a whole
//! folder: [`folder`]; those for practising: [`mod@practice`].

pub mod choices;
pub mod folder;
pub mod practice;

use choices::Wished;
pub use choices::{ChoiceArguments, To, Written};
use clap::{Args, CommandFactory, FromArgMatches, Id, Parser, Subcommand};
use desk::choices::Choices;
use desk::job::Asked;
use folder::{DoctorArguments, ExportArguments, ImportArguments, LevelsArguments, OpenArguments, SetArguments, VersionsArguments};
use music::MeasureNumber;
use practice::{CuesArguments, DrillsArguments, LadderArguments, SightArguments};
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// Turns a tune with chord symbols into a page for two hands on the harp, and tells you why each measure is as it is.
#[derive(Debug, Parser)]
#[command(name = "undersong", version, max_term_width = 100)]
pub struct Arguments {
    /// Without one, the folder Undersong in your home opens in the browser; with a tune's file alone, that tune
    #[command(subcommand)]
    pub command: Option<Command>,
}

impl Arguments {
    /// What was typed. Errors end the program with clap's own words.
    pub fn typed() -> Arguments {
        // A version goes with none of the options whose values it says itself.
        let said: Vec<Id> = Wished::augment_args(clap::Command::new("")).get_arguments().map(|option| option.get_id().clone()).collect();
        let mut typed = Arguments::command();
        let of_a_version = |command: &clap::Command| command.get_arguments().any(|option| option.get_id() == "version");
        let commands: Vec<String> = typed.get_subcommands().filter(|c| of_a_version(c)).map(|c| c.get_name().to_owned()).collect();
        for name in commands {
            typed = typed.mut_subcommand(name, |command| command.mut_arg("version", |version| version.conflicts_with_all(&said)));
        }
        // A file in the place of a command is opened.
        let mut words: Vec<OsString> = std::env::args_os().collect();
        if words.get(1).is_some_and(|word| typed.find_subcommand(word).is_none() && Path::new(word).is_file()) {
            words.insert(1, "open".into());
        }
        Arguments::from_arg_matches(&typed.get_matches_from(words)).unwrap_or_else(|error| error.exit())
    }
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Open a folder of tunes in your browser and work there
    Open(OpenArguments),
    /// Make a left hand for a tune: pages to print, and files for the ear and for other programs
    Arrange(ArrangeArguments),
    /// Tell what was chosen for each measure, why, and what came second
    Explain(ExplainArguments),
    /// List the figures (patterns) the left hand can play
    Figures(FiguresArguments),
    /// List every key for a tune on your harp, best first, with what each asks of you
    Keys(KeysArguments),
    /// Check a written page of two hands: what cannot be played, what is hard, what is worth a look, and what to do
    Check(CheckArguments),
    /// Find the chords of a hymn, a chorale or a song with its piano, measure by measure
    Chords(ChordsArguments),
    /// Find where the measures of a tune are in a recording you have of it
    Places(PlacesArguments),
    /// Make one page to improvise from: chords, phrases, a named figure for each with a picture of its shape
    Cues(CuesArguments),
    /// Make practice steps of a tune, from one string for each chord to free playing, each with one new difficulty
    Ladder(LadderArguments),
    /// Make short tasks from the places of a tune that are dearest for your hand
    Drills(DrillsArguments),
    /// Make a new melody with chords to read at sight
    Sight(SightArguments),
    /// Take everything of your folder along as plain files: tunes, choices, harps, what you practised
    Export(ExportArguments),
    /// Bring what was taken along into your folder; nothing is written over unless you say so
    Import(ImportArguments),
    /// Put tunes in an order for an occasion: keys vary, few levers or pedals are moved between them; one page in large print
    Set(SetArguments),
    /// Keep several versions of a tune side by side, each with its own choices: list, copy, name, compare, take one home
    Versions(VersionsArguments),
    /// Make versions of a tune that sound together, for a teacher and her pupils, each with its level
    Levels(LevelsArguments),
    /// List the harps that Undersong knows, or show one as a file you can change
    Harps(HarpsArguments),
    /// Look whether everything is there that Undersong needs, and say it in a form to send to whoever helps you: nothing personal stands in it
    Doctor(DoctorArguments),
    /// Write the pages of the manual, and what completes words in a terminal, into a folder: for whoever packs the program
    #[command(hide = true)]
    WritePapers(PapersArguments),
    /// Draw what the program itself asks for
    #[command(hide = true)]
    DrawPages,
}

#[derive(Debug, Args)]
pub struct PapersArguments {
    /// The folder; man and completions are made in it
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
}

#[derive(Debug, Args)]
pub struct ArrangeArguments {
    /// The tunes: ABC or MusicXML files (.abc, .musicxml, .xml, .mxl); for a book also files of many tunes in ABC, and folders
    #[arg(value_name = "TUNE", required = true)]
    pub tunes: Vec<PathBuf>,
    #[command(flatten)]
    pub choices: ChoiceArguments,
    #[command(flatten)]
    pub to: To,
    #[command(flatten)]
    pub written: Written,
    /// Which files to write, with commas between: pdf, svg, png, musicxml, midi, wav, json, text (plain text for a voice that reads or a braille display), lesson (an audio lesson)
    #[arg(long, value_name = "KINDS", value_delimiter = ',', default_value = "pdf,svg,musicxml,midi,json")]
    pub write: Vec<String>,
    /// A SoundFont of your own (.sf2) for the .wav, instead of Undersong's own strings
    #[arg(long, value_name = "FILE")]
    pub soundfont: Option<PathBuf>,
    /// The pitch of A4 in the .wav, in hertz [default: 440]. It changes what you hear, not your harp
    #[arg(long, value_name = "HERTZ")]
    pub concert: Option<String>,
    /// Print the report as JSON, for other programs
    #[arg(long)]
    pub json: bool,
    /// Make one book of all the tunes, of files with many and of folders with them: a PDF with title page, contents and indices, and nothing else
    #[arg(long, value_name = "FILE.pdf", conflicts_with_all = ["write", "json", "folder", "soundfont", "concert", "tune"])]
    pub book: Option<PathBuf>,
    /// The title of the book [default: the name of the file or folder]
    #[arg(long, value_name = "TITLE", requires = "book")]
    pub book_title: Option<String>,
    /// The order of the book: given, title, key, or levers (so that the fewest are moved from one tune to the next) [default: as they are given, a folder by title; then a tune of one page may be brought forward, so that two pages of another lie side by side]
    #[arg(long, value_name = "ORDER", requires = "book")]
    pub book_order: Option<String>,
}

#[derive(Debug, Args)]
pub struct ExplainArguments {
    /// The tune: an ABC or MusicXML file
    #[arg(value_name = "TUNE")]
    pub tune: PathBuf,
    #[command(flatten)]
    pub choices: ChoiceArguments,
    /// Only this measure, by the number printed on the page
    #[arg(long, value_name = "NUMBER")]
    pub measure: Option<MeasureNumber>,
    /// With --measure: the prices in whole numbers that the words stand for
    #[arg(long)]
    pub prices: bool,
    /// Print the decisions as JSON, for other programs
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct KeysArguments {
    /// The tune: an ABC or MusicXML file
    #[arg(value_name = "TUNE")]
    pub tune: PathBuf,
    #[command(flatten)]
    pub choices: ChoiceArguments,
    /// Print the keys as JSON, for other programs
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct FiguresArguments {
    /// A file with figures of your own, beside Undersong's
    #[arg(long, value_name = "FILE")]
    pub figures: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct HarpsArguments {
    #[command(subcommand)]
    pub command: Option<HarpsCommand>,
}

#[derive(Debug, Subcommand)]
pub enum HarpsCommand {
    /// Show one harp as a file you can copy and change
    Show {
        #[arg(value_name = "NAME or FILE")]
        name: String,
    },
}

#[derive(Debug, Args)]
pub struct CheckArguments {
    /// The page: a MusicXML file with two staves (.musicxml, .xml, .mxl)
    #[arg(value_name = "SCORE")]
    pub score: PathBuf,
    /// Your harp: a name from "undersong harps", as lever-34 or "lever-34 in F", or a file of your own. Strings are under tension: never tune one above the pitch it was made for [default: lever-34 if it can play the page, else pedal-47]
    #[arg(long, value_name = "NAME or FILE")]
    pub harp: Option<String>,
    /// A file about your hands: how far they reach, how quickly they find their strings, fingers to leave out. A wide stretch is a wish, not a duty: stop when something hurts
    #[arg(long, value_name = "FILE")]
    pub player: Option<PathBuf>,
    /// The staves of the right and the left hand, counted from 1 at the top of the score or of the part: 2,3
    #[arg(long, value_name = "N,M")]
    pub staves: Option<String>,
    /// Which part of the score: its name, or its place from 1
    #[arg(long, value_name = "PART")]
    pub part: Option<String>,
    /// Print the findings as JSON, for other programs
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct ChordsArguments {
    /// The score: MusicXML (.musicxml, .xml, .mxl) on any number of staves, or ABC with voices
    #[arg(value_name = "SCORE")]
    pub score: PathBuf,
    /// Which tune of a file of several: the number in its X: line
    #[arg(long, value_name = "N")]
    pub tune: Option<u32>,
    /// A line for each chord with its beat, which of its tones sound, and what the other notes are
    #[arg(long, conflicts_with = "csv")]
    pub why: bool,
    /// Print a table for other programs: work, onset in quarter notes, pitch class of the root, quality (maj min dim aug dom7 maj7 min7 hdim7 dim7 other)
    #[arg(long)]
    pub csv: bool,
}

#[derive(Debug, Args)]
pub struct PlacesArguments {
    /// The tune: an ABC or MusicXML file
    #[arg(value_name = "TUNE")]
    pub tune: PathBuf,
    /// The recording: WAV, MP3, FLAC or Ogg Vorbis; it is only listened to
    #[arg(value_name = "RECORDING")]
    pub recording: PathBuf,
    /// Which tune of a file of several: the number in its X: line
    #[arg(long = "tune", value_name = "N")]
    pub number: Option<u32>,
    /// Which part of a score has the tune: its name, or 1 for the first
    #[arg(long, value_name = "PART")]
    pub part: Option<String>,
    /// The tempo it is about played at, if the sheet's is far from it: 88, or 1/2=88
    #[arg(long, value_name = "TEMPO")]
    pub tempo: Option<String>,
    /// When the first beat of a measure comes, with commas between: 1=0:07.3,9=0:21
    #[arg(long, value_name = "MEASURE=TIME", value_delimiter = ',')]
    pub at: Vec<String>,
    /// Print a table for other programs: pass, measure, beat, seconds, sure (yes, no, given)
    #[arg(long)]
    pub csv: bool,
}

impl PlacesArguments {
    /// No fingers are printed of it.
    pub fn asked(&self) -> Asked {
        let choices = Choices { part: self.part.clone(), tempo: self.tempo.clone(), fingers: "none".into(), ..Choices::default() };
        Asked { tune: self.number, ..Asked::of(choices) }
    }
}
