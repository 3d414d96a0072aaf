//! The whole job: a lead sheet, a harp, a player and her wishes become an arrangement.

use crate::below::{self, Refused};
use crate::explain::{Decision, decisions};
use crate::figures::Figures;
use crate::form::{self, Added, Highest, WaysOut};
use crate::hands;
use crate::kept::{self, Kept};
use crate::moves;
use crate::plan::Plan;
use crate::planning::plan;
use crate::register::Register;
use crate::slots::{Setting, Slot, slots};
use crate::task::Task;
use crate::tune::{Layout, MOST_MEASURES, MOST_NOTES, NONE_BELOW, Tune};
use crate::view::Manner;
use crate::ways_out::{WayOut, ways_out};
use crate::wishes::Wishes;
use harmony::kind::{Guess, KindOfTune, assumed_tempo, guess, main_meter};
use harmony::melody;
use harmony::phrases::{PhraseHere, Phrases, phrases_as_said};
use harmony::spans::{LeftOut, Struck, spans};
use harp::page::fingers::fingers;
use harp::page::{PageSettings, SettingsWish, When, missing, muffles, opening};
use harp::ring::{Muffling, RingModel, Sounding};
use harp::{Instrument, Player};
use music::clock::TempoWord;
use music::{Beats, ChordOrigin, Clock, Frame, Interval, LeadSheet, MeasureNumber, Meter, PlacedChord, Preparation, Score, Tempo, Words};
use std::collections::BTreeMap;
use thiserror::Error;

/// The most chords that are planned, verses written out: each is a decision of some milliseconds.
pub const MOST_CHORDS: usize = 3_000;

/// A finished arrangement.
#[derive(Clone, Debug)]
pub struct Arrangement {
    pub score: Score,
    pub kind: Guess,
    /// The tempo was not in the source.
    pub tempo_assumed: bool,
    /// The interval the tune was moved by, for whatever reason.
    pub moved: Interval,
    pub fullness: Vec<u8>,
    pub tune: Tune,
    /// What was put before, between and after the verses, with its reasons.
    pub added: Added,
    pub phrases: Phrases,
    pub left_out: Vec<LeftOut>,
    pub plan: Plan,
    /// What the player should know first.
    pub remarks: Vec<Remark>,
}

/// Something the player should know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Remark {
    /// The tune left the harp and was moved by octaves.
    MovedByOctaves(i32),
    /// The tune leaves the harp at these measures and no octave helps.
    LeavesTheHarp(Vec<MeasureNumber>),
    /// The tune lies low; an octave higher there would be room for the left hand.
    LiesLow,
    /// The tune has no chord symbols.
    NoChords,
    /// No tempo in the source.
    TempoAssumed(Tempo),
    /// An interlude stands between verses, and there is only one.
    NoInterlude,
    /// At these measures the tempo changes in words that carry no number; how much they mean is a guess ([`music::clock::words`]).
    TempoInWords(Vec<MeasureNumber>),
    /// A held figure cannot be played there; the nearest playable stands in.
    HoldNotPlayable { measure: MeasureNumber, figure: String },
    /// A way she took cannot be played there any more; the planner's stands in.
    WayNotPlayable { measure: MeasureNumber },
    /// No measure has this number.
    HoldNowhere { measure: MeasureNumber },
    /// She says of the phrases at this measure what the signs on the page do not allow: a phrase begins there, or goes on.
    PhraseStays { measure: MeasureNumber, begins: bool },
    /// The same for a number that no measure has.
    PhraseNowhere { measure: MeasureNumber },
    /// The left hand cannot play the melody of these verses, from 0; it stays in the right.
    MelodyStays { verses: Vec<usize>, why: Refused },
    /// There is no such verse, from 0, whose melody the left hand could have.
    NoSuchVerse(Vec<usize>),
    /// No room for the left hand at these measures.
    NoRoom(Vec<MeasureNumber>),
    /// Notes that cannot be played on the harp, in the words that the page and the check have for them too ([`harp::page::missing`]).
    Missing(String),
}

