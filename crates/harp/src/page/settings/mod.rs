//! Levers or pedals for a whole page: the page laid out as a passage ([`Laid`]), planned, and written back as marks.
//!
//! Instants for a move are the beats, their halves where there is time, and everything that is plucked. The hand that moves levers is free from a moment after
//! its last pluck to a moment before its next one; feet are always free.

mod laid;
mod write;
#[cfg(test)]
mod tests;

pub use laid::Laid;

use super::missing::{MissingNote, Reasons, Why};
use super::opening::Opening;
use crate::instrument::Instrument;
use crate::player::Player;
use crate::settings::passage::Part;
use crate::settings::remedies::neighbours;
use crate::settings::{Choice, DEFAULT_WIDTH, Move, MoveTimes, Passage, Plan, Prices, Proof, SettingSign, Use, later, plan_within, walk};
use music::{Beats, Hand, Interval, Key, Mark, Pitch, PitchName, Score};
use std::collections::BTreeSet;

/// What the settings of a page may do and what that costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingsWish {
    /// What moves and signs cost.
    pub prices: Prices,
    /// What a note on another string than written costs; `None` keeps the source's spelling.
    pub respelled: Option<u64>,
    /// What a note left out costs that accompanies the melody; `None` where none may be.
    pub left_out: Option<u64>,
    /// The hand that moves levers (harp facts 2.4: usually the left).
    pub mover: Hand,
    /// Where either hand plucks, in order of the page, if any hand that is free may move levers; `None` where only the mover does, and plucks what stands on its
    /// staff.
    pub either: Option<[Vec<(usize, Beats)>; 2]>,
    /// Where in its window a move is printed.
    pub moves: When,
    /// Written pitches that the page gives up already: before any other note is given up, these are.
    pub doubtful: BTreeSet<(usize, Beats, Pitch)>,
    /// How much is followed before a plan is left as not proved ([`crate::settings::plan`]); less where pages are only compared.
    pub width: usize,
}

/// What giving up a doubtful note costs: more than any moves, less than any other note.
const DOUBTFUL: u64 = 10_000_000;

/// Where in its window a move is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum When {
    /// As the search found it: for prices only.
    #[default]
    Any,
    /// Near the note that needs it.
    Late,
}

impl Default for SettingsWish {
    fn default() -> SettingsWish {
        SettingsWish {
            prices: Prices::default(),
            respelled: Some(300),
            left_out: None,
            mover: Hand::Left,
            either: None,
            moves: When::Any,
            doubtful: BTreeSet::new(),
            width: DEFAULT_WIDTH,
        }
    }
}

/// What a hand does in a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Duty {
    /// It has the tune.
    Melody,
    /// It has the rest.
    Accompanies,
}

/// One plucked pitch of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageUse {
    /// The hand it is written for.
    pub hand: Hand,
    /// What that hand does there.
    pub duty: Duty,
    /// Index into the measures of the page.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// As it is written.
    pub written: Pitch,
    /// From the beginning of the page to the end of the written note, ties counted.
    pub end: Beats,
    /// Measure and index of each note that it is written with: the plucked one and those tied to it.
    notes: Vec<(usize, usize)>,
    /// It is a grace note.
    pub grace: bool,
}

impl PageUse {
    fn is_doubtful(&self, wish: &SettingsWish) -> bool {
        wish.doubtful.contains(&(self.measure, self.at, self.written))
    }

    /// Where it is plucked.
    pub fn place(&self) -> music::Place {
        music::Place { measure: self.measure, at: self.at }
    }
}

/// A lever or pedal moved in some pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PageMove {
    /// Index into the measures of the page.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// What is moved.
    pub part: Part,
    /// From this alteration …
    pub from: i32,
    /// … to this one.
    pub to: i32,
    /// Index of the use that needs it.
    pub needed_by: Option<usize>,
}

/// A mark of a lever or pedal, with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageMark {
    /// Index into the measures of the page.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// What is printed there.
    pub mark: Mark,
    /// The pass in which it first moves anything, counted from 1: a mark for the second time only stands there already the first.
    pub first_pass: u32,
}

/// The settings of a page.
#[derive(Clone, Debug)]
pub struct PageSettings {
    /// How everything stands before the first note.
    pub opening: Opening,
    /// In order.
    pub marks: Vec<PageMark>,
    /// Every move in every pass, in order of playing.
    pub moves: Vec<PageMove>,
    /// The notes that were planned for.
    pub uses: Vec<PageUse>,
    /// What becomes of each of them.
    pub choices: Vec<Choice>,
    /// Those that cannot be had, and why.
    pub missing: Vec<MissingNote>,
    /// By the wish's prices.
    pub price: u64,
    /// No settings of this page are cheaper.
    pub least: u64,
    /// States that were made in planning: work is counted, never timed.
    pub states: usize,
    /// Whether nothing cheaper is left.
    pub proof: Proof,
    spelled: Vec<Option<Pitch>>,
}

impl PageSettings {
    /// The pitch a use is plucked as; `None` where it is left out or cannot be had.
    pub fn plucked(&self, used: usize) -> Option<Pitch> {
        self.spelled.get(used).copied().flatten()
    }

    /// The uses that are left out.
    pub fn left_out(&self) -> impl Iterator<Item = &PageUse> {
        self.uses.iter().zip(&self.choices).filter(|(_, c)| **c == Choice::LeftOut).map(|(u, _)| u)
    }
}

