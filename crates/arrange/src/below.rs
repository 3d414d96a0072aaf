//! The melody in the left hand: in which octave it lies there, or why the left hand cannot play it and what would help.
//!
//! Everything is asked exactly: the harp has every string and some above for the chords; the whole line, as it is played once, is fingered for the left hand at
//! its tempo; the levers or pedals are planned with the left hand at the melody.

use crate::form::{Added, Repeats};
use crate::moves;
use crate::tune::{Layout, MOST_MEASURES, MOST_NOTES, Sung, Tune};
use harp::fingering::Pluck;
use harp::fingering::alone::{Trouble, troubles};
use harp::{Fluency, Instrument, Mechanism, Player};
use music::{Hand, LeadSheet, MeasureNumber, Place, Tempo};
use std::collections::BTreeMap;

/// Strings above the melody that chords need: one free, and a sixth.
const ROOM_ABOVE: i32 = 7;
/// C4, about which a melody in the left hand lies best, and F2, below which it growls. OURS.
const BEST: i32 = 28;
const GROWLS_BELOW: i32 = 17;
/// Shares of the tempo that are tried, in hundredths.
const SLOWEST: i64 = 30;

/// Why the left hand does not take the melody.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// No octave of the harp has the melody and room for chords above it.
    NoOctave { strings: i32, harp: i32 },
    /// The hand cannot play it at this tempo.
    Hand { first: MeasureNumber, places: usize, why: harp::fingering::alone::Why, help: Vec<Help> },
    /// With the left hand at the melody there is no time for levers.
    Levers { measures: Vec<MeasureNumber>, help: Vec<Help> },
}

/// What would help.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Help {
    /// At this tempo it can be played.
    Slower(Tempo),
    /// A player of this fluency can.
    Fluency(Fluency),
    /// The right hand at the levers.
    LeversRight,
    AnotherKey,
}

/// By how many octaves the melody lies otherwise in the left hand. Errors: why it cannot be.
pub fn octaves(sheet: &LeadSheet, tempo: Tempo, harp: &Instrument, player: &Player) -> Result<i32, Refused> {
    let tune = played_once(sheet, tempo, None);
    let by = best_octave(&tune, harp)?;
    let below = played_once(sheet, tempo, Some(by));
    let found = hindered(&below, player, 100);
    if let Some(first) = found.first() {
        let worst = found.iter().copied().min_by_key(|t| (t.why.slower().unwrap_or(-1), t.pluck)).unwrap_or(*first);
        let number = |t: &Trouble| below.sheet.measures[below.clock.place(below.melody[t.pluck].on).measure].frame.number;
        return Err(Refused::Hand { first: number(first), places: found.len(), why: worst.why, help: what_helps(&below, player, tempo) });
    }
    levers(&tune, &below, harp, player).map(|()| by)
}

/// The tune as it is played once, in the right hand or lowered in the left; as it is written where that would be too long.
fn played_once(sheet: &LeadSheet, tempo: Tempo, octaves: Option<i32>) -> Tune {
    let below: BTreeMap<usize, i32> = octaves.map(|by| (0, by)).into_iter().collect();
    let added = Added::default();
    let mut layout = Layout { verses: 1, below: &below, repeats: Repeats::WrittenOut, added: &added };
    if Tune::laid_out_measures(sheet, layout) > MOST_MEASURES || Tune::laid_out_notes(sheet, layout) > MOST_NOTES {
        layout.repeats = Repeats::Kept;
    }
    Tune::lay_out_whole(sheet, layout, tempo)
}

fn best_octave(tune: &Tune, harp: &Instrument) -> Result<i32, Refused> {
    let mut strings: Vec<i32> = tune.melody.iter().flat_map(|n| n.strings.iter().copied()).collect();
    strings.sort_unstable();
    let (Some(low), Some(high)) = (strings.first(), strings.last()) else { return Ok(0) };
    let median = strings[strings.len() / 2];
    let fits = |by: &i32| low + 7 * by >= harp.lowest() && high + 7 * by + ROOM_ABOVE <= harp.highest();
    let fault = |by: &i32| (median + 7 * by - BEST).abs() + 2 * (GROWLS_BELOW - low - 7 * by).max(0);
    let refused = Refused::NoOctave { strings: high - low + 1 + ROOM_ABOVE, harp: harp.highest() - harp.lowest() + 1 };
    // Of two that are as good the higher.
    [0, -1, -2, -3, 1].into_iter().filter(fits).min_by_key(fault).ok_or(refused)
}

/// What the left hand cannot play at a share of the tempo.
fn hindered(tune: &Tune, player: &Player, share: i64) -> Vec<Trouble> {
    let pluck = |n: &Sung| {
        let at = music::Seconds::from_micros(tune.clock.at_beats(n.on).micros() * 100 / share);
        Pluck::of(at, &n.strings)
    };
    troubles(tune.melody.iter().map(pluck).collect(), Hand::Left, player)
}

fn what_helps(tune: &Tune, player: &Player, tempo: Tempo) -> Vec<Help> {
    let mut help = Vec::new();
    let slower = (SLOWEST / 2..50).rev().map(|half| half * 2).find(|share| hindered(tune, player, *share).is_empty());
    let whole = |share: i64| Tempo::new(tempo.unit(), tempo.milli_per_minute() * share / 100 / 1_000 * 1_000);
    help.extend(slower.and_then(whole).map(Help::Slower));
    let quicker = [Fluency::Fluent, Fluency::Advanced].into_iter().filter(|f| *f > player.fluency);
    let can = |fluency: &Fluency| hindered(tune, &Player { fluency: *fluency, ..player.clone() }, 100).is_empty();
    help.extend(quicker.into_iter().find(can).map(Help::Fluency));
    help
}

/// Notes that the harp has while the right hand plays the melody and the left hand may move levers, and lacks when the left hand plays it.
fn levers(tune: &Tune, below: &Tune, harp: &Instrument, player: &Player) -> Result<(), Refused> {
    let lacking = |tune: &Tune, player: &Player| {
        let page = moves::of_the_tune(tune, harp, player);
        let at = |m: &harp::page::MissingNote| Place { measure: m.measure, at: m.at };
        page.missing.iter().map(at).collect::<Vec<Place>>()
    };
    let (free, busy) = (lacking(tune, player), lacking(below, player));
    if busy.len() <= free.len() {
        return Ok(());
    }
    let lost = busy.into_iter().filter(|place| !free.contains(place));
    let mut measures: Vec<MeasureNumber> = lost.map(|place| below.sheet.measures[place.measure].frame.number).collect();
    measures.sort_unstable();
    measures.dedup();
    let other = Player { lever_hand: Hand::Right, ..player.clone() };
    let by_the_right =
        player.lever_hand == Hand::Left && matches!(harp.mechanism, Mechanism::Levers(_)) && lacking(below, &other).len() <= free.len();
    let help = if by_the_right { vec![Help::LeversRight, Help::AnotherKey] } else { vec![Help::AnotherKey] };
    Err(Refused::Levers { measures, help })
}