#[derive(Debug, Error, PartialEq, Eq)]
pub enum ArrangeError {
    #[error("the tune has no measures with notes")]
    Empty,
    #[error("the tune has {0} measures with its verses written out; the most that is arranged is {MOST_MEASURES}")]
    TooLong(usize),
    #[error("the tune has {0} notes with its verses written out; the most that is arranged is {MOST_NOTES}")]
    TooManyNotes(usize),
    #[error("the tune has {0} chords with its verses written out; the most that is arranged is {MOST_CHORDS}")]
    TooManyChords(usize),
    #[error("there is no figure \"{0}\"")]
    NoSuchFigure(String),
    #[error("fullness {0}: expected 0 to 6")]
    Fullness(u8),
}

/// Arranges a tune. Planning only: the reasons are made by [`Arrangement::decisions`].
pub fn arrange(
    sheet: &LeadSheet,
    figures: &Figures,
    harp: &Instrument,
    player: &Player,
    wishes: &Wishes,
) -> Result<Arrangement, ArrangeError> {
    check_wishes(figures, wishes)?;
    let Prepared { tune, added, moved, kind, tempo_assumed, fullness, mut remarks } = prepared(sheet, (harp, player), wishes)?;
    let wishes = &wishes.moved(moved);
    let phrases = phrases_as_said(&tune.sheet, &said(wishes, &tune));
    let spans = spans(&tune.sheet, &tune.clock);
    // Those too short to be played are no decisions.
    let chords = spans.spans.iter().filter(|span| span.struck == Struck::Yes).count();
    if chords > MOST_CHORDS {
        return Err(ArrangeError::TooManyChords(chords));
    }
    let slots = slots(&tune, &spans, &phrases, &Setting { fullness: &fullness });
    let register = Register::default();
    let task = Task { tune: &tune, figures, harp, player, wishes, kind: kind.kind, manner: manner(kind.kind), register };
    let alone = moves::of_the_tune(&tune, harp, player);
    let plan = plan(&task, slots, &alone);
    remarks.extend(not_played(&plan.settled.page, &tune));
    remark_on_holds(&plan, figures, wishes, &tune, &mut remarks);
    remark_on_ways(&plan, wishes, &tune, &mut remarks);
    remark_on_room(&plan, &tune, &mut remarks);
    remark_on_phrases(&phrases, wishes, &tune, &mut remarks);
    let score = score(&task, &plan, &alone, (fullness.len(), &added));
    let left_out = spans.left_out;
    let mut made = Arrangement { score, kind, tempo_assumed, moved, fullness, tune, added, phrases, left_out, plan, remarks };
    made.print_ways_out(wishes);
    Ok(made)
}

/// A tune ready to be planned: in its key, in its octave, its verses laid out, its kind and tempo known.
pub(crate) struct Prepared {
    pub tune: Tune,
    pub added: Added,
    pub moved: Interval,
    pub kind: Guess,
    tempo_assumed: bool,
    pub fullness: Vec<u8>,
    remarks: Vec<Remark>,
}

pub(crate) fn prepared(sheet: &LeadSheet, (harp, player): (&Instrument, &Player), wishes: &Wishes) -> Result<Prepared, ArrangeError> {
    if sheet.measures.is_empty() || melody::range(sheet).is_none() {
        return Err(ArrangeError::Empty);
    }
    let mut remarks = Vec::new();
    let mut sheet = sheet.clone();
    harmony::spread(&mut sheet);
    let (mut sheet, moved) = moved(&sheet, harp, wishes, &mut remarks);
    let kind = wishes.kind.map_or_else(|| guess(&sheet), |kind| Guess { because: harmony::Because::Wished, kind });
    let meter = main_meter(&sheet).unwrap_or_else(|| Meter::simple(4, 4));
    let written = sheet.opening_tempo();
    let own = written.unwrap_or_else(|| assumed_tempo(kind.kind, &meter));
    let tempo = wishes.tempo.unwrap_or(own);
    sheet.set_opening_tempo(own, tempo);
    let tempo_assumed = wishes.tempo.is_none() && written.is_none();
    if tempo_assumed {
        remarks.push(Remark::TempoAssumed(tempo));
    }
    let guessed = tempo_in_words(&sheet);
    if !guessed.is_empty() {
        remarks.push(Remark::TempoInWords(guessed));
    }
    let fullness = fullness_of(wishes);
    // Counted before it is laid out: a long tune with thousands of verses would not fit into memory.
    let added = form::make(&sheet, &wishes.form, kind.kind, fullness.len(), Highest(harp.highest()));
    let mut layout = Layout { verses: fullness.len(), below: &NONE_BELOW, repeats: wishes.form.repeats, added: &added };
    let measures = Tune::laid_out_measures(&sheet, layout);
    if measures > MOST_MEASURES {
        return Err(ArrangeError::TooLong(measures));
    }
    let notes = Tune::laid_out_notes(&sheet, layout);
    if notes > MOST_NOTES {
        return Err(ArrangeError::TooManyNotes(notes));
    }
    let below = melody_below(&sheet, (tempo, fullness.len()), (harp, player), wishes, &mut remarks);
    layout.below = &below;
    let tune = Tune::lay_out_whole(&sheet, layout, tempo);
    if !sheet.has_chords() {
        remarks.push(Remark::NoChords);
    }
    if wishes.form.interlude.is_some() && added.interlude.is_none() {
        remarks.push(Remark::NoInterlude);
    }
    Ok(Prepared { tune, added, moved, kind, tempo_assumed, fullness, remarks })
}

