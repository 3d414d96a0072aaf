//! What the check has to say: where, what, how grave, by which rule and from which source, and what can be done.

use crate::change::Change;
use music::{MeasureNumber, Pitch, Place, Score};

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gravity {
    /// It cannot be played: arithmetic, or a sourced limit on which the sources agree.
    Cannot,
    /// Hard for this player: times and reaches that are our own starting values, or on which sources differ.
    Hard,
    /// Worth a look: a matter of sound and taste.
    Look,
}

impl Gravity {
    pub const ALL: [Gravity; 3] = [Gravity::Cannot, Gravity::Hard, Gravity::Look];

    pub fn name(self) -> &'static str {
        match self {
            Gravity::Cannot => "cannot",
            Gravity::Hard => "hard",
            Gravity::Look => "look",
        }
    }
}

/// The rules, in the order in which they are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    NoString,
    NoPitch,
    Together,
    TooManyNotes,
    Reach,
    Strain,
    RightHandLow,
    MoveWithoutTime,
    MoveWhileSounding,
    PrintedMarks,
    FixedString,
    Leap,
    Speed,
    Blocks,
    RepeatedString,
    Buzz,
    Ring,
    LowInterval,
    HandsClose,
    SharedString,
    StrongBeats,
    GiveAndTake,
    Pace,
    PhraseEnd,
    BassLine,
    ClearTune,
    Doubling,
    SteadyFigure,
    Curve,
}

impl Rule {
    /// The rule in a few words, as a harpist would name it.
    pub fn name(self) -> &'static str {
        match self {
            Rule::NoString => "a string this harp does not have",
            Rule::NoPitch => "a pitch this harp does not have",
            Rule::Together => "two pitches of one string at once",
            Rule::TooManyNotes => "four notes a hand at most",
            Rule::Reach => "the reach of a hand",
            Rule::Strain => "a hand that strains",
            Rule::RightHandLow => "the right hand's lowest string",
            Rule::MoveWithoutTime => "time to move a lever or pedal",
            Rule::MoveWhileSounding => "a lever or pedal moved while its string sounds",
            Rule::PrintedMarks => "the printed lever or pedal marks",
            Rule::FixedString => "a string without discs",
            Rule::Leap => "time to leap and place",
            Rule::Speed => "speed of plucks",
            Rule::Blocks => "speed of block chords",
            Rule::RepeatedString => "a string repeated",
            Rule::Buzz => "a ringing low string plucked again",
            Rule::Ring => "ringing into the new chord",
            Rule::LowInterval => "low intervals",
            Rule::HandsClose => "room between the hands",
            Rule::SharedString => "one string for both hands",
            Rule::StrongBeats => "strong beats",
            Rule::GiveAndTake => "give and take",
            Rule::Pace => "pace",
            Rule::PhraseEnd => "phrase end",
            Rule::BassLine => "bass line",
            Rule::ClearTune => "room for the tune",
            Rule::Doubling => "the chord heard whole",
            Rule::SteadyFigure => "steady figure",
            Rule::Curve => "curve",
        }
    }

    /// Where the rule comes from.
    pub fn source(self) -> &'static str {
        match self {
            Rule::NoString | Rule::NoPitch => "arithmetic on this harp's strings and settings",
            Rule::Together => "arithmetic; Volpé Bligh, Writing for the Pedal Harp",
            Rule::TooManyNotes => "Rimsky-Korsakov, Principles of Orchestration; Harp Inside Out, Composing for the Harp",
            Rule::Reach => "Harp Notation manual, hand position and arpeggio; beyond a tenth our own starting values",
            Rule::Strain => "The Harp Legacy Project; Freund and Cutler, Extreme Orchestration",
            Rule::RightHandLow => "Freund and Cutler, Extreme Orchestration (G2); sources differ",
            Rule::MoveWithoutTime => {
                "Volpé Bligh, Writing for the Pedal Harp (about two pedals a second); lever times are our own starting values"
            }
            Rule::MoveWhileSounding => "Robertson, Harp lever changes made easy; Philharmonia, Harp",
            Rule::PrintedMarks => "the page itself",
            Rule::FixedString => "100 Orchestration Tips, harp; harps differ",
            Rule::Leap => "The Harp Legacy Project (leaps without a gap are unsafe); the times are our own starting values",
            Rule::Speed | Rule::Blocks => "our own starting values for this player",
            Rule::RepeatedString => "Philharmonia, Harp; Berlioz, Traité d'instrumentation; the times are our own starting values",
            Rule::Buzz => "Ballard, Ditch the buzz; the times are our own starting values",
            Rule::Ring => "Rimsky-Korsakov, Principles of Orchestration; ring times are our own starting values",
            Rule::LowInterval => "low-interval limits as in arranging handbooks (from memory), soft guides",
            Rule::HandsClose => "a harp teaching blog (two empty strings between the hands); our own starting value",
            Rule::SharedString => "common practice",
            Rule::StrongBeats => "common practice: one of the hands sounds on every strong beat",
            Rule::GiveAndTake => "common practice: a busy melody wants a light left hand",
            Rule::Pace => "common practice: quick chord changes want few notes",
            Rule::PhraseEnd => "common practice: a phrase end leaves time before the next phrase",
            Rule::BassLine => "Open Music Theory, cadence types and basso continuo",
            Rule::ClearTune => "common practice: the left hand keeps clear of the melody",
            Rule::Doubling => "Open Music Theory, basso continuo (doubling)",
            Rule::SteadyFigure => "Schoenberg, Fundamentals of Musical Composition, on accompaniment (from memory)",
            Rule::Curve => "common practice: later verses are fuller",
        }
    }
}

