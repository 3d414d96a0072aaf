//! Levers or pedals for a whole page: the page laid out as a passage, planned, and written back as marks.
//!
//! Instants for a move are the beats, their halves where there is time, and everything that is plucked. The hand that moves levers is free from a moment after
//! its last pluck to a moment before its next one; feet are always free.

use super::missing::{MissingNote, Reasons, Why};
use super::opening::Opening;
use crate::instrument::Instrument;
use crate::player::Player;
use crate::settings::passage::Part;
use crate::settings::remedies::neighbours;
use crate::settings::{
    Choice, DEFAULT_WIDTH, Mark as SettingMark, Move, MoveTimes, Omission, Passage, Place, Plan, Prices, Proof, Spelling, Use, later, plan,
    walk,
};
use music::{Beats, Clock, Hand, Key, Mark, Note, Pitch, PitchName, PlacedMark, Score, Seconds};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// What the settings of a page may do and what that costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingsWish {
    pub prices: Prices,
    /// What a note on another string than written costs; `None` keeps the source's spelling.
    pub respelled: Option<u64>,
    /// What a left-hand note left out costs; `None` where none may be.
    pub left_out: Option<u64>,
    /// The hand that moves levers (harp facts 2.4: usually the left).
    pub mover: Hand,
    /// Where either hand plucks, in order of the page, if any hand that is free may move levers; `None` where only the mover does, and plucks what stands on its
    /// staff.
    pub either: Option<[Vec<(usize, Beats)>; 2]>,
    pub moves: When,
    /// Written pitches that the page gives up already: before any other note is given up, these are.
    pub doubtful: BTreeSet<(usize, Beats, Pitch)>,
    /// How much is followed before a plan is left as not proved ([`plan`]); less where pages are only compared.
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

/// Half beats are instants for a move only when they last this long.
const SHORTEST_GRID: Seconds = Seconds::from_millis(250);
/// What a move off the beat costs more: it is read and remembered less easily (harp facts 2.4: a fixed beat).
const OFF_THE_BEAT: u64 = 120;

/// One plucked pitch of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageUse {
    pub hand: Hand,
    pub measure: usize,
    pub at: Beats,
    pub written: Pitch,
    /// From the beginning of the page to the end of the written note, ties counted.
    pub end: Beats,
    /// Measure and index of each note that it is written with: the plucked one and those tied to it.
    notes: Vec<(usize, usize)>,
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
    pub measure: usize,
    pub at: Beats,
    pub part: Part,
    pub from: i32,
    pub to: i32,
    /// Index of the use that needs it.
    pub needed_by: Option<usize>,
}

/// A mark of a lever or pedal, with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageMark {
    pub measure: usize,
    pub at: Beats,
    pub mark: Mark,
    /// The pass in which it first moves anything, counted from 1: a mark for the second time only stands there already the first.
    pub first_pass: u32,
}

/// The settings of a page.
#[derive(Clone, Debug)]
pub struct PageSettings {
    pub opening: Opening,
    /// In order.
    pub marks: Vec<PageMark>,
    pub moves: Vec<PageMove>,
    pub uses: Vec<PageUse>,
    pub choices: Vec<Choice>,
    pub missing: Vec<MissingNote>,
    pub price: u64,
    /// No settings of this page are cheaper.
    pub least: u64,
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

    /// Writes the marks, the spelling of what is plucked, what is left out and what cannot be played into the page.
    pub fn write(&self, score: &mut Score) {
        for PageMark { measure, at, mark, first_pass } in &self.marks {
            score.measures[*measure].marks.push(PlacedMark { at: *at, hand: None, mark: mark.clone(), first_pass: *first_pass });
        }
        for measure in &mut score.measures {
            measure.marks.sort_by_key(|m| m.at);
        }
        for (used, spelled) in self.uses.iter().zip(&self.spelled) {
            match spelled {
                Some(pitch) if *pitch != used.written => respell(score, used, *pitch),
                _ => {}
            }
        }
        for note in &self.missing {
            cross_out(score, &self.uses[note.used]);
        }
        let left_out: Vec<&PageUse> = self.left_out().collect();
        left_out.iter().for_each(|used| leave_out(score, used));
        let measures: BTreeSet<(Hand, usize)> = left_out.iter().flat_map(|u| u.notes.iter().map(|(m, _)| (u.hand, *m))).collect();
        for (hand, measure) in measures {
            let line = line_of(score, hand, measure);
            *line = going_on(line);
        }
    }
}

