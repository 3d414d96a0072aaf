//! Where the sections and phrases of a tune end.
//!
//! [`sections`] cuts the tune at the signs on the page; [`evidence`] weighs each bar line inside a section; [`lengths`] chooses the phrases by a
//! small dynamic programme over both. Pickups belong to what follows; the endings of one stretch are alternatives, and each goes on
//! with the phrase that was running before the first of them.

pub mod sections;
pub mod evidence;
pub mod lengths;

use music::LeadSheet;
use sections::Section;
use std::collections::BTreeMap;

/// The form of a tune: one entry a measure, and the phrases and sections themselves.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Phrases {
    pub measures: Vec<PhrasePlace>,
    pub phrases: Vec<Phrase>,
    pub sections: Vec<Section>,
}

/// One phrase. Under alternative endings it holds the measures of all of them.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Phrase {
    pub section: usize,
    /// Indices of the written measures, pickups included, in written order.
    pub measures: Vec<usize>,
}

/// The place of one measure in the form. Numbers count from 0 through the whole tune.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PhrasePlace {
    pub section: usize,
    pub phrase: usize,
    /// Which measure of its phrase this is, pickups not counted; a pickup has 0, like the measure after it.
    pub index: usize,
    /// How many measures the phrase has, pickups not counted; under an ending, the phrase with that ending.
    pub of: usize,
    pub pickup: Pickup,
    /// The first measure of its phrase that is no pickup.
    pub first_of_phrase: bool,
    pub last_of_phrase: bool,
    /// The first measure of its section that is no pickup.
    pub first_of_section: bool,
    /// The last of its section; with alternative endings, the last of each.
    pub last_of_section: bool,
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
        }
    }
}

/// Whether a measure only leads into the next one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pickup {
    No,
    /// Shorter than its meter, at the head of a section.
    Short,
    /// The first measure of the tune, written full: rests, then a pickup in its last half.
    InFullMeasure,
}

/// The phrases of a tune.
pub fn phrases(sheet: &LeadSheet) -> Phrases {
    let sections = sections::sections(sheet);
    let mut found = Phrases { measures: Vec::with_capacity(sheet.measures.len()), ..Phrases::default() };
    for (number, section) in sections.iter().enumerate() {
        let plan = plan(sheet, section);
        place(&mut found, number, section, &plan);
    }
    found.sections = sections;
    found
}

/// For each line through a section (the stretch up to the endings, then one of them), the lengths of its phrases.
fn plan(sheet: &LeadSheet, section: &Section) -> Vec<Vec<usize>> {
    let mut plans: Vec<Vec<usize>> = Vec::new();
    for line in section.lines() {
        let weights = evidence::weigh(sheet, &line, section);
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
                });
            }
        }
    }
    let of = plans[0].first().copied().unwrap_or(0);
    for measure in section.pickups.clone() {
        places.insert(measure, PhrasePlace::of_pickup(number, first, of, section.pickup));
    }
    found.phrases.resize(next, Phrase { section: number, measures: Vec::new() });
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
