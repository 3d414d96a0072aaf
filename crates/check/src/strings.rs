//! Which string gives each note, and which notes levers or pedals forbid: a page of anybody's laid out for the planner of [`harp::settings`].
//!
//! The page's own marks are played through first and kept where they are right. What they do not give is given up by the plan before anything else; so what is
//! missing in it is missing whatever marks are added, and what is not was forgotten.

use crate::hands;
use crate::onsets::Onset;
use harp::page::replay::{Event, Sounded, follow, moved};
use harp::page::{MissingNote, Opening, PageSettings, SettingsWish, Why, settings};
use harp::settings::remedies::neighbours;
use harp::{Instrument, Mechanism, Player};
use music::{Beats, Pitch, Score};
use std::collections::{BTreeMap, BTreeSet};

/// A page's own marks are kept if at most one tone in so many is not given by them, or if no plan gives more.
const MOSTLY: usize = 10;
/// States the planner follows at once: a page is planned many times while repairs are tried.
const WIDTH: usize = 16;

/// The strings of a page, and what of it has none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PageStrings {
    /// For each onset and tone the pitch as plucked.
    pub plucked: Vec<Vec<Option<Pitch>>>,
    /// Onset and tone of what cannot be played.
    pub missing: Vec<(usize, usize, MissingNote)>,
    /// Grace notes that cannot be played; they are no tones of an onset.
    pub graces: Vec<MissingNote>,
    /// Moves made in playing order.
    pub moves: usize,
    /// Tones that the printed marks do not give, though they can be played.
    pub unmarked: Vec<(usize, usize)>,
}

/// The harp as it can be set before a piece: strings without discs are tuned to what the piece needs (harp facts 1.1).
pub fn tuned(harp: &Instrument) -> Instrument {
    let mut tuned = harp.clone();
    if let Mechanism::Pedals { fixed } = &mut tuned.mechanism {
        fixed.clear();
    }
    tuned
}

/// A written pitch at its place.
type Written = (usize, Beats, Pitch);

/// Finds the strings, and what cannot be played. `harp` is [`tuned`].
pub fn settle(score: &Score, onsets: &[Onset], harp: &Instrument, player: &Player) -> PageStrings {
    let tones = tones(onsets);
    let planned = |doubtful: BTreeSet<Written>, either: Option<[Plucked; 2]>| {
        let wish = SettingsWish { mover: player.lever_hand, either, doubtful, width: WIDTH, ..SettingsWish::default() };
        settings(score, harp, player, &wish)
    };
    let Some(printed) = Printed::of(score, harp) else {
        return from_plan(onsets, &tones, &planned(BTreeSet::new(), Some(shared(onsets, harp, player))));
    };
    let plan = if printed.missing.is_empty() { None } else { Some(planned(printed.missing.clone(), None)) };
    let lacking = plan.as_ref().map_or(0, |p| p.missing.iter().filter(|m| !m.why.is_never()).count());
    if printed.missing.len() * MOSTLY <= tones.len() || printed.missing.len() <= lacking {
        return printed.kept(onsets, &tones, plan, harp);
    }
    let unmarked = printed.missing.iter().filter_map(|w| tones.get(w).copied()).collect();
    let plan = planned(BTreeSet::new(), Some(shared(onsets, harp, player)));
    PageStrings { unmarked, ..from_plan(onsets, &tones, &plan) }.without_doubt()
}

/// Where a hand plucks, in order of the page.
type Plucked = Vec<(usize, Beats)>;

/// Both hands, where the page does not say which has a lever to move: a staff is not a hand, and the one that is free moves it.
fn shared(onsets: &[Onset], harp: &Instrument, player: &Player) -> [Plucked; 2] {
    let first: Vec<Vec<Option<Pitch>>> =
        onsets.iter().map(|o| o.tones.iter().map(|t| neighbours(harp, t.pitch).first().copied()).collect()).collect();
    let hands = hands::share(onsets, &first, player);
    [&hands.left, &hands.right].map(|plucks| plucks.iter().map(|p| onsets[p.onset].place).map(|p| (p.measure, p.at)).collect())
}

impl PageStrings {
    /// What cannot be played was not forgotten.
    fn without_doubt(mut self) -> PageStrings {
        let missing: BTreeSet<(usize, usize)> = self.missing.iter().map(|m| (m.0, m.1)).collect();
        self.unmarked.retain(|at| !missing.contains(at));
        self
    }
}

/// Where each written pitch stands among the onsets.
fn tones(onsets: &[Onset]) -> BTreeMap<Written, (usize, usize)> {
    let mut tones = BTreeMap::new();
    for (index, onset) in onsets.iter().enumerate() {
        for (tone, t) in onset.tones.iter().enumerate() {
            tones.insert((t.place.measure, t.place.at, t.pitch), (index, tone));
        }
    }
    tones
}

