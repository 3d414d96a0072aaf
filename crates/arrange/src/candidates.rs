//! Candidates: every playable way to fill a slot, and the reason for every way that is left out.
//!
//! For each slot: every figure that fits, on every footing and at every placement in the left hand's register, with the colours the chord allows, minus
//! what breaks a hard limit of the hand, the instrument or the tune's own strings.

use crate::figures::{Figure, Figures, Part, Space, Stroke};
use crate::hand_time::{Pluck, TooFast, playable};
use crate::price::{Price, Principle};
use crate::principles::{self, Entry, Exit, entry, exit};
use crate::register::Register;
use crate::rungs::{Colour, Footing, Rungs, written_footing};
use crate::slots::Slot;
use crate::view::{Manner, View};
use crate::wishes::Wishes;
use harmony::kind::KindOfTune;
use harp::{HandLimit, Instrument, hand};
use music::{Chord, ChordTone};
use std::collections::BTreeMap;
use std::fmt;

/// The most candidates a slot keeps; the cheapest placement of every figure is always among them.
pub const MOST: usize = 160;

/// One playable way to fill a slot.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Index into [`Figures::all`].
    pub figure: usize,
    pub footing: Footing,
    pub colour: Colour,
    pub plucks: Vec<Pluck>,
    pub price: Price,
    pub entry: Entry,
    pub exit: Exit,
}

/// Why a figure is not played at a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    NoSuchMeter,
    NoSuchTone,
    OffTheHarp,
    Hand(HandLimit),
    TooFast(TooFast),
    TuneString,
    CrossesTune,
    TooHigh,
    NotForThisKind,
    LeftOutByYou,
    OnlyTheLastChord,
    OnlyPhraseEnds,
    TooMany,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reason::NoSuchMeter => f.write_str("it has no form for this meter or length"),
            Reason::NoSuchTone => f.write_str("the chord lacks one of its tones"),
            Reason::OffTheHarp => f.write_str("it needs strings the harp does not have"),
            Reason::Hand(limit) => limit.fmt(f),
            Reason::TooFast(TooFast::Plucks) => f.write_str("it is faster than the hand at this tempo"),
            Reason::TooFast(TooFast::Blocks) => f.write_str("its chords follow too quickly at this tempo"),
            Reason::TooFast(TooFast::SameString) => f.write_str("a string comes back too soon"),
            Reason::TooFast(TooFast::Leap) => f.write_str("there is no time for its leap"),
            Reason::TuneString => f.write_str("the tune is on one of its strings"),
            Reason::CrossesTune => f.write_str("it rises into the tune"),
            Reason::TooHigh => f.write_str("it rises above the left hand's register"),
            Reason::NotForThisKind => f.write_str("it does not belong to this kind of tune"),
            Reason::LeftOutByYou => f.write_str("you left it out"),
            Reason::OnlyTheLastChord => f.write_str("it is for the last chord"),
            Reason::OnlyPhraseEnds => f.write_str("it is for phrase ends"),
            Reason::TooMany => f.write_str("cheaper ways of playing it were kept"),
        }
    }
}

/// The candidates of one slot and what was left out.
#[derive(Clone, Debug)]
pub struct Choices {
    pub candidates: Vec<Candidate>,
    /// For each figure with no candidate here: the reason its last placement failed for.
    pub left_out: BTreeMap<usize, Reason>,
}

/// What the candidates of all slots have in common.
pub struct Ground<'a> {
    pub figures: &'a Figures,
    pub harp: &'a Instrument,
    pub wishes: &'a Wishes,
    pub kind: KindOfTune,
    /// Measure number of the slot's measure, for holds.
    pub hold: Option<usize>,
}

