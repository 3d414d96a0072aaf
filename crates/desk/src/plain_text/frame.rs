//! What is said of a measure before its hands: signs, key, meter, chords, tempo, words, levers or pedals and muffles; a line each, and back.
//!
//! A line is a label, a colon and what it says. `common` lines belong to both hands; marks of one hand stand with that hand.

use super::chords;
use super::keys::{key, meter, read_key, read_meter};
use super::lengths::{self, length, place, read_place};
use super::pitches::{self, name, name_of, pitch};
use super::tokens::{Token, Tokens, plain};
use music::{
    Barline, Beats, ChordOrigin, Ending, Frame, Hand, Jump, Key, Mark, Meter, PitchName, PlacedChord, PlacedMark, ScoreMeasure, Step,
};

/// What held in the measure before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Before {
    pub key: Key,
    pub meter: Meter,
}

impl Before {
    pub fn of(frame: &Frame) -> Before {
        Before { key: frame.key.clone(), meter: frame.meter.clone() }
    }
}

/// A sign, and its words at the head of a measure or at its end.
const PLACES: [(Jump, &str); 2] = [(Jump::Segno, "the sign"), (Jump::Coda, "the coda")];
const JUMPS: [(Jump, &str); 4] = [
    (Jump::ToCoda, "go to the coda after the return"),
    (Jump::Fine, "the end after the return"),
    (Jump::DaCapo, "return to the beginning"),
    (Jump::DalSegno, "return to the sign"),
];
const BARS: [(Barline, &str); 5] = [
    (Barline::None, "no bar line"),
    (Barline::Plain, "bar line"),
    (Barline::Double, "double bar line"),
    (Barline::Final, "final bar line"),
    (Barline::Dotted, "dotted bar line"),
];
const ORIGINS: [(ChordOrigin, &str); 2] = [(ChordOrigin::Hers, "yours"), (ChordOrigin::Ours, "ours")];

/// The lines that belong to both hands but the chords.
pub fn common(measure: &ScoreMeasure, before: &Before) -> Vec<String> {
    let frame = &measure.frame;
    let mut lines = Vec::new();
    for (label, text) in [("Heading", &measure.heading), ("Section", &frame.section)] {
        let text = text.as_deref().map(plain).filter(|t| !t.is_empty());
        lines.extend(text.map(|text| format!("{label}: {text}")));
    }
    if measure.melody == Hand::Left {
        lines.push("Melody: left hand".into());
    }
    if frame.key != before.key {
        lines.push(format!("Key: {}", key(&frame.key)));
    }
    if frame.meter != before.meter {
        lines.push(format!("Meter: {}", meter(&frame.meter)));
    }
    if frame.length != frame.meter.length() {
        lines.push(format!("Length: {}", length(frame.length)));
    }
    let (start, end) = (at_the_start(frame), at_the_end(frame));
    lines.extend((!start.is_empty()).then(|| format!("Start: {}", start.join(", "))));
    lines.extend((!end.is_empty()).then(|| format!("End: {}", end.join(", "))));
    for (at, tempo) in &frame.tempos {
        lines.push(format!("Tempo at {}: {}", place(&frame.meter, *at), lengths::tempo(*tempo)));
    }
    for (at, text) in frame.words.iter().filter(|(_, text)| !text.trim().is_empty()) {
        lines.push(format!("Words above at {}: {}", place(&frame.meter, *at), plain(text)));
    }
    lines.extend(marks(measure, None));
    lines
}

/// The chords of a measure; `None` where none stands.
pub fn chord_line(frame: &Frame) -> Option<String> {
    let chord = |c: &PlacedChord| {
        let at = if c.at.is_zero() { String::new() } else { format!("{}: ", place(&frame.meter, c.at)) };
        let origin = ORIGINS.iter().find(|(o, _)| *o == c.origin).map(|(_, word)| format!("{word} ")).unwrap_or_default();
        format!("{at}{origin}{}", chords::chord(&c.symbol))
    };
    let said: Vec<String> = frame.chords.iter().map(chord).collect();
    match said.len() {
        0 => None,
        1 => Some(format!("Chord: {}", said[0])),
        _ => Some(format!("Chords: {}", said.join(", "))),
    }
}