fn line_of(score: &mut Score, hand: Hand, measure: usize) -> &mut Vec<Note> {
    match hand {
        Hand::Right => &mut score.measures[measure].right,
        Hand::Left => &mut score.measures[measure].left,
    }
}

fn respell(score: &mut Score, used: &PageUse, to: Pitch) {
    for (measure, index) in &used.notes {
        let note = &mut line_of(score, used.hand, *measure)[*index];
        let graces = note.grace.iter_mut().flat_map(|g| &mut g.pitches);
        let pitches: Vec<&mut Pitch> = if used.grace { graces.collect() } else { note.pitches.iter_mut().collect() };
        pitches.into_iter().filter(|p| **p == used.written).for_each(|p| *p = to);
        note.pitches.sort_by_key(|p| (p.position(), p.alter));
    }
}

/// Says of a pitch that it cannot be played.
fn cross_out(score: &mut Score, used: &PageUse) {
    for (measure, index) in &used.notes {
        let note = &mut line_of(score, used.hand, *measure)[*index];
        if !note.unplayable.contains(&used.written) {
            note.unplayable.push(used.written);
        }
    }
}

/// Takes a pitch away; where nothing is left of a note, a rest stands for it.
fn leave_out(score: &mut Score, used: &PageUse) {
    for (measure, index) in &used.notes {
        let note = &mut line_of(score, used.hand, *measure)[*index];
        note.pitches.retain(|p| *p != used.written);
        if note.is_rest() {
            *note = Note { tuplet: note.tuplet, ..Note::rest(note.at, note.length) };
        }
    }
}

/// A line in which notes go on through the rests after them: a rest would read "muffle".
fn going_on(line: &[Note]) -> Vec<Note> {
    let mut joined: Vec<Note> = Vec::new();
    for note in line {
        match joined.last_mut() {
            Some(last) if note.is_rest() && !last.is_rest() && last.tuplet.is_none() && note.tuplet.is_none() && !last.tie.to_next => {
                last.length += note.length;
            }
            _ => joined.push(note.clone()),
        }
    }
    joined
}

