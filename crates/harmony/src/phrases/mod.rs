//! Where the sections and phrases of a tune end.
//!
//! Two answers stand side by side. In whole measures, for the planner: [`sections`] cuts the tune at the signs on the page; [`evidence`] weighs each bar line
//! inside a section; [`lengths`] chooses the phrases by a small dynamic programme over both. Pickups belong to what follows; the endings of one stretch are
//! alternatives, and each goes on with the phrase that was running before the first of them. To the note: [`breaths`] searches the whole tune with the [`cues`]
//! that hold along its [`mod@line`] and their worths in a [`table`]; in hymns and songs ([`songs`]) the bar lines heed them.

pub mod sections;
mod evidence;
mod lengths;
pub mod cues;
pub mod line;
pub mod table;
pub mod breaths;
mod songs;

use breaths::Breath;
use cues::Cue;
use line::Line;
use music::{Beats, LeadSheet};
use sections::Section;
use std::collections::BTreeMap;
use table::Table;

/// The form of a tune: one entry a measure, and the phrases and sections themselves.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Phrases {
    /// The place of each measure.
    pub measures: Vec<PhrasePlace>,
    /// In written order.
    pub phrases: Vec<Phrase>,
    /// In written order.
    pub sections: Vec<Section>,
    /// Where one breathes, to the note: these may lie inside a measure, and inside a phrase of whole measures.
    pub breaths: Vec<Breath>,
}

/// One phrase. Under alternative endings it holds the measures of all of them.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Phrase {
    /// Index of its section.
    pub section: usize,
    /// Indices of the written measures, pickups included, in written order.
    pub measures: Vec<usize>,
    /// What speaks for its beginning there, the weightiest first; nothing for the first phrase, and where the count of measures alone decided.
    pub why: Vec<Cue>,
    /// The player says that it begins there.
    pub hers: bool,
}

/// What the player says of a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhraseHere {
    /// A phrase begins with it.
    Begins,
    /// The phrase before goes on.
    GoesOn,
}

/// The place of one measure in the form. Numbers count from 0 through the whole tune.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PhrasePlace {
    /// Index of its section.
    pub section: usize,
    /// Index of its phrase.
    pub phrase: usize,
    /// Which measure of its phrase this is, pickups not counted; a pickup has 0, like the measure after it.
    pub index: usize,
    /// How many measures the phrase has, pickups not counted; under an ending, the phrase with that ending.
    pub of: usize,
    /// Whether it is a pickup, and to what.
    pub pickup: Pickup,
    /// The first measure of its phrase that is no pickup.
    pub first_of_phrase: bool,
    /// The last measure of its phrase.
    pub last_of_phrase: bool,
    /// The first measure of its section that is no pickup.
    pub first_of_section: bool,
    /// The last of its section; with alternative endings, the last of each.
    pub last_of_section: bool,
    /// In the last measure of a phrase, where it ends inside the measure and the next begins with a pickup.
    pub ends_at: Option<Beats>,
}

impl PhrasePlace {
    fn of_pickup(section: usize, phrase: usize, of: usize, pickup: Pickup) -> PhrasePlace {
        PhrasePlace {
            section,
            phrase,
            index: 0,
            of,
            pickup,
            first_of_phrase: false,
            last_of_phrase: false,
            first_of_section: false,
            last_of_section: false,
            ends_at: None,
        }
    }
}

/// Whether a measure only leads into the next one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pickup {
    /// It is none.
    No,
    /// Shorter than its meter, at the head of a section.
    Short,
    /// The first measure of the tune, written full: rests, then a pickup in its last half (or longer, if the phrases then fall better).
    InFullMeasure,
}

/// The phrases of a tune.
///
/// ```
/// use harmony::phrases::phrases;
/// use music::text;
///
/// // Common practice: a double bar ends a section, and with it a phrase.
/// let tune = text::sheet("4/4 C | C5:4 | D5:4 | E5:4 | C5:4 || G5:4 | F5:4 | E5:4 | C5:4 ||");
/// let form = phrases(&tune);
/// assert_eq!(form.sections.len(), 2);
/// assert!(form.measures[3].last_of_phrase && form.measures[4].first_of_phrase);
/// ```
pub fn phrases(sheet: &LeadSheet) -> Phrases {
    phrases_as_said(sheet, &BTreeMap::new())
}

/// What the player says weighs more than everything else together; only the head of a section stays where the signs on the page put it, and no phrase is
/// longer than sixteen measures.
const SAID: i64 = 100_000;

