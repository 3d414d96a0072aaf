//! The ladder: one tune in ordered steps, each with one new difficulty.
//!
//! [`difficulty`] names the steps and says what is new, what to listen to and when one is passed; [`made`] asks the engine for the page of one, with the
//! figures of `data/ladder.txt` or her own; [`order`] lays a teacher's changes over it. Of several pages that would do for a step the one is taken that
//! can be played and asks least more of the hand than the step before ([`crate::price`]); a step for which there is none is left out, with the reason.

pub mod difficulty;
pub mod made;
pub mod order;

pub use difficulty::Difficulty;
pub use order::{Added, Changes};

use crate::lesson::{Lesson, Verses};
use crate::price::hand_price;
use arrange::Arrangement;
use made::Refused;
use music::{Hand, Score};

/// The steps of a tune, the easiest first.
#[derive(Clone, Debug)]
pub struct Ladder {
    pub steps: Vec<Step>,
    pub left_out: Vec<LeftOut>,
    /// How its pages differ from hers, a sentence or two: the ladder has the melody in the right hand all through.
    pub note: Option<String>,
}

/// One step.
#[derive(Clone, Debug)]
pub struct Step {
    /// What it is called in files and addresses: "open-fifths".
    pub name: String,
    /// None for one that a teacher added.
    pub difficulty: Option<Difficulty>,
    pub title: String,
    /// What is new, a sentence.
    pub new: String,
    /// What to listen to.
    pub listen: String,
    /// When it is passed.
    pub pass: String,
    pub page: StepPage,
    /// What its left hand asks, in points; none where no left hand is written.
    pub price: Option<i64>,
}

/// What lies on the stand for a step.
#[derive(Clone, Debug)]
pub enum StepPage {
    BothHands(Box<Arrangement>),
    /// The melody with its chord symbols.
    LeadSheet,
    CueSheet,
}

/// A step that brings nothing for this tune.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    pub name: String,
    pub title: String,
    /// A sentence.
    pub why: String,
}

impl Ladder {
    /// The steps of a lesson.
    pub fn of(lesson: &Lesson) -> Ladder {
        let mut ladder = Ladder { steps: Vec::new(), left_out: Vec::new(), note: note(lesson) };
        for difficulty in Difficulty::ALL {
            ladder.climb(lesson, difficulty);
        }
        ladder
    }

    /// The price of the last step that has one.
    fn height(&self) -> i64 {
        self.steps.iter().rev().find_map(|s| s.price).unwrap_or_default()
    }

    fn climb(&mut self, lesson: &Lesson, difficulty: Difficulty) {
        match page(lesson, difficulty, self.height()) {
            Ok((page, price)) => self.steps.push(Step::new(difficulty, page, price)),
            Err(refused) => {
                let (name, title) = (difficulty.name().to_owned(), difficulty.title().to_owned());
                self.left_out.push(LeftOut { name, title, why: refused.to_string() });
            }
        }
    }

    /// The page whose upper staff is the melody all through: hers, or where the left hand has the melody in some of it, that of the first step.
    pub fn lead<'a>(&'a self, made: &'a Arrangement) -> &'a Score {
        let below = made.score.measures.iter().any(|m| m.melody == Hand::Left);
        let written = self.steps.iter().find_map(|step| match &step.page {
            StepPage::BothHands(made) => Some(&made.score),
            StepPage::LeadSheet | StepPage::CueSheet => None,
        });
        written.filter(|_| below).unwrap_or(&made.score)
    }

    /// The step of this name.
    pub fn step(&self, name: &str) -> Option<&Step> {
        self.steps.iter().find(|s| s.name == name)
    }
}

impl Step {
    fn new(difficulty: Difficulty, page: StepPage, price: Option<i64>) -> Step {
        Step {
            name: difficulty.name().into(),
            difficulty: Some(difficulty),
            title: difficulty.title().into(),
            new: difficulty.new_thing().into(),
            listen: difficulty.listen().into(),
            pass: difficulty.pass().into(),
            page,
            price,
        }
    }

    /// How to go about it, for those who begin with the left hand alone and for those who begin with both.
    pub fn ways_in(&self) -> [&'static str; 2] {
        match self.page {
            StepPage::BothHands(_) => difficulty::WAYS_IN,
            StepPage::LeadSheet | StepPage::CueSheet => difficulty::WAYS_IN_UNWRITTEN,
        }
    }
}

fn note(lesson: &Lesson) -> Option<String> {
    let (below, verses) = lesson.below();
    let numbers: Vec<String> = below.iter().map(ToString::to_string).collect();
    let where_ = match (verses, numbers.as_slice()) {
        (_, []) => return None,
        (Verses::All, _) => "On your page the left hand has the melody and the right hand the chords.".to_owned(),
        (Verses::Some, [one]) => format!("In verse {one} of your page the left hand has the melody and the right hand the chords."),
        (Verses::Some, [first @ .., last]) => {
            format!("In verses {} and {last} of your page the left hand has the melody and the right hand the chords.", first.join(", "))
        }
    };
    Some(format!("{where_} The ladder has the melody in the right hand and the chords in the left, all through."))
}

/// The page of a step, dearer than `height`.
fn page(lesson: &Lesson, difficulty: Difficulty, height: i64) -> Result<(StepPage, Option<i64>), Refused> {
    match difficulty {
        Difficulty::AtSight => Ok((StepPage::LeadSheet, None)),
        Difficulty::Free => Ok((StepPage::CueSheet, None)),
        _ => cheapest(lesson, &made::wanted(lesson, difficulty)?, height),
    }
}

/// The page that climbs least.
fn cheapest(lesson: &Lesson, all: &[made::Wanted], height: i64) -> Result<(StepPage, Option<i64>), Refused> {
    let mut refused = Refused::NoChords;
    let mut best: Option<(i64, Arrangement)> = None;
    for wanted in all {
        let tried = made::made(lesson, wanted).and_then(|arrangement| {
            let price = hand_price(&arrangement.score, lesson.player).total();
            let climbs = price > height;
            let nearer = best.as_ref().is_none_or(|(least, _)| price < *least);
            match climbs && nearer {
                true if made::cannot(lesson, &arrangement) => Err(Refused::Cannot),
                true => Ok(Some((price, arrangement))),
                false => {
                    if climbs {
                        Ok(None)
                    } else {
                        Err(Refused::NoDearer)
                    }
                }
            }
        });
        match tried {
            Ok(found) => best = found.or(best),
            Err(why) => refused = refused.max(why),
        }
    }
    best.map(|(price, arrangement)| (StepPage::BothHands(Box::new(arrangement)), Some(price))).ok_or(refused)
}
