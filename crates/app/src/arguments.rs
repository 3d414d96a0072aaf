//! What can be typed. The help texts are written for a harpist; nothing is worked out here.

use clap::{Args, Parser, Subcommand};
use desk::job::Asked;
use desk::wishes::form::FormWords;
use music::MeasureNumber;
use std::path::PathBuf;

/// Turns a tune with chord symbols into a page for two hands on the harp, and tells you why each measure is as it is.
#[derive(Debug, Parser)]
#[command(name = "undersong", version, max_term_width = 100)]
pub struct Arguments {
    /// Without one, the folder Undersong in your home opens in the browser
    #[command(subcommand)]
    pub command: Option<Command>,
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
    /// Draw what the program itself asks for
    #[command(hide = true)]
    DrawPages,
}

#[derive(Debug, Default, Args)]
pub struct OpenArguments {
    /// Your folder of tunes; it is made if it is not there [default: Undersong in your home]
    #[arg(value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    /// Print the address and open no browser
    #[arg(long)]
    pub no_browser: bool,
    /// The port on this computer; 0 takes any that is free
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub port: u16,
    /// A SoundFont of your own (.sf2) to hear tunes with, where you have not chosen another sound
    #[arg(long, value_name = "FILE")]
    pub soundfont: Option<PathBuf>,
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
pub struct ArrangeArguments {
    /// The tunes: ABC or MusicXML files (.abc, .musicxml, .xml, .mxl)
    #[arg(value_name = "TUNE", required = true)]
    pub tunes: Vec<PathBuf>,
    #[command(flatten)]
    pub choices: Choices,
    /// The folder for the files; it is made if it is not there
    #[arg(long, value_name = "FOLDER", default_value = ".")]
    pub out: PathBuf,
    /// Write over files that Undersong did not write, or that were changed since; a tune that is read is never written over
    #[arg(long)]
    pub force: bool,
    /// Which files to write, with commas between: pdf, svg, png, musicxml, midi, wav, json
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
}

#[derive(Debug, Args)]
pub struct ExplainArguments {
    /// The tune: an ABC or MusicXML file
    #[arg(value_name = "TUNE")]
    pub tune: PathBuf,
    #[command(flatten)]
    pub choices: Choices,
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
    pub choices: Choices,
    /// Print the keys as JSON, for other programs
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct CuesArguments {
    /// The tunes: ABC or MusicXML files (.abc, .musicxml, .xml, .mxl)
    #[arg(value_name = "TUNE", required = true)]
    pub tunes: Vec<PathBuf>,
    #[command(flatten)]
    pub choices: Choices,
    /// The folder for the files; it is made if it is not there
    #[arg(long, value_name = "FOLDER", default_value = ".")]
    pub out: PathBuf,
    /// Write over files that Undersong did not write, or that were changed since; a tune that is read is never written over
    #[arg(long)]
    pub force: bool,
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
    pub choices: Choices,
    /// The folder for the pages; it is made if it is not there
    #[arg(long, value_name = "FOLDER", default_value = ".")]
    pub out: PathBuf,
    /// Write over files that Undersong did not write, or that were changed since; a tune that is read is never written over
    #[arg(long)]
    pub force: bool,
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
    pub choices: Choices,
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
    /// The folder for the files; it is made if it is not there
    #[arg(long, value_name = "FOLDER", default_value = ".")]
    pub out: PathBuf,
    /// Write over files that Undersong did not write, or that were changed since
    #[arg(long)]
    pub force: bool,
    /// Which files to write, with commas between: pdf, svg, png, musicxml, midi, abc [default: the sheet is only printed]
    #[arg(long, value_name = "KINDS", value_delimiter = ',')]
    pub write: Vec<String>,
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
    /// The folder for the pages; it is made if it is not there
    #[arg(long, value_name = "FOLDER", default_value = ".")]
    pub out: PathBuf,
    /// Write over files that Undersong did not write, or that were changed since; a tune that is read is never written over
    #[arg(long)]
    pub force: bool,
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
        /// The folder for the file; it is made if it is not there
        #[arg(long, value_name = "FOLDER", default_value = ".")]
        out: PathBuf,
        /// Write over a file that Undersong did not write, or that was changed since
        #[arg(long)]
        force: bool,
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

/// What these commands take.
#[derive(Debug, Args)]
pub struct Choices {
    /// Take everything from a version of the tune, by its name, as it stands in the file beside the tune; it goes with none of the options below
    #[arg(long = "as", value_name = "VERSION", conflicts_with_all = OF_A_VERSION)]
    pub version: Option<String>,
    /// Which tune of a file of several: the number in its X: line
    #[arg(long, value_name = "N")]
    pub tune: Option<u32>,
    /// Which part of a score has the tune: its name, or 1 for the first
    #[arg(long, value_name = "PART")]
    pub part: Option<String>,
    /// Your harp: a name from "undersong harps", as lever-34 or "lever-34 in F", or a file of your own. Strings are under tension: never tune one above the pitch it was made for
    #[arg(long, value_name = "NAME or FILE", default_value = "lever-34")]
    pub harp: String,
    /// A file about your hands: how far they reach, how quickly they find their strings, fingers to leave out. A wide stretch is a wish, not a duty: stop when something hurts
    #[arg(long, value_name = "FILE")]
    pub player: Option<PathBuf>,
    /// Move the tune to this key: G, Em, "D dorian", "B-flat major"; "best" takes the first of "undersong keys"
    #[arg(long, value_name = "KEY")]
    pub key: Option<String>,
    /// A singer's lowest and highest note, as A3-D5: keys that suit the singer come first
    #[arg(long, value_name = "LOW-HIGH")]
    pub voice: Option<String>,
    /// Move the tune by octaves: 1 up, -1 down
    #[arg(long, value_name = "N", default_value_t = 0, allow_negative_numbers = true, value_parser = clap::value_parser!(i32).range(-3..=3))]
    pub octave: i32,
    /// Beats a minute (88), or a note value and how many a minute (1/2=88, 3/8=100); later tempo marks keep their proportion to it
    #[arg(long, value_name = "TEMPO")]
    pub tempo: Option<String>,
    /// The kind of tune: jig, reel, hornpipe, waltz, air, song, hymn and so on; it decides the figures and, where none is written, the tempo
    #[arg(long, value_name = "KIND")]
    pub kind: Option<String>,
    /// How much the left hand does, 0 (nothing) to 6; 2,4 writes out two verses, the second fuller
    #[arg(long, value_name = "N or N,N,...", value_delimiter = ',')]
    pub fullness: Vec<String>,
    /// Another of several good left hands for the tune: 2, 3, ...
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=20))]
    pub variant: u32,
    /// Use only these figures, with commas between
    #[arg(long = "use", value_name = "FIGURE", value_delimiter = ',')]
    pub only: Vec<String>,
    /// Never these figures
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub without: Vec<String>,
    /// Hold a figure in one measure, as 5=open-fifth: everything else is planned round it
    #[arg(long, value_name = "MEASURE=FIGURE", value_delimiter = ',')]
    pub hold: Vec<String>,
    /// Where a phrase begins, and where one goes on that was taken to end, as 9=begins,13=goes-on
    #[arg(long, value_name = "MEASURE=HERE", value_delimiter = ',')]
    pub phrase: Vec<String>,
    /// Where the chords come from: "written" (those of the file), "voices" (those that a hymn's or a song's voices make), "three" (made for the melody, three to a section) or "fuller" (made for it, with more of them) [default: written where there are any, with missing ones made; else voices; else three]
    #[arg(long, value_name = "WHICH")]
    pub chords: Option<String>,
    /// The most chords in a measure; those that are too many are taken away and listed [default: for chords from voices as many as there is time for]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=16))]
    pub chords_a_measure: Option<u32>,
    /// Take no chord away in these measures, with commas between: 5,7; or keep one chord: 5@2, two quarter notes after the bar line
    #[arg(long, value_name = "MEASURE", value_delimiter = ',')]
    pub keep: Vec<String>,
    /// A bass that is written apart from its chord, as the E in C/E: "suggestion" leaves it where the line of the bass gains by that, "kept" never does [default: suggestion]
    #[arg(long, value_name = "WHICH")]
    pub bass: Option<String>,
    /// Put an introduction of 2 or 4 measures before the tune
    #[arg(long, value_name = "MEASURES")]
    pub introduction: Option<String>,
    /// Put 2 or 4 measures before the tune that go round until you are ready
    #[arg(long, value_name = "MEASURES")]
    pub vamp: Option<String>,
    /// Put 2 or 4 measures between verses
    #[arg(long, value_name = "MEASURES")]
    pub interlude: Option<String>,
    /// Put an ending after the tune: short (one chord), usual (the last two measures once more, slower) or fading (four measures that thin out)
    #[arg(long, value_name = "WHICH")]
    pub ending: Option<String>,
    /// What becomes of the repeats of one verse: kept, with their signs, or written-out, so that nothing turns back [default: kept]
    #[arg(long, value_name = "WHICH")]
    pub repeats: Option<String>,
    /// Print at the end of each phrase how to close early from there, within eight measures
    #[arg(long)]
    pub ways_out: bool,
    /// Verses whose left hand lies an octave higher, with commas between: 2 or 2,3
    #[arg(long, value_name = "VERSES", value_delimiter = ',')]
    pub high: Vec<u32>,
    /// Verses whose melody the left hand plays, with chords above it in the right hand: 2 or 2,3
    #[arg(long, value_name = "VERSES", value_delimiter = ',')]
    pub melody_below: Vec<u32>,
    /// Which finger numbers are printed: none, few (where the hand takes a new shape) or all
    #[arg(long, value_name = "WHICH", default_value = "few")]
    pub fingers: String,
    /// A file with figures of your own, beside Undersong's
    #[arg(long, value_name = "FILE")]
    pub figures: Option<PathBuf>,
}