/// The phrases of a tune of which the player says, for some measures by their index, that a phrase begins or goes on there.
pub fn phrases_as_said(sheet: &LeadSheet, said: &BTreeMap<usize, PhraseHere>) -> Phrases {
    let mut sections = sections::sections(sheet);
    if let Some(first) = sections.first_mut() {
        hear_full_pickup(sheet, first);
    }
    let line = Line::of(sheet);
    let mut favour = songs::favour(sheet, &sections, &line);
    for (measure, here) in said {
        if let Some(favour) = favour.get_mut(*measure) {
            *favour += if *here == PhraseHere::Begins { SAID } else { -SAID };
        }
    }
    let mut found = Phrases { measures: Vec::with_capacity(sheet.measures.len()), ..Phrases::default() };
    for (number, section) in sections.iter().enumerate() {
        let plan = plan(sheet, section, &favour);
        place(&mut found, number, section, &plan);
    }
    found.sections = sections;
    tell_why(&mut found, sheet, &line, said);
    found.breaths = breaths::of_line(&line, Table::ours());
    end_inside(&mut found, sheet, &line);
    found
}

/// Where a breath lies in the last measure of a phrase, the phrase ends there, and what follows is the pickup of the next.
fn end_inside(found: &mut Phrases, sheet: &LeadSheet, line: &Line) {
    for breath in &found.breaths {
        let (next, place) = (line.first_measure(breath.note, sheet), &found.measures[breath.measure]);
        if next == breath.measure + 1 && place.last_of_phrase && found.measures[next].first_of_phrase {
            found.measures[breath.measure].ends_at = Some(breath.at);
        }
    }
}

/// Says of each phrase but the first what speaks for it at the note with which it begins.
fn tell_why(found: &mut Phrases, sheet: &LeadSheet, line: &Line, said: &BTreeMap<usize, PhraseHere>) {
    let mut why: BTreeMap<usize, Vec<Cue>> = BTreeMap::new();
    for k in 1..line.notes.len() {
        let told = breaths::telling(line, Table::ours(), k);
        let worth = |cues: &[Cue]| cues.iter().map(|c| Table::ours().worth(*c)).sum::<i64>();
        let here = why.entry(line.first_measure(k, sheet)).or_default();
        if worth(&told) > worth(here) {
            *here = told;
        }
    }
    let first = |phrase: &Phrase| phrase.measures.iter().find(|m| found.measures[**m].first_of_phrase).copied();
    let firsts: Vec<Option<usize>> = found.phrases.iter().map(first).collect();
    for (phrase, first) in found.phrases.iter_mut().zip(firsts).skip(1) {
        phrase.why = first.and_then(|m| why.remove(&m)).unwrap_or_default();
        phrase.hers = first.is_some_and(|m| said.get(&m) == Some(&PhraseHere::Begins));
    }
}

/// A tune whose first measure begins with a rest may begin with a pickup of more than half a measure: it does if the phrases then fall
/// better.
fn hear_full_pickup(sheet: &LeadSheet, section: &mut Section) {
    let Some(other) = section.with_full_pickup(sheet) else { return };
    let favour = section.lines().first().map(|line| evidence::weigh(sheet, line, section)).unwrap_or_default();
    let price = |favour: &[i64]| lengths::price(favour, &lengths::choose(favour, None));
    if favour.len() > 1 && price(&favour[1..]) < price(&favour) {
        *section = other;
    }
}

/// For each line through a section (the stretch up to the endings, then one of them), the lengths of its phrases.
fn plan(sheet: &LeadSheet, section: &Section, favour: &[i64]) -> Vec<Vec<usize>> {
    let mut plans: Vec<Vec<usize>> = Vec::new();
    for line in section.lines() {
        let mut weights = evidence::weigh(sheet, &line, section);
        weights.iter_mut().zip(&line).skip(1).for_each(|(weight, measure)| *weight += favour[*measure]);
        let fixed = plans.first().map(|first| lengths::Fixed::until(section.common().len(), first));
        plans.push(lengths::choose(&weights, fixed.as_ref()));
    }
    plans
}

/// Writes one section's phrases into the result. Phrases that begin in the common stretch have one number in all lines, those that begin
/// inside an ending have numbers of their own.
fn place(found: &mut Phrases, number: usize, section: &Section, plans: &[Vec<usize>]) {
    let first = found.phrases.len();
    let common = section.common().len();
    let shared = starts(&plans[0]).filter(|at| *at < common).count();
    let mut next = first + shared;
    let mut places: BTreeMap<usize, PhrasePlace> = BTreeMap::new();
    for (line, lengths) in section.lines().iter().zip(plans) {
        for (k, (at, &of)) in starts(lengths).zip(lengths).enumerate() {
            let phrase = if at < common { first + k } else { next };
            next += usize::from(at >= common);
            for (index, &measure) in line[at..at + of].iter().enumerate() {
                places.entry(measure).or_insert(PhrasePlace {
                    section: number,
                    phrase,
                    index,
                    of,
                    pickup: Pickup::No,
                    first_of_phrase: index == 0,
                    last_of_phrase: index + 1 == of,
                    first_of_section: at + index == 0,
                    last_of_section: at + index + 1 == line.len(),
                    ends_at: None,
                });
            }
        }
    }
    let of = plans[0].first().copied().unwrap_or(0);
    for measure in section.pickups.clone() {
        places.insert(measure, PhrasePlace::of_pickup(number, first, of, section.pickup));
    }
    found.phrases.resize(next, Phrase { section: number, ..Phrase::default() });
    for (measure, place) in places {
        found.phrases[place.phrase].measures.push(measure);
        found.measures.push(place);
    }
}