/// The marks of one hand, or of none, a line each.
pub fn marks(measure: &ScoreMeasure, hand: Option<Hand>) -> Vec<String> {
    let says = |m: &&PlacedMark| !matches!(&m.mark, Mark::Words(text) if text.trim().is_empty());
    measure.marks.iter().filter(|m| m.hand == hand).filter(says).map(|m| mark(m, &measure.frame.meter)).collect()
}

fn at_the_start(frame: &Frame) -> Vec<String> {
    let mut said = Vec::new();
    said.extend(frame.repeat_start.then(|| "the repeat begins".to_owned()));
    if let Some(ending) = &frame.ending {
        let verb = if ending.starts { "begins" } else { "goes on" };
        said.push(format!("ending {} {verb}", passes(&ending.passes)));
    }
    said.extend(PLACES.iter().flat_map(|(jump, words)| frame.jumps.iter().filter(move |j| *j == jump).map(|_| (*words).to_owned())));
    if frame.left != Barline::None {
        said.extend(bar(frame.left));
    }
    said
}

fn at_the_end(frame: &Frame) -> Vec<String> {
    let mut said = Vec::new();
    said.extend(frame.repeat_end.map(|times| format!("go back, {times} times in all")));
    said.extend(frame.ending.as_ref().filter(|e| e.stops).map(|e| format!("ending {} ends", passes(&e.passes))));
    said.extend(JUMPS.iter().flat_map(|(jump, words)| frame.jumps.iter().filter(move |j| *j == jump).map(|_| (*words).to_owned())));
    if frame.right != Barline::Plain {
        said.extend(bar(frame.right));
    }
    said
}

fn bar(line: Barline) -> Option<String> {
    BARS.iter().find(|(b, _)| *b == line).map(|(_, words)| (*words).to_owned())
}

fn passes(passes: &[u32]) -> String {
    if passes.is_empty() { "0".into() } else { passes.iter().map(u32::to_string).collect::<Vec<_>>().join(" and ") }
}

fn mark(placed: &PlacedMark, meter: &Meter) -> String {
    let (label, content) = match &placed.mark {
        Mark::MuffleAll => ("Muffle all", None),
        Mark::Muffle(all) if all.is_empty() => ("Muffle", Some("no string".to_owned())),
        Mark::Muffle(all) => ("Muffle", Some(pitches::pitches(all))),
        Mark::LetRing => ("Let ring", None),
        Mark::Lever(to) => ("Lever", Some(pitch(*to))),
        Mark::Pedal(to) => ("Pedal", Some(pedal(*to))),
        Mark::Pedals(alter) => ("All pedals", Some(pedals(alter))),
        Mark::Words(text) => ("Mark", Some(plain(text))),
    };
    let time = PlacedMark::time(placed.first_pass).map(|t| format!(" {t}")).unwrap_or_default();
    let content = content.map(|c| format!(": {c}")).unwrap_or_default();
    format!("{label}{time} at {}{content}", place(meter, placed.at))
}

/// "F-natural": a pedal has a position where a string has a pitch.
fn pedal(to: PitchName) -> String {
    if to.alter == 0 { format!("{}-natural", to.step.letter()) } else { name(to) }
}

/// From C to B.
pub fn pedals(alter: &[i32; 7]) -> String {
    Step::ALL.into_iter().map(|step| pedal(PitchName::new(step, alter[step as usize]))).collect::<Vec<_>>().join(", ")
}