/// What a version says itself.
const OF_A_VERSION: [&str; 28] = [
    "part",
    "harp",
    "player",
    "key",
    "voice",
    "octave",
    "tempo",
    "kind",
    "fullness",
    "variant",
    "only",
    "without",
    "hold",
    "phrase",
    "chords",
    "chords_a_measure",
    "keep",
    "bass",
    "introduction",
    "vamp",
    "interlude",
    "ending",
    "repeats",
    "ways_out",
    "high",
    "melody_below",
    "fingers",
    "figures",
];

impl Choices {
    pub fn asked(&self) -> Asked {
        Asked {
            tune: self.tune,
            part: self.part.clone(),
            harp: self.harp.clone(),
            player: self.player.clone(),
            key: self.key.clone(),
            voice: self.voice.clone(),
            octave: self.octave,
            tempo: self.tempo.clone(),
            kind: self.kind.clone(),
            fullness: self.fullness.clone(),
            variant: self.variant,
            only: self.only.clone(),
            without: self.without.clone(),
            hold: self.hold.clone(),
            phrases: self.phrase.clone(),
            chords: self.chords.clone(),
            chords_a_measure: self.chords_a_measure,
            keep_chords: self.keep.clone(),
            bass: self.bass.clone(),
            form: FormWords {
                introduction: self.introduction.clone(),
                vamp: self.vamp.clone(),
                interlude: self.interlude.clone(),
                ending: self.ending.clone(),
                repeats: self.repeats.clone(),
                ways_out: self.ways_out.then(|| "printed".to_owned()),
                high: self.high.clone(),
                melody_below: self.melody_below.clone(),
            },
            fingers: self.fingers.clone(),
            figures: self.figures.clone(),
            ..Asked::default()
        }
    }
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
    pub fn asked(&self) -> Asked {
        Asked {
            tune: self.number,
            part: self.part.clone(),
            tempo: self.tempo.clone(),
            harp: "lever-34".to_owned(),
            variant: 1,
            fingers: "none".to_owned(),
            ..Asked::default()
        }
    }
}