/// Plans the levers or pedals of a page.
pub fn settings(score: &Score, harp: &Instrument, player: &Player, wish: &SettingsWish) -> PageSettings {
    let clock = Clock::of_score(score);
    let uses = uses(score, &clock);
    let grid = grid(score, &clock, &uses);
    let places = places(score, &clock, &grid, &uses, player, wish);
    let index = |beats: Beats| grid.partition_point(|g| *g < beats);
    let passage_uses = uses.iter().map(|u| passage_use(u, clock.beats(u.place()), &index, harp, wish)).collect();
    let order = stretches(score, &clock, &grid);
    let opening = score.measures.first().map_or_else(|| Opening::for_key(harp, &Key::C_MAJOR), |m| Opening::for_key(harp, &m.frame.key));
    let Ok(passage) = Passage::new(places, clock.end(), passage_uses, order) else {
        return without_plan(opening, uses, harp);
    };
    let times = MoveTimes::of(player.fluency);
    let found = plan(harp, &passage, &times, &wish.prices, wish.width);
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
    let reasons = Reasons { harp, passage: &passage, times: &times, choices: &found.choices };
    PageSettings {
        opening: opening.with(&found.opening),
        marks: marks.collect(),
        moves: moves.collect(),
        missing: missing(&uses, &reasons, wish),
        spelled: spelled(&passage, &found),
        uses,
        price: found.price,
        least: found.least,
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
    PageSettings { opening, marks, moves, uses, choices, missing, price: 0, least: 0, proof: Proof::NotProved, spelled }
}

/// In which pass through its place a mark first moves its lever or pedal.
fn first_pass(passage: &Passage, made: &[Move], mark: &SettingMark) -> u32 {
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

/// Every plucked pitch in order of time, with the notes tied to it.
fn uses(score: &Score, clock: &Clock) -> Vec<PageUse> {
    let mut all = Vec::new();
    for hand in [Hand::Right, Hand::Left] {
        let mut ringing: BTreeMap<Pitch, usize> = BTreeMap::new();
        for (measure, here) in score.measures.iter().enumerate() {
            for (index, note) in here.hand(hand).iter().enumerate() {
                let new = |written: Pitch, end: Beats, grace: bool| PageUse {
                    hand,
                    measure,
                    at: note.at,
                    written,
                    end,
                    notes: vec![(measure, index)],
                    grace,
                };
                let on = clock.beats(music::Place { measure, at: note.at });
                all.extend(note.grace.iter().flat_map(|g| &g.pitches).map(|p| new(*p, on, true)));
                let mut next = BTreeMap::new();
                for pitch in &note.pitches {
                    let before = ringing.get(pitch).copied().filter(|_| note.tie.from_before);
                    let used = before.unwrap_or(all.len());
                    match before {
                        Some(used) => {
                            let used: &mut PageUse = &mut all[used];
                            used.end = on + note.length;
                            used.notes.push((measure, index));
                        }
                        None => all.push(new(*pitch, on + note.length, false)),
                    }
                    if note.tie.to_next {
                        next.insert(*pitch, used);
                    }
                }
                ringing = next;
            }
        }
    }
    all.sort_by_key(|u| (clock.beats(u.place()), u.hand == Hand::Left, !u.grace, u.written.position()));
    all
}

/// The instants of the page, in beats from its beginning.
fn grid(score: &Score, clock: &Clock, uses: &[PageUse]) -> Vec<Beats> {
    let mut all: BTreeSet<Beats> = uses.iter().map(|u| clock.beats(u.place())).collect();
    for (index, measure) in score.measures.iter().enumerate() {
        let (frame, start) = (&measure.frame, clock.beats(music::Place { measure: index, at: Beats::ZERO }));
        let beat = frame.meter.beat();
        let half = beat.scaled(1, 2).unwrap_or(beat);
        let slow = |at: Beats| clock.tempo(music::Place { measure: index, at }).seconds(half) >= SHORTEST_GRID;
        let halves = frame.length.div_floor(half).max(0);
        let places = (0..=halves).map(|i| half * i).filter(|at| *at < frame.length);
        all.extend(places.filter(|at| (*at % beat).is_zero() || slow(*at)).map(|at| start + at));
    }
    let mut last = None;
    all.retain(|beats| {
        let at = clock.at_beats(*beats);
        last.replace(at).is_none_or(|before| before < at) && at < clock.end()
    });
    all.into_iter().collect()
}

fn places(score: &Score, clock: &Clock, grid: &[Beats], uses: &[PageUse], player: &Player, wish: &SettingsWish) -> Vec<Place> {
    let mut hands: Vec<Vec<Seconds>> = match &wish.either {
        Some(hands) => hands
            .iter()
            .map(|plucks| plucks.iter().map(|(measure, at)| clock.at(music::Place { measure: *measure, at: *at })).collect())
            .collect(),
        None => vec![uses.iter().filter(|u| u.hand == wish.mover).map(|u| clock.at(u.place())).collect()],
    };
    hands.iter_mut().for_each(Vec::dedup);
    let MoveTimes { away, back, .. } = MoveTimes::of(player.fluency);
    let place = |beats: &Beats| {
        let at = clock.at_beats(*beats);
        let music::Place { measure, at: inside } = clock.place(*beats);
        let free = |plucks: &Vec<Seconds>| {
            let next = plucks.partition_point(|p| *p < at);
            let due = plucks.get(next).map_or(clock.end(), |p| *p - back);
            let free = next.checked_sub(1).is_none_or(|before| plucks[before] + away <= at);
            if free && due > at { due - at } else { Seconds::ZERO }
        };
        let room = hands.iter().map(free).max().unwrap_or(Seconds::ZERO);
        let beat = score.measures[measure].frame.meter.beat();
        Place { at, room, awkward: if (inside % beat).is_zero() { 0 } else { OFF_THE_BEAT } }
    };
    grid.iter().map(place).collect()
}

fn passage_use(used: &PageUse, on: Beats, index: &dyn Fn(Beats) -> usize, harp: &Instrument, wish: &SettingsWish) -> Use {
    let other = |pitch: Pitch| wish.respelled.map(|price| Spelling { pitch, price });
    let others = neighbours(harp, used.written).into_iter().filter(|p| *p != used.written).filter_map(other);
    let spellings = std::iter::once(Spelling { pitch: used.written, price: 0 }).chain(others).collect();
    let omission = match (used.hand, wish.left_out) {
        _ if used.is_doubtful(wish) => Omission::Price(DOUBTFUL),
        (Hand::Left, Some(price)) => Omission::Price(price),
        _ => Omission::Never,
    };
    let place = index(on);
    Use { place, until: index(used.end).max(place + 1), spellings, omission }
}

/// The playing order as stretches of places.
fn stretches(score: &Score, clock: &Clock, grid: &[Beats]) -> Vec<Range<usize>> {
    let first: Vec<usize> = (0..=score.measures.len())
        .map(|m| grid.partition_point(|g| *g < clock.beats(music::Place { measure: m, at: Beats::ZERO })))
        .collect();
    clock.order().iter().map(|m| first[*m]..first[m + 1]).filter(|r| !r.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::replay;
    use music::text::sheet;
    use music::{Preparation, ScoreMeasure, Tempo};

    /// The tune of a sheet over a left hand of whole notes, one a measure.
    fn page(tune: &str, left: &[&str]) -> Score {
        let sheet = sheet(tune);
        let pitches = |text: &str| text.split_whitespace().map(|p| Pitch::parse(p).expect("a pitch")).collect::<Vec<_>>();
        let measures = sheet.measures.into_iter().zip(left.iter().chain(std::iter::repeat(&""))).map(|(measure, left)| ScoreMeasure {
            left: vec![Note::of(Beats::ZERO, measure.frame.length, pitches(left))],
            frame: measure.frame,
            right: measure.notes,
            heading: None,
            marks: Vec::new(),
            source: 0,
        });
        Score {
            words: sheet.words,
            tempo: Tempo::of(Beats::QUARTER, 80).expect("a tempo"),
            preparation: Preparation::default(),
            measures: measures.collect(),
        }
    }

    fn planned(score: &mut Score, harp: &Instrument) -> PageSettings {
        let wish = SettingsWish { respelled: None, ..SettingsWish::default() };
        let found = settings(score, harp, &Player::default(), &wish);
        found.write(score);
        assert_eq!(replay(score, &found.opening, harp), []);
        found
    }

    fn lever(measure: usize, at: Beats, pitch: &str, first_pass: u32) -> PageMark {
        PageMark { measure, at, mark: Mark::Lever(Pitch::parse(pitch).expect("a pitch")), first_pass }
    }

    /// Arithmetic: F natural and F sharp of one octave in turn, with a measure's time between, are one move each; another octave's F keeps its own lever.
    #[test]
    fn a_lever_is_moved_between_two_notes_of_its_string() {
        let harp = Instrument::lever_34();
        let mut score = page("4/4 C | F5:2 A5:2 | F#5:4 | F4:4 |", &["", "", ""]);
        let found = planned(&mut score, &harp);
        assert_eq!(found.marks, [lever(0, Beats::HALF, "F#5", 1)]);
        assert!(found.missing.is_empty());
    }

    /// Common practice: a move stands near its note, on a beat; here the last one that leaves 0.6 s at 80 beats a minute.
    #[test]
    fn a_move_may_be_printed_near_its_note() {
        let harp = Instrument::lever_34();
        let mut score = page("4/4 C | F5:2 A5:2 | G5:4 | A5:2 F#5:2 |", &["", "", ""]);
        let wish = SettingsWish { respelled: None, moves: When::Late, ..SettingsWish::default() };
        let found = settings(&score, &harp, &Player::default(), &wish);
        found.write(&mut score);
        assert_eq!(found.marks, [lever(2, Beats::QUARTER, "F#5", 1)]);
        assert_eq!(replay(&score, &found.opening, &harp), []);
    }

    /// `F5 | rests | rests | F#5` over half notes of the left hand, with a tempo mark over the second measure. Arithmetic: at 160 the half notes are 0.75 s apart; the
    /// hand is away 0.17 s after one and back 0.3 s before the next, and beat 2, after 0.375 s, leaves 0.075 s of the 0.4 s that a lever takes. At 60 they are
    /// 2 s apart, and the half beat after 0.5 s leaves 1.2 s.
    fn over_half_notes(opening: i64, then: i64) -> Score {
        let mut score = page("4/4 C | F5:4 | A5:4 | A5:4 | F#5:4 |", &["", "", "", ""]);
        let quarters = |n: i64| Tempo::of(Beats::QUARTER, n).expect("a tempo");
        score.tempo = quarters(opening);
        score.measures[1].frame.tempos.push((Beats::ZERO, quarters(then)));
        for measure in &mut score.measures {
            measure.left = music::text::notes("C3:2 G3:2");
        }
        score
    }

    #[test]
    fn a_window_of_the_slower_second_half_is_found() {
        let harp = Instrument::lever_34();
        let found = planned(&mut over_half_notes(160, 60), &harp);
        assert_eq!(found.missing, []);
        assert!((1..3).contains(&found.marks[0].measure) && found.moves.len() == 1, "{:?}", found.marks);
        let wish = SettingsWish { respelled: None, ..SettingsWish::default() };
        let fast = settings(&over_half_notes(160, 160), &harp, &Player::default(), &wish);
        assert_eq!((fast.missing.len(), fast.moves.len()), (1, 0), "the F or the F sharp");
    }

    #[test]
    fn a_window_that_is_too_short_in_the_faster_second_half_is_not_taken() {
        let harp = Instrument::lever_34();
        let wish = SettingsWish { respelled: None, ..SettingsWish::default() };
        let found = settings(&over_half_notes(60, 160), &harp, &Player::default(), &wish);
        assert_eq!((found.missing.len(), found.moves.len()), (1, 0), "the F or the F sharp");
        assert_eq!(planned(&mut over_half_notes(60, 60), &harp).missing, []);
    }

    /// The same music, the slow half heard again after the fast one: in the second pass the times of the page hold, not those of what came before.
    #[test]
    fn a_repeat_takes_the_tempo_of_its_place() {
        let harp = Instrument::lever_34();
        let mut score = over_half_notes(160, 60);
        score.measures[0].frame.repeat_start = true;
        score.measures[3].frame.repeat_end = Some(2);
        score.measures[3].right = music::text::notes("F#5:2 A5:2");
        let found = planned(&mut score, &harp);
        assert_eq!(found.missing, []);
        assert!(found.moves.iter().all(|m| m.measure > 0), "no move in the fast measure: {:?}", found.moves);
    }

    /// Arithmetic: in a repeat the string has to go back before the repeat begins again, and a printed move is made in every pass.
    #[test]
    fn a_repeat_is_true_in_both_passes() {
        let harp = Instrument::lever_34();
        let mut score = page("4/4 C |: F5:2 A5:2 | F#5:2 A5:2 :|", &["", ""]);
        let found = planned(&mut score, &harp);
        assert_eq!(found.moves.len(), 4);
        assert!(found.missing.is_empty());
    }

    /// Common practice: a mark is printed where it is needed the first time too, if there is such a place; else it says when it is.
    #[test]
    fn a_mark_does_something_the_first_time_or_says_when() {
        let harp = Instrument::lever_34();
        let mut in_time = page("4/4 C |: F5:2 A5:2 | F#5:2 A5:2 :|", &["", ""]);
        assert!(planned(&mut in_time, &harp).marks.iter().all(|m| m.first_pass == 1));
        let mut only_then = page("4/4 C |: r:2 F5:1 A5:1 | A5:2 F#5:2 :|", &["", ""]);
        let found = planned(&mut only_then, &harp);
        assert_eq!(found.marks.iter().map(|m| m.first_pass).collect::<Vec<_>>(), [2, 1]);
        assert_eq!(found.moves.len(), 3);
        assert_eq!(only_then.measures[0].marks[0].first_pass, 2);
    }

    /// Arithmetic: what the left hand's lever cannot give the written note has no time for is said, with its measure.
    #[test]
    fn what_cannot_be_had_is_named() {
        let harp = Instrument::lever_34();
        let mut score = page("4/4 C | F5:1/4 F#5:1/4 G5:3 A5:1/2 |", &[""]);
        let wish = SettingsWish { respelled: None, ..SettingsWish::default() };
        let found = settings(&score, &harp, &Player::default(), &wish);
        let said: Vec<String> = found.missing.iter().map(|m| format!("{} {m}", m.measure)).collect();
        assert_eq!(said, ["0 there is no free moment to move the lever for F5"]);
        found.write(&mut score);
        assert_eq!(score.measures[0].right[0].unplayable, score.measures[0].right[0].pitches);
    }

    /// Harp facts 2.3: on E-flat tuning D-flat is had as C-sharp only; the page prints the string that is plucked, through its ties.
    #[test]
    fn the_plucked_string_is_printed() {
        let harp = Instrument::lever_34();
        let mut score = page("4/4 Ab | Db5:4 | Db5:4 |", &["", ""]);
        score.measures[0].right[0].tie.to_next = true;
        score.measures[1].right[0].tie.from_before = true;
        let found = settings(&score, &harp, &Player::default(), &SettingsWish::default());
        found.write(&mut score);
        let tops: Vec<String> = score.measures.iter().flat_map(|m| &m.right).filter_map(|n| n.top()).map(|p| p.to_string()).collect();
        assert_eq!(tops, ["C#5", "C#5"]);
        assert_eq!(replay(&score, &found.opening, &harp), []);
    }
}