/// Where phrases of these lengths begin.
fn starts(lengths: &[usize]) -> impl Iterator<Item = usize> + '_ {
    lengths.iter().scan(0, |at, n| {
        let start = *at;
        *at += n;
        Some(start)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::measure::Ending;
    use music::text::sheet;

    /// A digit a measure, its place in its phrase from 1 (`p` for a pickup); `,` between phrases, `|` between sections, `/` where an alternative
    /// ending goes on with the same phrase.
    fn show(tune: &LeadSheet) -> String {
        let found = phrases(tune);
        assert_eq!(found.measures.len(), tune.measures.len());
        let mut text = String::new();
        for (i, place) in found.measures.iter().enumerate() {
            if let Some(before) = i.checked_sub(1).map(|j| found.measures[j]) {
                let same = before.phrase == place.phrase;
                text.push_str(if before.section != place.section {
                    "|"
                } else if !same {
                    ","
                } else if before.last_of_phrase {
                    "/"
                } else {
                    ""
                });
            }
            match place.pickup {
                Pickup::No => text.push_str(&(place.index + 1).to_string()),
                _ => text.push('p'),
            }
        }
        text
    }

    fn ending(tune: &mut LeadSheet, measures: std::ops::Range<usize>, pass: u32) {
        for i in measures.clone() {
            let ending = Ending { passes: vec![pass], starts: i == measures.start, stops: i + 1 == measures.end };
            tune.measures[i].frame.ending = Some(ending);
        }
    }

    /// Common practice: the plain dance of two strains of eight.
    #[test]
    fn a_plain_strain_of_eight_is_two_fours() {
        let strain = "G4:2 A4:2 | ".repeat(8);
        let text = format!("4/4 G |( D4:1 |: {}:| {}", strain.trim_end_matches("| "), strain);
        assert_eq!(show(&sheet(&text)), "p1234,1234|1234,1234");
    }

    #[test]
    fn a_pickup_belongs_to_what_follows() {
        assert_eq!(show(&sheet("3/4 G |( D4:1 | G4:3 | A4:3 | B4:3 | G4:2 :|( D4:1 | G4:3 | A4:3 | B4:3 | G4:2 |")), "p1234|p1234");
    }

    #[test]
    fn a_full_first_measure_may_only_hold_a_pickup() {
        assert_eq!(show(&sheet("4/4 G | r:3 D4:1 | G4:4 | A4:4 | B4:4 | G4:4 |")), "p1234");
        assert_eq!(show(&sheet("4/4 G | r:3 D4:1 |: G4:4 | A4:4 | B4:4 | G4:4 :|")), "p1234");
    }

    #[test]
    fn a_longer_pickup_is_heard_by_the_phrases_after_it() {
        let four = "G4:1 G4:1 G4:1 G4:1 | ".repeat(7);
        assert_eq!(show(&sheet(&format!("4/4 G | r:1 D4:1 E4:1 F#4:1 | {four} G4:4 |"))), "p1234,1234");
        assert_eq!(show(&sheet(&format!("4/4 G | r:1 D4:1 E4:1 F#4:1 | {four}"))), "1234,1234");
    }

    #[test]
    fn endings_are_alternatives() {
        let mut tune = sheet("4/4 G |: G4:4 | A4:4 | B4:4 | G4:4 | G4:4 | A4:4 | B4:4 | D5:4 :| G4:4 || A4:4 | B4:4 |");
        ending(&mut tune, 7..8, 1);
        ending(&mut tune, 8..9, 2);
        assert_eq!(show(&tune), "1234,1234/4|12");
        let found = phrases(&tune);
        assert!(found.measures[7].last_of_section && found.measures[8].last_of_section && !found.measures[6].last_of_section);
        assert_eq!(found.phrases[1].measures, [4, 5, 6, 7, 8]);
    }

    #[test]
    fn a_longer_second_ending_goes_on_by_itself() {
        let mut tune = sheet("4/4 G |: G4:4 | A4:4 | B4:4 | G4:4 :| G4:4 | E4:4 | G4:4 ||");
        ending(&mut tune, 3..4, 1);
        ending(&mut tune, 4..7, 2);
        assert_eq!(show(&tune), "1234/4,12");
        let found = phrases(&tune);
        assert_eq!((found.measures[3].of, found.measures[6].of), (4, 2));
    }

    /// Common practice in hurried notation.
    #[test]
    fn a_bracket_may_cover_only_the_first_measure_of_its_ending() {
        let mut tune = sheet("4/4 G |: G4:4 | A4:4 | B4:4 | G4:4 :| G4:4 | E4:4 |");
        ending(&mut tune, 2..3, 1);
        ending(&mut tune, 4..5, 2);
        assert_eq!(show(&tune), "1234/34");
    }

    /// Six measures with a long note and a rest after the second, or after the third.
    #[test]
    fn breaths_decide_odd_sections() {
        let run = "G4:1 A4:1 B4:1 A4:1";
        let stop = "G4:2 r:2";
        assert_eq!(show(&sheet(&format!("4/4 G | {run} | {stop} | {run} | {run} | {run} | {stop} |"))), "12,1234");
        assert_eq!(show(&sheet(&format!("4/4 G | {run} | {run} | {stop} | {run} | {run} | {stop} |"))), "123,123");
        assert_eq!(show(&sheet(&format!("4/4 G | {run} | {run} | {run} | {stop} | {run} | {stop} |"))), "1234,12");
    }

    /// A phrase of three and one of five, then five and three; the second line of a section cannot be joined to the first over a double bar.
    #[test]
    fn the_player_has_the_last_word() {
        let tune = sheet(&format!("4/4 G |: {}:| {}", "A4:1 A4:1 A4:1 A4:1 | ".repeat(8).trim_end_matches("| "), "G4:2 A4:2 | ".repeat(8)));
        let lengths = |said: &[(usize, PhraseHere)]| -> Vec<usize> {
            phrases_as_said(&tune, &said.iter().copied().collect()).phrases.iter().map(|p| p.measures.len()).collect()
        };
        use PhraseHere::{Begins, GoesOn};
        assert_eq!(lengths(&[]), [4, 4, 4, 4]);
        assert_eq!(lengths(&[(3, Begins), (4, GoesOn)]), [3, 5, 4, 4]);
        assert_eq!(lengths(&[(5, Begins)]), [5, 3, 4, 4]);
        assert_eq!(lengths(&[(4, GoesOn)]), [8, 4, 4]);
        assert_eq!(lengths(&[(8, GoesOn), (99, Begins)]), [4, 4, 4, 4]);
        assert!(phrases_as_said(&tune, &BTreeMap::from([(3, Begins), (4, GoesOn)])).phrases[1].hers);
    }

    fn tune_of_quarters(measures: usize) -> LeadSheet {
        sheet(&format!("4/4 G | {}", "A4:1 A4:1 A4:1 A4:1 | ".repeat(measures)))
    }

    /// Common practice in hymn books: a fermata or a breath mark closes each line.
    #[test]
    fn marks_make_phrases_of_two() {
        let mut tune = tune_of_quarters(8);
        for (measure, mark) in [(1, music::Decoration::Fermata), (3, music::Decoration::Breath), (5, music::Decoration::Fermata)] {
            tune.measures[measure].notes[3].decorations.push(mark);
        }
        assert_eq!(show(&tune), "12,12,12,12");
    }

    /// Six measures of one rhythm: the words decide, not the fours.
    #[test]
    fn a_full_stop_ends_a_phrase_and_a_word_does_not() {
        use music::{Hyphen, Syllable};
        let say = |tune: &mut LeadSheet, measure: usize, note: usize, text: &str, hyphen| {
            let syllable = Syllable { verse: 1, text: text.into(), hyphen, held: false };
            tune.measures[measure].notes[note].syllables.push(syllable);
        };
        let mut tune = tune_of_quarters(6);
        say(&mut tune, 2, 3, "harbour.", Hyphen::Single);
        say(&mut tune, 3, 0, "The", Hyphen::Single);
        assert_eq!(show(&tune), "123,123");
        let mut tune = tune_of_quarters(6);
        assert_eq!(show(&tune), "1234,12");
        say(&mut tune, 3, 3, "fer", Hyphen::Begin);
        say(&mut tune, 4, 0, "ry", Hyphen::End);
        assert_eq!(show(&tune), "12,1234");
    }

    #[test]
    fn a_note_held_over_the_bar_line_is_no_breath() {
        let mut tune = sheet(&format!("4/4 G | {}", "G4:4 | ".repeat(8)));
        tune.measures[4].notes[0].tie.from_before = true;
        assert_eq!(show(&tune), "12345678");
    }

    #[test]
    fn a_tune_in_free_meter_has_phrases() {
        assert_eq!(show(&sheet("4/4 C | C4:3 | D4:2 | E4:3 | C4:2 |")), "1234");
        assert_eq!(show(&sheet("4/4 C | C4:3 | D4:5 | E4:3 | C4:2 |")), "p123");
        assert_eq!(show(&LeadSheet::default()), "");
    }
}
