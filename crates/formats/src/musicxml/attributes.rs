//! Keys, meters and transpositions, for every staff of a part.
//!
//! Values without a staff number hold for all staves (MusicXML 4.0, elements `key`, `time` and `transpose`).

use super::element::{Element, child, child_text, child_whole, children, decimal, has, rounded, text, whole};
use super::remarks::Remarks;
use crate::diagnostic::excerpt;
use crate::read::LONGEST_MEASURE;
use music::{Beats, Interval, Key, Meter, MeterSign, Mode, Step};
use std::collections::BTreeMap;

/// The most staves of one part; values for staves beyond are left out.
const MOST_STAVES: u32 = 16;
/// The widest transposition that is taken, in octaves.
const WIDEST: i64 = 6;

/// What holds at one moment; staff 0 stands for all staves without a value of their own.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Attributes {
    keys: BTreeMap<u32, Key>,
    meters: BTreeMap<u32, Meter>,
    transpositions: BTreeMap<u32, Interval>,
}

fn at_staff<T: Clone>(values: &BTreeMap<u32, T>, staff: u32) -> Option<T> {
    values.get(&staff).or_else(|| values.get(&0)).cloned()
}

/// Free meter: no sign, measures of any length.
pub fn is_free(meter: &Meter) -> bool {
    meter.sign == MeterSign::Free
}

impl Attributes {
    pub fn new() -> Attributes {
        Attributes::default()
    }

    /// The key as written; C major until one is given.
    pub fn written_key(&self, staff: u32) -> Key {
        at_staff(&self.keys, staff).unwrap_or(Key::C_MAJOR)
    }

    /// The key as it sounds.
    pub fn key(&self, staff: u32) -> Key {
        sounding_key(&self.written_key(staff), self.transposition(staff))
    }

    pub fn has_key(&self, staff: u32) -> bool {
        at_staff(&self.keys, staff).is_some()
    }

    /// The meter, once one is given.
    pub fn given_meter(&self, staff: u32) -> Option<Meter> {
        at_staff(&self.meters, staff)
    }

    /// What must be added to a written pitch to get the sounding one.
    pub fn transposition(&self, staff: u32) -> Interval {
        at_staff(&self.transpositions, staff).unwrap_or(Interval::UNISON)
    }

    /// Takes in an `attributes` element.
    pub fn change(&mut self, element: Element, remarks: &mut Remarks) {
        for inner in element.children().filter(|c| c.is_element()) {
            let staff = inner.attribute("number").and_then(whole).unwrap_or(0).clamp(0, 1000) as u32;
            match inner.tag_name().name() {
                "key" => put(&mut self.keys, staff, key(inner, remarks)),
                "time" => {
                    if let Some(meter) = meter(inner, remarks) {
                        put(&mut self.meters, staff, meter);
                    }
                }
                "transpose" => put(&mut self.transpositions, staff, transposition(inner, remarks)),
                "measure-style" => style(inner, remarks),
                _ => {}
            }
        }
    }
}

/// A value for all staves clears what single staves had.
fn put<T>(values: &mut BTreeMap<u32, T>, staff: u32, value: T) {
    if staff == 0 {
        values.clear();
    }
    if staff <= MOST_STAVES {
        values.insert(staff, value);
    }
}

/// A key moved by a transposition. Beyond seven accidentals the signature that sounds the same with fewer is taken, as on paper.
fn sounding_key(written: &Key, transposition: Interval) -> Key {
    let mut key = written.up(transposition);
    if transposition != Interval::UNISON && key.explicit.is_empty() && written.fifths.abs() <= 7 {
        while key.fifths.abs() > 7 {
            key.fifths -= 12 * key.fifths.signum();
        }
    }
    key
}

fn key(element: Element, remarks: &mut Remarks) -> Key {
    if has(element, "key-step") {
        return explicit_key(element, remarks);
    }
    let fifths = child_whole(element, "fifths").unwrap_or_else(|| {
        remarks.warn(element, "a key without a number of sharps or flats, taken as none", "");
        0
    });
    if fifths.abs() > 14 {
        remarks.warn(element, format!("a key of {fifths} fifths is left out: expected -14 to 14"), "");
        return Key::C_MAJOR;
    }
    Key::new(fifths as i32, mode(element, remarks))
}

fn mode(element: Element, remarks: &mut Remarks) -> Mode {
    match child_text(element, "mode").map(|t| t.to_lowercase()).as_deref() {
        None => {
            remarks.note(element, "a key signature without a mode, taken as major", "");
            Mode::Major
        }
        Some("none") => Mode::Other,
        Some(name) => Mode::NAMED.into_iter().find(|m| m.name() == name).unwrap_or_else(|| {
            remarks.warn(element, format!("the mode \"{}\" is not known, only the signature is kept", excerpt(name)), "");
            Mode::Other
        }),
    }
}