/// One thing to say about a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    pub place: Place,
    pub gravity: Gravity,
    pub rule: Rule,
    /// A sentence without its place, lower case, no full stop.
    pub text: String,
    /// Repairs that were tried on the page and bring no new finding, the mildest first.
    pub repairs: Vec<Repair>,
    /// The written pitch whose lever or pedal it is about: one such pitch is one trouble, wherever on the page.
    pub about: Option<Pitch>,
    /// Of several of one kind the heaviest is shown.
    pub weight: i64,
    /// Further places of the same kind.
    pub also: Vec<Place>,
    /// What to try.
    pub tries: Vec<Change>,
}

/// A change of the page, in words, with what it does to the music.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repair {
    pub change: Change,
    pub text: String,
    pub effect: String,
}

impl Finding {
    pub fn new(place: Place, gravity: Gravity, rule: Rule, text: String) -> Finding {
        Finding { place, gravity, rule, text, repairs: Vec::new(), about: None, weight: 0, also: Vec::new(), tries: Vec::new() }
    }

    pub fn about(self, pitch: Pitch) -> Finding {
        Finding { about: Some(pitch), ..self }
    }

    pub fn weighing(self, weight: i64) -> Finding {
        Finding { weight, ..self }
    }

    pub fn trying(self, tries: Vec<Change>) -> Finding {
        Finding { tries, ..self }
    }

    /// The text with its further places: "also in measures 5, 7 and 12".
    pub fn sentence(&self, score: &Score) -> String {
        let own = self.measure(score);
        let mut others: Vec<MeasureNumber> = self.also.iter().map(|p| number(score, *p)).filter(|n| *n != own).collect();
        others.dedup();
        let here = self.also.len() - self.also.iter().filter(|p| number(score, **p) != own).count();
        let mut text = self.text.clone();
        if here > 0 {
            text += &format!("; {here} more in this measure");
        }
        if !others.is_empty() {
            text += &format!("; also in {}", listed(&others));
        }
        text
    }

    /// The measure's printed number.
    pub fn measure(&self, score: &Score) -> MeasureNumber {
        number(score, self.place)
    }

    /// The beat, counted from 1 as the meter counts; a pickup ends with the measure's last beat.
    pub fn beat(&self, score: &Score) -> f64 {
        beat(score, self.place)
    }
}

/// The most measures that are named one by one.
const NAMED: usize = 8;

/// "measure 5", "measures 5, 7 and 12", "measures 5, 7, 12 and 20 more".
fn listed(numbers: &[MeasureNumber]) -> String {
    let more = numbers.len().saturating_sub(NAMED);
    let named = numbers.iter().take(NAMED).map(MeasureNumber::to_string);
    music::number::listed(&named.chain((more > 0).then(|| format!("{more} more"))).collect::<Vec<_>>())
}

pub fn number(score: &Score, place: Place) -> MeasureNumber {
    score.measures.get(place.measure).map_or(MeasureNumber::from(0), |m| m.frame.number)
}

pub fn beat(score: &Score, place: Place) -> f64 {
    let Some(measure) = score.measures.get(place.measure) else { return 1.0 };
    let frame = &measure.frame;
    let missing = if frame.number.count == 0 && !frame.is_full() { frame.meter.length() - frame.length } else { music::Beats::ZERO };
    let beats = (place.at + missing).as_f64() / frame.meter.beat().as_f64();
    ((beats + 1.0) * 1000.0).round() / 1000.0
}