/// All candidates of a slot.
pub fn choices(view: &View, ground: &Ground) -> Choices {
    let mut made = Choices { candidates: Vec::new(), left_out: BTreeMap::new() };
    for (index, figure) in ground.figures.all.iter().enumerate() {
        let outcome = match admitted(view.slot, figure, index, ground) {
            Ok(()) => place(view, figure, index, ground),
            Err(reason) => Err(reason),
        };
        match outcome {
            Ok(candidates) => made.candidates.extend(candidates),
            Err(reason) => {
                made.left_out.insert(index, reason);
            }
        }
    }
    if let Some(hold) = ground.hold
        && made.candidates.iter().any(|c| c.figure == hold)
    {
        made.candidates.retain(|c| c.figure == hold);
    }
    keep_cheapest(&mut made);
    made
}

fn admitted(slot: &Slot, figure: &Figure, index: usize, ground: &Ground) -> Result<(), Reason> {
    if figure.part == Part::Rest || ground.hold == Some(index) {
        return Ok(());
    }
    if slot.chord.is_none() || slot.fullness == 0 {
        return Err(Reason::NotForThisKind);
    }
    if slot.duty.last {
        return if figure.part == Part::Final || figure.name == "bass-note" { Ok(()) } else { Err(Reason::OnlyTheLastChord) };
    }
    match figure.part {
        Part::Final => return Err(Reason::OnlyTheLastChord),
        Part::Landing if !slot.duty.phrase_end => return Err(Reason::OnlyPhraseEnds),
        Part::Landing => return Ok(()),
        Part::Drone if !ground.wishes.only.contains(&figure.name) && ground.kind != KindOfTune::Lament => {
            return Err(Reason::NotForThisKind);
        }
        _ => {}
    }
    let wished = ground.wishes.only.is_empty() || ground.wishes.only.contains(&figure.name);
    if !wished || ground.wishes.without.contains(&figure.name) {
        return Err(Reason::LeftOutByYou);
    }
    if figure.never.contains(&ground.kind) && !ground.wishes.only.contains(&figure.name) {
        return Err(Reason::NotForThisKind);
    }
    Ok(())
}

/// Every placement of one figure; an error when none is playable.
fn place(view: &View, figure: &Figure, index: usize, ground: &Ground) -> Result<Vec<Candidate>, Reason> {
    let slot = view.slot;
    if figure.part == Part::Rest {
        return Ok(vec![candidate(view, figure, index, ground, Vec::new(), (Footing::Root, Colour::Plain))]);
    }
    let chord = slot.chord.as_ref().ok_or(Reason::NotForThisKind)?;
    let tonic = Chord::new(slot.key.tonic(), if slot.key.mode.is_minor() { music::ChordKind::Minor } else { music::ChordKind::Major });
    let chord = if figure.part == Part::Drone { &tonic } else { chord };
    let mut made: Vec<Candidate> = Vec::new();
    let mut reason = Reason::NoSuchMeter;
    let tones = chord.tones();
    for strokes in fillings(slot, figure) {
        for footing in footings(slot, figure, chord) {
            for colour in colours(slot, &tones, &strokes, footing) {
                for root in roots(figure, chord, footing, ground.harp, view.register) {
                    let on = Rungs { chord, tones: &tones, footing, root };
                    match plucks(view, figure, &strokes, &on, colour, ground.harp).and_then(|p| allowed(view, p)) {
                        Ok(plucks) => made.push(candidate(view, figure, index, ground, plucks, (footing, colour))),
                        Err(why) => reason = why,
                    }
                }
            }
        }
    }
    if made.is_empty() { Err(reason) } else { Ok(made) }
}

/// The ways a figure fills a slot, each once.
fn fillings(slot: &Slot, figure: &Figure) -> Vec<Vec<Stroke>> {
    let mut all = Vec::new();
    for way in 0..figure.ways {
        let space = Space { meter: &slot.meter, length: slot.length, full_measure: slot.full_measure, goes_on: slot.lasted % 2 == 1, way };
        if let Some(strokes) = figure.fitted(&space).filter(|s| !all.contains(s)) {
            all.push(strokes);
        }
    }
    all
}

