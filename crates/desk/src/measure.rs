//! One measure told in full: its decisions, which strings each hand plucks when and with which fingers, how levers or pedals stand; [`mod@in_words`] tells all of it in
//! plain words.

mod chords;
pub mod in_words;

use crate::by_hand::moves::{self, MoveHere};
use crate::report::chords::made::{self, MadeHere};
use crate::worktable::{Worktable, chord_name};
use arrange::Decision;
use arrange::moves::name as setting_name;
use harmony::Pickup;
use harp::page::replay::{moved, standing};
use harp::settings::Part;
use music::{Beats, Clock, Hand, MeasureNumber, Note, Pitch, Place, ScoreMeasure, Step};
use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Clone, Debug, Serialize)]
pub struct MeasureFacts {
    /// Among all measures of the page, from 0, and the printed number.
    pub index: usize,
    #[serde(serialize_with = "crate::number::one")]
    pub number: MeasureNumber,
    pub decisions: Vec<DecisionFacts>,
    /// Nothing for a measure that was added to the tune.
    pub chords: Option<chords::ChordsHere>,
    /// Nothing for a pickup, which belongs to what follows.
    pub phrase: Option<PhraseFacts>,
    pub hands: Vec<Moment>,
    /// Levers or pedals that move in it.
    pub moves: Vec<MoveHere>,
    /// What the check says here, where she changed notes; nothing where she changed none.
    pub checked: Option<Vec<String>>,
    /// Letters and strings that do not stand as tuned: "F♯", "C♯5".
    pub levers: Vec<String>,
    /// Every string as it sounds in the key of the measure, lowest first.
    pub scale: Vec<String>,
    pub length: f64,
    pub in_words: String,
}

/// How the phrases go at a measure.
#[derive(Clone, Debug, Serialize)]
pub struct PhraseFacts {
    /// A phrase begins here; else one goes on.
    pub begins: bool,
    /// It begins here whatever she says: the tune or a section begins.
    pub always: bool,
    /// She said so.
    pub hers: bool,
    /// What speaks for its beginning here.
    pub why: Vec<&'static str>,
}