/// A signature given letter by letter: `key-step` and `key-alter` in turn.
fn explicit_key(element: Element, remarks: &mut Remarks) -> Key {
    let mut explicit: BTreeMap<Step, i32> = BTreeMap::new();
    let mut step = None;
    for inner in element.children().filter(|c| c.is_element()) {
        match inner.tag_name().name() {
            "key-step" => step = text(inner).chars().next().and_then(Step::from_letter),
            "key-alter" => {
                let value = decimal(&text(inner)).unwrap_or((0, 1));
                if value.0 % value.1 != 0 {
                    remarks.warn(inner, "a quarter tone in the key signature is rounded to a semitone", "");
                }
                if let Some(step) = step {
                    explicit.insert(step, rounded(value).clamp(-3, 3) as i32);
                }
            }
            _ => {}
        }
    }
    Key { explicit: explicit.into_iter().collect(), ..Key::new(0, Mode::Other) }
}

/// A meter. Several pairs of `beats` and `beat-type` are joined over their smallest note value: 3/8+3/4 is 3+6 eighths.
fn meter(element: Element, remarks: &mut Remarks) -> Option<Meter> {
    if has(element, "senza-misura") {
        return Meter::new(vec![4], 4, MeterSign::Free);
    }
    if has(element, "interchangeable") {
        remarks.note(element, "the second of two interchangeable meters is left out", "");
    }
    let made = joined(element).and_then(|(groups, unit)| Meter::new(groups.clone(), unit, sign(element, &groups, unit)));
    if made.is_none() {
        remarks.warn(element, "a meter that cannot be read is left out: expected up to 64 beats of a note value up to a 64th", "");
    }
    let short = |m: &Meter| m.length() <= Beats::WHOLE * LONGEST_MEASURE;
    if made.as_ref().is_some_and(|m| !short(m)) {
        remarks.warn(element, format!("a meter of more than {LONGEST_MEASURE} whole notes is left out"), "");
    }
    made.filter(short)
}

fn joined(element: Element) -> Option<(Vec<u32>, u32)> {
    let mut pairs: Vec<(Vec<u32>, u32)> = Vec::new();
    let mut beats: Option<Vec<u32>> = None;
    for inner in element.children().filter(|c| c.is_element()) {
        match inner.tag_name().name() {
            "beats" => beats = text(inner).split('+').map(|n| n.trim().parse().ok()).collect(),
            "beat-type" => pairs.push((beats.take()?, text(inner).parse().ok()?)),
            _ => {}
        }
    }
    let unit = pairs.iter().map(|p| p.1).max()?;
    let mut groups = Vec::new();
    for (numbers, below) in pairs {
        let times = if below > 0 && unit % below == 0 { unit / below } else { return None };
        for n in numbers {
            groups.push(n.checked_mul(times)?);
        }
    }
    Some((groups, unit))
}

/// Common and cut signs only where they say what the numbers say.
fn sign(element: Element, groups: &[u32], unit: u32) -> MeterSign {
    match (element.attribute("symbol"), groups, unit) {
        (Some("common"), [4], 4) => MeterSign::Common,
        (Some("cut"), [2], 2) => MeterSign::Cut,
        _ => MeterSign::Numbers,
    }
}

/// Letter steps that usually go with semitones 0 to 11, where the score does not say: a major second down is B-flat, a minor third up E-flat.
const USUAL_STEPS: [i64; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];

fn transposition(element: Element, remarks: &mut Remarks) -> Interval {
    let chromatic = child_text(element, "chromatic").and_then(|t| whole(&t)).unwrap_or(0);
    let diatonic = child_whole(element, "diatonic")
        .unwrap_or_else(|| chromatic.signum() * (7 * (chromatic.abs() / 12) + USUAL_STEPS[(chromatic.abs() % 12) as usize]));
    let octaves = child_whole(element, "octave-change").unwrap_or(0);
    if chromatic.abs() > 12 * WIDEST || diatonic.abs() > 7 * WIDEST || octaves.abs() > WIDEST {
        remarks.warn(element, "a transposition by more than six octaves is left out", "");
        return Interval::UNISON;
    }
    if let Some(double) = child(element, "double") {
        remarks.note(double, "the doubling at the octave is left out", "");
    }
    let interval = Interval::new((diatonic + 7 * octaves) as i32, (chromatic + 12 * octaves) as i32);
    if interval != Interval::UNISON {
        remarks.note(element, format!("a transposing part ({:+} semitones) is read as it sounds", interval.semitones), "");
    }
    interval
}

/// Shorthand that repeats or slashes measures: the measures themselves are still in the file, so only the sign is lost.
fn style(element: Element, remarks: &mut Remarks) {
    for name in ["measure-repeat", "beat-repeat", "slash"] {
        for inner in children(element, name).filter(|e| e.attribute("type") != Some("stop")) {
            remarks.note(inner, format!("the {name} sign is not applied: the measures are read as they are written"), "");
        }
    }
}