/// The verses whose melody the left hand takes, with the octaves by which it lies otherwise there.
fn melody_below(
    sheet: &LeadSheet,
    (tempo, verses): (Tempo, usize),
    (harp, player): (&Instrument, &Player),
    wishes: &Wishes,
    remarks: &mut Vec<Remark>,
) -> BTreeMap<usize, i32> {
    let (wished, nowhere): (Vec<usize>, Vec<usize>) = wishes.melody_below.iter().partition(|verse| **verse < verses);
    if !nowhere.is_empty() {
        remarks.push(Remark::NoSuchVerse(nowhere));
    }
    if wished.is_empty() {
        return BTreeMap::new();
    }
    match below::octaves(sheet, tempo, harp, player) {
        Ok(by) => wished.into_iter().map(|verse| (verse, by)).collect(),
        Err(why) => {
            remarks.push(Remark::MelodyStays { verses: wished, why });
            BTreeMap::new()
        }
    }
}

/// The numbers of the measures in which words change the tempo and no mark at their place says by how much.
fn tempo_in_words(sheet: &LeadSheet) -> Vec<MeasureNumber> {
    let guessed = |frame: &Frame| {
        let changes = |text: &str| {
            let word = TempoWord::read(text);
            matches!(word, Some(TempoWord::Gradual(_) | TempoWord::HeldBack(_) | TempoWord::Other(_)))
        };
        frame.words.iter().any(|(at, text)| changes(text) && !frame.tempos.iter().any(|mark| mark.0 == *at))
    };
    sheet.measures.iter().map(|m| &m.frame).filter(|f| guessed(f)).map(|f| f.number).collect()
}

pub(crate) fn manner(kind: KindOfTune) -> Manner {
    if kind.is_dance() { Manner::Dance } else { Manner::Song }
}

fn check_wishes(figures: &Figures, wishes: &Wishes) -> Result<(), ArrangeError> {
    if let Some(bad) = wishes.fullness.iter().find(|f| **f > 6) {
        return Err(ArrangeError::Fullness(*bad));
    }
    let named = wishes.only.iter().chain(&wishes.without).chain(wishes.holds.values());
    match named.into_iter().find(|name| figures.find(name).is_none()) {
        Some(unknown) => Err(ArrangeError::NoSuchFigure(unknown.clone())),
        None => Ok(()),
    }
}

fn fullness_of(wishes: &Wishes) -> Vec<u8> {
    if wishes.fullness.is_empty() { vec![3] } else { wishes.fullness.clone() }
}