#[derive(Clone, Debug, Serialize)]
pub struct DecisionFacts {
    /// In quarter notes from the start of the measure.
    pub at: f64,
    pub chord: String,
    /// The chord is Undersong's: it stands neither in the tune's file nor among her own.
    pub ours: bool,
    /// The name of the chord's place among her own chords.
    pub chord_place: Option<String>,
    /// Where the chord was made for the melody: why, and what else might stand there.
    pub made: Option<MadeHere>,
    /// The hand that plucks, "left" or "right"; the other has the melody.
    pub hand: &'static str,
    pub figure: String,
    pub notes: String,
    pub why: String,
    pub second: Option<String>,
    /// What the melody does meanwhile.
    pub tune: String,
    pub held: bool,
    pub price: i64,
    pub alternatives: Vec<Way>,
    pub left_out: Vec<LeftOut>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Way {
    pub figure: String,
    pub notes: String,
    pub extra: i64,
    /// The same in words.
    pub worth: String,
    pub why_not: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct LeftOut {
    pub figure: String,
    pub why: String,
}

/// What is plucked at one moment.
#[derive(Clone, Debug, Serialize)]
pub struct Moment {
    /// From the start of the measure; in quarter notes for the page.
    #[serde(skip)]
    pub place: Beats,
    pub at: f64,
    /// The place as a change by hand names it: "3@3/2".
    pub named: String,
    /// From the start of the measure.
    pub seconds: f64,
    /// How long each hand's note is written, left and right, in quarter notes; nothing where it plucks none.
    pub lengths: [Option<f64>; 2],
    pub left: Vec<Touch>,
    pub right: Vec<Touch>,
}

/// One string with its finger, where one is known.
#[derive(Clone, Debug, Serialize)]
pub struct Touch {
    /// The string by letter and octave, and what it sounds.
    pub string: String,
    pub pitch: String,
    pub finger: Option<u8>,
    /// Why it cannot be played on this harp, where it cannot.
    pub cannot: Option<String>,
    /// What the string below and the string above sound in the key of the measure, where the harp has them.
    pub beside: [Option<String>; 2],
}

/// Tells a measure of the page; `None` where there is none. `free` is the same tune without the hold of this measure, which a held one is weighed against.
pub fn facts(worktable: &Worktable, free: Option<&Worktable>, index: usize) -> Option<MeasureFacts> {
    let measure = worktable.job.arrangement.score.measures.get(index)?;
    let here: Vec<&Decision> = worktable.decisions().iter().filter(|d| d.measure == index).collect();
    let hands = moments(worktable, index, measure);
    let levers = stand(worktable, index);
    let mut decisions: Vec<DecisionFacts> =
        here.iter().enumerate().map(|(i, d)| decision(worktable, measure, d, here.get(i + 1).map(|n| n.at))).collect();
    decisions.iter_mut().zip(&here).for_each(|(facts, d)| facts.ours = chords::is_ours(&worktable.job.arrangement.score, index, d.at));
    if let Some(free) = free {
        let free_ways = free.decisions().iter().filter(|d| d.measure == index);
        decisions.iter_mut().zip(free_ways).for_each(|(facts, other)| weigh(facts, other));
    }
    let in_words = in_words::in_words(measure, &here, &hands, (&worktable.setup.harp.mechanism, &levers));
    let phrase = phrase(worktable, index);
    Some(MeasureFacts {
        index,
        number: measure.frame.number,
        decisions,
        chords: chords::chords_here(worktable, measure),
        phrase,
        hands,
        moves: moves::here(worktable, index),
        checked: checked(worktable, index),
        levers,
        scale: scale(worktable, index),
        length: measure.frame.length.as_f64(),
        in_words,
    })
}

/// The most findings that are told of a measure.
const MOST_SAID: usize = 4;

fn checked(worktable: &Worktable, index: usize) -> Option<Vec<String>> {
    worktable.by_hand.iter().find(|one| one.change.place().is_some_and(|place| place.measure == index))?;
    let mut here: Vec<&check::Finding> = worktable.said().iter().filter(|f| f.place.measure == index).collect();
    here.sort_by_key(|f| f.gravity);
    let told = |f: &&check::Finding| format!("{}: {}", f.gravity.name(), f.sentence(&worktable.job.arrangement.score));
    Some(here.iter().take(MOST_SAID).map(told).collect())
}

/// The most reasons that are told of a phrase.
const MOST_WHY: usize = 3;

fn phrase(worktable: &Worktable, index: usize) -> Option<PhraseFacts> {
    let arrangement = &worktable.job.arrangement;
    let place = arrangement.phrases.measures.get(index).filter(|place| place.pickup == Pickup::No)?;
    let hers = worktable.job.wishes.phrases.contains_key(&arrangement.score.measures.get(index)?.frame.number);
    let mut why: Vec<&str> = Vec::new();
    if place.first_of_phrase && !place.first_of_section {
        let words = arrangement.phrases.phrases[place.phrase].why.iter().map(|cue| cue.words());
        words.for_each(|words| {
            if !why.contains(&words) {
                why.push(words)
            }
        });
        why.truncate(MOST_WHY);
    }
    Some(PhraseFacts { begins: place.first_of_phrase, always: place.first_of_section, hers, why })
}

fn decision(worktable: &Worktable, measure: &ScoreMeasure, decision: &Decision, until: Option<Beats>) -> DecisionFacts {
    let way = |a: &arrange::Alternative| Way {
        figure: a.figure.clone(),
        notes: a.notes.clone(),
        extra: a.extra,
        worth: a.worth.to_string(),
        why_not: a.why_not.clone(),
    };
    DecisionFacts {
        at: decision.at.as_f64(),
        chord: decision.chord.clone(),
        ours: false,
        chord_place: measure.source.map(|source| chord_name(source, decision.at)),
        made: measure.source.and_then(|source| made::here(&worktable.job, source, decision.at, &decision.chord)),
        hand: if decision.hand == Hand::Left { "left" } else { "right" },
        figure: decision.figure.clone(),
        notes: decision.notes.clone(),
        why: decision.why.clone(),
        second: decision.second.clone(),
        tune: melody_in_words(measure, decision.at, until.unwrap_or(measure.frame.length)),
        held: decision.held,
        price: decision.price.total(),
        alternatives: decision.alternatives.iter().map(way).collect(),
        left_out: decision.left_out.iter().map(|(figure, why)| LeftOut { figure: figure.clone(), why: why.clone() }).collect(),
    }
}

/// A held figure leaves the planner nothing to weigh: its other ways are those that there would be without the hold.
fn weigh(held: &mut DecisionFacts, free: &Decision) {
    let own = free.alternatives.iter().find(|a| a.figure == held.figure).map_or(0, |a| a.extra);
    let why = "it is what would be chosen if you let yours go".to_owned();
    let worth = "what would be chosen".to_owned();
    let chosen = Way { figure: free.figure.clone(), notes: free.notes.clone(), extra: -own, worth, why_not: why };
    let others = free.alternatives.iter().map(|a| Way {
        figure: a.figure.clone(),
        notes: a.notes.clone(),
        extra: a.extra - own,
        worth: a.worth.to_string(),
        why_not: a.why_not.clone(),
    });
    held.alternatives = std::iter::once(chosen).chain(others).filter(|way| way.figure != held.figure).collect();
    held.left_out = free.left_out.iter().map(|(figure, why)| LeftOut { figure: figure.clone(), why: why.clone() }).collect();
}

/// "D5, then C5 and A4 held", for the notes that begin in a stretch.
fn melody_in_words(measure: &ScoreMeasure, from: Beats, to: Beats) -> String {
    let notes: Vec<&Note> = measure.tune().iter().filter(|n| n.at >= from && n.at < to && n.is_plucked()).collect();
    let names: Vec<String> = notes.iter().filter_map(|n| Some(named(n, n.top()?))).collect();
    let long = notes.last().is_some_and(|n| n.length >= measure.frame.meter.beat() * 2);
    match names.as_slice() {
        [] => "the melody rests, or its note goes on".into(),
        [one] if long => format!("{one}, a long note"),
        many if long => format!("{}; the last is long", many.join(" ")),
        many => many.join(" "),
    }
}

/// "F♯4", "F♯4 (cannot be played)".
fn named(note: &Note, pitch: Pitch) -> String {
    let cannot = if note.unplayable.contains(&pitch) { " (cannot be played)" } else { "" };
    format!("{}{cannot}", written(pitch))
}

/// "F♯4".
fn written(pitch: Pitch) -> String {
    format!("{pitch:#}")
}

fn string_name(pitch: Pitch) -> String {
    format!("{}{}", pitch.step.letter(), pitch.octave)
}

fn moments(worktable: &Worktable, index: usize, measure: &ScoreMeasure) -> Vec<Moment> {
    let clock = Clock::of_score(&worktable.job.arrangement.score);
    let start = clock.beats(Place { measure: index, at: Beats::ZERO });
    let mut all: BTreeMap<Beats, [Vec<Touch>; 2]> = BTreeMap::new();
    for (side, hand) in [Hand::Left, Hand::Right].into_iter().enumerate() {
        for (place, note) in measure.hand(hand).iter().enumerate().filter(|(_, n)| n.is_plucked()) {
            all.entry(note.at).or_default()[side] = touches(worktable, hand, (index, place), note);
        }
    }
    let moment = |(at, [left, right]): (Beats, [Vec<Touch>; 2])| Moment {
        place: at,
        at: at.as_f64(),
        named: chord_name(index, at),
        seconds: clock.between(start, start + at).as_f64(),
        lengths: [Hand::Left, Hand::Right]
            .map(|hand| measure.hand(hand).iter().find(|n| n.at == at && n.is_plucked()).map(|n| n.length.as_f64())),
        left,
        right,
    };
    all.into_iter().map(moment).collect()
}

fn touches(worktable: &Worktable, hand: Hand, place: (usize, usize), note: &Note) -> Vec<Touch> {
    let found = worktable.fingers(hand);
    let fingers = found.places.iter().position(|p| *p == place).and_then(|i| found.fingering.plucks.get(i)).map(|p| &p.fingers);
    let mut strings: Vec<i32> = note.playable().map(|p| p.position()).collect();
    strings.sort_unstable();
    strings.dedup();
    let finger = |pitch: &Pitch| {
        let nth = strings.iter().position(|s| *s == pitch.position())?;
        fingers?.get(nth).copied()
    };
    let missing = &worktable.job.arrangement.plan.settled.page.missing;
    let cannot = |pitch: &Pitch| {
        let here = missing.iter().find(|m| (m.hand, m.measure, m.at, m.pitch) == (hand, place.0, note.at, *pitch) && !m.grace);
        here.map(|m| m.to_string())
    };
    let touch = |pitch: &Pitch| Touch {
        string: string_name(*pitch),
        pitch: written(*pitch),
        finger: finger(pitch).filter(|_| !note.unplayable.contains(pitch)),
        cannot: cannot(pitch),
        beside: [-1, 1].map(|by| in_key(worktable, place.0, pitch.position() + by)),
    };
    note.pitches.iter().map(touch).collect()
}

/// What a string sounds in the key of a measure: "F♯4"; `None` where the harp has none there.
fn in_key(worktable: &Worktable, measure: usize, position: i32) -> Option<String> {
    let key = &worktable.job.arrangement.score.measures.get(measure)?.frame.key;
    let pitch = Pitch::at_position(position, key.alter(Step::from_index(position)));
    worktable.setup.harp.has_string(position).then(|| written(pitch))
}

/// All strings of the harp as they sound in the key of a measure, from the lowest.
fn scale(worktable: &Worktable, measure: usize) -> Vec<String> {
    let harp = &worktable.setup.harp;
    (harp.lowest()..=harp.highest()).filter_map(|position| in_key(worktable, measure, position)).collect()
}

/// What does not stand as tuned when the measure is first played, its own first marks included, in the order of the page.
fn stand(worktable: &Worktable, index: usize) -> Vec<String> {
    let (harp, page) = (&worktable.setup.harp, &worktable.job.arrangement.plan.settled.page);
    let score = &worktable.job.arrangement.score;
    let mut stands = standing(score, &page.opening, harp, index).unwrap_or_else(|| page.opening.clone()).parts().clone();
    let first = page.marks.iter().filter(|m| m.measure == index && m.at.is_zero() && m.first_pass == 1);
    first.for_each(|m| stands.extend(moved(harp, &m.mark)));
    let raised = |part: Part, alter: i32| match part {
        Part::Lever(position) => alter != harp.open(position),
        Part::Pedal(_) => true,
    };
    let moved: Vec<(Part, i32)> = stands.into_iter().filter(|(part, alter)| raised(*part, *alter)).collect();
    whole_letters(worktable, &moved)
}

/// Levers that are up on all strings of a letter are named by the letter alone; letters in the order of the page (Setting::line).
fn whole_letters(worktable: &Worktable, moved: &[(Part, i32)]) -> Vec<String> {
    let mut names = Vec::new();
    for step in Step::SHARPS {
        let of_letter = |part: Part| matches!(part, Part::Lever(p) if Step::from_index(p) == step);
        let mine: Vec<&(Part, i32)> = moved.iter().filter(|(part, _)| of_letter(*part)).collect();
        let all = harp::page::opening::parts(&worktable.setup.harp).into_iter().filter(|(part, ..)| of_letter(*part)).count();
        match mine.first() {
            Some((_, alter)) if mine.len() == all => names.push(setting_name(Part::Pedal(step), *alter)),
            _ => names.extend(mine.iter().map(|(part, alter)| setting_name(*part, *alter))),
        }
    }
    names.extend(moved.iter().filter(|(part, _)| matches!(part, Part::Pedal(_))).map(|(part, alter)| setting_name(*part, *alter)));
    names
}