/// Root position and the written bass everywhere; the first inversion inside a phrase.
fn footings(slot: &Slot, figure: &Figure, chord: &Chord) -> Vec<Footing> {
    let written = written_footing(chord);
    let free = written == Footing::Root && chord.third().is_some() && figure.part == Part::Ordinary;
    let corner = slot.duty.section_first || slot.duty.cadence || slot.duty.last || slot.lasted > 0;
    if free && !corner && chord.bass.is_none() { vec![Footing::Root, Footing::Third] } else { vec![written] }
}

fn colours(slot: &Slot, tones: &[ChordTone], strokes: &[Stroke], footing: Footing) -> Vec<Colour> {
    let rungs = || strokes.iter().flat_map(|s| s.rungs.iter().copied());
    let mut all = vec![Colour::Plain];
    if footing != Footing::Root && !matches!(footing, Footing::Foreign(_)) {
        return all;
    }
    let alone_fifth = rungs().max() == Some(5) && strokes.iter().any(|s| s.rungs == [5]);
    if (rungs().max() == Some(8) || alone_fifth) && tones.iter().any(|t| t.degree == 3) {
        all.push(Colour::Tenth);
    }
    if rungs().any(|r| r == 8) && tones.iter().any(|t| t.degree == 7 || t.degree == 6) && !slot.duty.last {
        all.push(Colour::Seventh);
    }
    all
}

/// Positions of the root whose lowest rung lies in the figure's window, or below it on the harp.
fn roots(figure: &Figure, chord: &Chord, footing: Footing, harp: &Instrument, register: Register) -> Vec<i32> {
    let up = register.lift(harp.lowest());
    let (low, high) = (figure.roots.0 + up, figure.roots.1 + up);
    let lift = match footing {
        Footing::Third => 2,
        Footing::Fifth => 4,
        _ => 0,
    };
    let letter = chord.root.step.index();
    (-1..9)
        .map(|octave| letter + 7 * octave)
        .filter(|root| {
            let lowest = root + lift;
            lowest <= high && lowest >= harp.lowest() - 7 && (lowest >= low || lowest + 7 >= harp.lowest())
        })
        .collect()
}

fn plucks(
    view: &View,
    figure: &Figure,
    strokes: &[Stroke],
    rungs: &Rungs,
    colour: Colour,
    harp: &Instrument,
) -> Result<Vec<Pluck>, Reason> {
    let mut made: Vec<Pluck> = Vec::new();
    let alone_fifth = strokes.iter().flat_map(|s| &s.rungs).max() == Some(&5);
    for stroke in strokes.iter().filter(|s| !s.rungs.is_empty()) {
        let on_strong_beat = view.slot.strong_beats.contains(&stroke.at);
        let mut pitches = Vec::new();
        for rung in &stroke.rungs {
            let (rung, colour) = match (colour, rung) {
                (Colour::Tenth, 8) => (10, Colour::Plain),
                (Colour::Tenth, 5) if alone_fifth && stroke.rungs.len() == 1 => (10, Colour::Plain),
                (Colour::Seventh, 8 | 15) if !on_strong_beat || stroke.rungs.len() > 1 => (*rung, Colour::Seventh),
                _ => (*rung, Colour::Plain),
            };
            match rungs.pitch(rung, colour, harp) {
                Some(pitch) => pitches.push(pitch),
                None if rung == 1 || stroke.rungs.len() == 1 => return Err(missing(rungs, rung)),
                None => {}
            }
        }
        if pitches.is_empty() {
            return Err(missing(rungs, stroke.rungs[0]));
        }
        pitches.sort_by_key(|p| (p.position(), p.alter));
        pitches.dedup_by_key(|p| p.position());
        let rolled = stroke.rolled && pitches.len() >= 3 && view.manner == Manner::Song;
        made.push(Pluck { at: stroke.at, length: stroke.length, pitches, rolled });
    }
    if let Some(upper) = figure.upper.map(|u| u + 7 * view.register.octaves) {
        let too_low = made.iter().skip(1).any(|p| p.low() < upper && p.pitches.len() > 1);
        if too_low {
            return Err(Reason::OffTheHarp);
        }
    }
    Ok(made)
}