/// The tune in the wished key, and inside the harp's strings.
fn moved(sheet: &LeadSheet, harp: &Instrument, wishes: &Wishes, remarks: &mut Vec<Remark>) -> (LeadSheet, Interval) {
    let wished = wishes.transpose.unwrap_or(Interval::UNISON);
    let sheet = if wished == Interval::UNISON { sheet.clone() } else { sheet.up(wished) };
    let Some(range) = melody::range(&sheet) else { return (sheet, wished) };
    let (low, high) = (range.lowest.position(), range.highest.position());
    match octaves_for((low, high), harp) {
        Some(0) => {
            let low_median = range.median.position() < 33 || range.lower_quartile.position() - harp.lowest() < 8;
            if low_median && high + 7 <= harp.highest() {
                remarks.push(Remark::LiesLow);
            }
            (sheet, wished)
        }
        Some(octaves) => {
            remarks.push(Remark::MovedByOctaves(octaves));
            let by = Interval::octaves(octaves);
            (sheet.up(by), wished + by)
        }
        None => {
            let off = |n: &&music::Note| n.pitches.iter().any(|p| !harp.has_string(p.position()));
            let at = sheet.measures.iter().filter(|m| m.notes.iter().any(|n| off(&n))).map(|m| m.frame.number).collect();
            remarks.push(Remark::LeavesTheHarp(at));
            (sheet, wished)
        }
    }
}

/// By how many octaves a tune between two strings is moved so that the harp has both; `None` where none helps.
pub(crate) fn octaves_for((low, high): (i32, i32), harp: &Instrument) -> Option<i32> {
    let fits = |octaves: &i32| low + 7 * octaves >= harp.lowest() && high + 7 * octaves <= harp.highest();
    // Upward first: the left hand needs the room below.
    [0, 1, -1, 2, -2, 3, -3].into_iter().find(fits)
}

fn remark_on_holds(plan: &Plan, figures: &Figures, wishes: &Wishes, tune: &Tune, remarks: &mut Vec<Remark>) {
    for (measure, figure) in &wishes.holds {
        let slots = plan.slots.iter().zip(&plan.choices).zip(&plan.found.chosen);
        let mut here = slots.filter(|((slot, _), _)| tune.frame(slot.measure).number == *measure).peekable();
        if here.peek().is_none() {
            remarks.push(Remark::HoldNowhere { measure: *measure });
        } else if here
            .any(|((slot, choices), chosen)| slot.chord.is_some() && Some(choices.candidates[*chosen].figure) != figures.find(figure))
        {
            remarks.push(Remark::HoldNotPlayable { measure: *measure, figure: figure.clone() });
        }
    }
}

fn remark_on_ways(plan: &Plan, wishes: &Wishes, tune: &Tune, remarks: &mut Vec<Remark>) {
    let number = |slot: &Slot| tune.frame(slot.measure).number;
    for measure in wishes.ways.keys() {
        let all = plan.slots.iter().zip(&plan.choices).zip(&plan.found.chosen);
        let mut here = all.filter(|((slot, _), _)| number(slot) == *measure).peekable();
        let kept = |slot| Kept::of(wishes, tune, slot).plucks.unwrap_or_default();
        if here.peek().is_none() || here.any(|((slot, choices), chosen)| !kept::is(&kept(slot), &choices.candidates[*chosen].plucks)) {
            remarks.push(Remark::WayNotPlayable { measure: *measure });
        }
    }
}

/// What she says of the phrases, by the index of the laid-out measure.
pub(crate) fn said(wishes: &Wishes, tune: &Tune) -> BTreeMap<usize, PhraseHere> {
    let numbers = tune.sheet.measures.iter().map(|m| m.frame.number).enumerate();
    // Of a measure in two parts the first half has the number.
    let mut said: Vec<(usize, MeasureNumber)> = numbers.filter(|(_, number)| wishes.phrases.contains_key(number)).collect();
    said.dedup_by_key(|(_, number)| *number);
    said.into_iter().map(|(index, number)| (index, wishes.phrases[&number])).collect()
}

fn remark_on_phrases(phrases: &Phrases, wishes: &Wishes, tune: &Tune, remarks: &mut Vec<Remark>) {
    let said = said(wishes, tune);
    for (number, here) in &wishes.phrases {
        let mut places =
            said.iter().filter(|(index, _)| tune.sheet.measures[**index].frame.number == *number).map(|(index, _)| *index).peekable();
        let begins = *here == PhraseHere::Begins;
        if places.peek().is_none() {
            remarks.push(Remark::PhraseNowhere { measure: *number });
        } else if places.any(|index| phrases.measures[index].first_of_phrase != begins) {
            remarks.push(Remark::PhraseStays { measure: *number, begins });
        }
    }
}