fn read_pedal(tokens: &mut Tokens) -> Result<PitchName, String> {
    let word = tokens.word().ok_or_else(|| tokens.expected("a pedal"))?;
    name_of(word.strip_suffix("-natural").unwrap_or(&word)).ok_or_else(|| format!("no pedal \"{word}\""))
}

/// Reads one line that belongs to no hand, or to this one, into the measure. `false` where it is none of them.
pub fn read(measure: &mut ScoreMeasure, hand: Option<Hand>, label: &str, said: &str) -> Result<bool, String> {
    let mut tokens = Tokens::of(said)?;
    let frame = &mut measure.frame;
    match label {
        "Heading" => measure.heading = Some(said.to_owned()),
        "Section" => frame.section = Some(said.to_owned()),
        "Melody" if said == "left hand" => measure.melody = Hand::Left,
        "Key" => {
            frame.key = read_key(&mut tokens)?;
            tokens.end()?;
        }
        "Meter" => {
            frame.meter = read_meter(&mut tokens)?;
            frame.length = frame.meter.length();
            tokens.end()?;
        }
        "Length" => {
            frame.length = lengths::read(&mut tokens)?.ok_or_else(|| tokens.expected("a length"))?.beats();
            tokens.end()?;
        }
        "Start" => signs(&mut tokens, |tokens| read_start(tokens, frame))?,
        "End" => signs(&mut tokens, |tokens| read_end(tokens, frame))?,
        "Chord" | "Chords" => signs(&mut tokens, |tokens| read_chord(tokens, frame))?,
        _ => return read_placed(measure, hand, label, said),
    }
    Ok(true)
}

/// Each of several things with commas between.
fn signs(tokens: &mut Tokens, mut each: impl FnMut(&mut Tokens) -> Result<(), String>) -> Result<(), String> {
    loop {
        each(tokens)?;
        if tokens.is_over() {
            return Ok(());
        }
        if !tokens.sign(&Token::Comma) {
            return Err(tokens.expected("a comma"));
        }
    }
}

fn read_start(tokens: &mut Tokens, frame: &mut Frame) -> Result<(), String> {
    if tokens.take("the repeat begins") {
        frame.repeat_start = true;
    } else if let Some((jump, _)) = PLACES.iter().find(|(_, words)| tokens.take(words)) {
        frame.jumps.push(*jump);
    } else if let Some((line, _)) = BARS.iter().find(|(_, words)| tokens.take(words)) {
        frame.left = *line;
    } else {
        let passes = read_passes(tokens)?;
        let starts = tokens.take("begins");
        if !starts && !tokens.take("goes on") {
            return Err(tokens.expected("\"begins\" or \"goes on\""));
        }
        frame.ending = Some(Ending { passes, starts, stops: false });
    }
    Ok(())
}

fn read_end(tokens: &mut Tokens, frame: &mut Frame) -> Result<(), String> {
    if tokens.take("go back") {
        if !tokens.sign(&Token::Comma) {
            return Err(tokens.expected("a comma"));
        }
        frame.repeat_end = Some(tokens.number().ok_or_else(|| tokens.expected("how many times"))?);
        return if tokens.take("times in all") { Ok(()) } else { Err(tokens.expected("\"times in all\"")) };
    }
    if let Some((jump, _)) = JUMPS.iter().find(|(_, words)| tokens.take(words)) {
        frame.jumps.push(*jump);
    } else if let Some((line, _)) = BARS.iter().find(|(_, words)| tokens.take(words)) {
        frame.right = *line;
    } else {
        let passes = read_passes(tokens)?;
        let ending = frame.ending.as_mut().filter(|e| e.passes == passes);
        match ending.filter(|_| tokens.take("ends")) {
            Some(ending) => ending.stops = true,
            None => return Err(tokens.expected("the end of the ending that is here")),
        }
    }
    Ok(())
}

