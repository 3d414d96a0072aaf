//! The cues that speak for a phrase beginning at a note, and for a length of a phrase.
//!
//! What a cue is worth stands in `data/phrases.txt` (see [`super::table`]); where it holds is told by [`super::line`].

macro_rules! cues {
    ($($name:ident $words:literal,)*) => {
        /// One cue.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Cue {$(
            #[doc = concat!("The row `", stringify!($name), "` of the table. ", $words)]
            $name,
        )*}

        impl Cue {
            /// All of them, in the order of the table.
            pub const ALL: &[Cue] = &[$(Cue::$name,)*];

            /// Its name in the table.
            pub fn name(self) -> &'static str {
                match self { $(Cue::$name => stringify!($name),)* }
            }

            /// What the player reads; empty for a cue that is not told by itself.
            pub fn words(self) -> &'static str {
                match self { $(Cue::$name => $words,)* }
            }
        }
    };
}

cues! {
    // A phrase begins at all.
    Begins "",
    // The silence before the note, the length of the note before it (to the next one), beside the typical one and its neighbours.
    RestOfABeat "a rest before it",
    RestOfHalfABeat "a rest before it",
    ShortRest "a short rest before it",
    FourTimesLong "a long note before it",
    ThreeTimesLong "a long note before it",
    TwiceLong "a long note before it",
    HalfAsLongAgain "a longer note before it",
    Short "",
    AsLongAsAMeasure "a note of a whole measure before it",
    LongerThanBefore "a longer note before it",
    TwiceTheBefore "a longer note before it",
    ShorterThanBefore "",
    LongerThanNext "a longer note before it",
    TwiceTheNext "a longer note before it",
    ShorterThanNext "",
    BothNeighboursShorter "a longer note before it",
    LongestAround "the longest note around before it",
    LikeTheEnd "the note before it is as long as the last of all",
    CadenceRhythm "the rhythm of the tune's end before it",
    // How the line goes on, and how it came.
    Repeated "the last note is repeated",
    StepAfter "",
    ThirdAfter "",
    LeapUpAfter "a leap up to it",
    LeapDownAfter "a leap down to it",
    WideLeapAfter "a wide leap to it",
    FellByStep "the line falls by step before it",
    RoseByStep "",
    LeaptTo "",
    RepeatedBefore "",
    // Degrees, counted from the tune's last note.
    OnTheTonic "the last of all notes before it",
    OnTheSecond "",
    OnTheThird "",
    OnTheFifth "",
    OnAnother "",
    FromTheTonic "",
    FromTheFifth "",
    // Places in the measure.
    LastOnDownbeat "",
    LastOnStrongBeat "",
    LastOnBeat "",
    LastOffBeat "",
    NextOnDownbeat "",
    NextOnBeat "",
    NextOffBeat "",
    // Parallel to the first note of the tune, or to the last sign.
    PlaceOfTheFirst "it begins where the tune began in its measure",
    PlaceInTheHalf "",
    OtherPlace "",
    TwoMeasures "two measures, and again two",
    FourMeasures "four measures, and again four",
    EightMeasures "eight measures, and again eight",
    TwoSinceASign "",
    FourSinceASign "four measures after the sign",
    OpeningRhythm "the rhythm of the opening comes back",
    OpeningTune "the opening comes back",
    RhythmHeard "a rhythm comes back",
    TuneHeard "a turn of the tune comes back",
    // Signs and words.
    RepeatSign "a repeat sign",
    DoubleBar "a double bar",
    NewKey "a new key",
    NewMeter "a new meter",
    Slurred "",
    Marked "a fermata or a breath mark",
    FullStop "a sentence ends",
    Comma "a comma in the words",
    NewLine "a capital letter in the words",
    InsideAWord "",
    // The length of the phrase in notes (up to so many),
    Notes2 "", Notes3 "", Notes4 "", Notes5 "", Notes6 "", Notes7 "", Notes8 "", Notes9 "", Notes10 "", Notes12 "", Notes14 "", Notes16 "",
    Notes20 "", Notes24 "", Notes32 "", Notes48 "", MoreNotes "",
    // in measures, from its first note to that of the next phrase,
    HalfMeasure "", OneMeasure "", OneAndAHalf "", Two "", TwoAndAHalf "", Three "", Four "", Five "", Six "", Seven "", Eight "", MoreMeasures "",
    Halves "", OddUnderOne "", OddUnderTwo "", OddUnderFour "", OddMore "",
    // and in beats.
    Beats3 "", Beats4 "", Beats5 "", Beats6 "", Beats7 "", Beats8 "", Beats10 "", Beats12 "", Beats16 "", Beats24 "", Beats32 "", Beats64 "",
    Under4Beats "", Under8Beats "", Under16Beats "", Under32Beats "", MoreBeats "",
}