fn remark_on_room(plan: &Plan, tune: &Tune, remarks: &mut Vec<Remark>) {
    let slots = plan.slots.iter().zip(&plan.choices);
    let bare = slots.filter(|(slot, choices)| {
        slot.chord.is_some() && slot.fullness > 0 && slot.counts() && choices.candidates.iter().all(|c| c.plucks.is_empty())
    });
    let mut numbers: Vec<MeasureNumber> = bare.map(|(slot, _)| tune.frame(slot.measure).number).collect();
    numbers.dedup();
    if !numbers.is_empty() {
        remarks.push(Remark::NoRoom(numbers));
    }
}

/// What cannot be played, where there is such.
fn not_played(page: &PageSettings, tune: &Tune) -> Option<Remark> {
    let number = |measure: usize| tune.sheet.measures[measure].frame.number;
    (!page.missing.is_empty()).then(|| Remark::Missing(missing::sentence(&page.missing, number)))
}

fn score(task: &Task, plan: &Plan, alone: &PageSettings, whole: (usize, &Added)) -> Score {
    let page = &plan.settled.page;
    let mut score = notes(task, plan, alone, whole);
    prepare(&mut score, task, page);
    page.write(&mut score);
    muffle(&mut score, task, plan);
    fingers(&mut score, task.player, task.wishes.fingers);
    score
}

/// The page as planned, before its levers or pedals, muffles and fingers.
fn notes(task: &Task, plan: &Plan, alone: &PageSettings, (verses, added): (usize, &Added)) -> Score {
    let tune = task.tune;
    let headings = tune.headings(verses, added);
    let measures = hands::measures(tune, plan, &|pitch| moves::steady(task.harp, alone, pitch), &headings);
    let mut words = headed(&tune.sheet.words);
    let is_ours = |c: &PlacedChord| c.origin == ChordOrigin::Ours;
    words.signs.extend(tune.sheet.measures.iter().any(|m| m.frame.chords.iter().any(is_ours)).then(|| OUR_CHORDS.to_owned()));
    Score { words, tempo: tune.clock.opening(), preparation: Preparation::default(), measures }
}

/// What the words at the ends of phrases are.
const WAYS_OUT: &str = "out: how to close early from the end of that measure. Numbers are measures; play to the end of the last one named.";

/// What chord symbols in italics are.
const OUR_CHORDS: &str = "Chords in italics are Undersong's.";

/// What is done before playing, the strings needed and how they are set; and what the sign of notes that cannot be played means.
fn prepare(score: &mut Score, task: &Task, page: &PageSettings) {
    score.preparation = Preparation { lines: vec![opening::strings_line(task.harp)], setting: Some(page.opening.setting(task.harp)) };
    let number = |measure: usize| task.tune.sheet.measures[measure].frame.number;
    score.words.signs.extend((!page.missing.is_empty()).then(|| missing::of_the_sign(&page.missing, number)));
}

fn muffle(score: &mut Score, task: &Task, plan: &Plan) {
    for (measure, mark) in
        muffles::marks(score, &sounding(plan, &task.tune.clock), &RingModel::default(), task.player, &Muffling::default())
    {
        score.measures[measure].marks.push(mark);
    }
}

/// The chords of the plan in time; a chord carried over a bar line is one.
fn sounding(plan: &Plan, clock: &Clock) -> Vec<Sounding> {
    let mut all: Vec<Sounding> = Vec::new();
    for slot in &plan.slots {
        let Some(chord) = &slot.chord else { continue };
        let pitch_classes = chord.pitch_classes().into_iter().collect();
        let (at, end) = (clock.at_beats(slot.start), clock.at_beats(slot.end()));
        match all.last_mut() {
            Some(last) if last.pitch_classes == pitch_classes && last.end == at => last.end = end,
            _ => all.push(Sounding { at, end, pitch_classes }),
        }
    }
    all
}

/// The words of the page: where the source says what kind of tune it is and gives no tempo in words, the kind stands beside the tempo ("Slow air").
fn headed(words: &Words) -> Words {
    let kind = words.rhythm.as_ref().map(|r| {
        let mut letters = r.trim().chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    });
    Words { tempo_words: words.tempo_words.clone().or(kind).filter(|w| !w.is_empty()), ..words.clone() }
}