fn read_passes(tokens: &mut Tokens) -> Result<Vec<u32>, String> {
    if !tokens.take("ending") {
        return Err(tokens.expected("a sign of the form"));
    }
    let mut passes = Vec::new();
    loop {
        passes.push(tokens.number().ok_or_else(|| tokens.expected("the number of an ending"))?);
        if !tokens.take("and") {
            passes.retain(|p| *p > 0);
            return Ok(passes);
        }
    }
}

fn read_chord(tokens: &mut Tokens, frame: &mut Frame) -> Result<(), String> {
    let placed = read_place(tokens, &frame.meter)?;
    if placed.is_some() && !tokens.sign(&Token::Colon) {
        return Err(tokens.expected("a colon"));
    }
    let origin = ORIGINS.iter().find(|(_, word)| tokens.take(word)).map_or(ChordOrigin::Source, |(origin, _)| *origin);
    let symbol = chords::read(tokens)?;
    frame.chords.push(PlacedChord { at: placed.unwrap_or(Beats::ZERO), symbol, origin });
    Ok(())
}

/// What stands at a place: its label, the time through, "at" and the place.
fn read_placed(measure: &mut ScoreMeasure, hand: Option<Hand>, label: &str, said: &str) -> Result<bool, String> {
    const LABELS: [&str; 9] = ["Tempo", "Words above", "Muffle all", "Muffle", "Let ring", "Lever", "Pedal", "All pedals", "Mark"];
    let mut tokens = Tokens::of(label)?;
    let Some(kind) = LABELS.into_iter().find(|l| tokens.take(l)) else { return Ok(false) };
    let first_pass = read_time(&mut tokens)?;
    if !tokens.take("at") {
        return Err(tokens.expected("\"at\" and a beat"));
    }
    let at = read_place(&mut tokens, &measure.frame.meter)?.ok_or_else(|| tokens.expected("a beat"))?;
    tokens.end()?;
    let mut tokens = Tokens::of(said)?;
    let mark = match kind {
        "Tempo" => {
            measure.frame.tempos.push((at, lengths::read_tempo(&mut tokens)?));
            tokens.end()?;
            return Ok(true);
        }
        "Words above" => {
            measure.frame.words.push((at, said.to_owned()));
            return Ok(true);
        }
        "Mark" => Mark::Words(said.to_owned()),
        _ => {
            let mark = read_mark(kind, &mut tokens)?;
            tokens.end()?;
            mark
        }
    };
    measure.marks.push(PlacedMark { at, hand, mark, first_pass });
    Ok(true)
}

/// "2nd time".
fn read_time(tokens: &mut Tokens) -> Result<u32, String> {
    let Some(word) = tokens.peek().map(str::to_owned) else { return Ok(1) };
    let digits = word.trim_end_matches(|c: char| !c.is_ascii_digit());
    let Ok(time) = digits.parse() else { return Ok(1) };
    match PlacedMark::time(time).filter(|words| tokens.take(words)) {
        Some(_) => Ok(time),
        None => Err(tokens.expected("the time through")),
    }
}

fn read_mark(kind: &str, tokens: &mut Tokens) -> Result<Mark, String> {
    Ok(match kind {
        "Muffle all" => Mark::MuffleAll,
        "Let ring" => Mark::LetRing,
        "Muffle" if tokens.take("no string") => Mark::Muffle(Vec::new()),
        "Muffle" => Mark::Muffle(pitches::read_several(tokens)?),
        "Lever" => Mark::Lever(pitches::read(tokens)?.ok_or_else(|| tokens.expected("a string"))?),
        "Pedal" => Mark::Pedal(read_pedal(tokens)?),
        _ => {
            let mut alter = [0; 7];
            for step in Step::ALL {
                let pedal = read_pedal(tokens)?;
                if pedal.step != step || (step != Step::B && !tokens.sign(&Token::Comma)) {
                    return Err(tokens.expected("all pedals from C to B"));
                }
                alter[step as usize] = pedal.alter;
            }
            Mark::Pedals(alter)
        }
    })
}