fn from_plan(onsets: &[Onset], tones: &BTreeMap<Written, (usize, usize)>, plan: &PageSettings) -> PageStrings {
    let mut found = PageStrings { plucked: onsets.iter().map(|o| vec![None; o.tones.len()]).collect(), ..PageStrings::default() };
    for (index, used) in plan.uses.iter().enumerate().filter(|(_, u)| !u.grace) {
        if let Some((onset, tone)) = tones.get(&(used.measure, used.at, used.written)) {
            found.plucked[*onset][*tone] = plan.plucked(index);
        }
    }
    found.moves = plan.moves.len();
    for note in &plan.missing {
        found.lose(*note, tones);
    }
    found
}

impl PageStrings {
    fn lose(&mut self, note: MissingNote, tones: &BTreeMap<Written, (usize, usize)>) {
        let at = tones.get(&(note.measure, note.at, note.pitch)).filter(|_| !note.grace);
        match at {
            Some(at) if self.missing.iter().any(|m| (m.0, m.1) == *at) => {}
            Some((onset, tone)) => self.missing.push((*onset, *tone, note)),
            None => self.graces.push(note),
        }
    }
}

/// What the printed marks give.
struct Printed {
    given: BTreeMap<Written, Pitch>,
    /// What some string of the harp has, and the marks do not give.
    missing: BTreeSet<Written>,
    /// What no string of the harp has.
    never: Vec<Sounded>,
    moves: usize,
}

impl Printed {
    /// `None` where the page says nothing of levers or pedals that this harp has. What it does not say at its head stands as the first note wants it.
    fn of(score: &Score, harp: &Instrument) -> Option<Printed> {
        let opening = score.preparation.setting.as_ref().and_then(|setting| Opening::read(setting, harp));
        let marked = score.measures.iter().flat_map(|m| &m.marks).any(|m| !moved(harp, &m.mark).is_empty());
        if opening.is_none() && !marked {
            return None;
        }
        let mut printed = Printed { given: BTreeMap::new(), missing: BTreeSet::new(), never: Vec::new(), moves: 0 };
        follow(score, opening.unwrap_or_default(), harp, |event| match event {
            Event::Mark { moves, .. } => printed.moves += moves,
            Event::Note(note) => printed.hear(note, harp),
            Event::Measure { .. } => {}
        });
        for (measure, m) in score.measures.iter().enumerate() {
            for note in m.right.iter().chain(&m.left).filter(|n| n.is_plucked()) {
                note.unplayable.iter().for_each(|pitch| printed.cross_out((measure, note.at, *pitch), harp));
            }
        }
        Some(printed)
    }

    /// A note that the page itself says cannot be played is not given, though its lever may be moved at that moment for the next one.
    fn cross_out(&mut self, written: Written, harp: &Instrument) {
        if !neighbours(harp, written.2).is_empty() {
            self.given.remove(&written);
            self.missing.insert(written);
        }
    }

    fn hear(&mut self, note: Sounded, harp: &Instrument) {
        let written = (note.measure, note.at, note.written);
        match note.given {
            Some(given) => drop(self.given.entry(written).or_insert(given)),
            None if neighbours(harp, note.written).is_empty() => self.never.push(note),
            None => drop(self.missing.insert(written)),
        }
    }

    /// The page as its marks have it, and what they do not give as the plan has it.
    fn kept(
        self,
        onsets: &[Onset],
        tones: &BTreeMap<Written, (usize, usize)>,
        plan: Option<PageSettings>,
        harp: &Instrument,
    ) -> PageStrings {
        let mut found = PageStrings { plucked: onsets.iter().map(|o| vec![None; o.tones.len()]).collect(), ..PageStrings::default() };
        found.moves = self.moves;
        for (written, given) in &self.given {
            if let Some((onset, tone)) = tones.get(written) {
                found.plucked[*onset][*tone] = Some(*given);
            }
        }
        let mut seen = BTreeSet::new();
        for note in self.never.iter().filter(|n| seen.insert((n.measure, n.at, n.written))) {
            let Sounded { measure, at, hand, written: pitch, .. } = *note;
            found.lose(MissingNote { used: 0, hand, measure, at, pitch, grace: note.grace, why: Why::never(harp, pitch) }, tones);
        }
        let Some(plan) = plan else { return found };
        for (index, used) in plan.uses.iter().enumerate().filter(|(_, u)| !u.grace) {
            let written = (used.measure, used.at, used.written);
            if let Some((onset, tone)) = tones.get(&written).filter(|_| self.missing.contains(&written)) {
                found.plucked[*onset][*tone] = plan.plucked(index);
            }
        }
        for note in plan.missing.iter().filter(|m| self.missing.contains(&(m.measure, m.at, m.pitch))) {
            found.lose(*note, tones);
        }
        found.unmarked = self.missing.iter().filter_map(|w| tones.get(w).copied()).collect();
        found.without_doubt()
    }
}
