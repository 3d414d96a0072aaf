//! Chords that she typed, one at a place or a whole measure of them, and chords that she brought back.
//!
//! ```text
//! measure = chord { chord }            shared out over the beats
//!         | chord "@" beat { … }       beats from 1; 2.5 is halfway through the second
//! ```
//!
//! What is typed is kept whole or refused with its place.

use crate::failure::Failure;
use crate::worktable::{beats, chord_place};
use music::{Beats, ChordOrigin, ChordSymbol, Frame, LeadSheet, PlacedChord};
use std::collections::BTreeMap;

/// Lays her chords over the tune's, by "MEASURE@BEATS" for one and "MEASURE" for a whole measure, the measure of the file from 0. What no longer fits a text that has
/// changed is told. Errors: a place or a chord that cannot be read.
pub fn lay(sheet: &mut LeadSheet, own: &BTreeMap<String, String>) -> Result<Vec<String>, Failure> {
    let mut told = Vec::new();
    let (whole, single): (Vec<_>, Vec<_>) = own.iter().partition(|(place, _)| !place.contains('@'));
    for (place, text) in whole {
        let measure = whole_measure(place).ok_or_else(|| wrong_place(place))?;
        let Some(frame) = sheet.measures.get_mut(measure).map(|m| &mut m.frame) else { continue };
        match chords(text, frame) {
            Ok(all) => frame.chords = all.into_iter().map(|(at, symbol)| hers(at, symbol)).collect(),
            Err(why) => {
                told.push(format!("Your chords for {} do not fit it any more ({why}): those of the tune stand.", frame.number.in_words()))
            }
        }
    }
    for (place, text) in single {
        let (measure, at) = chord_place(place).ok_or_else(|| wrong_place(place))?;
        let symbol = symbol(text).map_err(Failure::wrong)?;
        // A shorter text may have fewer measures than when the chord was written.
        let Some(measure) = sheet.measures.get_mut(measure).filter(|m| at < m.frame.length) else { continue };
        let chords = &mut measure.frame.chords;
        chords.retain(|c| c.at != at);
        chords.push(hers(at, symbol));
        chords.sort_by_key(|c| c.at);
    }
    Ok(told)
}

fn hers(at: Beats, symbol: ChordSymbol) -> PlacedChord {
    PlacedChord::new(at, symbol).with(ChordOrigin::Hers)
}

fn wrong_place(place: &str) -> Failure {
    Failure::wrong(format!("chord \"{place}\": expected a measure and a place in it, like 3@2, or a whole measure, like 3"))
}

/// The measure that a name without a place means.
pub fn whole_measure(place: &str) -> Option<usize> {
    place.trim().parse().ok()
}

/// The chords of a measure as typed. Errors: what cannot be read or laid, with its place among them.
pub fn chords(text: &str, frame: &Frame) -> Result<Vec<(Beats, ChordSymbol)>, String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut read = Vec::new();
    for (i, word) in words.iter().enumerate() {
        let here = |why: String| format!("chord {}, \"{word}\": {why}", i + 1);
        let (name, place) = word.split_once('@').map_or((*word, None), |(name, place)| (name, Some(place)));
        let at = place.map(|text| at_beat(text, frame)).transpose().map_err(here)?;
        read.push((at, symbol(name).map_err(here)?));
    }
    let placed = read.iter().filter(|(at, _)| at.is_some()).count();
    match placed {
        _ if read.is_empty() => Err("there is no chord in it".into()),
        0 => shared(read.into_iter().map(|(_, symbol)| symbol).collect(), frame),
        n if n < read.len() => Err("give every chord its beat, as C@1 F@3, or none of them".into()),
        _ => {
            if let Some(i) = read.windows(2).position(|pair| pair[0].0 >= pair[1].0) {
                return Err(format!("chord {}, \"{}\": expected a later beat than the chord before it", i + 2, words[i + 1]));
            }
            Ok(read.into_iter().filter_map(|(at, symbol)| Some((at?, symbol))).collect())
        }
    }
}

