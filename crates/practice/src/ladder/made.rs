//! The page of one step, made by the engine: which figures it may use, where, and how full.
//!
//! A step's own figure is held in every measure; where a hand cannot play it there, a plainer one stands in. Nothing here prices or writes notes.

use super::difficulty::Difficulty;
use crate::lesson::Lesson;
use arrange::figures::{Part, Tone};
use arrange::form::Form;
use arrange::{Arrangement, Figures, Wishes, arrange};
use check::Gravity;
use check::rules::{self, Scene};
use music::MeasureNumber;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// The figures of the ladder.
pub fn figures() -> Figures {
    Figures::read(include_str!("../../../../data/ladder.txt")).expect("the figures of the ladder are well written")
}

/// What plays a measure where the figure of its step cannot.
const PLAINER: [&str; 3] = ["fifth", "root", "rest"];

/// Of a hundred chords so many have to be played with the step's own figure: else the step would teach something else. Ours.
const OWN: usize = 60;

/// The page that is wanted for a step.
pub struct Wanted {
    figures: Figures,
    /// The step's figures; with several each phrase has the next one. None: whatever the engine likes.
    own: Vec<String>,
    fullness: u8,
}

/// Why there is no page; of several reasons the last one says most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Refused {
    NoChords,
    OnePhrase,
    NoMeter,
    NoRoom,
    Cannot,
    NoDearer,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Refused::NoChords => "The tune has no chords for a left hand.",
            Refused::OnePhrase => "The tune has one phrase only: there is no place for a change of figure.",
            Refused::NoMeter => "It cannot be fitted to this meter.",
            Refused::NoRoom => "There is no room or no time for it under most of this tune on this harp.",
            Refused::Cannot => "Some of it cannot be played on this harp.",
            Refused::NoDearer => "On this tune it asks no more of the hand than the step before it.",
        })
    }
}

/// The pages that would do for a step, the plainest first.
pub fn wanted(lesson: &Lesson, difficulty: Difficulty) -> Result<Vec<Wanted>, Refused> {
    if lesson.chords().next().is_none() {
        return Err(Refused::NoChords);
    }
    let of = |own: &[&str], fullness: u8| Wanted {
        figures: ladder_figures(own),
        own: own.iter().map(|name| (*name).to_owned()).collect(),
        fullness,
    };
    Ok(match difficulty {
        Difficulty::Roots => vec![of(&["root"], 1)],
        Difficulty::OpenFifths => vec![of(&["fifth"], 2)],
        Difficulty::OneShape => vec![of(&["block"], 2), of(&["open-block"], 2)],
        Difficulty::NearbyInversions => vec![of(&["near-block"], 2)],
        Difficulty::Broken => vec![of(&["broken"], 3), of(&["broken-slowly"], 3), of(&["broken-in-two"], 3), of(&["broken-and-back"], 4)],
        Difficulty::Wider => {
            vec![of(&["wide"], 3), of(&["wide-slowly"], 3), of(&["bass-then-pair"], 3), of(&["wide-and-back"], 4), of(&["wide-of-four"], 4)]
        }
        Difficulty::TwoFigures => {
            if phrases(lesson).values().collect::<BTreeSet<_>>().len() < 2 {
                return Err(Refused::OnePhrase);
            }
            let pairs = [
                ["wide", "bass-then-pair"],
                ["wide-slowly", "bass-then-pair"],
                ["wide", "bass-and-pair"],
                ["bass-then-pair", "bass-and-pair"],
                ["wide", "wide-of-four"],
                ["wide-and-back", "bass-and-pair"],
                ["wide", "eighths"],
                ["bass-and-pair", "eighths"],
            ];
            pairs.iter().map(|pair| of(pair, 4)).collect()
        }
        Difficulty::Fills => (2..=6).map(|fullness| whole(lesson, fullness, &|_| true)).collect(),
        Difficulty::BassLine => {
            let moves = |figure: &arrange::figures::Figure| {
                let tones = figure.patterns.iter().flat_map(|p| &p.strokes).flat_map(|s| &s.tones);
                figure.part != Part::Ordinary || tones.into_iter().any(|t| matches!(t, Tone::OtherBass | Tone::Walk))
            };
            (3..=6).map(|fullness| whole(lesson, fullness, &moves)).collect()
        }
        Difficulty::AtSight | Difficulty::Free => Vec::new(),
    })
}