/// Plans the levers or pedals of a page.
///
/// ```
/// use harp::page::{SettingsWish, settings};
/// use harp::{Instrument, Player};
/// use music::text;
///
/// // Arithmetic: an F-sharp and an F on one string want its lever moved once, and there are two seconds in which nothing sounds on it.
/// let page = text::page(&[("F#5:2 r:2", "r:4"), ("F5:4", "r:4")], 60);
/// let found = settings(&page, &Instrument::lever_34(), &Player::default(), &SettingsWish { respelled: None, ..SettingsWish::default() });
/// assert_eq!((found.moves.len(), found.missing.len()), (1, 0));
/// ```
pub fn settings(score: &Score, harp: &Instrument, player: &Player, wish: &SettingsWish) -> PageSettings {
    let laid = Laid::of(score, player, wish);
    let opening = score.measures.first().map_or_else(|| Opening::for_key(harp, &Key::C_MAJOR), |m| Opening::for_key(harp, &m.frame.key));
    let Ok(passage) = laid.passage(harp, wish, Interval::UNISON) else {
        return without_plan(opening, laid.uses, harp);
    };
    let Laid { clock, uses, grid, .. } = laid;
    let times = MoveTimes::of(player.fluency);
    let mut left = usize::MAX;
    let found = plan_within(harp, &passage, &times, &wish.prices, wish.width, &mut left);
    let found = if wish.moves == When::Late { later(harp, &passage, &times, &wish.prices, &found) } else { found };
    let made = walk(harp, &passage, &times, &wish.prices, &found).map(|w| w.moves).unwrap_or_default();
    let place = |place: usize| clock.place(grid[place]);
    let moves = made.iter().map(|m| {
        let music::Place { measure, at } = place(m.place);
        PageMove { measure, at, part: m.part, from: m.from, to: m.to, needed_by: m.needed_by }
    });
    let marks = found.marks.iter().map(|m| {
        let music::Place { measure, at } = place(m.place);
        PageMark { measure, at, mark: mark(m.part, m.to), first_pass: first_pass(&passage, &made, m) }
    });
    let mut marks: Vec<PageMark> = marks.collect();
    marks.sort_by_key(|m| (m.measure, m.at, m.mark.printed_place()));
    let reasons = Reasons { harp, passage: &passage, times: &times, choices: &found.choices };
    PageSettings {
        opening: opening.with(&found.opening),
        marks,
        moves: moves.collect(),
        missing: missing(&uses, &reasons, wish),
        spelled: spelled(&passage, &found),
        uses,
        price: found.price,
        least: found.least,
        states: usize::MAX - left,
        proof: found.proof,
        choices: found.choices,
    }
}

/// A page of which no passage can be made: without measures or with more jumps than are followed.
fn without_plan(opening: Opening, uses: Vec<PageUse>, harp: &Instrument) -> PageSettings {
    let spelled: Vec<Option<Pitch>> = uses.iter().map(|u| neighbours(harp, u.written).first().copied()).collect();
    let choices = spelled.iter().map(|s| if s.is_some() { Choice::Plucked(0) } else { Choice::Missing }).collect();
    let never = uses.iter().enumerate().zip(&spelled).filter(|(_, s)| s.is_none());
    let missing = never.map(|((used, page), _)| note_of(used, page, Why::never(harp, page.written))).collect();
    let (marks, moves) = (Vec::new(), Vec::new());
    PageSettings { opening, marks, moves, uses, choices, missing, price: 0, least: 0, states: 0, proof: Proof::NotProved, spelled }
}

/// In which pass through its place a mark first moves its lever or pedal.
fn first_pass(passage: &Passage, made: &[Move], mark: &SettingSign) -> u32 {
    let passes = passage.order().iter().enumerate().filter(|(_, stretch)| stretch.contains(&mark.place));
    let moves = |stretch: usize| made.iter().any(|m| (m.stretch, m.place, m.part) == (stretch, mark.place, mark.part));
    let first = passes.zip(1..).find(|((stretch, _), _)| moves(*stretch));
    first.map_or(1, |(_, pass)| pass)
}

fn mark(part: Part, to: i32) -> Mark {
    match part {
        Part::Lever(position) => Mark::Lever(Pitch::at_position(position, to)),
        Part::Pedal(step) => Mark::Pedal(PitchName::new(step, to)),
    }
}

fn spelled(passage: &Passage, found: &Plan) -> Vec<Option<Pitch>> {
    let pitch = |(used, choice): (&Use, &Choice)| match choice {
        Choice::Plucked(i) => Some(used.spellings[*i].pitch),
        _ => None,
    };
    passage.uses().iter().zip(&found.choices).map(pitch).collect()
}

fn missing(uses: &[PageUse], reasons: &Reasons, wish: &SettingsWish) -> Vec<MissingNote> {
    let given_up = |used: &usize| match reasons.choices[*used] {
        Choice::Missing => true,
        Choice::LeftOut => uses[*used].is_doubtful(wish),
        Choice::Plucked(_) => false,
    };
    let all: Vec<usize> = (0..uses.len()).filter(given_up).collect();
    all.iter().zip(reasons.of(&all)).map(|(used, why)| note_of(*used, &uses[*used], why)).collect()
}

fn note_of(used: usize, page: &PageUse, why: Why) -> MissingNote {
    let PageUse { hand, measure, at, written, grace, .. } = *page;
    MissingNote { used, hand, measure, at, pitch: written, grace, why }
}