fn missing(rungs: &Rungs, rung: u8) -> Reason {
    let has_tone = match (rung - 1) % 7 {
        2 => rungs.chord.third().is_some(),
        4 => rungs.chord.fifth().is_some(),
        _ => true,
    };
    if has_tone { Reason::OffTheHarp } else { Reason::NoSuchTone }
}

/// The hard limits.
fn allowed(view: &View, plucks: Vec<Pluck>) -> Result<Vec<Pluck>, Reason> {
    for pluck in &plucks {
        if pluck.pitches.len() > 1 {
            let strings: Vec<i32> = pluck.pitches.iter().map(|p| p.position()).collect();
            let held = if pluck.rolled { hand::rolled(view.player, &strings) } else { hand::block(view.player, &strings) };
            held.map_err(Reason::Hand)?;
        }
        if pluck.high() > view.register.highest {
            return Err(Reason::TooHigh);
        }
        for note in view.melody.iter().filter(|n| n.on <= pluck.at && n.off > pluck.at) {
            if pluck.pitches.iter().any(|p| note.strings.contains(&p.position())) {
                return Err(Reason::TuneString);
            }
            if pluck.high() >= note.low() {
                return Err(Reason::CrossesTune);
            }
        }
    }
    playable(&plucks, view.slot.length, view.tempo, view.player).map_err(Reason::TooFast)?;
    Ok(plucks)
}

fn candidate(
    view: &View,
    figure: &Figure,
    index: usize,
    ground: &Ground,
    plucks: Vec<Pluck>,
    (footing, colour): (Footing, Colour),
) -> Candidate {
    let fluency = view.player.fluency;
    let mut price = principles::own(view, &plucks);
    price.add(Principle::Manner, manner(view.slot, figure, ground, view.register, &plucks));
    let length = view.slot.length;
    Candidate {
        figure: index,
        footing,
        colour,
        entry: entry(&plucks, view.tempo, fluency),
        exit: exit(&plucks, length, view.tempo, fluency, view.register),
        plucks,
        price,
    }
}

/// How well the figure's author says it suits this kind of tune, and how far its bass lies from its register.
fn manner(slot: &Slot, figure: &Figure, ground: &Ground, register: Register, plucks: &[Pluck]) -> i64 {
    let Some(first) = plucks.first() else { return 0 };
    let kind = if figure.suits.is_empty() {
        140
    } else if figure.suits.contains(&ground.kind) {
        0
    } else {
        420
    };
    let up = register.lift(ground.harp.lowest());
    let below = i64::from((figure.roots.0 + up - first.low()).max(0));
    let last = if slot.duty.last { i64::from(first.low() - ground.harp.lowest()) * 40 } else { 0 };
    let kind = kind + if slot.duty.phrase_end && figure.part == Part::Ordinary { 220 } else { 0 };
    let special = if figure.part == Part::Final && figure.name != "final-chord" { 300 } else { 0 };
    kind + 70 * below + last + special
}

/// Too many candidates: the cheapest of every figure, then the cheapest of all.
fn keep_cheapest(made: &mut Choices) {
    if made.candidates.len() <= MOST {
        return;
    }
    let mut order: Vec<usize> = (0..made.candidates.len()).collect();
    order.sort_by_key(|i| (made.candidates[*i].price.total(), *i));
    let mut seen = Vec::new();
    let (mut first, mut rest) = (Vec::new(), Vec::new());
    for index in order {
        let figure = made.candidates[index].figure;
        if seen.contains(&figure) {
            rest.push(index);
        } else {
            seen.push(figure);
            first.push(index);
        }
    }
    let mut kept: Vec<usize> = first.into_iter().chain(rest).take(MOST).collect();
    kept.sort();
    made.candidates = kept.into_iter().map(|i| made.candidates[i].clone()).collect();
}
