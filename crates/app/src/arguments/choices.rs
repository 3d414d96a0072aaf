//! What may be chosen for a tune on the command line, and where the files go. The words become the same [`Choices`] that the page keeps beside a tune; a new wish is
//! an option here and a line in [`Wished::choices`].

use crate::failure::Failure;
use clap::Args;
use desk::choices::Choices;
use desk::job::Asked;
use desk::wishes::form::FormWords;
use desk::wishes::{HOLD, PHRASE, fullness, pair};
use std::path::PathBuf;

/// Where the files of a command go.
#[derive(Debug, Args)]
pub struct To {
    /// The folder for the files; it is made if it is not there
    #[arg(long = "out", value_name = "FOLDER", default_value = ".")]
    pub folder: PathBuf,
    /// Write over files that Undersong did not write, or that were changed since; a tune that is read is never written over
    #[arg(long)]
    pub force: bool,
}

/// How what is written looks or reads.
#[derive(Debug, Args)]
pub struct Written {
    /// How large the pages are printed: usual, or large (staves 11.5 mm high, with all that is at them, on as many pages as it takes)
    #[arg(long, value_name = "SIZE", default_value = "usual")]
    pub print: String,
    /// With --write text, in which order it goes: measure (both hands, measure by measure), phrase (each phrase, the right hand and then the left) or hand (each hand through the whole piece)
    #[arg(long, value_name = "ORDER", default_value = "measure")]
    pub text_order: String,
}

/// How a tune is arranged: as one of its versions, or as the options say.
#[derive(Debug, Args)]
pub struct ChoiceArguments {
    /// Take everything from a version of the tune, by its name, as it stands in the file beside the tune; it goes with none of the options below
    #[arg(long = "as", value_name = "VERSION")]
    pub version: Option<String>,
    /// Which tune of a file of several: the number in its X: line
    #[arg(long, value_name = "N")]
    pub tune: Option<u32>,
    #[command(flatten)]
    pub wished: Wished,
}

/// What a version says itself.
#[derive(Debug, Args)]
pub struct Wished {
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
    /// Which finger numbers are printed: none, few (where the hand is placed anew) or all
    #[arg(long, value_name = "WHICH", default_value = "few")]
    pub fingers: String,
    /// A file with figures of your own, beside Undersong's
    #[arg(long, value_name = "FILE")]
    pub figures: Option<PathBuf>,
}

impl ChoiceArguments {
    /// Errors: a word that is none of those expected.
    pub fn asked(&self) -> Result<Asked, Failure> {
        let wished = &self.wished;
        let (player, figures) = (wished.player.clone(), wished.figures.clone());
        Ok(Asked { tune: self.tune, player, figures, ..Asked::of(wished.choices()?) })
    }
}

impl Wished {
    fn choices(&self) -> Result<Choices, Failure> {
        Ok(Choices {
            harp: self.harp.clone(),
            part: self.part.clone(),
            key: self.key.clone(),
            octave: self.octave,
            voice: self.voice.clone(),
            tempo: self.tempo.clone(),
            kind: self.kind.clone(),
            fullness: self.fullness.iter().map(|text| fullness(text)).collect::<Result<_, _>>()?,
            only: self.only.clone(),
            without: self.without.clone(),
            chords_from: self.chords.clone(),
            chords_a_measure: self.chords_a_measure,
            keep: self.keep.clone(),
            bass: self.bass.clone(),
            variant: self.variant,
            fingers: self.fingers.clone(),
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
            holds: self.hold.iter().map(|text| pair("hold", text, HOLD)).collect::<Result<_, _>>()?,
            phrases: self.phrase.iter().map(|text| pair("phrase", text, PHRASE)).collect::<Result<_, _>>()?,
            ..Choices::default()
        })
    }
}