fn at_beat(text: &str, frame: &Frame) -> Result<Beats, String> {
    let beat = frame.meter.beat();
    let count = frame.length.thousandths_of(beat);
    let expected = || format!("expected a beat from 1, before the end of the measure ({} beats), as C@1", (count as f64) / 1000.0);
    let (above, below) = beats(text).ok_or_else(expected)?.fraction();
    let at = beat.scaled(above, below).filter(|at| *at >= beat).ok_or_else(expected)? - beat;
    if at < frame.length { Ok(at) } else { Err(expected()) }
}

/// Each chord begins on a beat, the earlier ones longer where the beats do not go round; halves of beats (thirds of dotted ones) where there are more chords than beats.
fn shared(symbols: Vec<ChordSymbol>, frame: &Frame) -> Result<Vec<(Beats, ChordSymbol)>, String> {
    let (beat, count) = (frame.meter.beat(), symbols.len() as i64);
    let parts = if frame.meter.is_compound() { 3 } else { 2 };
    let steps = |step: Beats| (frame.length.thousandths_of(step) + 999) / 1000;
    let step = [Some(beat), beat.scaled(1, parts)].into_iter().flatten().find(|step| steps(*step) >= count);
    let Some(step) = step else {
        return Err(format!("{count} chords are too many for a measure of {} beats: give each its beat, as C@1 F@2.5", steps(beat)));
    };
    let steps = steps(step);
    Ok(symbols.into_iter().zip(0..).map(|(symbol, k)| (step * ((k * steps + count - 1) / count), symbol)).collect())
}

/// The chords of a measure as she may type them, each with its beat; one that begins the measure stands without.
pub fn written(frame: &Frame) -> String {
    let word = |placed: &PlacedChord| match placed.at {
        at if at.is_zero() && frame.chords.len() == 1 => placed.symbol.harmony.to_string(),
        at => format!("{}@{}", placed.symbol.harmony, beat_words(at + frame.meter.beat(), frame.meter.beat())),
    };
    frame.chords.iter().map(word).collect::<Vec<_>>().join(" ")
}

/// "3", "2.5", or a fraction where a decimal would not be exact.
fn beat_words(at: Beats, beat: Beats) -> String {
    let ((above, below), (beat_above, beat_below)) = (at.fraction(), beat.fraction());
    let count = Beats::quarters(above * beat_below, below * beat_above).unwrap_or(at);
    match count.fraction() {
        (whole, 1) => whole.to_string(),
        (_, 2 | 4) => count.as_f64().to_string(),
        (above, below) => format!("{above}/{below}"),
    }
}

/// One chord symbol, all of the text.
pub fn symbol(text: &str) -> Result<ChordSymbol, String> {
    let parsed = formats::chord_text::parse(text).map_err(|error| error.to_string())?;
    let mut symbols = parsed.symbols.into_iter();
    match (symbols.next(), symbols.next()) {
        (Some(one), None) => Ok(one),
        (None, _) => Err("there is no chord in it".into()),
        _ => Err("expected one chord".into()),
    }
}

/// The same text with its chords changed, each at its place.
pub fn each(text: &str, change: impl Fn(ChordSymbol) -> ChordSymbol) -> Result<String, String> {
    let word = |word: &str| {
        let (name, place) = word.split_once('@').map_or((word, String::new()), |(name, place)| (name, format!("@{place}")));
        Ok(format!("{}{place}", change(symbol(name)?).source))
    };
    text.split_whitespace().map(word).collect::<Result<Vec<_>, _>>().map(|words| words.join(" "))
}

/// A chord or a measure that was brought back: the printed number, and where in the measure.
pub fn kept(text: &str) -> Result<(u32, Option<Beats>), Failure> {
    let wrong = || Failure::wrong(format!("keep \"{text}\": expected the number of a measure, like 5, or a chord in it, like 5@2"));
    let (number, at) = text.split_once('@').map_or((text, None), |(number, at)| (number, Some(at)));
    let at = at.map(|at| beats(at).ok_or_else(wrong)).transpose()?;
    Ok((number.trim().parse().map_err(|_| wrong())?, at))
}