impl Arrangement {
    /// How to close early from each measure of the verses.
    pub fn ways_out(&self) -> Vec<WayOut> {
        ways_out(&self.tune, &self.phrases, &self.added)
    }

    /// Prints ways out above the last measures of phrases, where that is wished.
    fn print_ways_out(&mut self, wishes: &Wishes) {
        if wishes.form.ways_out == WaysOut::Known {
            return;
        }
        for out in self.ways_out().into_iter().filter(|o| o.at_a_phrase_end) {
            let words = (Beats::ZERO, format!("out: {}", out.way));
            self.score.measures[out.measure].frame.words.push(words);
        }
        self.score.words.signs.push(WAYS_OUT.to_owned());
    }

    /// Every decision with its reason, made from the same inputs as the arrangement.
    pub fn decisions(&self, figures: &Figures, harp: &Instrument, player: &Player, wishes: &Wishes) -> Vec<Decision> {
        decisions(&self.task(figures, harp, player, wishes), &self.plan)
    }

    pub(crate) fn task<'a>(&'a self, figures: &'a Figures, harp: &'a Instrument, player: &'a Player, wishes: &'a Wishes) -> Task<'a> {
        Task {
            tune: &self.tune,
            figures,
            harp,
            player,
            wishes,
            kind: self.kind.kind,
            manner: manner(self.kind.kind),
            register: Register::default(),
        }
    }

    /// Lets `change` change the notes of the page by hand, then settles its levers or pedals, muffles and fingers it anew. The plan and its reasons stay as
    /// they are. `change` sees the notes as they are printed, without marks; it keeps the number and the lengths of the measures.
    pub fn change_by_hand(
        &mut self,
        figures: &Figures,
        harp: &Instrument,
        player: &Player,
        wishes: &Wishes,
        change: &mut dyn FnMut(&mut Score),
    ) {
        let task = self.task(figures, harp, player, wishes);
        let alone = moves::of_the_tune(&self.tune, harp, player);
        let mut score = notes(&task, &self.plan, &alone, (self.fullness.len(), &self.added));
        self.plan.settled.page.write(&mut score);
        for measure in &mut score.measures {
            measure.marks.clear();
            measure.right.iter_mut().chain(&mut measure.left).for_each(|n| n.unplayable.clear());
        }
        change(&mut score);
        let wish = SettingsWish { moves: When::Late, ..moves::wish(harp, player) };
        let page = harp::page::settings(&score, harp, player, &wish);
        prepare(&mut score, &task, &page);
        page.write(&mut score);
        muffle(&mut score, &task, &self.plan);
        fingers(&mut score, player, wishes.fingers);
        self.remarks.retain(|r| !matches!(r, Remark::Missing(_)));
        self.remarks.extend(not_played(&page, &self.tune));
        (self.plan.settled.page, self.score) = (page, score);
        self.print_ways_out(wishes);
    }

    pub fn kind_of_tune(&self) -> KindOfTune {
        self.kind.kind
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::sheet;

    fn arranged(measure: &str, measures: usize, verses: usize) -> Result<Arrangement, ArrangeError> {
        let tune = format!("4/4 C |{}", measure.repeat(measures));
        let wishes = Wishes { fullness: vec![1; verses], ..Wishes::default() };
        arrange(&sheet(&tune), &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes)
    }

    /// Arithmetic: four chords of a beat in each of 800 measures are 3,200, and so are 200 measures sung four times; a hundred measures with sixty-four each are as
    /// many again, but too short to be played.
    #[test]
    fn chords_are_counted_before_they_are_planned() {
        let of_a_beat = r#" "C" C5:1 "F" C5:1 "G" D5:1 "C" E5:1 |"#;
        assert_eq!(arranged(of_a_beat, 800, 1).err(), Some(ArrangeError::TooManyChords(3_200)));
        assert_eq!(arranged(of_a_beat, 200, 4).err(), Some(ArrangeError::TooManyChords(3_200)));
        let too_short = format!(" {} |", r#""C" C5:1/16 "F" D5:1/16"#.repeat(32).replace("16\"", "16 \""));
        assert!(arranged(&too_short, 100, 1).is_ok());
    }
}