/// A step's own figures and what stands in for them.
fn ladder_figures(own: &[&str]) -> Figures {
    let wanted = |name: &str| own.contains(&name) || PLAINER.contains(&name);
    Figures { all: figures().all.into_iter().filter(|f| wanted(&f.name)).collect() }
}

/// Her own figures, some of them.
fn whole(lesson: &Lesson, fullness: u8, some: &dyn Fn(&arrange::figures::Figure) -> bool) -> Wanted {
    let figures = Figures { all: lesson.figures.all.iter().filter(|f| some(f)).cloned().collect() };
    Wanted { figures, own: Vec::new(), fullness }
}

/// The phrase of each measure that has a number of its own.
fn phrases(lesson: &Lesson) -> BTreeMap<MeasureNumber, usize> {
    let made = lesson.made;
    lesson
        .chords()
        .map(|slot| (made.score.measures[slot.measure.index()].frame.number, made.phrases.measures[slot.measure.index()].phrase))
        .collect()
}

/// Arranges the tune for a step. Error: most of it would be played otherwise.
pub fn made(lesson: &Lesson, wanted: &Wanted) -> Result<Arrangement, Refused> {
    let wishes = wishes(lesson, wanted);
    let made = arrange(lesson.sheet, &wanted.figures, lesson.harp, lesson.player, &wishes).map_err(|_| Refused::NoChords)?;
    if mostly_own(wanted, &made) { Ok(made) } else { Err(Refused::NoRoom) }
}

fn wishes(lesson: &Lesson, wanted: &Wanted) -> Wishes {
    let mut phrase = None;
    let mut turn = 0;
    let mut holds = BTreeMap::new();
    for (number, of) in phrases(lesson) {
        if phrase.is_some_and(|last| last != of) {
            turn += 1;
        }
        phrase = Some(of);
        if !wanted.own.is_empty() {
            holds.insert(number, wanted.own[turn % wanted.own.len()].clone());
        }
    }
    let named = |names: &[String]| names.iter().filter(|n| wanted.figures.find(n).is_some()).cloned().collect();
    Wishes {
        fullness: vec![wanted.fullness],
        only: named(&lesson.wishes.only),
        without: named(&lesson.wishes.without),
        holds,
        ways: BTreeMap::new(),
        variant: 1,
        // One figure all through is what is practised.
        patience: (!wanted.own.is_empty()).then_some(32),
        vary_from: (!wanted.own.is_empty()).then_some(7),
        form: Form { repeats: lesson.wishes.form.repeats, ..Form::default() },
        high: BTreeSet::new(),
        melody_below: BTreeSet::new(),
        ..lesson.wishes.clone()
    }
}

fn mostly_own(wanted: &Wanted, made: &Arrangement) -> bool {
    let chosen = made.plan.choices.iter().zip(&made.plan.found.chosen).map(|(choices, c)| choices.candidates[*c].figure);
    let chords: Vec<usize> = made.plan.slots.iter().zip(chosen).filter(|(slot, _)| slot.chord.is_some()).map(|(_, f)| f).collect();
    let own = chords.iter().filter(|f| wanted.own.contains(&wanted.figures.all[**f].name)).count();
    wanted.own.is_empty() || own * 100 >= chords.len() * OWN
}

/// Whether the check says that something cannot be played.
pub fn cannot(lesson: &Lesson, made: &Arrangement) -> bool {
    let scene = Scene::new(&made.score, lesson.harp, lesson.player);
    rules::all(&scene).iter().any(|finding| finding.gravity == Gravity::Cannot)
}
